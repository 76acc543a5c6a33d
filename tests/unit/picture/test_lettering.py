"""The lettering: every sign is there, lines fit, quantities read well."""

from __future__ import annotations

import ast
import itertools
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

import simview.picture
from simview.picture.drawing import text

ROOM = Path(simview.picture.__file__).parent
WEIGHTS = ("regular", "bold")
# What astronomers and kit owners write.
WANTED = (
    "′″‴×λ°µμ–—−→←↑↓≠≈≤≥±½¼⅓∅⌀…·√∞²³⁻¹₀Δ☉☽áéíóúñçßøåæœŁžščřůĐğı αβγδεζηθικλμνξοπρστυφχψωАбвгдежз"
)


def outline(font: ImageFont.FreeTypeFont, sign: str) -> bytes:
    return bytes(font.getmask(sign))


@pytest.mark.parametrize("weight", WEIGHTS)
def test_every_listed_sign_has_an_outline_of_its_own(weight):
    font = text.font(40, weight)
    # A private-use code point that no font of this family holds draws the box.
    box = outline(font, "\ue123")
    assert sum(box) > 0
    blank = {s for s in text.glyphs() if s.isspace() or not outline(font, s)}
    boxes = {s for s in text.glyphs() - blank if outline(font, s) == box}
    assert boxes == set()
    # Spaces of several widths and nothing else may be blank.
    assert all(s.isspace() for s in blank)


def test_signs_that_sheets_and_names_need_are_held():
    assert [s for s in WANTED if s not in text.glyphs()] == []


def texts_of(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


def test_every_text_in_the_room_can_be_printed():
    paths = sorted(ROOM.rglob("*.py"))
    assert len(paths) > 100
    missing = {
        f"{path.relative_to(ROOM)}: {sign!r}"
        for path in paths
        for words in texts_of(path)
        for sign in set(words) - text.glyphs() - {"\n"}
    }
    assert missing == set()


@pytest.mark.parametrize(
    ("given", "printed"),
    [
        ("Žluťoučký", "Žluťoučký"),
        ("e\u0301", "é"),  # composed
        ("ễ", "e"),  # marks that the fonts lack go, the letter stays
        ("ﬁne", "fine"),
        ("日本", "??"),
        ("a\u200bb", "ab"),
        ("two\nlines\tand  gaps", "two lines and gaps"),
        ("", ""),
    ],
)
def test_a_sign_that_is_missing_is_replaced(given, printed):
    assert text.printable(given) == printed


@pytest.mark.parametrize("room", [40, 120, 400, 5000])
def test_wrapped_lines_fit_and_lose_nothing(room):
    words = "Air: seeing 2.0″ at the zenith, Donaudampfschifffahrtsgesellschaft, 45° high. " * 3
    lines = text.wrap(words, room, 22)
    assert all(text.width_px(line, 22) <= room for line in lines)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")


def test_lines_break_at_spaces_where_words_fit():
    lines = text.wrap("one two three four five", 150, 22)
    assert " ".join(lines) == "one two three four five"
    # No line could have taken the next word too.
    for line, after in itertools.pairwise(lines):
        assert text.width_px(f"{line} {after.split()[0]}", 22) > 150


# Letters stand nearer to some than to others: "AV", "To", "11".
@pytest.mark.parametrize("weight", ["regular", "bold"])
@pytest.mark.parametrize("size", [4, 18, 23, 84])
@given(line=st.text(st.sampled_from(sorted(text.glyphs())), max_size=30))
def test_a_line_is_as_long_as_the_font_says(line: str, size: int, weight: text.Weight) -> None:
    for words in (line, "AVATAR To 11 VA: “Yo” – fly, Tal", ""):
        whole = text.font(size, weight).getlength(text.printable(words))
        assert text.width_px(words, size, weight) == whole


def test_a_long_line_is_cut_with_an_ellipsis_and_fits():
    cut = text.cut("a line that is much too long for its room", 150, 22)
    assert cut.endswith("…")
    assert text.width_px(cut, 22) <= 150
    assert text.cut("short", 150, 22) == "short"


def test_a_paragraph_takes_the_largest_type_that_fits():
    words = "Some words that fill a caption. " * 12
    size, lines = text.block(words, 900, 90, largest_px=22, smallest_px=12)
    assert 12 <= size < 22
    assert len(lines) * text.line_px(size) <= 90
    # One size larger would not have fitted.
    assert len(text.wrap(words, 900, size + 1)) * text.line_px(size + 1) > 90


def test_a_paragraph_that_cannot_fit_says_so_with_an_ellipsis():
    size, lines = text.block("word " * 900, 900, 90, largest_px=22, smallest_px=12)
    assert size == 12
    assert lines[-1].endswith("…")
    assert len(lines) * text.line_px(size) <= 90
    assert all(text.width_px(line, size) <= 900 for line in lines)


def test_a_paragraph_that_cannot_fit_leaves_out_whole_sentences_from_its_end():
    words = " ".join(f"Sentence number {index} says some few things." for index in range(40))
    _, lines = text.block(words, 900, 90, largest_px=22, smallest_px=12)
    assert " ".join(lines).endswith("few things. …")
    assert len(lines) * text.line_px(12) <= 90


def test_a_line_that_is_cut_ends_with_a_whole_word():
    assert text.cut("a line that is much too long for its room", 250, 22) in {
        "a line that is much…",
        "a line that is much too…",
        "a line that is much too long…",
    }


@pytest.mark.parametrize(
    ("arcsec", "words"),
    [
        (0.456, "0.46″"),
        (2.0, "2.0″"),
        (47.0, "47″"),
        (99.6, "100″"),
        (100.0, "1.7′"),
        (720.0, "12′"),
        (5400.0, "90′"),
        (6000.0, "1.7°"),
        (36000.0, "10°"),
        (float("nan"), "–"),
    ],
)
def test_an_angle_reads_in_its_best_unit(arcsec, words):
    assert text.angle(arcsec) == words


@pytest.mark.parametrize(
    ("value", "words"),
    [(0.0, "0"), (9.96, "10"), (0.0996, "0.10"), (12345.0, "12345"), (-0.456, "−0.46")],
)
def test_a_figure_keeps_two_places_that_count(value, words):
    assert text.figure(value) == words


@pytest.mark.parametrize(("power", "words"), [(450.0, "450×"), (7.5, "7.5×"), (33.33, "33×")])
def test_a_power_is_written_with_a_times_sign(power, words):
    assert text.times(power) == words


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (1.0, "1"),
        (0.97, "1"),
        (0.5, "1/2.0"),
        (1 / 12.3, "1/12"),
        (1 / 225, "1/225"),
        (2.1, "2.1"),
        (0.0, "–"),
        (float("nan"), "–"),
    ],
)
def test_brightness_is_a_share_of_the_first_panel(ratio, words):
    assert text.share(ratio) == words


def test_fonts_carry_their_notice():
    notice = (ROOM / "data" / "NOTICE-DejaVu.txt").read_text(encoding="utf-8")
    assert "Bitstream Vera" in notice
    assert "The above copyright and trademark notices and this permission notice" in notice
    names = {path.name for path in (ROOM / "data").glob("*.ttf")}
    assert names == {"DejaVuSans-subset.ttf", "DejaVuSans-Bold-subset.ttf"}
    assert all(name in notice for name in names)
