"""The evening hour by hour: where everything stands, and what Moon and twilight add to the sky."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from simview.advice.tonight import Evening, Sight, sights_at, sun_altitude_deg
from simview.kit import Sky

# Nobody begins before this time of the clock, or goes on after that one, unless it gets dark so
# late; an hour of darkness is always there. Choices.
EARLIEST: Final = (17, 30)
LATEST: Final = (22, 30)
STEP: Final = timedelta(minutes=30)

# Planets, Moon and doubles show from this depth of the Sun on, degrees (end of civil twilight).
BRIGHT_DEG: Final = -6.0

# Moonlight worth a word: so much of its disc lit, for so large a part of the evening. Choices.
LIT: Final = 0.2
OFTEN: Final = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Hour:
    """The sky at one time of the evening.

    Parameters
    ----------
    evening
        As at that time: its moment, clock, turn and sights.
    sun_altitude_deg
        Below zero.
    moon
        Where the Moon stands; None where it is down, or counts for a month at large.
    """

    evening: Evening
    sun_altitude_deg: float
    moon: Sight | None

    def sky(self, sky: Sky, sight: Sight) -> Sky:
        """Return the sky at a sight, with what Moon and twilight add there."""
        from simview.air.lit_sky import lit, moonlight_cd_m2, twilight_cd_m2

        here = replace(sky, altitude_deg=min(max(sight.altitude_deg, 3.0), 90.0))
        added = twilight_cd_m2(self.sun_altitude_deg)
        if self.moon is not None and sight.kind != "moon":
            added += moonlight_cd_m2(
                math.degrees(math.acos(min(max(2.0 * self.moon.lit - 1.0, -1.0), 1.0))),
                apart_deg(self.moon, sight),
                moon_altitude_deg=self.moon.altitude_deg,
                altitude_deg=sight.altitude_deg,
                extinction_mag=sky.extinction_mag,
            )
        return lit(here, added) if added > 0.0 else here


def apart_deg(one: Sight, other: Sight) -> float:
    """Return how far two sights stand apart in the sky, degrees."""
    high, low = math.radians(one.altitude_deg), math.radians(other.altitude_deg)
    turn = math.radians(one.azimuth_deg - other.azimuth_deg)
    cosine = math.sin(high) * math.sin(low) + math.cos(high) * math.cos(low) * math.cos(turn)
    return math.degrees(math.acos(min(max(cosine, -1.0), 1.0)))


def hours(when: Evening) -> tuple[Hour, ...]:
    """Return the evening in half hours, from the end of civil twilight on.

    Checked by: tests/unit/advice/test_hours.py
    """
    return tuple(
        made for moment in _moments(when) if (made := _hour(when, moment)).sun_altitude_deg < 0.0
    ) or (_hour(when, when.moment),)


def _hour(when: Evening, moment: datetime) -> Hour:
    there = sights_at(when, moment)
    moon = next((one for one in there.sights if one.kind == "moon"), None)
    return Hour(
        evening=there,
        sun_altitude_deg=sun_altitude_deg(when, moment),
        moon=moon if when.one_day else None,
    )


def _moments(when: Evening) -> list[datetime]:
    """Return the times to look, on the half hours of the clock."""
    dusk = when.moment.astimezone(when.zone)
    night = dusk - timedelta(hours=12)  # its date is the evening's, also after midnight

    def clock(hour: int, minute: int) -> datetime:
        return night.replace(hour=hour, minute=minute, second=0, microsecond=0)

    if not when.dark:
        return [dusk]
    begin = clock(*EARLIEST)
    while sun_altitude_deg(when, begin) > BRIGHT_DEG and begin < dusk:
        begin += STEP
    end = max(clock(*LATEST), dusk + timedelta(hours=1))
    return [begin + n * STEP for n in range(int((end - begin) / STEP) + 1)] or [dusk]


def moon_words(every: tuple[Hour, ...]) -> str:
    """Return what the Moon does to faint things that evening; empty for a month at large."""
    from simview.advice.speech import number, say

    if not every or not every[0].evening.one_day:
        return ""
    moons = [hour.moon for hour in every if hour.moon is not None and hour.moon.lit >= LIT]
    if len(moons) < OFTEN * len(every):
        return say("The Moon leaves the sky dark for most of that evening.")
    return say(
        "The Moon is up, {share} % of its disc lit: faint nebulae and galaxies pale in its light,"
        " and those that it hides are left out.",
        share=number(100.0 * moons[-1].lit),
    )
