"""What an observer gets of the air who stops the telescope down where that shows more.

Past three or four times r0 the best moments through a larger aperture keep less of some contrast
than those through a smaller one, since a good moment over more air is rarer. An observer need not
put up with that: a mask over the opening, or patience, brings the smaller telescope's view back.
So what is seen at each frequency is the most that this telescope, or any smaller one of the same
make, lets through. The long exposure and a single moment are what they are.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from simview.air import moments, seeing
from simview.air.seeing import fried_r0_m
from simview.kit import Sky
from simview.units import ARCSEC_PER_RADIAN

Values = NDArray[np.float64]
Real = TypeVar("Real", np.float32, np.float64)

# Apertures that may be stopped down to: fixed ones, whatever the telescope's own, so that a larger
# telescope has all that a smaller one has. At a step of 2 % no curve is off by 0.0005.
_STEPS_AN_OCTAVE: Final = 32

# Below this many r0 a smaller aperture shows less at every frequency
# (tests/unit/air/test_stopping.py).
LEAST_R0: Final = 2.0

# Baselines at which stops are compared, up to the next half octave past the aperture; frequencies
# from 0 to the cut-off at which the answer is kept. Both go with the square of an even step.
_BASELINES: Final = 257
_NODES: Final = 257

# Part of a stop's transfer that counts: so straight lines between nodes never say more than what
# they stand for. And least transfer of the telescope's own, against dividing nothing by nothing.
_SHARE: Final = 0.9995
_TINY: Final = 1e-9


def transfer(
    sky: Sky,
    *,
    wavelength_nm: float,
    frequency: NDArray[Real],
    aperture_mm: float,
    obstruction: float = 0.0,
) -> NDArray[Real]:
    """Return the air's factor on the transfer function for an observer who may stop down.

    Parameters
    ----------
    sky, wavelength_nm, frequency, aperture_mm
        As in `simview.air.seeing.transfer`.
    obstruction
        Of the telescope, as a ratio of diameters, kept when it is stopped down.

    Returns
    -------
    array
        Like `frequency`, 0 to 1: never less than `simview.air.seeing.transfer`, and the product
        with the telescope's own transfer never less than with a smaller aperture.

    Notes
    -----
    Checked by: tests/unit/air/test_stopping.py, tests/property/test_air_laws.py
    """
    whole = seeing.transfer(
        sky, wavelength_nm=wavelength_nm, frequency=frequency, aperture_mm=aperture_mm
    )
    if sky.air not in ("best", "typical", "short"):
        return whole
    r0_m = fried_r0_m(sky.seeing_arcsec, wavelength_nm, sky.altitude_deg)
    aperture_m = aperture_mm * 1e-3
    if aperture_m <= LEAST_R0 * r0_m:
        return whole
    least = _least(sky.air, aperture_m, r0_m, sky.outer_scale_m, round(obstruction, 3))
    unit = wavelength_nm * 1e-9 * ARCSEC_PER_RADIAN / aperture_m
    place = np.abs(frequency) * whole.dtype.type(unit)
    np.sqrt(np.minimum(place, 1.0 - 1e-6, out=place), out=place)
    place *= _NODES - 1
    step = place.astype(np.int32)
    place -= step
    rise = np.diff(least, append=least[-1:]).astype(place.dtype)
    place *= rise[step]
    place += least.astype(place.dtype)[step]
    return np.maximum(whole, place, out=whole)


def annular_transfer(nu: Values, obstruction: float) -> Values:
    """Return the transfer of a perfect telescope at frequencies in units of its cut-off.

    Source: O'Neill 1956, J. Opt. Soc. Am. 46, 285, as areas of overlapping circles.
    Checked by: tests/unit/air/test_stopping.py
    """
    shift = 2.0 * np.abs(np.asarray(nu, dtype=np.float64))
    area = _overlap(shift, 1.0, 1.0)
    if obstruction > 0.0:
        area += _overlap(shift, obstruction, obstruction) - 2.0 * _overlap(shift, 1.0, obstruction)
    return np.asarray(area / (math.pi * (1.0 - obstruction**2)))


def _overlap(shift: Values, a: float, b: float) -> Values:
    """Return the area that two circles share whose middles are `shift` apart."""
    s = np.clip(shift, max(abs(a - b), 1e-12), a + b)
    first = np.clip((s * s + a * a - b * b) / (2.0 * s * a), -1.0, 1.0)
    second = np.clip((s * s + b * b - a * a) / (2.0 * s * b), -1.0, 1.0)
    kite = (a + b - s) * (a + b + s) * (s + a - b) * (s - a + b)
    area = a * a * np.arccos(first) + b * b * np.arccos(second)
    return np.asarray(area - 0.5 * np.sqrt(np.maximum(kite, 0.0)))


@lru_cache(maxsize=512)
def _least(
    air: str, aperture_m: float, r0_m: float, outer_scale_m: float, obstruction: float
) -> Values:
    """Return (_NODES,) the factor that the best stop comes to, a touch low."""
    top = math.ceil(2.0 * math.log2(aperture_m)) / 2.0
    sizes, seen = _envelopes(air, top, r0_m, outer_scale_m, obstruction)
    smaller = int(np.searchsorted(sizes, aperture_m)) - 1
    nu, own = _own(obstruction)
    best = np.interp(nu * aperture_m, _baselines(top), seen[smaller])
    factor = np.divide(best, own, out=np.zeros(_NODES), where=own > _TINY)
    return np.asarray(np.minimum(factor * _SHARE, 1.0))


@lru_cache(maxsize=32)
def _envelopes(
    air: str, top: float, r0_m: float, outer_scale_m: float, obstruction: float
) -> tuple[Values, NDArray[np.float32]]:
    """Return (n,) apertures up to 2**top m, and (n, _BASELINES) the most that any up to each shows.

    The telescope's own transfer is in it.
    """
    first = math.floor(_STEPS_AN_OCTAVE * math.log2(LEAST_R0 * r0_m))
    sizes = 2.0 ** (np.arange(first, round(_STEPS_AN_OCTAVE * top) + 1) / _STEPS_AN_OCTAVE)
    baseline = _baselines(top)
    own = np.interp(baseline / sizes[:, None], *_own(obstruction, even=True), right=0.0)
    own *= _kept(air, baseline, sizes, r0_m, outer_scale_m)
    return sizes, np.maximum.accumulate(own, axis=0).astype(np.float32)


@lru_cache(maxsize=32)
def _own(obstruction: float, *, even: bool = False) -> tuple[Values, Values]:
    """Return frequencies from 0 to the cut-off, and a perfect telescope's transfer there."""
    nu = np.linspace(0.0, 1.0, _BASELINES) if even else np.linspace(0.0, 1.0, _NODES) ** 2
    return nu, annular_transfer(nu, obstruction)


def _baselines(top: float) -> Values:
    return np.asarray(2.0**top * np.linspace(0.0, 1.0, _BASELINES) ** 2)


def _kept(air: str, baseline: Values, sizes: Values, r0_m: float, outer_scale_m: float) -> Values:
    """Return (sizes, baselines) what the air leaves through each aperture."""
    if air != "short":
        return moments.kept_by(air, baseline_m=baseline, apertures_m=sizes, r0_m=r0_m)
    return np.array(
        [
            seeing.short_exposure(np.minimum(baseline, size), float(size), r0_m, outer_scale_m)
            for size in sizes
        ]
    )
