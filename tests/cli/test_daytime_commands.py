"""The house by day on the command line: its air, which way its letters read, wrong input."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from simview.air import shimmer
from simview.cli.app import run
from simview.kit import Kit
from simview.kitfile import load_kit
from simview.picture import captions
from simview.scene.targets import target
from simview.view import follow

LENS = """
layout = "{layout}"
[telescope]
aperture_mm = 60.0
focal_length_mm = 700.0
objective = "achromat"
obstruction = {obstruction}
[[eyepieces]]
focal_length_mm = 20.0
[[amplifiers]]
name = "1.5x prism"
kind = "erecting-prism"
factor = 1.5
{diagonal}
"""
DIAGONAL = '[diagonal]\nkind = "star"\n'

# Kit by its name: file, power, which way it turns the view, and how a picture is turned that way
# (about both axes, left for right). Two of the powers take the prism.
KITS = {
    "bare refractor": (LENS.format(layout="refractor", obstruction=0.0, diagonal=""), 35.0),
    "star diagonal": (LENS.format(layout="refractor", obstruction=0.0, diagonal=DIAGONAL), 35.0),
    "erecting prism": (LENS.format(layout="refractor", obstruction=0.0, diagonal=DIAGONAL), 52.5),
    "newtonian": (
        LENS.format(layout="newtonian", obstruction=0.3, diagonal="").replace(
            '"achromat"', '"mirror"'
        ),
        35.0,
    ),
}
TURNED = {
    "bare refractor": "turned",
    "star diagonal": "mirrored",
    "erecting prism": "upright",
    "newtonian": "turned",
}
TURNS = {
    "upright": lambda plane: plane,
    "turned": lambda plane: plane[::-1, ::-1],
    "mirrored": lambda plane: plane[:, ::-1],
    "turned-mirrored": lambda plane: plane[::-1],
}
VIEW = ["view", "demo:tabletop-150", "--target", "daytime", "--power", "75", "--size", "960x540"]


@pytest.fixture(autouse=True)
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def kit_of(name: str) -> tuple[Kit, float]:
    text, power = KITS[name]
    Path("kit.toml").write_text(text, encoding="utf-8")
    return load_kit("kit.toml"), power


def alike(a: np.ndarray, b: np.ndarray) -> float:
    return float(np.corrcoef(a.ravel(), b.ravel())[0, 1])


@pytest.mark.parametrize("name", KITS)
def test_letters_read_as_the_kit_turns_them(name: str) -> None:
    kit, power = kit_of(name)
    shown = target("daytime", distance_m=60.0, shimmer="none")
    view = follow(kit, shown, power=power)
    assert view.beam.orientation == TURNED[name]
    assert view.beam.in_the_box
    # The sign fills the frame; of odd pixels the middle one stays in the middle.
    scale, n = 12.0, 300
    seen = view.retina(pixels_per_degree=scale, pixels=n).extended[1][1:, 1:]
    plain = shown.scene(pixel_arcsec=3600.0 / scale / view.beam.power, pixels=n).planes[1][1:, 1:]
    match = {turn: alike(seen, turned(plain)) for turn, turned in TURNS.items()}
    assert max(match, key=match.__getitem__) == TURNED[name]
    # It is the letters and not only the light that fit: the others are far behind.
    best, second = sorted(match.values())[-1:-3:-1]
    assert best > 0.9
    assert second < best - 0.2


@pytest.mark.parametrize("name", KITS)
def test_figures_say_which_way_letters_read(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    _, power = kit_of(name)
    command = ["view", "kit.toml", "--target", "daytime", "--power", str(power), "--json"]
    assert run([*command, "--size", "960x540"]) == 0
    assert json.loads(capsys.readouterr().out)["orientation"] == TURNED[name]


def test_view_has_the_shimmers_seeing_and_no_stars(capsys: pytest.CaptureFixture[str]) -> None:
    strong = ["--set", "shimmer=strong", "--set", "distance_m=300", "--air", "long"]
    assert run([*VIEW, *strong, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["limiting_magnitude"] is None
    assert told["drift_seconds"] is None
    # The outer scale takes up to a quarter of the plain figure (Tokovinin 2002).
    plain = shimmer.seeing_arcsec(1e-13, 300.0)
    assert 0.75 * plain < told["resolution_air_arcsec"] < plain


def test_options_for_the_night_change_nothing_and_are_told(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run([*VIEW, "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert run([*VIEW, "--json", "--seeing", "9", "--altitude", "10", "--sky-mag", "17"]) == 0
    answer = capsys.readouterr()
    assert json.loads(answer.out) == plain
    assert "--seeing, --sky-mag, --altitude say nothing" in answer.err


def test_hazier_air_makes_a_flatter_picture() -> None:
    for name, visibility in (("clear.png", "100"), ("hazy.png", "1")):
        settings = ["--set", f"visibility_km={visibility}", "--set", "distance_m=1000"]
        assert run([*VIEW, *settings, "--out", name, "-q"]) == 0
    spread = []
    for name in ("clear.png", "hazy.png"):
        with Image.open(name) as picture:
            # The loupe's middle.
            spread.append(float(np.asarray(picture.convert("L"))[220:310, 540:640].std()))
    assert spread[1] < 0.25 * spread[0]


def test_picture_is_made_again_from_its_file() -> None:
    settings = ["--set", "shimmer=moderate", "--air", "moment", "--seed", "4"]
    assert run([*VIEW, *settings, "--out", "first.png", "-q"]) == 0
    assert run(["redo", "first.png", "--out", "second.png", "-q"]) == 0
    first, second = (np.asarray(Image.open(name)) for name in ("first.png", "second.png"))
    assert np.array_equal(first, second)


def test_film_of_the_house_trembles_and_says_how(capsys: pytest.CaptureFixture[str]) -> None:
    command = ["film", "demo:tabletop-150", "--target", "daytime", "--power", "75"]
    # Neighbouring frames are alike, as the eye's own time makes them: half a second lies between
    # the first and the last of eight.
    how = ["--frames", "8", "--size", "256", "--seeing", "0.1", "--json"]
    differ = {}
    for word in ("none", "strong"):
        name = f"{word}.webp"
        assert run([*command, *how, "--set", f"shimmer={word}", "--out", name]) == 0
        answer = capsys.readouterr()
        told = json.loads(answer.out)
        expected = shimmer.seeing_arcsec({"none": 0.0, "strong": 1e-13}[word], 400.0)
        assert told["seeing_arcsec"] == pytest.approx(expected)
        assert ("trembles as one" in answer.err) == (word == "strong")
        with Image.open(name) as film:
            first = np.asarray(film.convert("RGB")).astype(int)
            # Where nothing moves the writer keeps one frame.
            film.seek(getattr(film, "n_frames", 1) - 1)
            differ[word] = np.abs(first - np.asarray(film.convert("RGB"))).max()
    # Of 256 code values; the tripod of the demo's kit stands still.
    assert differ["strong"] > 8
    assert differ["none"] < 0.25 * differ["strong"]


@pytest.mark.parametrize(
    ("setting", "told"),
    [
        ("visibility_km=0", ["visibility_km", "0.5 to 300 km"]),
        ("distance_m=-300", ["distance_m", "20 to 5000 m"]),
        ("distance_m=far", ["distance_m", "far"]),
        ("shimmer=wild", ["shimmer", "none, slight, moderate, strong"]),
        ("shimmer=1", ["shimmer", "1e-17 to 1e-12"]),
        ("shimer=none", ["shimer", "shimmer"]),
    ],
)
def test_wrong_air_is_one_clear_line(
    setting: str, told: list[str], desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*VIEW, "--set", setting, "--out", "x.png"]) == 2
    line = capsys.readouterr().err.strip()
    assert line.count("\n") == 0
    for word in told:
        assert word in line
    assert list(desk.iterdir()) == []


def test_too_much_shimmer_is_one_clear_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*VIEW, "--set", "shimmer=1e-12", "--set", "distance_m=5000"]) == 2
    line = capsys.readouterr().err.strip()
    assert line.count("\n") == 0
    assert "shorter distance or weaker shimmer" in line


def test_kits_side_by_side_tell_how_the_view_stands() -> None:
    stands = []
    for name in ("star diagonal", "erecting prism", "newtonian"):
        kit, power = kit_of(name)
        view = follow(kit, target("daytime"), power=power)
        stands.append(dict(captions.rows_side_by_side(view))["view"])
    assert stands == ["mirrored", "upright", "turned by 180°"]
    stars = follow(kit, target("pleiades"), power=35.0)
    assert "view" not in dict(captions.rows_side_by_side(stars))
