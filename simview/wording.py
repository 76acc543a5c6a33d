"""Remedies: guesses at what somebody meant who wrote a key or a value that cannot be used."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from simview.errors import nearest


def _units_of(key: str) -> Mapping[str, float]:
    """Return the units that people write for a key -> how many of the key's own unit each is."""
    from simview.units import MM_PER_INCH  # only when something is wrong: it brings numpy along

    inches = dict.fromkeys(("in", "inch", "inches", '"', "″"), MM_PER_INCH)
    angles = {"deg": 3600.0, "°": 3600.0, "arcmin": 60.0, "'": 60.0, "′": 60.0, "arcsec": 1.0}
    units: dict[str, dict[str, float]] = {
        "mm": {"mm": 1.0, "cm": 10.0, "m": 1000.0, **inches},
        "arcsec": {**angles, '"': 1.0, "″": 1.0},
        "deg": {unit: arcsec / angles["deg"] for unit, arcsec in angles.items()},
        "hz": {"hz": 1.0},
        "years": {"years": 1.0, "y": 1.0},
        "c": {"c": 1.0, "°c": 1.0},
    }
    return units.get(key.rpartition("_")[2], {"x": 1.0, "×": 1.0, "times": 1.0})


# Keys that people write for what is stated in another way -> the right key, what to write.
_SHARE = (
    "obstruction",
    "write obstruction = its diameter divided by aperture_mm, such as 0.3 for 30 %",
)
_MEANT = dict.fromkeys(
    (
        *("secondary", "secondary_mm", "secondary_diameter_mm", "secondary_mirror_mm"),
        *("central_obstruction", "central_obstruction_mm", "obstruction_mm", "minor_axis_mm"),
        *("flat_mm", "diagonal_mm", "obstruction_percent", "central_obstruction_percent"),
    ),
    _SHARE,
)


def key_remedy(key: str, value: Any, known: Sequence[str], homes: Mapping[str, str]) -> str:
    """Return what to write instead of an unknown key, or an empty text.

    Parameters
    ----------
    key, value
        As written.
    known
        The keys that this table has.
    homes
        Keys of other tables -> the heading that they belong under.
    """
    stem, _, unit = key.lower().rpartition("_")
    for right in known:
        if right.startswith(f"{key.lower()}_"):  # the unit was left out
            return f"did you mean {right!r}?"
        own = right.rpartition("_")[2]
        factor = _units_of(right).get(unit)
        if stem and right == f"{stem}_{own}" and factor is not None:
            return _converted(right, value, factor)
    meant = _MEANT.get(key.lower())
    if meant is not None and meant[0] in known:
        return meant[1]
    if key in homes:
        return f"{key} belongs under {homes[key]}"
    near = nearest(key, known)
    return f"did you mean {near!r}?" if near else ""


def _converted(key: str, value: Any, factor: float) -> str:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"write {key} = {value * factor:.6g}"
    return f"did you mean {key!r}?"


def value_remedy(key: str, value: Any, *, text: bool = False) -> str:
    """Return what to write instead of a value of the wrong type, or an empty text.

    Parameters
    ----------
    key, value
        As written.
    text
        True where a text is wanted, False for a number.
    """
    if text:
        return f'write {key} = "..."'
    if isinstance(value, float) and value.is_integer():
        return f"write {key} = {value:.0f}"
    return _read_number(key, value) if isinstance(value, str) else ""


def _read_number(key: str, value: str) -> str:
    both = re.fullmatch(r"\s*(\d+)\s*[x×]\s*(\d+)\s*", value)
    if both and key == "power":
        return f"write power = {both[1]} and aperture_mm = {both[2]}"
    found = re.fullmatch(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*(\D*?)\s*", value)
    if not found:
        return ""
    number, unit = float(found[1].replace(",", ".")), found[2].lower()
    factor = _units_of(key).get(unit, None if unit else 1.0)
    if factor is None:
        return f"write the number alone: {key} = ..."
    return f"write {key} = {number * factor:.6g}"
