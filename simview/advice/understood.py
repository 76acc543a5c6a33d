"""What was understood of an offer, in the answer's language; and the offer's text, marked."""

from __future__ import annotations

import html
import re
from collections import Counter
from dataclasses import dataclass
from typing import Final

from simview.advice.listing import Listing, Reading
from simview.advice.marked import LONGEST, passages
from simview.advice.speech import N_, Said, Tongue, length, money, shown

# How the keys of readings are called on paper.
_NAMES: Final = {
    "aperture_mm": N_("Aperture"),
    "focal_length_mm": N_("Focal length"),
    "focal_ratio": N_("f-ratio"),
    "tube_length_mm": N_("Length of the tube"),
    "eyepiece": N_("Eyepiece"),
    "eyepieces": N_("Eyepieces"),
    "amplifier": N_("Between telescope and eyepiece"),
    "amplifiers": N_("Between telescope and eyepiece"),
    "barrel": N_("Barrel"),
    "claimed_power": N_("Promised power"),
    "claimed_powers": N_("Promised powers"),
    "power_range": N_("Promised powers"),
    "stated_useful_power": N_("Useful power, as stated"),
    "binocular_power": N_("Power"),
    "true_field_deg": N_("Field"),
    "layout": N_("Kind"),
    "objective": N_("Objective"),
    "mirror": N_("Mirror"),
    "mount": N_("Mount"),
    "slow_motion": N_("Slow motion"),
    "driven": N_("Drive"),
    "diagonal": N_("Diagonal"),
    "finder": N_("Finder"),
    "solar": N_("Sun"),
    "promise": N_("Promised view"),
    "phone_holder": N_("Telephone holder"),
    "photography": N_("Photographs"),
    "plastic_optics": N_("Plastic optics"),
    "corrector": N_("Corrector lens"),
    "price": N_("Price"),
    "currency": N_("Currency"),
    "stop_mm": N_("Ring inside"),
    "obstruction": N_("Secondary mirror"),
    "spherical_waves": N_("Spherical aberration"),
}
# Words of the reading that an answer says: what an offer does not say, and kinds of things.
READ_WORDS: Final = (
    N_("aperture"),
    N_("focal length"),
    N_("lens or mirror"),
    N_("eyepieces"),
    N_("design of the eyepieces"),
    N_("barrel size of the eyepieces"),
    N_("mount"),
    N_("finder"),
    N_("power"),
    N_("price"),
    N_("currency"),
    N_("achromat"),
    N_("apochromat"),
    N_("singlet"),
    N_("spherical"),
    N_("parabolic"),
    N_("equatorial"),
    N_("altazimuth"),
    N_("tripod"),
    N_("red dot"),
    N_("optical"),
    N_("small optical"),
    N_("none"),
)
# Kinds that a listing names by a code of its own, as people say them.
_KINDS: Final = {
    "newtonian": N_("Newtonian reflector"),
    "refractor": N_("lens telescope (refractor)"),
    "cassegrain": N_("folded telescope (Cassegrain)"),
    "rocker": N_("rocker base"),
    "star": N_("star diagonal"),
    "erecting": N_("upright"),
}
_MAKSUTOV: Final = N_("Maksutov (folded telescope)")
# How an offer is headed whose first line is a greeting.
_HEADS: Final = {
    "newtonian": N_("Newtonian"),
    "cassegrain": N_("Cassegrain"),
    "refractor": N_("refractor"),
    "telescope": N_("telescope"),
    "binocular": N_("binoculars"),
    "monocular": N_("spotting scope"),
}
# A question among so many first lines makes a text a conversation. A choice.
_FIRST_LINES: Final = 3
# Keys that are said in the plural where an offer names more than one.
_MANY: Final = {"eyepiece": "eyepieces", "claimed_power": "claimed_powers"}
# What the offer says of the Sun and promises of the view, as people say it.
_SAID: Final = {
    "eyepiece filter": N_("a filter for the eyepiece"),
    "eclipse glasses": N_("eclipse glasses at the telescope"),
    "filter": N_("a Sun filter, its place not said"),
    "look": N_("looking at the Sun"),
    "front filter": N_("a filter for the front"),
    "screen": N_("a screen for the Sun's image"),
    "use": N_("the Sun is spoken of"),
    "warning": N_("a warning, or that no filter comes with it"),
    "colour": N_("galaxies or nebulae in colour"),
    "flag": N_("the flag on the Moon"),
    "galaxies": N_("galaxies"),
    "photographs": N_("photographs of the stars"),
}
# The languages that offers are read in.
LANGUAGE_WORDS: Final = (
    N_("English"),
    N_("German"),
    N_("French"),
    N_("Dutch"),
    N_("Spanish"),
    N_("Italian"),
    N_("Polish"),
    N_("Czech"),
    N_("Portuguese"),
    N_("Swedish"),
)

# Quotes from the offer are cut to this many characters on paper; --explain gives them whole.
LONGEST_QUOTE: Final = 60

# What stands behind a number.
_TAILS: Final = {
    "claimed_power": "×",
    "stated_useful_power": "×",
    "binocular_power": "×",
    "true_field_deg": "°",
}
_LENGTHS: Final = ("aperture_mm", "focal_length_mm", "tube_length_mm", "stop_mm")

# A page's tags and scripts, which are no words of its own.
_MARKUP: Final = re.compile(
    r"<!--.*?(?:-->|$)|<(script|style|head)\b.*?(?:</\1\s{0,9}>|$)|</?[a-zA-Z!][^<>]*>?|^[^<>]*>",
    re.S | re.I,
)
_BREAKS: Final = re.compile(r"</?(?:p|br|li|tr|h\d|div|dd|td|th|ul|table)\b[^<>]*>", re.I)


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """One value with the words that gave it."""

    name: str
    value: str
    words: str
    guess: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """A stretch of the offer's own text.

    Parameters
    ----------
    text
        As pasted, marks that turn or hide letters shown by their numbers.
    told
        What was read from it; empty where nothing was.
    sure
        False where any of that is doubtful.
    language
        Where another language begins, its name; else empty.
    """

    text: str
    told: str = ""
    sure: bool = True
    language: str = ""


def heading(listing: Listing, tongue: Tongue) -> str:
    """Return what stands over an answer: the offer's name, of a conversation what is for sale.

    Checked by: tests/unit/advice/test_told_words.py
    """
    lines = [line for line in listing.text[:2000].splitlines() if line.strip()][:_FIRST_LINES]
    aperture, focal = listing.aperture_mm, listing.focal_length_mm
    if aperture is None or not _is_talk(listing.name, lines):
        return shown(listing.name)
    if listing.instrument != "telescope":
        power = listing.binocular_power
        size = f"{aperture:g} mm" if power is None else f"{power:g}×{aperture:g}"
        return f"{tongue.word(_HEADS[listing.instrument])} {size}"
    size = f"{aperture:.0f} mm" if focal is None else f"{aperture:.0f}/{focal:.0f}"
    return f"{tongue.word(_HEADS[listing.layout or 'telescope'])} {size}"


def _is_talk(name: str, lines: list[str]) -> bool:
    """Return whether an offer's name is a greeting: no figure in it, and a question soon."""
    if not name or not lines or name.split(maxsplit=1)[0].strip(".,:;!?") not in lines[0]:
        return False  # a name that somebody gave it
    figures = all(any(one.isdigit() for one in text) for text in (name, lines[0]))
    return not figures and any("?" in line for line in lines)


def understood(listing: Listing, tongue: Tongue) -> list[Understood]:
    """Return one line for each kind of value: several eyepieces stand together."""
    lines: dict[str, Understood] = {}
    told = {(one.key, one.value) for one in listing.readings}
    counts = Counter(key for key, _ in told)
    for one in listing.readings:
        if one.key == "currency":
            continue
        key = _MANY.get(one.key, one.key) if counts[one.key] > 1 else one.key
        name = tongue.word(_NAMES.get(key, key))
        value = _value(one, listing, tongue)
        known = lines.get(name)
        if known is not None and value in known.value.split(", "):
            continue
        words = shown(one.words)
        lines[name] = Understood(
            name=name,
            value=value if known is None else f"{known.value}, {value}",
            words=_short(words if known is None else f"{known.words}; {words}"),
            guess=one.guess or (known is not None and known.guess),
        )
    return list(lines.values())


def _short(words: str) -> str:
    return words if len(words) <= LONGEST_QUOTE else f"{words[: LONGEST_QUOTE - 1].rstrip()}…"


def _value(one: Reading, listing: Listing, tongue: Tongue) -> str:
    key, value, currency = one.key, one.value, listing.currency
    if isinstance(value, bool):
        return tongue.word("yes") if value else tongue.word("no")
    if key == "price":
        return tongue.say(money(float(f"{value}".split()[0]), currency))
    if key == "barrel" and isinstance(value, str):
        return f"{tongue.sums(value.removesuffix('in'))} {tongue.word('in')}"
    if isinstance(value, str):
        return _word(one, value, tongue)
    return _figure(key, value, listing, tongue)


def _figure(key: str, value: float, listing: Listing, tongue: Tongue) -> str:
    if key in _LENGTHS:
        return tongue.say(length(value))
    if key == "binocular_power" and (listing.claimed_power or 0.0) > value:
        return f"{value:g}–{listing.claimed_power:g}×"  # it zooms
    unit = "f/" if key == "focal_ratio" else ""
    return tongue.sums(f"{unit}{value:g}{_TAILS.get(key, '')}")


def _word(one: Reading, value: str, tongue: Tongue) -> str:
    key = one.key
    if key == "layout" and value == "cassegrain" and "mak" in one.words.lower():
        return tongue.word(_MAKSUTOV)
    if key == "power_range":
        return f"{value.replace(' to ', '–')}×"
    named = _SAID if key in ("solar", "promise") else _KINDS
    return tongue.say(value) if isinstance(value, Said) else tongue.word(named.get(value, value))


def marked(listing: Listing, tongue: Tongue) -> tuple[Marked, ...]:
    """Return the offer's own text in stretches, each with what was read from it.

    Checked by: tests/unit/advice/test_marked_text.py
    """
    found = []
    length_so_far = 0
    for one in passages(listing):
        text = _plain(one.text, source=bool(_MARKUP.search(listing.text)))
        if not text and not one.language:
            continue
        length_so_far += len(text)
        if length_so_far > LONGEST:
            found.append(Marked(text="…"))
            break
        told = ", ".join(dict.fromkeys(_told(read, listing, tongue) for read in one.readings))
        found.append(
            Marked(text=shown(text), told=told, sure=one.sure, language=tongue.word(one.language))
        )
    return tuple(found)


def _told(one: Reading, listing: Listing, tongue: Tongue) -> str:
    name = tongue.word(_NAMES.get(one.key, one.key))
    return f"{name}{tongue.colon} {_value(one, listing, tongue)}"


def _plain(text: str, *, source: bool) -> str:
    """Return a stretch as people read it: of a page's source its words, one block a line."""
    if source:
        text = html.unescape(_MARKUP.sub(" ", _BREAKS.sub("\n", text)))
        text = re.sub(r"[^\S\n]+", " ", text)
    # Each run of blanks is tried from its beginning alone: a page of blanks takes no minutes.
    return re.sub(r"(?<!\s)\s*\n\s*\n\s*", "\n\n", text)
