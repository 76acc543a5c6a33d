"""The trade's rules of thumb about power. They stand beside what is computed; they set nothing.

All are common practice, no source.
"""

from __future__ import annotations

from typing import Final

from simview.units import inches

# Highest useful power, times per inch of aperture.
PER_INCH: Final = (50.0, 60.0)

# The same, times per mm: "twice the millimetres", and 60 an inch rounded as the trade does.
PER_MM: Final = 2.0
USEFUL_PER_MM: Final = (PER_MM, 2.4)

# Highest useful power on faint glows and clusters, times per mm: an exit pupil of 1.7 mm.
FAINT_PER_MM: Final = 0.6

# A wide-open young eye, mm: a wider exit pupil wastes light.
WIDEST_PUPIL_MM: Final = 7.0

# Makers round; a power within this part of a limit is not held against them. A choice.
ROUNDING: Final = 1.05

# Eyepieces that are made, shortest to longest, mm.
EYEPIECES_MM: Final = (2.5, 56.0)

# Narrowest exit pupil in which faint glows are looked at, mm: floaters and dimness end it there.
FAINT_PUPIL_MM: Final = 0.5


def per_inch(aperture_mm: float) -> tuple[float, float]:
    """Return 50 and 60 times per inch of aperture, times."""
    return PER_INCH[0] * inches(aperture_mm), PER_INCH[1] * inches(aperture_mm)


def faint_powers(aperture_mm: float, focal_length_mm: float) -> tuple[float, float]:
    """Return the lowest and highest power that eyepieces which are made give on faint glows."""
    longest, shortest = focal_length_mm / EYEPIECES_MM[1], focal_length_mm / EYEPIECES_MM[0]
    low = max(lowest_useful_power(aperture_mm), longest)
    return low, max(low, min(aperture_mm / FAINT_PUPIL_MM, shortest))


def twice_the_mm(aperture_mm: float) -> float:
    """Return twice the aperture in mm, times."""
    return PER_MM * aperture_mm


def useful_powers(aperture_mm: float) -> tuple[float, float]:
    """Return the lower and upper rule of the trade for the highest useful power, times.

    Source: common practice, 50 to 60 times per inch of aperture.
    Checked by: tests/truth/test_trade_rules.py
    """
    return USEFUL_PER_MM[0] * aperture_mm, USEFUL_PER_MM[1] * aperture_mm


def lowest_useful_power(aperture_mm: float, pupil_mm: float = WIDEST_PUPIL_MM) -> float:
    """Return the power whose exit pupil is as wide as the eye's, times.

    Source: common practice, aperture / 7 mm.
    Checked by: tests/truth/test_trade_rules.py
    """
    return aperture_mm / pupil_mm
