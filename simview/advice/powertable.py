"""The table of powers: what every pair of pieces gives, or what one pair of binoculars gives."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from simview.advice.listing import Listing
from simview.advice.speech import Tongue, about, rounded, say
from simview.advice.verdict import Verdict
from simview.power.rules import ROUNDING


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerRow:
    """One line of the table of powers."""

    pieces: str
    power: str
    exit_pupil: str
    field: str
    empty: bool


def power_rows(verdict: Verdict, tongue: Tongue) -> tuple[PowerRow, ...]:
    """Return a line for each power, lowest first.

    Checked by: tests/unit/advice/test_answer_page.py
    """
    if verdict.listing.binocular_power is not None:
        return tuple(_hand_held(verdict.listing, tongue))
    limit = ROUNDING * verdict.numbers.get("useful_power_high", math.inf)
    return tuple(_row(one, limit, tongue) for one in verdict.numbers.get("powers", []))


def _row(one: dict[str, Any], limit: float, tongue: Tongue) -> PowerRow:
    pupil = one["exit_pupil_mm"]
    return PowerRow(
        pieces=tongue.say(one["pieces"]),
        power=f"{one['power']:.0f}×",
        exit_pupil="" if pupil is None else f"{tongue.number(pupil, 1)} mm",
        field=_field(one["true_field_arcmin"] / 60.0, tongue),
        empty=one.get("empty", one["power"] > limit),
    )


def _field(degrees: float, tongue: Tongue) -> str:
    """Return how wide a view is; the smallest ones are not called nothing."""
    return f"{tongue.number(degrees, 1)}°" if degrees >= 0.05 else f"< {tongue.number(0.1, 1)}°"


def _hand_held(listing: Listing, tongue: Tongue) -> list[PowerRow]:
    """Return the lowest power, and the highest where it zooms; the field holds at the lowest."""
    aperture, low = listing.aperture_mm, listing.binocular_power or 0.0
    high = max(listing.claimed_powers, default=low)
    powers = [low] if high <= low else [low, high]
    if aperture is None:
        return []
    field = listing.true_field_deg
    return [
        PowerRow(
            pieces=f"{power:g}×{aperture:g}",
            power=f"{power:g}×",
            exit_pupil=f"{tongue.number(aperture / power, 1)} mm",
            field="" if field is None or power != low else f"{tongue.number(field, 1)}°",
            empty=False,
        )
        for power in powers
    ]


def useful_power(verdict: Verdict, tongue: Tongue) -> str:
    """Return the highest power of use in words; empty where it cannot be told, or is beside it."""
    if verdict.listing.instrument != "telescope":
        return ""
    ever, tonight = verdict.numbers.get("empty_above"), verdict.numbers.get("air_carries")
    if ever is not None and tonight is not None and rounded(ever) == rounded(tonight):
        return tongue.say(
            say(
                "about {power} times, on the best of nights as on an ordinary one",
                power=about(ever),
            )
        )
    if ever is not None and tonight is not None:
        return tongue.say(
            say(
                "about {power} times on the best of nights, {tonight} on an ordinary one",
                power=about(ever),
                tonight=about(tonight),
            )
        )
    high = verdict.numbers.get("useful_power_high")
    if high is None:
        return ""
    return tongue.say(
        say(
            "about {power} times at the very best: twice the aperture in mm and a little more",
            power=about(high),
        )
    )
