"""What a person knows better than the reading of an advert: an offer with values put right."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any, Final, get_args

from simview.advice.listing import (
    Layout,
    Listing,
    OfferedAmplifier,
    OfferedEyepiece,
    OfferedMount,
    Reading,
)
from simview.advice.reading.conflicts import contradictions, missing, still_unread
from simview.errors import ChoiceError, RangeError, require_range
from simview.kit import MountKind

# What may be put right, and the range of the numbers, that of kit files where they have one; lists
# of them go by the same range.
RANGES: Final = {
    "aperture_mm": (4.0, 2000.0),
    "focal_length_mm": (20.0, 20000.0),
    "eyepieces": (1.0, 100.0),
    "amplifiers": (0.3, 6.0),
    "claimed_powers": (1.0, 5000.0),
    "price": (0.0, 1e7),
}
CHOICES: Final[dict[str, tuple[str, ...]]] = {
    "layout": get_args(Layout),
    "mount": get_args(MountKind),
}


def corrected(listing: Listing, given: dict[str, Any]) -> Listing:
    """Return the offer with some values put right; what contradicts and what is missing follow.

    Parameters
    ----------
    given
        Some of RANGES and CHOICES: a number, a tuple of numbers for ``eyepieces`` (focal lengths,
        mm), ``amplifiers`` (factors) and ``claimed_powers``, a word for the others.

    Raises
    ------
    SimviewError
        For a value that cannot be.

    Notes
    -----
    Checked by: tests/unit/advice/test_corrections.py
    """
    facts = {key: _fact(key, value, listing) for key, value in given.items()}
    if not facts:
        return listing
    better = replace(listing, **facts)
    better = replace(better, unread=still_unread(better))
    kept = [one for one in listing.readings if one.key.split("[")[0] not in facts]
    kept += [Reading(key=key, value=_shown(given[key]), words="put right by hand") for key in facts]
    return replace(
        better,
        contradictions=contradictions(better),
        missing=missing(better),
        readings=tuple(kept),
    )


def _fact(key: str, value: Any, listing: Listing) -> Any:
    if key in CHOICES:
        if value not in CHOICES[key]:
            allowed = ", ".join(CHOICES[key])
            raise ChoiceError(key, got=value, allowed=f"one of {allowed}")
        return OfferedMount(kind=value) if key == "mount" else value
    if key not in RANGES or key not in {each.name for each in fields(Listing)}:
        allowed = ", ".join([*RANGES, *CHOICES])
        raise ChoiceError("a correction", got=key, allowed=f"one of {allowed}")
    low, high = RANGES[key]
    several = key in ("eyepieces", "amplifiers", "claimed_powers")
    numbers = tuple(value) if several else (value,)
    if several and not 0 < len(numbers) <= 12:
        raise RangeError(key, got=len(numbers), allowed="1 to 12 numbers")
    numbers = tuple(require_range(key, float(one), low, high) for one in numbers)
    if key == "eyepieces":
        return tuple(_eyepiece(one, listing) for one in sorted(numbers, reverse=True))
    if key == "amplifiers":
        return tuple(OfferedAmplifier(kind="barlow", factor=one) for one in numbers)
    return numbers if several else numbers[0]


def _eyepiece(focal_length_mm: float, listing: Listing) -> OfferedEyepiece:
    """Return the offer's own eyepiece of that focal length, or a plain one."""
    for piece in listing.eyepieces:
        if piece.focal_length_mm == focal_length_mm:
            return piece
    return OfferedEyepiece(focal_length_mm=focal_length_mm)


def _shown(value: Any) -> float | str:
    if isinstance(value, tuple | list):
        return ", ".join(f"{one:g}" for one in value)
    return value if isinstance(value, str) else float(value)
