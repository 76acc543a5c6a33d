"""Wrong input: one line on standard error, exit code 2, no traceback, no file left behind."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import pytest

from simview.cli.app import run

TOY = "demo:toy-refractor-50"
LADDER = ["ladder", TOY, "--target", "jupiter", "--powers", "30,90"]
VIEW = ["view", TOY, "--target", "jupiter"]
PHOTO = ["view", TOY, "--width-arcmin", "31", "--mag-arcsec2", "5", "--image"]

# Arguments, and all that the one line must hold.
WRONG: list[tuple[list[str], list[str]]] = [
    (["laddr"], ["laddr", "ladder"]),
    (["ladder"], ["--powers", "ladder --help"]),
    (["ladder", "--target", "jupiter", "--powers", "30,90"], ["KIT", "--telescope 150/750"]),
    (["compare", "--target", "jupiter"], ["KIT", "--telescope 150/750"]),
    ([*VIEW, "--telescope", "150/750"], ["KIT and --telescope", "one of the two"]),
    (["view", "--telescope", "", "--target", "jupiter"], ["KIT", "none"]),
    (["view", "maak 127/1500", "--target", "jupiter"], ["'maak'", "'mak'"]),
    (["view", "750/150", "--target", "jupiter"], ["focal ratio", "2 to 40"]),
    (["view", "5/20", "--target", "jupiter"], ["aperture_mm", "20 to 1000 mm"]),
    (["view", "150-750", "--target", "jupiter"], ["150-750", "not found", "150/750"]),
    (["ladder", TOY, "--target", "jupiter"], ["--powers"]),
    ([*VIEW, "--pwoer", "3"], ["--pwoer", "--power"]),
    (["view", "missing.toml", "--target", "jupiter"], ["missing.toml", "not found"]),
    (["view", ".", "--target", "jupiter"], ["this is a folder"]),
    (["view", "demo:toy", "--target", "jupiter"], ["demo kit", "demo:toy-refractor-50"]),
    (["view", TOY], ["target"]),
    (["view", TOY, "--target", "jupitr"], ["jupitr", "jupiter"]),
    ([*VIEW, "--diameter-arcsec", "nan"], ["diameter_arcsec", "nan"]),
    ([*VIEW, "--diameter-arcsec", "-3"], ["diameter_arcsec"]),
    ([*VIEW, "--diameter-arcsec", "1e12"], ["diameter_arcsec"]),
    ([*VIEW, "--power", "1e9"], ["power", "times"]),
    ([*VIEW, "--power", "nan"], ["power", "nan"]),
    ([*VIEW, "--power", "many"], ["--power", "many"]),
    ([*VIEW, "--power", "-3"], ["power"]),
    ([*VIEW, "--eyepiece", "3"], ["--eyepiece", "1 to 2"]),
    ([*VIEW, "--eyepiece", "0"], ["--eyepiece", "1 to 2"]),
    ([*VIEW, "--seeing", "-1"], ["seeing_arcsec", "0 to 20"]),
    ([*VIEW, "--seeing", "inf"], ["seeing_arcsec"]),
    ([*VIEW, "--sky-mag", "40"], ["sky_mag_arcsec2"]),
    ([*VIEW, "--altitude", "0"], ["altitude_deg", "3 to 90"]),
    ([*VIEW, "--air", "lnog"], ["air", "'long'"]),
    ([*VIEW, "--seed", "-1"], ["seed"]),
    ([*VIEW, "--age", "5"], ["age_years", "20 to 83"]),
    ([*VIEW, "--pupil", "50"], ["pupil_mm", "1 to 9"]),
    ([*VIEW, "--size", "1920"], ["--size", "1920x1080"]),
    ([*VIEW, "--size", "9x9"], ["size", "9x9"]),
    ([*VIEW, "--size", "100000x100000"], ["size", "100000x100000"]),
    ([*VIEW, "--engine", "popy"], ["--engine", "'poppy'"]),
    ([*VIEW, "--out", "none/view.png"], ["none/view.png", "is not there"]),
    ([*VIEW, "--out", "view.bmp"], ["view.bmp", ".png"]),
    ([*VIEW, "--out", "."], ["folder"]),
    ([*VIEW, "--out", "mine.png"], ["mine.png", "--force"]),
    ([*VIEW, "--date", "tomorrow"], ["date", "tomorrow"]),
    ([*VIEW, "--date", "1066-10-14"], ["date", "1066-10-14"]),
    ([*VIEW, "--lat", "99", "--lon", "0", "--date", "2027-01-01"], ["latitude_deg", "99"]),
    ([*VIEW, "--set", "tild_deg=20"], ["tild_deg", "diameter_arcsec"]),
    ([*VIEW, "--set", "tilt"], ["--set", "KEY=VALUE"]),
    ([*VIEW, "--set", "seed=many"], ["seed", "many"]),
    (["view", TOY, "--double", "2.3,45"], ["--double", "2.3,45,5.2,6.1"]),
    (["view", TOY, "--double", "-2,45,5,6"], ["separation"]),
    (["view", TOY, "--ra", "10"], ["dec"]),
    (["view", TOY, "--ra", "400", "--dec", "95"], ["deg"]),
    (["view", TOY, "--image", "none.png", "--width-arcmin", "31", "--mag-arcsec2", "5"], ["none"]),
    (["view", TOY, "--image", "text.png", "--width-arcmin", "31", "--mag-arcsec2", "5"], ["text"]),
    ([*PHOTO, "bomb.png"], ["bomb.png", "pixels"]),
    ([*PHOTO, "cut.png"], ["cut.png"]),
    ([*PHOTO, "wrong.toml"], ["wrong.toml"]),
    ([*PHOTO, "."], ["folder"]),
    ([*PHOTO, "mine.png", "--width-arcmin", "nan"], ["width_arcmin", "nan"]),
    ([*PHOTO, "mine.png", "--mag-arcsec2", "-90"], ["mag_arcsec2"]),
    (["view", TOY, "--image", "mine.png"], ["width_arcmin"]),
    ([*LADDER[:-1], ""], ["--powers"]),
    ([*LADDER[:-1], "30"], ["powers", "2 to 8"]),
    ([*LADDER[:-1], "30;90"], ["--powers", "30,75,150"]),
    ([*LADDER[:-1], "30,1e9"], ["--powers"]),
    ([*LADDER[:-1], "1,2,3,4,5,6,7,8,9"], ["--powers", "1 to 8"]),
    (["compare", TOY, TOY, "--target", "jupiter", "--powers", "1,2,3"], ["--powers", "1 or 2"]),
    (["compare", TOY, "--target", "jupiter", "--eyepieces", "7"], ["--eyepieces", "1 to 2"]),
    (["view", "unfit.toml", "--target", "jupiter"], ["unfit.toml", "2in"]),
    (["compare", TOY, "unfit.toml", "--target", "jupiter"], ["unfit.toml", "2in"]),
    (["view", "wrong.toml", "--target", "jupiter"], ["wrong.toml", "[telescope]", "aperture_mm"]),
    (["redo", "missing.png"], ["missing.png"]),
    (["redo", "text.png"], ["text.png"]),
    (["redo", "mine.png"], ["mine.png"]),
    (["demo", "--only", "laddr"], ["--only", "ladder"]),
    (["demo", "--out", "mine.png"], ["mine.png: --out; got 'a file'", "a new folder"]),
    (["demo", "--out", "mine.png", "--force"], ["got 'a file'", "never replaced by a folder"]),
    (["demo", "--out", "none/demo"], ["none/demo"]),
]


def bomb(png: bytes) -> bytes:
    """The same picture, but its head says that it is 100,000 pixels wide and high."""
    head = b"IHDR" + struct.pack(">II", 100_000, 100_000) + png[24:29]
    return png[:12] + head + struct.pack(">I", zlib.crc32(head)) + png[33:]


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with some files that are not what they should be."""
    from PIL import Image

    scope = "[telescope]\naperture_mm = 60\nfocal_length_mm = 600\n"
    (tmp_path / "wrong.toml").write_text('[telescope]\naperture_mm = "60 mm"\n')
    (tmp_path / "unfit.toml").write_text(
        f'{scope}[[eyepieces]]\nfocal_length_mm = 30\nbarrel = "2in"\n'
    )
    (tmp_path / "text.png").write_text("this is no picture")
    Image.new("RGB", (8, 8)).save(tmp_path / "mine.png")
    whole = (tmp_path / "mine.png").read_bytes()
    (tmp_path / "cut.png").write_bytes(whole[: len(whole) // 2])
    (tmp_path / "bomb.png").write_bytes(bomb(whole))
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize(("arguments", "parts"), WRONG, ids=lambda value: " ".join(value)[-70:])
def test_wrong_input_gives_one_line_and_exit_code_2(
    arguments: list[str], parts: list[str], desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {path: path.read_bytes() for path in desk.iterdir()}
    assert run(arguments) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("simview: ")
    assert told.err.count("\n") == 1
    for part in parts:
        assert part in told.err
    assert {path: path.read_bytes() for path in desk.iterdir()} == before
