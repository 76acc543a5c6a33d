"""What a sheet says is settled before it is drawn: tables, slides and JSON need no sheet."""

from __future__ import annotations

import ast
import dataclasses
from pathlib import Path

import pytest

import simview
from simview.eyepiece.lensfile import lens
from simview.picture.collimation.collimation_asked import collimation
from simview.picture.collimation.collimation_contents import judge_collimation
from simview.picture.collimation.collimation_sheet import draw_collimation
from simview.picture.drawing.canvas import Canvas
from simview.picture.eyepieces.eyepiece_contents import judge_eyepiece
from simview.picture.eyepieces.eyepiece_sheet import draw_eyepiece
from simview.picture.startest.patterns import StarTest
from simview.picture.startest.star_contents import judge_startest
from simview.picture.startest.star_sheet import draw_startest
from simview.picture.views.contact_contents import Item, judge_contacts
from simview.picture.views.contact_sheet import draw_contacts
from simview.telescope.faults import parse

PICTURE = Path(simview.__file__).parent / "picture"
SIZE = (960, 540)
KIT = simview.Kit(
    telescope=simview.Telescope(aperture_mm=114.0, focal_length_mm=500.0, obstruction=0.33),
    eyepieces=[simview.Eyepiece(focal_length_mm=17.0), simview.Eyepiece(focal_length_mm=6.0)],
)

# Sheets whose drawing decides nothing: they know no light, no eye and no rule of power.
SHEETS = (
    "collimation/collimation_sheet.py",
    "startest/star_sheet.py",
    "eyepieces/eyepiece_sheet.py",
    "views/contact_sheet.py",
    "views/contact_layout.py",
)
# What a drawing may know of the rooms of the light: names of what it is handed.
HANDED = {
    "simview.telescope.flat_screws.FlatScrews",
    "simview.telescope.exposure.Engine",
    "simview.eyepiece.lens.Lens",
}
LIGHT = ("scene", "air", "telescope", "eyepiece", "eye", "power", "view")


@pytest.mark.parametrize("sheet", SHEETS)
def test_sheets_ask_no_room_of_the_light(sheet):
    tree = ast.parse((PICTURE / sheet).read_text(encoding="utf-8"))
    asked = {
        f"{node.module}.{alias.name}"
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module
        for alias in node.names
        if node.module.startswith(tuple(f"simview.{room}" for room in LIGHT))
    }
    assert asked <= HANDED


def star():
    return judge_startest(StarTest(kit=KIT, faults=(parse("coma=0.3@40"),)), SIZE)


def contacts():
    return judge_contacts(
        [
            Item(target=simview.target(name), name=name, season="any time", teaches="detail")
            for name in ("mars", "castor")
        ],
        KIT,
    )


JUDGED = {
    "targets": (contacts, draw_contacts),
    "eyepiece": (lambda: judge_eyepiece(KIT, lens("kellner", 17.0)), draw_eyepiece),
    "collimate": (lambda: judge_collimation(collimation(KIT)), draw_collimation),
}


def test_star_test_draws_what_was_settled(monkeypatch):
    settled = []
    own = Canvas.write

    def listening(self, place, words, *args, **options):
        settled.append(words)
        return own(self, place, words, *args, **options)

    monkeypatch.setattr(Canvas, "write", listening)
    contents = star()
    sheet = draw_startest(contents, size=SIZE)
    assert sheet.figures == contents.told().figures
    assert sheet.recipe == contents.told().recipe
    for words in (contents.inside, contents.beside_heading, *sum(contents.places, ())):
        assert words in settled


@pytest.mark.parametrize("command", [*JUDGED, "startest"])
def test_figures_and_recipe_need_no_canvas(command, monkeypatch):
    def refused(*_args, **_options):
        raise AssertionError("something was drawn")

    monkeypatch.setattr(Canvas, "__init__", refused)
    found = star().told() if command == "startest" else JUDGED[command][0]().told(SIZE)
    assert found.recipe["command"] == command
    assert found.recipe["size"] == list(SIZE)
    assert found.figures


@pytest.mark.parametrize("command", JUDGED)
def test_sheet_says_what_was_settled_and_nothing_of_its_own(command, monkeypatch):
    judge, draw = JUDGED[command]
    contents = judge()
    written = []
    own = Canvas.write

    def listening(self, place, words, *args, **options):
        written.append(words)
        return own(self, place, words, *args, **options)

    monkeypatch.setattr(Canvas, "write", listening)
    sheet = draw(contents, size=(1920, 1080))
    assert sheet.figures == contents.told().figures
    settled = " ".join(" ".join(words_in(contents)).split())
    # Lines are broken, and headings that are too long end in an ellipsis.
    unsettled = {words for words in written if words.rstrip("…").strip() not in settled}
    assert unsettled == set()


def words_in(record):
    """All texts in a record, however deep."""
    if isinstance(record, str):
        yield record
    elif isinstance(record, list | tuple):
        for each in record:
            yield from words_in(each)
    elif dataclasses.is_dataclass(record) and type(record).__module__.startswith(
        ("simview.picture.views", "simview.picture.eyepieces", "simview.picture.coll")
    ):
        for field in dataclasses.fields(record):
            yield from words_in(getattr(record, field.name))
    elif type(record).__name__ == "SheetText":
        yield from dataclasses.astuple(record)


@pytest.mark.parametrize("command", JUDGED)
def test_what_is_settled_cannot_be_changed(command):
    contents = JUDGED[command][0]()
    with pytest.raises(dataclasses.FrozenInstanceError):
        contents.words = None
