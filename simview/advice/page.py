"""The answer as one HTML page: pictures inside, readable on a telephone, two A4 pages."""

from __future__ import annotations

import base64
import math
from datetime import timedelta
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from simview.advice.answer import Answer
from simview.advice.pictures import PLANET_DEG, paper_mm
from simview.advice.speech import day, reach

if TYPE_CHECKING:
    from jinja2 import Environment

_TEMPLATES: Final = Path(__file__).parent / "templates"

# Foreground and background pairs of the page; the template knows no other colours. Each pair has
# a contrast of 4.5 or more (WCAG 2.1, success criterion 1.4.3).
PALETTE: Final = {
    "ink": ("#1c2530", "#ffffff"),
    "soft": ("#4a5563", "#ffffff"),
    "accent": ("#0f4c5c", "#ffffff"),
    "head": ("#1c2530", "#e8eff1"),
    "leave_it": ("#7a1414", "#fbe9e7"),
    "with_care": ("#5c4300", "#fff3d1"),
    "sound": ("#1a4d2e", "#e4f3e8"),
    "sun": ("#3b2200", "#ffdf9e"),
    "night": ("#e8ecf2", "#0a0c11"),
}
# Lines that carry no words.
RULE_COLOUR: Final = "#b9c4cb"

# How much a page holds, in words, from which on the print is set smaller, so that two pages hold
# it: (words, type size in points), found by printing answers of all kinds in a browser.
PRINT_SIZES: Final = (
    (0, 8.6),
    (1000, 8.2),
    (1200, 7.8),
    (1300, 7.4),
    (1450, 7.0),
    (1600, 6.8),
    (1950, 6.4),
    (2300, 6.0),
)

# What the pictures take of the room, in words, for up to two in a row and for more.
PICTURES_AS_WORDS: Final = (300, 600)


def viewing_distance_cm(width_mm: float) -> float:
    """Return from how far a planet's picture looks as large as in the eyepiece, cm."""
    return width_mm / (2.0 * math.tan(math.radians(PLANET_DEG / 2.0))) / 10.0


def html(answer: Answer) -> str:
    """Return the whole page; everything that came from the offer is escaped."""
    environment = _environment().overlay()
    environment.filters = {**environment.filters, "said": answer.tongue.say}
    template = environment.get_template("answer.html.j2")
    width = paper_mm(len(answer.pictures[0].pictures) if answer.pictures else 1)
    return template.render(
        a=answer,
        objects_note=objects_note(answer),
        w=answer.words,
        palette=PALETTE,
        rule=RULE_COLOUR,
        paper_mm=width,
        pictures_note=pictures_note(answer, width),
        print_pt=_print_size(answer),
    )


def pictures_note(answer: Answer, width_mm: float) -> str:
    """Return how the pictures were made, from how far to look, and which optics they show."""
    words = answer.words["pictures_note"].replace("{distance} cm", "{distance}")
    far = answer.tongue.say(reach(viewing_distance_cm(width_mm)))
    return f"{words.format(distance=far)} {answer.optics}".rstrip()


def objects_note(answer: Answer) -> str:
    """Return for when and where the first list holds; empty without one."""
    if answer.rescue is None:
        return ""
    when = answer.rescue.evening
    # An hour past midnight still belongs to the evening before.
    evening = (when.moment.astimezone(when.zone) - timedelta(hours=12)).date()
    key = "objects_note_day" if when.one_day else "objects_note"
    note = answer.words[key].format(
        date=answer.tongue.say(day(evening)),
        zone=when.zone_name.removeprefix("Etc/"),
        latitude=answer.tongue.say(when.latitude),
    )
    return f"{note} {answer.tongue.say(answer.rescue.moon)}".rstrip()


def _print_size(answer: Answer) -> float:
    count = word_count(answer)
    if answer.pictures:
        count += PICTURES_AS_WORDS[len(answer.pictures[0].pictures) > 2]
    return next(size for least, size in reversed(PRINT_SIZES) if count >= least)


def word_count(answer: Answer) -> int:
    """Return about how many words the page holds before its sources."""
    texts = [*answer.sun, *answer.missing, *answer.unread, *answer.remarks, *answer.instead_notes]
    texts += [f"{one.title} {one.says}" for one in answer.weighty + answer.notes]
    texts += [f"{one.pieces} {one.power} {one.field}" for one in answer.powers]
    texts += [f"{one.name} {one.value} {one.words}" for one in answer.understood]
    texts += [f"{one.name} {one.note} {one.price}" for one in answer.instead]
    rescue = answer.rescue
    if rescue is not None:
        texts += [f"{one.name} {one.why}" for one in rescue.pieces]
        texts += [*rescue.replace, *rescue.steady, *rescue.finder, *rescue.star_test]
        texts += [f"{one.sight.title} {one.piece} {one.view}" for one in rescue.objects]
    return sum(len(text.split()) for text in texts)


@lru_cache(maxsize=1)
def _environment() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    made = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["data_uri"] = _data_uri
    made.filters["said"] = str
    return made


def _data_uri(png: bytes) -> str:
    return f"data:image/png;base64,{base64.b64encode(png).decode('ascii')}"
