"""Dates as people write them, and the clocks of places."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

from simview.errors import RangeError

# Years for which dates are taken; the magnitudes' formulas hold for these.
FIRST_YEAR: Final = 1900
LAST_YEAR: Final = 2100

# Hour of the evening, by the clock of the place, that stands for a date without a time.
_EVENING: Final = 22


def clock_of(latitude_deg: float, longitude_deg: float) -> tzinfo:
    """Return the time zone that the clocks of a place keep, summer time included.

    Checked by: tests/truth/test_ephemeris.py (published zones of ten towns).
    """
    from zoneinfo import ZoneInfo

    from tzfpy import get_tz

    turned = (longitude_deg + 180.0) % 360.0 - 180.0
    return ZoneInfo(str(get_tz(turned, latitude_deg) or "Etc/UTC"))


def moment(
    date: str, latitude_deg: float | None = None, longitude_deg: float | None = None
) -> datetime:
    """Read a date.

    Parameters
    ----------
    date
        ISO 8601: "2026-11-25" (22 h of that day by the clock of the place) or
        "2026-11-25T21:30" (UTC unless it carries an offset).
    latitude_deg, longitude_deg
        Of the place; without one the clock is UTC.

    Raises
    ------
    RangeError
        Not a date, or outside 1900 to 2100.
    """
    text = str(date).strip()
    allowed = f"YYYY-MM-DD or YYYY-MM-DDTHH:MM (UTC), {FIRST_YEAR} to {LAST_YEAR}"
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        raise RangeError("date", got=text, allowed=allowed) from None
    if not FIRST_YEAR <= when.year <= LAST_YEAR:
        raise RangeError("date", got=text, allowed=allowed)
    if len(text) <= len("YYYY-MM-DD"):
        when += timedelta(hours=_EVENING)
        if latitude_deg is not None and longitude_deg is not None:
            when = when.replace(tzinfo=clock_of(latitude_deg, longitude_deg))
    return when.replace(tzinfo=UTC) if when.tzinfo is None else when.astimezone(UTC)
