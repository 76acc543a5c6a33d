"""The words of sheets and slides: complete in four languages, and spoken wherever one writes."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from string import Formatter
from typing import get_args

import pytest
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po
from PIL import Image

import simview
import simview.picture
from simview.cli.app import run
from simview.cli.kits import read as read_kit
from simview.cli.report import taking
from simview.kit import Observer, Sky
from simview.kitword import find_kit
from simview.picture.drawing import dress, text, tongue
from simview.picture.drawing.shapes import page_of
from simview.picture.fault_words import fault_words
from simview.picture.slides import detail_slide, says, star_slide
from simview.picture.slides.records import SlideSheet, Words
from simview.picture.startest.patterns import StarTest
from simview.power import words as power_words
from simview.power.records import Marks, State
from simview.power.words import wordings
from simview.scene.target_list import listed
from simview.scene.targets import target
from simview.telescope.fault_kinds import KINDS
from simview.telescope.faults import Fault, parse

HOME = Path(simview.picture.__file__).parent
FOREIGN = [language for language in tongue.LANGUAGES if language != "en"]
TOY = "demo:toy-refractor-50"
TABLE = "demo:tabletop-150"
SMALL = ["--for", "slide", "--size", "960x540"]


@lru_cache(maxsize=1)
def texts() -> frozenset[str]:
    """Every text that a slide may say, by Babel's own extractor."""
    found = extract_from_dir(
        HOME, method_map=[("**.py", "python")], keywords={"say": None, "N_": None}
    )
    ours = {key for _, _, key, _, _ in found if isinstance(key, str)}
    return frozenset(ours | set(judged()) | set(of_faults()))


def judged() -> list[str]:
    """What the judging room says of powers; it knows no language."""
    kinds = {record.kind for record in listed(None)} | {"photo"}
    states = get_args(State)
    told = [words for kind in kinds for state in states for words in wordings(kind, state)]
    one = [power_words._AT_ONE_POWER, power_words._AT_ONE_POWER_OF]
    several = [power_words._SEVERAL, power_words._UNSPLIT, power_words._UNSPLIT_OF]
    one += [power_words._FAR_FAINTER, power_words._WIDE]
    return told + [words for table in one + several for each in table.values() for words in each]


def of_faults() -> list[str]:
    """What the star test's table says of each fault; `short` is for the poster, in English."""
    table = tomllib.loads((HOME / "data/star_faults.toml").read_text(encoding="utf-8"))
    rows = [*table.values(), *(dict(kind.words) for kind in KINDS.values())]
    return [words for row in rows for name, words in row.items() if name != "short"]


def places(words: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(words) if name is not None}


def test_the_answers_four_languages_are_there() -> None:
    assert set(tongue.LANGUAGES) == {"en", "de", "fr", "es"}
    assert len(texts()) > 150


@pytest.mark.parametrize("language", FOREIGN)
def test_catalogue_is_complete_and_holds_nothing_else(language: str) -> None:
    with (HOME / "tongues" / f"{language}.po").open("rb") as file:
        catalogue = read_po(file, locale=language)
    entries = {entry.id: entry for entry in catalogue if entry.id}
    assert texts() - set(entries) == set()
    assert set(entries) - texts() == set()
    for key, entry in entries.items():
        assert entry.string, key
        assert not entry.fuzzy, key
        assert places(str(entry.string)) == places(str(key)), key
        # Everything that it says can be drawn.
        assert text.printable(str(entry.string)) == " ".join(str(entry.string).split()), key


def test_every_target_has_a_name_in_each_language_or_the_same_in_all() -> None:
    """What is left over are designations and proper names of stars."""
    own = re.compile(r"(M|NGC|IC) \d+|\d+ \w+|[A-Z][a-z]+[¹²]? ?[A-Z].*|k Puppis|Omega Centauri")
    stars = {record.name for record in listed(None) if record.kind == "double"}
    for record in listed(None):
        head = record.title.partition(",")[0].partition(" (")[0]
        named = head in texts() or head.endswith(" on the Moon")
        assert named or record.name in stars or own.fullmatch(head), head


@pytest.mark.parametrize("language", FOREIGN)
def test_conditions_are_said_in_the_language(language: str) -> None:
    moon, sky, eye = target("moon"), Sky(seeing_arcsec=1.5), Observer()
    asked = {"sky_mag": "20", "seeing": "1.5", "altitude": "50", "age": "40", "fault": "coma=0.6"}
    english = {key: says.conditions(key, moon, sky, eye, value) for key, value in asked.items()}
    with tongue.speaking(language):
        spoken = {key: says.conditions(key, moon, sky, eye, value) for key, value in asked.items()}
        assert says.name(moon) in {"Mond", "Lune", "Luna"}
    assert all(spoken[key] != english[key] for key in asked)
    # All three write a comma for the decimal point (CLDR, decimal symbol).
    assert "1,5″" in spoken["seeing"]
    assert "0,6" in spoken["fault"]


COMMANDS = [
    ["view", TABLE, "-t", "jupiter", "--power", "150"],
    ["ladder", TOY, "-t", "jupiter", "--powers", "45,150"],
    ["compare", TABLE, "-t", "orion-nebula", "--powers", "30", "--sky-mag", "18,21.5"],
    ["detail", TOY, "-t", "saturn"],
    ["startest", TABLE, "--fault", "coma=0.5"],
    ["eyepiece", "kellner", "--focal-length", "20", "--telescope", TABLE],
    ["collimate", TABLE],
    ["targets", "--named", "castor"],
]


@pytest.mark.parametrize("command", COMMANDS, ids=lambda words: words[0])
def test_no_english_is_left_on_a_slide(command: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Spoken in a language of signs, nothing with letters remains but names, units and figures."""
    monkeypatch.setattr(tongue, "LANGUAGES", (*tongue.LANGUAGES, "xx"))
    monkeypatch.setattr(tongue, "_catalogue", lambda _: Signs())
    with taking() as made:
        assert run([*command, *SMALL, "--lang", "xx", "--quiet"]) == 0
    sheet = made[0]
    assert isinstance(sheet, SlideSheet)
    kits = {read_kit(word).kit.name for word in (TOY, TABLE)}
    for shape in sheet.page.shapes:
        if isinstance(shape, Words):
            # Capitals of DejaVu Sans are 0.729 of its type size (OS/2 table, sCapHeight 1493/2048).
            assert 0.729 * shape.size / 540 >= 0.025, shape.text
            left = shape.text
            for name in kits:
                left = left.replace(name, "")
            left = re.sub(r"A-B|\bM \d+|\bmm\b|\bV\b|Kellner|[\d×″′°.,:%/+…–-]", "", left)
            assert not re.search("[A-Za-z]", left), shape.text


class Signs(dict[str, str]):
    """A catalogue that says everything in signs, its places kept."""

    def get(self, key: str, default: object = None) -> str:  # type: ignore[override]
        return "§".join(["", *(f"{{{name}}}" for name in sorted(places(key))), ""])


STUDIES = [
    ["view", TABLE, "-t", "jupiter", "--power", "150"],
    ["ladder", TOY, "-t", "castor", "--powers", "45,150"],
    ["compare", TABLE, "-t", "orion-nebula", "--powers", "30", "--as", "photo,eye"],
    ["detail", TOY, "-t", "saturn"],
    ["detail", TOY, "-t", "castor"],
    ["detail", TOY, "-t", "pleiades"],
    ["detail", TOY, "-t", "orion-nebula"],
    ["targets", "--named", "castor"],
    ["startest", TABLE, "--fault", "coma=0.5@30"],
    ["startest", TABLE, "--minutes", "20"],
]

# What is the same in all languages: where figures come from, units, commands' words for objects.
SOURCES = (
    r"Archinal et al\. 2018|Mallama & Hilton 2018|French et al\. 2017|Tycho-2|Høg et al\. 2000"
    r"|Allen 197[36]|STF 1110 AB|Docobo & Ling 1985|ORB6|Archinal & Hynes 2003"
)
SAME = (
    r"\bcastor\b|\bs\b|\bmin\b|\barcsec²|\bmag/|cd/m²|\bkm\b|\b[ABVH]\b|Barlow|prism"
    r"|\d+(\.\d+)?x\b|f/5|\bRMS\b|\bK\b|\bnm\b|plate"
)


@pytest.mark.parametrize("command", STUDIES, ids=lambda words: " ".join(words[:4]))
def test_no_english_is_left_on_a_sheet_for_study(
    command: list[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(tongue, "LANGUAGES", (*tongue.LANGUAGES, "xx"))
    monkeypatch.setattr(tongue, "_catalogue", lambda _: Signs())
    with taking() as made, dress.wearing(dress.Dress(vector=True)):
        assert (
            run([*command, "--size", "960x540", "--lang", "xx", "--out", f"{tmp_path}/x.png"]) == 0
        )
    page = page_of(made[0].image)
    assert page is not None
    # A kit's name may be broken over two lines.
    kits = {part for word in (TOY, TABLE) for part in read_kit(word).kit.name.split()}
    for words in page.words:
        left = words.text
        for name in kits:
            left = left.replace(name, "")
        left = re.sub(f"{SOURCES}|{SAME}", "", left)
        left = re.sub(r"A-B|\bM \d+|\bmm\b|[\d×″′°.,:%/+…–-]", "", left)
        assert not re.search("[A-Za-z]", left), words.text


@pytest.mark.parametrize(
    ("command", "language"),
    [(STUDIES[1], "de"), *((STUDIES[3], language) for language in FOREIGN)],
    ids=["ladder de", *(f"detail {language}" for language in FOREIGN)],
)
def test_nothing_is_left_out_for_want_of_room(command: list[str], language: str) -> None:
    with taking() as made, dress.wearing(dress.Dress(vector=True)):
        assert run([*command, "--size", "960x540", "--lang", language, "--quiet"]) == 0
    page = page_of(made[0].image)
    assert page is not None
    assert [words.text for words in page.words if text.ELLIPSIS in words.text] == []


def test_sheet_in_another_language_is_made_again_in_it(tmp_path: Path) -> None:
    first, again = tmp_path / "first.png", tmp_path / "again.png"
    words = ["detail", TOY, "-t", "mars", "--size", "960x540", "--lang", "de"]
    assert run([*words, "--out", str(first)]) == 0
    assert run(["redo", str(first), "--out", str(again)]) == 0
    assert Image.open(first).tobytes() == Image.open(again).tobytes()


def test_sheets_that_speak_english_alone_refuse_a_language(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(["collimate", TABLE, "--lang", "de", "--json"]) == 2
    told = capsys.readouterr().err
    assert "--lang" in told
    assert "--for slide" in told
    assert run(["view", TABLE, "-t", "jupiter", "--lang", "tlh"]) == 2
    assert "en, de, es, fr" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["off-centre-shadow=8@60", "seeing=2,seed=7"], "shadow off centre 8 %, seeing 2″"),
        (["miscollimation=2mm@30"], "miscollimation 2 mm"),
        (["turned-down-edge=0.5,width=0.1"], "0.5 waves of turned-down edge"),
        (["coma=0.5@30", "cooling=20"], "0.5 waves of coma, 20 minutes after it was carried out"),
    ],
)
def test_star_slide_says_each_fault_in_its_own_unit(typed: list[str], said: str) -> None:
    test = StarTest(kit=find_kit("150/750").kit, faults=tuple(map(parse, typed)))
    assert star_slide._title(test) == f"A star test: {said}"


def test_every_fault_has_a_name_and_each_of_its_units_words() -> None:
    for name, kind in KINDS.items():
        typed = "noll 11" if name == "noll" else name
        for unit, (_, high) in kind.units.items():
            said = fault_words(Fault(name=typed, amount=min(high, 0.5), unit=unit))
            assert said
            assert "_" not in said


def test_panels_before_and_after_cooling_are_named_by_minutes() -> None:
    assert says.fault("cooling=0") == "Just carried out"
    assert says.fault("cooling=40") == "After 40 min"
    with tongue.speaking("de"):
        assert says.fault("cooling=40") == "Nach 40 min"


def test_titles_call_no_power_the_end_before_a_hard_pair_is_split():
    hard = Marks(
        enough_from=230.4, pair=True, split_from=230.4, air_carries=230.4, empty_above=230.4
    )
    title = detail_slide.title_of("Izar", hard.figures())
    assert title == "231× is enough for Izar"
    kit = simview.find_kit("76/700").kit
    assert "231× is enough" in says.ladder_title(simview.target("izar"), kit, hard, 300.0)
    easy = replace(hard, enough_from=70.0, split_from=40.4, air_carries=120.0, empty_above=200.0)
    assert detail_slide.title_of("Izar", easy.figures()) == "Izar: 70× is enough, 200× the very end"
    assert "Beyond 200×" in says.ladder_title(simview.target("izar"), kit, easy, 300.0)
