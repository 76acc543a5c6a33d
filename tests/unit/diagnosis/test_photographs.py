"""Reading photographs, finding the star, and saying why a picture cannot serve."""

from __future__ import annotations

import io
import math
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from star_photos import developed, jpeg, pattern, toned

from simview.diagnosis import finding
from simview.diagnosis.diagnose import _handedness, diagnose
from simview.diagnosis.photo_files import Shot, read
from simview.diagnosis.plates import stars_of
from simview.errors import FileError, SimviewError
from simview.kit import Kit, Telescope

SCOPE = Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3)


@pytest.fixture(scope="module")
def light() -> np.ndarray:
    return pattern(SCOPE, 6.0, pixel_arcsec=0.35, blur_arcsec=1.0)


def test_every_kind_of_file_gives_the_same_star(light: np.ndarray, tmp_path: Path) -> None:
    image = developed(light)
    linear = np.moveaxis(np.asarray(image.convert("RGB"), float) / 255.0, -1, 0)
    places = []
    image.save(tmp_path / "a.png")
    image.save(tmp_path / "a.tif", save_all=True, append_images=[image, image])
    image.save(tmp_path / "a.webp", lossless=True)
    (tmp_path / "a.jpg").write_bytes(jpeg(image, 95))
    (tmp_path / "folder").mkdir()
    image.save(tmp_path / "folder" / "1.png")
    image.save(tmp_path / "folder" / "2.png")
    from pillow_heif import register_heif_opener

    register_heif_opener()
    image.save(tmp_path / "a.heic", quality=95)
    from astropy.io import fits

    # Rows go upwards in FITS.
    light_ = np.where(linear <= 0.04045, linear / 12.92, ((linear + 0.055) / 1.055) ** 2.4)
    fits.writeto(tmp_path / "a.fits", (60000.0 * light_[:, ::-1]).astype(np.float32))
    for name in ("a.png", "a.tif", "a.webp", "a.jpg", "folder", "a.heic", "a.fits"):
        shot = read(tmp_path / name)
        assert len(shot.frames) == {"a.tif": 3, "folder": 2}.get(name, 1)
        assert shot.linear is (name == "a.fits")
        star = finding.find(shot.frames[0], name)
        places.append((star.x, star.y, star.radius))
    # The star was put 13 pixels to the left and 9 down from the middle, n // 2.
    assert np.array(places) == pytest.approx(
        np.tile((119.5 - 13 + 0.5, 119.5 + 9 + 0.5, places[0][2]), (7, 1)), abs=0.4
    )


def test_a_film_is_read_frame_by_frame(light: np.ndarray, tmp_path: Path) -> None:
    import av

    with av.open(str(tmp_path / "star.mp4"), "w") as film:
        stream = film.add_stream("mpeg4", rate=10)
        stream.width = stream.height = 240
        stream.bit_rate = 4_000_000
        for seed in range(6):
            picture = np.asarray(developed(light, seed))
            for packet in stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")):
                film.mux(packet)
        for packet in stream.encode():
            film.mux(packet)
    shot = read(tmp_path / "star.mp4")
    assert len(shot.frames) == 6
    assert shot.frames[0].shape == (240, 240, 3)
    assert finding.find(shot.frames[2], "film").radius > 20.0


def test_exif_turns_the_picture(light: np.ndarray) -> None:
    image = developed(light)
    file = io.BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter clockwise: Exif 2.3, orientation
    image.save(file, "JPEG", quality=95, exif=exif)
    turned = read(file.getvalue(), name="turned").frames[0]
    plain = read(jpeg(image, 95), name="plain").frames[0]
    assert np.abs(turned - np.rot90(plain, -1)).max() < 0.02


def test_hot_and_clipped_pixels_are_left_out(light: np.ndarray) -> None:
    picture = np.asarray(developed(light, peak=1.08)).copy()
    picture[60, 50] = 255
    picture[105, 118] = (255, 0, 0)
    image = read(_png(picture), name="hot").frames[0]
    stars = stars_of(Shot(frames=(image,), linear=False, name="hot"))
    use = stars.use[0]
    assert not use[(*image_place(stars, 105, 118), 0)]
    clipped = (image[..., 1] >= finding.FULL).sum()
    assert clipped > 20
    assert (~use[..., 1]).sum() >= clipped


def image_place(stars, row: int, column: int) -> tuple[int, int]:
    half = (len(stars.cuts[0]) - 1) // 2
    middle = (round(119.5 + 9 + 0.5), round(119.5 - 13 + 0.5))
    return row - middle[0] + half, column - middle[1] + half


def _png(picture: np.ndarray) -> bytes:
    file = io.BytesIO()
    Image.fromarray(picture).save(file, "PNG")
    return file.getvalue()


def _frame(linear: np.ndarray) -> bytes:
    return _png(np.repeat(toned(linear)[..., None], 3, axis=2))


def _disc(x: float, y: float, radius: float, *, size: int = 240, long: float = 1.0) -> np.ndarray:
    row, column = np.mgrid[:size, :size]
    r = np.hypot((column - x) / long, row - y)
    return np.where((r < radius) & (r > 0.3 * radius), 0.6, 0.0)


def _noise(seed: int = 0) -> np.ndarray:
    return np.abs(np.random.default_rng(seed).normal(0.006, 0.003, (240, 240)))


def _moon(phase_deg: float) -> np.ndarray:
    """A ball lit from the right, brighter the more light falls on it."""
    row, column = (np.mgrid[:240, :240] - 119.5) / 70.0
    depth = np.sqrt(np.maximum(1.0 - row**2 - column**2, 0.0))
    sun = math.sin(math.radians(phase_deg)), math.cos(math.radians(phase_deg))
    lit = np.maximum(column * sun[0] + depth * sun[1], 0.0)
    return np.where(np.hypot(row, column) < 1.0, 0.7 * lit**0.6, 0.0)


CAT = np.clip(np.random.default_rng(4).normal(0.4, 0.2, (15, 15)).repeat(16, 0).repeat(16, 1), 0, 1)

UNFIT = {
    "black": (np.zeros((240, 240)), "no star"),
    "noise": (_noise(), "no star"),
    "two stars": (_noise() + _disc(70, 100, 30) + _disc(170, 140, 30), "two stars"),
    "star and lamp": (
        _noise() + _disc(60, 60, 20) + 1.3 * _disc(170, 150, 50, long=0.3),
        "not all of them",
    ),
    "in focus": (_noise() + _disc(120, 120, 4), "in focus or too small"),
    "trailed": (_noise() + _disc(120, 120, 20, long=2.4), "trailed"),
    "cut off": (_noise() + _disc(10, 120, 40), "cut off"),
    "overexposed": (_noise() + 3.0 * _disc(120, 120, 40), "overexposed"),
    "a cat": (CAT, "bright all over"),
    "all bright": (np.full((240, 240), 0.5) + _noise(), "bright all over"),
    "half Moon": (_noise() + _moon(90.0), "lit from one side"),
    "crescent": (_noise() + _moon(125.0), "lit from one side"),
}


@pytest.mark.parametrize("name", UNFIT)
def test_a_picture_that_cannot_serve_says_why(name: str) -> None:
    linear, says = UNFIT[name]
    with pytest.raises(finding.UnfitError, match=says) as caught:
        stars_of(read(_frame(linear), name=name))
    assert name in str(caught.value)
    assert "\n" not in str(caught.value)


def test_borders_of_a_screenshot_are_cut_away(light: np.ndarray) -> None:
    inner = np.asarray(developed(light))
    screen = np.full((500, 300, 3), 245, np.uint8)
    screen[40:52, 20:200:3] = 20  # words on the border
    screen[120:360, 30:270] = inner
    star = finding.find(finding.trimmed(read(_png(screen), name="screen").frames[0]), "screen")
    assert star.radius == pytest.approx(
        finding.find(read(_png(inner), name="star").frames[0], "star").radius, rel=0.02
    )


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b"no picture at all", "no picture"),
        (b"SIMPLE  =                    T and no more", "FITS"),
        (b"\x00\x00\x00\x18ftypheic" + bytes(40), "no picture"),
    ],
)
def test_a_broken_file_is_one_clear_line(data: bytes, says: str) -> None:
    with pytest.raises(FileError, match=says):
        read(data, name="broken")


def test_a_truncated_jpeg_is_refused(light: np.ndarray) -> None:
    data = jpeg(developed(light))
    with pytest.raises(FileError, match="cut short"):
        read(data[: len(data) // 3], name="cut")


def test_a_picture_of_a_hundred_million_pixels_is_refused() -> None:
    file = io.BytesIO()
    Image.new("1", (10000, 10000)).save(file, "PNG")
    with pytest.raises(FileError, match="10000 x 10000"):
        read(file.getvalue(), name="huge")


@pytest.mark.parametrize("what", ["full Moon", "lamp"])
def test_a_round_thing_that_is_no_star_is_refused(what: str) -> None:
    """Their light is not that of a star out of focus, though they are round."""
    row, column = np.mgrid[:500, :500] - 249.5
    spots = 0.7 + 0.15 * np.sin(column / 9.0) * np.cos(row / 13.0 + column / 31.0)
    shape = {"full Moon": (170.0, spots), "lamp": (70.0, 0.7)}[what]
    linear = np.where(np.hypot(row, column) < shape[0], shape[1], 0.004)
    with pytest.raises(finding.UnfitError, match=r"Moon|planet"):
        diagnose([_frame(linear)], Kit(telescope=SCOPE), side="outside")


def test_the_same_photograph_twice_is_refused(light: np.ndarray, tmp_path: Path) -> None:
    for name in ("inside.jpg", "outside.jpg"):
        (tmp_path / name).write_bytes(jpeg(developed(light)))
    with pytest.raises(finding.UnfitError, match="the same photograph as"):
        diagnose([tmp_path / "inside.jpg", tmp_path / "outside.jpg"], Kit(telescope=SCOPE))


def test_a_lens_tells_by_its_colours_that_sides_were_exchanged() -> None:
    lens = Telescope(aperture_mm=80.0, focal_length_mm=900.0, objective="achromat")
    photos = [
        jpeg(developed(pattern(lens, w, {11: 0.03}, pixel_arcsec=0.8, blur_arcsec=1.0), 3), 93)
        for w in (-4.0, 4.0)
    ]
    with pytest.raises(finding.UnfitError, match="inside and outside exchanged"):
        diagnose(photos, Kit(telescope=lens), side=["outside", "inside"])
    found = diagnose(photos, Kit(telescope=lens), side=["inside", "outside"])
    assert found.noll[11].value == pytest.approx(0.03, abs=0.012)


@pytest.mark.parametrize(
    ("up", "right", "mirrored", "says"),
    [
        (90.0, 100.0, None, "quarter turn"),
        (None, 0.0, None, "without up.*allowed: with up"),
        (90.0, 0.0, True, "in place of mirrored"),
        (90.0, math.nan, None, "finite"),
    ],
)
def test_a_hand_that_tells_nothing_is_refused(up, right, mirrored, says: str) -> None:
    with pytest.raises(SimviewError, match=says):
        diagnose([b"x"], Kit(telescope=SCOPE), up_deg=up, right_deg=right, mirrored=mirrored)


@pytest.mark.parametrize(("up", "right", "mirrored"), [(90, 0, False), (120, 205, True)])
def test_two_hands_tell_whether_a_photograph_is_mirrored(
    up: float, right: float, mirrored: bool
) -> None:
    """Turned by any angle, right follows up clockwise; mirrored, anticlockwise."""
    assert _handedness(up, right, None) is mirrored


@pytest.mark.parametrize(
    ("kit", "side", "says"),
    [
        (Kit(), (), "a telescope"),
        (Kit(telescope=SCOPE), ("inside", "outside"), "one for each"),
        (Kit(telescope=SCOPE), ("beside",), "inside"),
    ],
)
def test_what_does_not_go_together_is_refused(kit: Kit, side: tuple[str, ...], says: str) -> None:
    with pytest.raises(SimviewError, match=says):
        diagnose([b"x"], kit, side=side)
