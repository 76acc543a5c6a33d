"""Moving pictures on disk: frames, pace, recipe, and nothing half written."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from simview import budget
from simview.errors import FileError, SimviewError
from simview.picture.films.moving import (
    Moving,
    Print,
    kind_of,
    read_any_recipe,
    require_memory,
    require_place,
    save_moving,
)

RECIPE = {"command": "film", "name": "Würfel 4″", "number": 3}


def frames(count=5, side=64):
    """Grey squares that grow lighter."""
    for k in range(count):
        yield np.full((side, side, 3), 20 + 40 * k, np.uint8)


def moving(source=None, count=5, rate=12.0):
    return Moving(
        frames=frames() if source is None else source,
        count=count,
        frames_per_second=rate,
        figures={"strehl": 0.5},
        recipe=RECIPE,
        title="Grey, ″",
    )


@pytest.mark.parametrize("name", ["m.webp", "m.png", "m.apng"])
def test_frames_and_pace_are_kept(tmp_path: Path, name: str) -> None:
    path = save_moving(moving(), tmp_path / name)
    with Image.open(path) as picture:
        assert picture.n_frames == 5
        total = 0.0
        for k in range(5):
            picture.seek(k)
            picture.load()
            total += picture.info["duration"]
            middle = np.asarray(picture.convert("RGB"))[32, 32].astype(int)
            assert np.all(middle == 20 + 40 * k)
        # Five frames of a twelfth of a second, whole milliseconds.
        assert total == pytest.approx(5000.0 / 12.0, abs=0.6)
        assert picture.info.get("loop", 0) == 0


def test_gif_keeps_frames_and_pace_in_hundredths_of_a_second(tmp_path: Path) -> None:
    path = save_moving(moving(), tmp_path / "m.gif")
    with Image.open(path) as picture:
        assert picture.n_frames == 5
        total = 0.0
        for k in range(5):
            picture.seek(k)
            total += picture.info["duration"]
            middle = np.asarray(picture.convert("RGB"))[32, 32].astype(int)
            assert np.abs(middle - (20 + 40 * k)).max() <= 2
        assert total == pytest.approx(5000.0 / 12.0, abs=5.0)


def noisy(count=6):
    """A dim disc with a little unrest, as of a star out of focus: blocks would show in it."""
    chance = np.random.default_rng(1)
    y, x = np.mgrid[-80:80, -80:80]
    disc = 60.0 / (1.0 + np.exp((np.hypot(x, y) - 50.0) / 3.0))
    for _ in range(count):
        yield np.repeat(
            (disc + chance.normal(0.0, 1.5, disc.shape)).clip(0)[..., None], 3, 2
        ).astype(np.uint8)


def test_mp4_is_played_by_an_independent_reader_and_shows_no_blocks(tmp_path: Path) -> None:
    given = list(noisy())
    path = save_moving(moving(source=given, count=6, rate=15.0), tmp_path / "m.mp4")
    with av.open(str(path)) as film:
        (stream,) = film.streams.video
        assert (stream.codec_context.name, stream.average_rate) == ("h264", 15)
        assert stream.codec_context.pix_fmt == "yuv420p"
        found = np.array([f.to_ndarray(format="rgb24") for f in film.decode(stream)])
    assert found.shape == (6, 160, 160, 3)
    # Players are told where to begin before they have all of the file.
    data = path.read_bytes()
    assert data.index(b"moov") < data.index(b"mdat")
    error = np.array(found, float)[..., 1] - np.array(given, float)[..., 1]
    # Steps at the edges of 8-pixel blocks are no larger than steps elsewhere.
    steps = np.abs(np.diff(error, axis=2)).mean(axis=(0, 1))
    edges = steps[7::8].mean()
    others = np.delete(steps, np.s_[7::8]).mean()
    assert edges < 1.1 * others
    # At five times the contrast an error of 2 of 255 is 10: not seen in moving grain.
    assert np.sqrt((error**2).mean()) < 2.0


def test_mp4_says_which_colours_it_means_and_gives_them_back(tmp_path: Path) -> None:
    frame = np.zeros((120, 160, 3), np.uint8)
    frame[:, :80], frame[:, 80:] = (200, 40, 30), (20, 60, 180)
    path = save_moving(moving(source=[frame] * 3, count=3, rate=15.0), tmp_path / "m.mp4")
    with av.open(str(path)) as film:
        context = film.streams.video[0].codec_context
        # ITU-T H.273: BT.709 primaries and matrix, IEC 61966-2-1's curve, limited range.
        told = (context.color_primaries, context.color_trc, context.colorspace)
        assert (*told, context.color_range) == (1, 13, 1, 1)
        shown = next(iter(film.decode(video=0))).to_ndarray(format="rgb24").astype(int)
    # 8 bits of limited range round to about a code; a wrong matrix is off by ten and more.
    assert np.abs(shown[60, 20] - (200, 40, 30)).max() <= 3
    assert np.abs(shown[60, 140] - (20, 60, 180)).max() <= 3


@pytest.mark.parametrize("name", ["m.webp", "m.png", "m.gif", "m.mp4"])
def test_recipe_travels_inside(tmp_path: Path, name: str) -> None:
    assert read_any_recipe(save_moving(moving(), tmp_path / name)) == RECIPE


def test_frames_in_a_folder_are_numbered_and_the_first_has_the_recipe(tmp_path: Path) -> None:
    path = save_moving(moving(), tmp_path / "folder")
    assert sorted(p.name for p in path.iterdir()) == [f"frame-000{k}.png" for k in range(1, 6)]
    assert read_any_recipe(path / "frame-0001.png") == RECIPE
    with pytest.raises(FileError):
        read_any_recipe(path / "frame-0002.png")


def broken(after):
    yield from frames(after)
    raise RuntimeError("the lamp went out")


@pytest.mark.parametrize("name", ["m.webp", "m.png", "folder"])
def test_film_that_breaks_off_leaves_nothing_behind(tmp_path: Path, name: str) -> None:
    with pytest.raises(RuntimeError):
        save_moving(moving(broken(3)), tmp_path / name)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["m.webp", "m.png", "folder"])
def test_interrupted_film_leaves_what_was_there(tmp_path: Path, name: str) -> None:
    def stopped():
        yield from frames(2)
        raise KeyboardInterrupt

    kept = tmp_path / name
    if name != "folder":
        kept.write_text("mine")
    with pytest.raises(KeyboardInterrupt):
        save_moving(moving(stopped()), kept, force=True)
    left = {p.name: p.read_text() for p in tmp_path.iterdir()}
    assert left == ({} if name == "folder" else {name: "mine"})


def test_what_is_there_is_replaced_only_by_force(tmp_path: Path) -> None:
    (tmp_path / "m.webp").write_text("mine")
    with pytest.raises(FileError, match="--force"):
        save_moving(moving(), tmp_path / "m.webp")
    save_moving(moving(), tmp_path / "m.webp", force=True)
    assert (tmp_path / "m.webp").read_bytes()[8:12] == b"WEBP"


def test_folder_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    for force in (False, True):
        with pytest.raises(FileError, match="folder is there already"):
            require_place(tmp_path / "folder", force=force)


@pytest.mark.parametrize("name", ["m.avi", "m.mov", "m.jpg"])
def test_other_endings_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(FileError, match=r"\.webp"):
        kind_of(tmp_path / name)


def test_place_in_a_missing_folder_is_refused(tmp_path: Path) -> None:
    for name in ("none/m.webp", "none/folder"):
        with pytest.raises(FileError, match="is not there"):
            require_place(tmp_path / name)


def test_more_frames_than_memory_holds_are_refused() -> None:
    require_memory(10**6, (512, 512), "webp")  # a library's caller sets no budget
    with budget.used(1.0):
        require_memory(400, (512, 512), "webp")
        with pytest.raises(SimviewError, match=r"1000 frames.*--memory 2"):
            require_memory(1000, (512, 512), "webp")
        require_memory(10**6, (512, 512), "frames")  # written one by one


def test_progress_comes_to_its_end(tmp_path: Path) -> None:
    told = []
    save_moving(moving(), tmp_path / "m.webp", progress=lambda part, words: told.append(part))
    assert told == sorted(told)
    assert 0.0 < told[0] < told[-1] <= 1.0


def test_foreign_and_broken_files_carry_no_recipe(tmp_path: Path) -> None:
    Image.new("RGB", (8, 8)).save(tmp_path / "plain.webp")
    (tmp_path / "text.webp").write_text("no picture")
    whole = save_moving(moving(), tmp_path / "m.webp").read_bytes()
    (tmp_path / "cut.webp").write_bytes(whole[:40])
    (tmp_path / "bent.webp").write_bytes(whole.replace(b'{"simview:recipe"', b'["simview:recipe"'))
    for name in ("plain.webp", "text.webp", "cut.webp", "bent.webp", "none.webp"):
        with pytest.raises(FileError):
            read_any_recipe(tmp_path / name)


PICTURES = Path(__file__).parents[3] / "docs" / "pictures"


@pytest.mark.parametrize("picture", sorted(PICTURES.glob("*-*.webp")), ids=lambda path: path.name)
def test_film_on_the_pages_can_be_made_again(picture: Path) -> None:
    from simview.picture.films import again as film

    given = read_any_recipe(picture)
    assert given["command"] in picture.name
    made = film.again(given)
    with Image.open(picture) as shown:
        shown.seek(0)
        first = np.asarray(shown.convert("RGB")).astype(int)
    again = next(iter(made.frames)).astype(int)
    # WebP is lossy; of its quality some steps remain.
    assert np.abs(first - again).mean() < 3.0
    pages = (PICTURES.parent / name for name in ("film.md", "collimate.md"))
    assert any(f"pictures/{picture.name})" in page.read_text(encoding="utf-8") for page in pages)


def test_an_mp4_that_another_program_put_there_meanwhile_stays(tmp_path: Path) -> None:
    place = tmp_path / "m.mp4"

    def frames() -> Iterator[Print]:
        for number, frame in enumerate(noisy()):
            if number == 3:
                place.write_bytes(b"somebody's own film")
            yield frame

    with pytest.raises(FileError, match="already"):
        save_moving(moving(source=frames(), count=6, rate=15.0), place)
    assert place.read_bytes() == b"somebody's own film"
    assert [path.name for path in tmp_path.iterdir()] == ["m.mp4"]
