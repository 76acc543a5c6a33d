"""The finest detail that an eye makes out, against power.

A grating on the sky is seen when what is left of its contrast - after telescope, air and the
eye's optics - exceeds what retina and brain need at that frequency and light. The finest period
is the highest such frequency. The core knows no telescope: it takes a transfer function.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview.errors import RangeError, require_range
from simview.eye.contrast import receptor_transfer, sensitivity
from simview.eye.optics import aberration_transfer

Array = NDArray[np.float64]
# Contrast kept at a frequency on the sky in cycles per arcsec: telescope and air, eye left out.
Transfer = Callable[[Array], Array]

# Frequencies at the eye among which the finest visible one is sought, cycles/deg. The eye sees
# nothing above 60; the lower end is a period of 20 degrees.
SEARCH_CYCLES_DEG: Final = (0.05, 120.0)

# The curve counts as flat where it is within this factor of its best. A choice.
FLAT: Final = 1.05

# Apparent period that a comfortable eye makes out without effort, arcmin (common practice:
# trade rules magnify the smallest detail to 2 to 4 arcmin). Past it power only enlarges.
COMFORTABLE_ARCMIN: Final = 4.0

# Apparent period past which power is called empty, arcmin: so wide Rayleigh's limit, 138 arcsec /
# mm, stands at the trade's highest useful power, twice the mm. Between 4 arcmin and this an image
# grows without gaining, which is no fault yet; the hard word is for what all would call so.
EMPTY_ARCMIN: Final = 4.6

# Apparent period at which more power shows hardly anything more, arcmin: without air any aperture
# is then within 5 % of its best, whatever its size (docs/models/power.md). Where the curve of one
# night itself comes within 5 % hangs so much on the 5 % that it is no mark to rely on.
ENOUGH_ARCMIN: Final = 2.5

_POINTS: Final = 97
_ROUNDS: Final = 3
_EVEN: Final = np.linspace(0.0, 1.0, _POINTS)


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailCurve:
    """Finest detail against power.

    Parameters
    ----------
    powers
        Times, rising.
    finest_period_arcsec
        Finest visible period on the sky at each power; None where nothing can be made out.
    best_period_arcsec, best_power
        The shortest period of the curve, and where it is reached; None where nothing is seen.
    reason
        Why figures are missing, in words; empty where none is.
    sight
        The observer's: an eye half as sharp wants all at twice the width. Keen ones take no less.
    """

    powers: tuple[float, ...]
    finest_period_arcsec: tuple[float | None, ...]
    best_period_arcsec: float | None
    best_power: float | None
    reason: str = ""
    sight: float = 1.0

    @property
    def finest_detail_arcsec(self) -> tuple[float | None, ...]:
        """Half of the finest visible period at each power: one dark or one bright bar."""
        return tuple(None if p is None else p / 2.0 for p in self.finest_period_arcsec)

    @property
    def enough_from(self) -> float | None:
        """Power at which the best period stands 2.5 arcmin wide at the eye."""
        return self._showing(ENOUGH_ARCMIN)

    @property
    def carries(self) -> float | None:
        """Power at which the best period stands 4 arcmin wide at the eye: more only enlarges."""
        return self._showing(COMFORTABLE_ARCMIN)

    @property
    def empty_above(self) -> float | None:
        """Power at which the best period stands 4.6 arcmin wide at the eye."""
        return self._showing(EMPTY_ARCMIN)

    def _showing(self, arcmin: float) -> float | None:
        best = self.best_period_arcsec
        return None if best is None else 60.0 * arcmin / (best * min(self.sight, 1.0))

    @property
    def worse_above(self) -> float | None:
        """Power past which the period is 5 % above its best again; None where it stays within."""
        if self.best_power is None:
            return None
        past = [
            (power, period if period is not None else math.inf)
            for power, period in zip(self.powers, self.finest_period_arcsec, strict=True)
            if power >= self.best_power
        ]
        level = FLAT * (self.best_period_arcsec or 0.0)
        for (low, before), (high, after) in itertools.pairwise(past):
            if before <= level < after:
                step = (
                    math.log(level / before) / math.log(after / before)
                    if math.isfinite(after)
                    else 1.0
                )
                return _times(math.log(low) + step * math.log(high / low))
        return None


def finest_period_arcsec(  # noqa: PLR0913 - what is seen, and by whom
    system_mtf: Transfer,
    *,
    power: float,
    troland: float,
    contrast: float,
    object_apparent_deg: float,
    used_pupil_mm: float,
    eyes: Literal[1, 2] = 1,
    sight: float = 1.0,
) -> float | None:
    """Return the finest period on the sky that is seen at one power.

    Parameters
    ----------
    system_mtf
        Contrast that telescope and air keep at a frequency on the sky (cycles per arcsec), with
        diffraction at the effective aperture in it.
    power
        Times, more than 0.
    troland
        Mean retinal illuminance of the object.
    contrast
        Michelson contrast of its detail, 0 to 1.
    object_apparent_deg
        Its apparent size: power times its size on the sky.
    used_pupil_mm
        min(exit pupil, eye's pupil).
    eyes
        1 at a telescope; two eyes need sqrt(2) less contrast.
    sight
        1 for 20/20.

    Returns
    -------
    float or None
        Arcsec on the sky; None when no period that fits on the object is seen.

    Notes
    -----
    Source: Barten 1999 (the eye's contrast sensitivity), Watson 2013 (its optics).
    Checked by: tests/truth/test_finest_detail.py
    """
    return finest_periods_arcsec(
        [system_mtf],
        power=np.array([power]),
        troland=np.array([troland]),
        contrast=np.array([contrast]),
        object_apparent_deg=np.array([object_apparent_deg]),
        used_pupil_mm=np.array([used_pupil_mm]),
        eyes=eyes,
        sight=sight,
    )[0]


def finest_periods_arcsec(  # noqa: PLR0913 - as above
    system_mtfs: Sequence[Transfer],
    *,
    power: Array,
    troland: Array,
    contrast: Array,
    object_apparent_deg: Array,
    used_pupil_mm: Array,
    eyes: Literal[1, 2] = 1,
    sight: float = 1.0,
) -> list[float | None]:
    """Return `finest_period_arcsec` of many looks of one observer at once.

    Parameters
    ----------
    system_mtfs
        One for each look, which takes frequencies of any shape; those of neighbours that are one
        and the same are asked once.
    power, troland, contrast, object_apparent_deg, used_pupil_mm
        (n,) as in `finest_period_arcsec`.
    eyes, sight
        As there.
    """
    _check(power, troland, contrast, object_apparent_deg)
    power, troland, contrast, object_apparent_deg, used_pupil_mm = (
        each[:, None] for each in (power, troland, contrast, object_apparent_deg, used_pupil_mm)
    )
    runs = list(_runs(system_mtfs))

    def surplus(log_u: Array) -> Array:
        u = np.exp(log_u)
        seen = aberration_transfer(u, used_pupil_mm)
        seen *= receptor_transfer(u, sight)
        seen *= sensitivity(u, troland=troland, object_deg=object_apparent_deg, eyes=eyes)
        seen *= contrast
        for system_mtf, rows in runs:
            seen[rows] *= system_mtf(u[rows] * (power[rows] / 3600.0))
        seen -= 1.0
        return seen

    low, high = SEARCH_CYCLES_DEG
    u = np.exp(_last_crossings(surplus, math.log(low), math.log(high), len(power)))
    periods = 3600.0 / (power[:, 0] * u)
    fits = u * object_apparent_deg[:, 0] >= 1.0
    return [float(p) if fit else None for p, fit in zip(periods, fits, strict=True)]


def _check(power: Array, troland: Array, contrast: Array, object_apparent_deg: Array) -> None:
    for end in (np.min, np.max):
        require_range("power", float(end(power)), 1e-3, 1e9, unit="times")
        require_range("contrast", float(end(contrast)), 0.0, 1.0)
        require_range("troland", float(end(troland)), 0.0, 1e9, unit="td")
    if not np.all(object_apparent_deg > 0.0):
        smallest = float(np.min(object_apparent_deg))
        raise RangeError("object_apparent_deg", got=smallest, allowed="more than 0 deg")


def _runs(system_mtfs: Sequence[Transfer]) -> Iterator[tuple[Transfer, slice]]:
    """Return each transfer with the rows in a run that share it."""
    start = 0
    for _, run in itertools.groupby(system_mtfs, key=id):
        count = len(list(run))
        yield system_mtfs[start], slice(start, start + count)
        start += count


def curve(
    powers: Sequence[float], periods: Sequence[float | None], *, sight: float = 1.0
) -> DetailCurve:
    """Find the best of finest periods over powers.

    Parameters
    ----------
    powers
        Rising, at least one.
    periods
        Arcsec on the sky, None where nothing is seen; as many as powers.
    sight
        The observer's, 1 for 20/20.
    """
    seen = [(x, p) for x, p in zip(powers, periods, strict=True) if p is not None]
    if not seen:
        return DetailCurve(
            powers=tuple(powers),
            finest_period_arcsec=tuple(periods),
            best_period_arcsec=None,
            best_power=None,
            reason="no detail of this contrast can be made out at any of these powers",
            sight=sight,
        )
    x = np.log([power for power, _ in seen])
    y = np.log([period for _, period in seen])
    best_x, best_y = _lowest(x, y)
    reason = ""
    if len(seen) < len(powers):
        reason = "nothing can be made out at some of these powers"
    elif int(np.argmin(y)) == len(y) - 1 and len(y) > 1:
        reason = "the finest period still falls at the highest power asked for"
    return DetailCurve(
        powers=tuple(powers),
        finest_period_arcsec=tuple(periods),
        best_period_arcsec=_times(best_y),
        best_power=_times(best_x),
        reason=reason,
        sight=sight,
    )


def _last_crossings(
    surplus: Callable[[Array], Array], low: float, high: float, count: int
) -> Array:
    """Return where each row of `surplus` falls through 0 for the last time, (count,).

    `surplus` takes places (count, points), each row its own. Its row's answer is nan where it never
    is above 0, and `high` where it still is there.
    """
    row = np.arange(count)
    start, end = np.full(count, low), np.full(count, high)
    answer = np.full(count, np.nan)
    sought = np.ones(count, dtype=bool)
    for round_ in range(_ROUNDS):
        grid = start[:, None] + (end - start)[:, None] * _EVEN
        grid[:, -1] = end
        value = surplus(grid)
        above = value >= 0.0
        last = _POINTS - 1 - np.argmax(above[:, ::-1], axis=1)
        found = above.any(axis=1)
        # Only the first scan can find nothing, but for a touch of rounding later on.
        if round_ > 0:
            answer = np.where(sought & ~found, start, answer)
        answer = np.where(sought & found & (last == _POINTS - 1), end, answer)
        sought &= found & (last < _POINTS - 1)
        last = np.where(sought, last, 0)
        start, end = (np.where(sought, grid[row, last + k], x) for k, x in ((0, start), (1, end)))
    first, second = value[row, last], value[row, last + 1]
    fallen = np.divide(first, first - second, out=np.zeros(count), where=sought)
    return np.where(sought, start + (end - start) * fallen, answer)


def _times(logarithm: float) -> float:
    """Return a figure from its logarithm without the last digits' rounding noise."""
    return float(f"{math.exp(logarithm):.9g}")


def _lowest(x: Array, y: Array) -> tuple[float, float]:
    """Return the lowest point of a sampled curve, by the parabola through its three lowest."""
    i = int(np.argmin(y))
    if not 0 < i < len(y) - 1:
        return float(x[i]), float(y[i])
    a, b, c = np.polyfit(x[i - 1 : i + 2] - x[i], y[i - 1 : i + 2], 2)
    if a <= 0.0:
        return float(x[i]), float(y[i])
    shift = -b / (2.0 * a)
    return float(x[i] + shift), float(c - b**2 / (4.0 * a))
