"""One entry in the table is a whole kind of file: followed as the guide for contributors says."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
import pickle
import re
from pathlib import Path

import pytest

import simview
from simview.cli.app import run
from simview.picture import outputs
from simview.picture.save import plain, read_figures
from simview.picture.slides import view_slide
from simview.picture.slides.records import Wish
from simview.picture.views import compose, judged
from simview.scene.targets import target

ROOT = Path(__file__).parents[3]
KIT = simview.Kit(
    name="a small refractor",
    telescope=simview.Telescope(aperture_mm=50.0, focal_length_mm=360.0, objective="achromat"),
    eyepieces=(simview.Eyepiece(focal_length_mm=12.0),),
)
SIZE = (960, 540)


def entry_in_the_guide() -> str:
    """The code that the guide tells a contributor to write."""
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.search(r"```python\n(.*?)```", guide.partition("## Add an output")[2], re.DOTALL)
    assert found
    return found[1]


def test_entry_of_the_guide_is_written_by_command_and_door(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for ending, output in eval("{" + entry_in_the_guide() + "}", vars(outputs)).items():
        monkeypatch.setitem(outputs.OUTPUTS, ending, output)
    place = tmp_path / "ladder.md"
    words = "ladder demo:toy-refractor-50 --target castor --powers 30,450"
    assert run([*words.split(), "--out", str(place), "--quiet"]) == 0
    head, rule, low, high = place.read_text(encoding="utf-8").splitlines()
    assert head.startswith("| power | exit_pupil_mm |")
    assert set(rule) <= set("| -")
    # The exit pupil is the free aperture over the power, by definition.
    assert float(low.split("|")[1]) == 30.0
    free = 30.0 * float(low.split("|")[2])
    assert float(high.split("|")[2]) == pytest.approx(free / 450.0)
    shown = simview.detail(KIT, "jupiter", [40, 90], size=SIZE)
    assert simview.save_sheet(shown, tmp_path / "curve.md").read_bytes().startswith(b"| powers |")
    capsys.readouterr()


def test_page_on_pictures_names_every_kind_of_file() -> None:
    page = (ROOT / "docs/pictures.md").read_text(encoding="utf-8")
    for ending in outputs.OUTPUTS:
        assert f"`{ending}`" in page, ending


def test_table_says_what_json_and_the_picture_say(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = "ladder demo:toy-refractor-50 --target jupiter --powers 30,450 --size 960x540"
    words = asked.split()
    assert run([*words, "--out", str(tmp_path / "a.csv"), "--quiet"]) == 0
    assert run([*words, "--out", str(tmp_path / "a.png"), "--quiet"]) == 0
    capsys.readouterr()
    assert run([*words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert read_figures(tmp_path / "a.png") == told
    rows = list(csv.DictReader(io.StringIO((tmp_path / "a.csv").read_text("utf-8-sig"))))
    assert [float(row["power"]) for row in rows] == [step["power"] for step in told["steps"]]
    assert [row["empty"] for row in rows] == ["no", "yes"]
    assert float(rows[0]["empty_above"]) == told["empty_above"]


def test_no_picture_is_drawn_where_figures_alone_are_wanted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refuse(*_args: object, **_kwargs: object) -> None:
        raise AssertionError("a picture is printed")

    monkeypatch.setattr("simview.picture.views.compose.develop_all", refuse)
    monkeypatch.setattr("simview.picture.views.comparing.develop_all", refuse)
    kit = "demo:toy-refractor-50"
    for words in (
        f"view {kit} --target saturn --power 90",
        f"ladder {kit} --target saturn --powers 30,90",
        f"compare {kit} --target saturn --powers 30,90",
    ):
        assert run([*words.split(), "--json"]) == 0
        assert run([*words.split(), "--quiet", "--out", str(tmp_path / f"{words[:4]}.csv")]) == 0
    assert len(list(tmp_path.glob("*.csv"))) == 3
    capsys.readouterr()


def test_sheet_and_slide_show_the_same_records() -> None:
    contents = judged.judge_ladder(KIT, target("jupiter"), powers=(30.0, 450.0))
    sheet = compose.ladder_sheet(contents, size=SIZE)
    slide = view_slide.slide_of_ladder(contents, wish=Wish(), size=SIZE)
    assert sheet.figures == slide.figures == contents.told(SIZE).figures
    assert sheet.recipe == {k: v for k, v in slide.recipe.items() if k != "slide"}
    assert [panel.empty for panel in contents.panels] == [False, True]
    assert [panel.empty for panel in slide.page.shapes if hasattr(panel, "empty")] == []
    assert "empty magnification" in slide.tells
    json.dumps(plain(contents.told().figures), allow_nan=False)


def test_records_are_plain_and_frozen() -> None:
    contents = judged.judge_view(KIT, target("saturn"), power=90.0)
    again = pickle.loads(pickle.dumps(contents.told()))
    assert again == contents.told()
    with pytest.raises(dataclasses.FrozenInstanceError):
        contents.panels[0].label = "another"  # type: ignore[misc]


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("a.jpg", "must end in .png or .csv or .pdf"),
        ("a", "must end in .png or .csv or .pdf"),
    ],
)
def test_other_endings_are_refused_before_the_work(tmp_path, name, says, capsys) -> None:
    words = ["view", "demo:toy-refractor-50", "--target", "saturn", "--power", "90"]
    assert run([*words, "--out", str(tmp_path / name)]) == 2
    assert says in capsys.readouterr().err


def test_door_refuses_what_is_no_sheet_and_what_is_there(tmp_path: Path) -> None:
    with pytest.raises(simview.SimviewError, match="sheet"):
        simview.save_sheet("ladder", tmp_path / "a.png")  # type: ignore[arg-type]
    shown = simview.detail(KIT, "jupiter", [40, 90], size=SIZE)
    with pytest.raises(simview.SimviewError, match=r"ends in \.png or \.csv"):
        simview.save_sheet(shown, tmp_path / "a.gif")
    simview.save_sheet(shown, tmp_path / "a.csv")
    with pytest.raises(simview.SimviewError, match="there already"):
        simview.save_sheet(shown, tmp_path / "a.csv")


def test_names_from_kit_files_are_no_formulas() -> None:
    told = outputs.Output(says="", content=bytes)
    assert told.drawn
    kit = dataclasses.replace(KIT, name='=HYPERLINK("x")')
    shown = simview.compare([kit], "castor", [30], size=SIZE)
    text = outputs.OUTPUTS[".csv"].content(shown).decode("utf-8-sig")
    (row,) = csv.DictReader(io.StringIO(text))
    assert row["kit"].startswith("'=")


def test_figures_within_a_figure_have_columns_of_their_own() -> None:
    rows = outputs.table_of(
        {"steps": [{"power": 30.0, "splits": {"verdict": "split"}}, {"power": 60.0}], "marks": "m"}
    )
    assert rows[0] == {"power": 30.0, "splits.verdict": "split", "marks": "m"}
    assert rows[1] == {"power": 60.0, "marks": "m"}
    assert outputs.table_of({"a": 1.0, "b": [1, 2], "c": [3, 4]}) == [
        {"b": 1, "c": 3, "a": 1.0},
        {"b": 2, "c": 4, "a": 1.0},
    ]
    assert outputs.table_of({"a": 1.0}) == [{"a": 1.0}]
