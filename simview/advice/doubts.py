"""What an adviser confirms or corrects of an offer, and the TOML listing that keeps it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from simview.advice.corrections import RANGES
from simview.advice.listing import Listing, Reading
from simview.errors import RangeError, require_range

# A value below this sureness is asked about. A choice.
DOUBTFUL: Final = 0.8

# What is asked about: key, what it is called, its unit; its range is that of any correction.
_ASKED: Final = {
    "aperture_mm": ("aperture", "mm"),
    "focal_length_mm": ("focal length", "mm"),
    "eyepieces": ("eyepieces", "mm"),
    "price": ("price", ""),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """One value that an adviser should look at.

    Parameters
    ----------
    key
        As in a TOML listing: "aperture_mm".
    name, unit
        How it is called, and in what it is counted.
    values
        As understood; empty where the offer does not say it.
    words
        The words that gave it.
    other
        What else the words could mean.
    """

    key: str
    name: str
    unit: str
    values: tuple[float, ...]
    words: str
    other: tuple[str, ...]


def doubts(listing: Listing) -> tuple[Doubt, ...]:
    """Return the values to ask about: the unsure, the guessed, and the unsaid sizes."""
    hand_held = listing.binocular_power is not None
    kept = {
        "aperture_mm": listing.aperture_mm,
        "focal_length_mm": listing.focal_length_mm,
        "price": listing.price,
    }
    found = []
    for key, (name, unit) in _ASKED.items():
        values = (
            tuple(one.focal_length_mm for one in listing.eyepieces)
            if key == "eyepieces"
            else tuple(value for value in (kept[key],) if value is not None)
        )
        read = [one for one in listing.readings if one.key == key.removesuffix("s")]
        unsaid = not values and key != "price" and not hand_held
        if unsaid or any(_is_doubtful(one) for one in read):
            said = [one.words for one in read]
            said += [one.words for one in listing.unread if one.what == name]
            words = "; ".join(dict.fromkeys(said))
            other = tuple(dict.fromkeys(word for one in read for word in one.other))
            found.append(
                Doubt(key=key, name=name, unit=unit, values=values, words=words, other=other)
            )
    return tuple(found)


def _is_doubtful(one: Reading) -> bool:
    return one.guess or one.sure < DOUBTFUL or bool(one.other)


def answered(doubt: Doubt, text: str) -> tuple[float, ...]:
    """Return the values that an adviser typed: numbers with blanks between, or nothing for none.

    Raises
    ------
    RangeError
        For what is no number, or out of range.
    """
    (name, unit), (low, high) = _ASKED[doubt.key], RANGES[doubt.key]
    words = text.replace(",", ".").replace(";", " ").replace("mm", " ").split()
    try:
        values = tuple(float(word) for word in words)
    except ValueError:
        raise RangeError(
            name,
            got=text,
            allowed=f"{low:g} to {high:.10g} {unit}".strip(),
            remedy="or - for not said",
        ) from None
    for value in values:
        require_range(name, value, low, high, unit=unit)
    if len(values) > 1 and doubt.key != "eyepieces":
        raise RangeError(name, got=text, allowed="one number", remedy="leave one out")
    return values


def corrected_toml(listing: Listing, answers: Mapping[str, tuple[float, ...]]) -> str:
    """Return the TOML listing that holds the offer's own words and what was answered.

    Parameters
    ----------
    listing
        As read.
    answers
        Key -> values; without values the offer does not say it.
    """
    top, offer, pieces = [], [], []
    for key, values in answers.items():
        if key == "eyepieces":
            pieces += [f"[[eyepieces]]\nfocal_length_mm = {value}" for value in values]
        elif values and key == "price":
            top += [f"price = {values[0]}", f"currency = {_quoted(listing.currency)}"]
        elif values:
            offer.append(f"{key} = {values[0]}")
    unsaid = [key for key, values in answers.items() if not values]
    if unsaid:
        offer.append(f"unsaid = [{', '.join(_quoted(key) for key in unsaid)}]")
    head = ["# The offer's own words, and what was confirmed or corrected of their reading."]
    text = f"text = {_quoted(listing.text)}"
    return "\n".join([*head, *top, "", "[offer]", text, *offer, "", *pieces, ""])


def _quoted(text: str) -> str:
    """Return a TOML basic string: JSON's escapes are TOML's, but for the delete character."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
