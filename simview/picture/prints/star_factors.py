"""By how much each star's light is taken down before it is printed with the rest."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from simview.eye.around import LINE_WIDTHS
from simview.eye.thresholds import seen_fraction, threshold_contrast
from simview.picture.prints.choices import (
    GLARE_FROM,
    GLARE_MOST,
    GLARE_PRINT,
    SPARKLE,
    SPARKLE_PRINT,
    SPARKLES_FROM,
    STAR_MARGIN,
)
from simview.picture.prints.display import READER_FACTOR
from simview.picture.prints.response import Adaptation, Planes, star_print, veil_discounted

Floats = NDArray[np.float64]


def sparkle(above: Floats, ground: Floats, adaptation: Adaptation) -> Floats:
    """Return (N,) what stars before a haze add to its print at the least.

    Parameters
    ----------
    above
        (N,) their light over what is just seen there.
    ground
        (N,) print of what lies behind them; what it has over the sky's is the haze's.

    Notes
    -----
    Checked by: tests/unit/picture/test_star_prints.py
    """
    haze = np.maximum(ground - adaptation.sky_print, 0.0) ** 0.75 * SPARKLE_PRINT**0.25
    return np.asarray(adaptation.dark * SPARKLE * np.maximum(above - SPARKLES_FROM, 0.0) * haze)


def star_factors(
    peaks_td: Floats,
    adaptation: Adaptation,
    behind_td: Floats | float = 0.0,
    *,
    rise: Floats | float = 1.0,
    least: Floats | float | None = None,
    at_least: Floats | float = 0.0,
) -> Floats:
    """Return the factor by which each star's light is multiplied before printing.

    Parameters
    ----------
    peaks_td
        (N,) troland (Y) in the middle of each star's image.
    behind_td
        (N,) troland of brighter stars' images at its place: a star prints as what it adds to them.
    rise
        (N,) how many times more light it needs before the haze behind it than on the sky.
    least
        (N,) print of the faintest star on its own ground; None takes the sheet's sky for all.
    at_least
        (N,) what each adds to the print at the least, see `sparkle`.

    Returns
    -------
    (N,) 0 <= factor <= 1. The star's image keeps its shape; its middle prints at `star_print`.
    """
    peaks, behind = np.maximum(np.asarray(peaks_td, float), 0.0), np.asarray(behind_td, float)
    both, alone = (
        star_print(light, adaptation, least, rise=rise) for light in (peaks + behind, behind)
    )
    adds = both - alone
    adds = np.maximum(adds, np.minimum(at_least, 1.0))
    scaled = np.maximum(peaks / adaptation.star_scale_td, 1e-12)
    return np.asarray(np.clip(adds / scaled, 0.0, 1.0))


def halo_shares(spots_td: Floats, times: float) -> Floats:
    """Return (N,) what is printed of the light that each star scatters in the eye.

    A printed star makes a halo in its reader's eye, as a printed disc does, and at that eye's own
    size, however large the picture is. One that is printed so many times as large as it looks sends
    that many times squared the light; so it counts as a disc of so much less.

    Parameters
    ----------
    spots_td
        (N,) their light spread over their spots, troland.
    times
        How many times life size the picture is; below 1 counts as 1.

    Notes
    -----
    Checked by: tests/unit/picture/test_glare_of_pairs.py
    """
    of_disc = spots_td / max(times, 1.0) ** 2
    return np.array([1.0 - veil_discounted(float(light), 0.0) for light in of_disc])


def glare_print(around: Planes, adaptation: Adaptation) -> Planes:
    """Return the print of the light that bright stars scatter in the eye.

    Stars' images print in proportion, less than they have; what lies around them is by so much
    dimmer that it would be lost in print, while the eye has it. Its hue is next to none there.

    Checked by: tests/unit/picture/test_glare_of_pairs.py
    """
    times = around / np.float32(adaptation.star_td)
    seen = (times / (times + np.float32(GLARE_FROM))) ** 2
    printed = np.float32(GLARE_PRINT) * np.sqrt(times) * seen
    return np.asarray(printed / (1.0 + printed / np.float32(GLARE_MOST)), np.float32)


def spike_shown(times: Floats, adaptation: Adaptation) -> Floats:
    """Return how a spider's spike prints, over one that is just made out, by what it has of that.

    As a star does that stands as far above its limit, and with the part that answers to how often
    it is seen.
    """
    risen = star_print(times * adaptation.star_td, adaptation) / adaptation.star_print
    return np.asarray(risen * seen_fraction(times))


def spike_print(shown: Planes, adaptation: Adaptation, widths_deg: tuple[float, float]) -> Planes:
    """Return the print of a spider's spikes: what is just made out is just noticed.

    Parameters
    ----------
    shown
        From `spike_shown`, on spikes as wide as they are.
    adaptation
        Of the sheet; its display and its sky.
    widths_deg
        Of a spike in print for its reader, and at the eyepiece, full at half its height. Printed
        smaller than life, it is as long for its reader's eye as at the eyepiece: eyes add up light
        along the same angle, however thin a line is.

    Notes
    -----
    Source: Crumey 2014 for the reader too, of a disc of a line's area, as for `least_line`.
    Checked by: tests/unit/picture/test_glare_of_pairs.py
    """
    display = adaptation.display
    ground = adaptation.sky_print + display.flare
    width, alive = (math.radians(deg) for deg in widths_deg)
    area = LINE_WIDTHS * width * max(width, alive)
    least = threshold_contrast(display.white_cd_m2 * ground, area, field_factor=READER_FACTOR)
    return np.asarray(shown * np.float32(STAR_MARGIN * float(least) * ground), np.float32)
