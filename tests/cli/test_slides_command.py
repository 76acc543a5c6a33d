"""Slides and lists of conditions on the command line."""

from __future__ import annotations

import contextlib
import json
import re
import zlib
from pathlib import Path

import pytest
from PIL import Image

from simview.cli.app import run

SMALL = ["--size", "960x540"]
ONE = ["compare", "demo:tabletop-150", "--target", "jupiter", "--powers", "100", *SMALL]


def panels(words: list[str], capsys: pytest.CaptureFixture[str]) -> list[dict[str, object]]:
    assert run([*words, "--json"]) == 0
    found: list[dict[str, object]] = json.loads(capsys.readouterr().out)["panels"]
    return found


def test_each_value_of_a_list_is_a_panel(capsys: pytest.CaptureFixture[str]) -> None:
    made = panels([*ONE, "--seeing", "1,4", "--for", "slide"], capsys)
    assert [p["label"] for p in made] == ["Steady air, 1″", "Very restless air, 4″"]
    steady, restless = (p["resolution_air_arcsec"] for p in made)
    assert steady < restless  # type: ignore[operator]


def test_lists_go_together_panel_by_panel(capsys: pytest.CaptureFixture[str]) -> None:
    made = panels([*ONE, "--age", "20,75", "--altitude", "60,12"], capsys)
    assert [p["label"] for p in made] == [
        "High up, 60°, At the age of 20",
        "Just above the roofs, 12°, At the age of 75",
    ]


def test_fault_of_one_panel_spoils_only_that(capsys: pytest.CaptureFixture[str]) -> None:
    made = panels([*ONE, "--fault", "none,coma=0.8"], capsys)
    good, bad = (p["finest_detail_arcsec"] for p in made)
    assert good < bad  # type: ignore[operator]


def test_setting_of_a_target_can_be_a_list(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["compare", "demo:tabletop-150", "--target", "venus", "--powers", "75", *SMALL]
    made = panels([*words, "--set", "phase_deg=30,150", "--for", "slide"], capsys)
    assert [p["label"] for p in made] == ["Phase 30°", "Phase 150°"]


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        (["--seeing", "1,fog"], ["--seeing", "1,fog", "numbers with commas"]),
        (["--seeing", "1,2", "--age", "20,40,60"], ["--age", "as many of each"]),
        (["--seeing", "1,99"], ["seeing_arcsec", "0 to 20 arcsec"]),
        (["--air", "long,fog"], ["fog"]),
        (["--fault", "none,cosma=1"], ["cosma"]),
        (["--for", "hall"], ["--for", "study, slide"]),
        (["--labels", "a|b"], ["--labels", "--for slide"]),
        (["--ground", "pink"], ["--ground", "dark, white"]),
        (["--logo", "none.png"], ["logo not found"]),
        (["--for", "slide", "--size", "200x200"], ["size", "540 to 7680"]),
        (["--for", "slide", "--ground", "pink"], ["--ground", "dark, white"]),
        (["--for", "slide", "--logo", "none.png"], ["logo not found"]),
        (["--for", "slide", "--seeing", "1,2", "--labels", "a|b|c"], ["--labels", "one for each"]),
        (["--for", "slide", "--out", "x.gif"], [".png"]),
        (["--out", "x.tif"], [".png", ".pdf"]),
    ],
)
def test_wrong_wish_is_one_clear_line(
    words: list[str],
    parts: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run([*ONE, *words]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    for part in parts:
        assert part in told
    assert list(tmp_path.iterdir()) == []


def test_upright_slide_and_pdf_are_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    upright = tmp_path / "upright.png"
    words = ["view", "demo:tabletop-150", "--target", "jupiter", "--power", "75", "--for", "slide"]
    assert run([*words, "--size", "720x1080", "--out", str(upright), "--footer", "My club"]) == 0
    with Image.open(upright) as image:
        assert image.size == (720, 1080)
    page = tmp_path / "page.pdf"
    assert run([*words, "--size", "960x540", "--out", str(page), "--ground", "white"]) == 0
    assert page.read_bytes().startswith(b"%PDF-")
    again = tmp_path / "again.png"
    assert run(["redo", str(upright), "--out", str(again)]) == 0
    with Image.open(upright) as first, Image.open(again) as second:
        assert first.tobytes() == second.tobytes()


def test_sheet_for_study_takes_title_foot_ground_and_is_made_again(tmp_path: Path) -> None:
    words = ["view", "demo:tabletop-150", "--target", "jupiter", "--power", "75", *SMALL]
    own = ["--title", "Our evening", "--footer", "Library", "--ground", "white"]
    first, again, plain = (tmp_path / name for name in ("first.png", "again.png", "plain.png"))
    assert run([*words, *own, "--out", str(first)]) == 0
    assert run(["redo", str(first), "--out", str(again)]) == 0
    assert run([*words, "--out", str(plain)]) == 0
    with Image.open(first) as one, Image.open(again) as two, Image.open(plain) as three:
        assert one.tobytes() == two.tobytes()
        assert one.getpixel((0, 0)) == (255, 255, 255)
        assert three.getpixel((0, 0)) != (255, 255, 255)


def test_paper_makes_a_page_of_its_size_with_words_as_words(tmp_path: Path) -> None:
    """ISO 216: A4 is 297 x 210 mm; PDF 32000-1, 9.4.3: the operators that show text."""
    page = tmp_path / "a4.pdf"
    words = ["detail", "demo:toy-refractor-50", "--target", "jupiter", "--size", "a4"]
    assert run([*words, "--title", "How much power?", "--out", str(page)]) == 0
    data = page.read_bytes()
    # The first box is the document's, the second that of its page.
    sides = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", data)[1]
    assert [float(side) / 72.0 * 25.4 for side in sides] == pytest.approx([297.0, 210.0], abs=0.1)
    shown = lines = 0
    for chunk in re.findall(rb"stream\n(.*?)\nendstream", data, re.DOTALL):
        with contextlib.suppress(zlib.error):
            operators = zlib.decompress(chunk)
            shown += operators.count(b" Tj") + operators.count(b"] TJ")
            lines += len(re.findall(rb"[\d.]+ [\d.]+ l\b", operators))
    assert shown > 30
    # 8.5.2: its curves are lines to points. It shows no eye's view, and holds no picture (8.9.5).
    assert lines > 100
    assert data.count(b"/Subtype /Image") == 0


@pytest.mark.parametrize(
    "words",
    [
        ["startest", "--atlas", "--title", "x"],
        ["film", "demo:tabletop-150", "--ground", "white"],
    ],
)
def test_what_nothing_follows_is_refused(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*words, "--out", str(tmp_path / "x.png")]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert words[-2] in told
    assert list(tmp_path.iterdir()) == []


def test_logo_is_opened_as_one_of_the_named_formats_only(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from PIL import Image

    Image.new("RGB", (8, 8)).save(tmp_path / "logo.png", "PPM")
    Image.new("1", (4000, 4000)).save(tmp_path / "wide.png")
    wish = ["--for", "slide", "--out", str(tmp_path / "never.png"), "--logo"]
    assert run([*ONE, *wish, str(tmp_path / "logo.png")]) == 2
    assert "PNG, JPEG, TIFF or WebP" in capsys.readouterr().err
    assert run([*ONE, *wish, str(tmp_path / "wide.png")]) == 2
    assert "10 million pixels" in capsys.readouterr().err
    assert not (tmp_path / "never.png").exists()
