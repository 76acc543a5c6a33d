"""Sentences that can be said in several languages, figures as people speak them."""

from __future__ import annotations

import copy
import pickle
from datetime import time

import pytest

from simview.advice.speech import (
    Tongue,
    clock,
    joined,
    length,
    listed,
    money,
    reach,
    round_power,
    say,
    shown,
    tongue_of,
)
from simview.errors import SimviewError

US = Tongue(language="en", territory="US")


def test_said_text_is_english_wherever_a_text_is_wanted() -> None:
    told = say("It has {aperture}.", aperture=length(60.0))
    assert told == "It has 60 mm (2.4 in)."
    assert copy.deepcopy(told) == told
    assert pickle.loads(pickle.dumps(told)).into(US) == "It has 2.4 in (60 mm)."


def test_inches_come_first_where_people_name_telescopes_by_them() -> None:
    assert US.say(length(203.2)) == "8 in (203 mm)"  # nobody says the tenths
    assert Tongue().say(length(50.0)) == "50 mm (2 in)"
    # As people name them: 150 / 25.4 = 5.91, 114 / 25.4 = 4.49, 130 / 25.4 = 5.12; 27.6.
    spoken = {150.0: "6 in", 114.0: "4.5 in", 130.0: "5.1 in", 700.0: "28 in"}
    assert {mm: US.say(length(mm)).split(" (")[0] for mm in spoken} == spoken
    assert (Tongue().say(reach(38.0)), US.say(reach(38.0))) == ("38 cm", "15 in")


def test_clock_and_paper_follow_the_land() -> None:
    assert US.say(clock(time(21, 5))) == "9:05 pm"
    assert Tongue(language="en", territory="GB").say(clock(time(21, 5))) == "21:05"
    assert (US.paper, Tongue().paper) == ("Letter", "A4")


def test_money_is_written_as_the_land_writes_it() -> None:
    assert money(150.0, "EUR") == "€150"
    assert money(59.9, "EUR") == "€59.90"
    assert money(35.0, "") == "35"


@pytest.mark.parametrize(
    ("exact", "spoken"), [(36.4, 36), (113.6, 115), (487.5, 490), (525.0, 525)]
)
def test_powers_are_rounded_as_people_speak(exact: float, spoken: float) -> None:
    assert round_power(exact) == spoken


def test_lists_end_with_their_word() -> None:
    assert listed(("a", "b", "c"), "or") == "a, b or c"
    assert joined(("a", "b"), "; ") == "a; b"


def test_marks_that_turn_the_writing_are_shown_and_not_obeyed() -> None:
    assert shown("abc\u202edef") == "abc‹U+202E›def"
    assert shown("תלסקופ") == "\u2067תלסקופ\u2069"  # isolated, itself unchanged


def test_unknown_language_is_told() -> None:
    with pytest.raises(SimviewError, match="--lang"):
        tongue_of("xx")
