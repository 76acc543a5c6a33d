"""Charts: bar target and Siemens star, black on white, each pixel a true mean over its area."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import require_range
from simview.scene.scene import Scene, Target

# White paper in daylight shade, cd/m2: 10 000 lx on a reflectance of 0.8 gives 2500.
# Common practice, no source.
PAPER_CD_M2: Final = 2500.0

# Contrast of good printing: black reflects about a twentieth of white. Common practice, no source.
PRINT_CONTRAST: Final = 0.9

_NOTE: Final = "Chart: invented, exact geometry, black on white paper in daylight shade."

# The bar target is a pinwheel: each turn holds four groups, each finer than the one before by
# the fourth root of two, in a square ring half as large as the turn outside it. Invented for
# this chart.
_TURNS: Final = 5
_STEP: Final = 2.0**0.25

# Half-width of a ring's hole, in periods of its coarsest group: leaves a margin around the bars.
_ROOM: Final = 3.0


def _grey(planes: NDArray[np.float64], luminance_cd_m2: float) -> NDArray[np.float32]:
    return np.repeat((planes * luminance_cd_m2).astype(np.float32)[None], 3, axis=0)


def _levels(contrast: float) -> tuple[float, float]:
    """Return white 1 and the black that gives that Michelson contrast."""
    return 1.0, (1.0 - contrast) / (1.0 + contrast)


def _edges(pixel_arcsec: float, pixels: int) -> NDArray[np.float64]:
    return np.asarray((np.arange(pixels + 1) - pixels // 2 - 0.5) * pixel_arcsec, np.float64)


def _bars_cover(
    edges: NDArray[np.float64], starts: NDArray[np.float64], width: float
) -> NDArray[np.float64]:
    """Return the part of each pixel that bars [start, start + width] cover, exactly."""
    filled = np.clip(edges[:, None] - starts[None, :], 0.0, width).sum(axis=1)
    return np.asarray(np.diff(filled) / (edges[1] - edges[0]))


def bars(
    period_arcsec: float = 2.0,
    contrast: float = PRINT_CONTRAST,
    luminance_cd_m2: float = PAPER_CD_M2,
) -> Target:
    """Return a bar target: groups of three bars, upright and lying, around a middle period.

    Parameters
    ----------
    period_arcsec
        One dark and one bright bar of a middle group, 0.01 to 3600 arcsec; the groups run
        from seven times finer to nearly five times coarser.
    contrast
        Michelson contrast, 0.01 to 1.
    luminance_cd_m2
        Of the white, 0.001 to 100000.
    """
    period = require_range("period_arcsec", period_arcsec, 0.01, 3600.0, unit="arcsec")
    contrast = require_range("contrast", contrast, 0.01, 1.0)
    level = require_range("luminance_cd_m2", luminance_cd_m2, 1e-3, 1e5, unit="cd/m2")
    groups, width = _layout(period)

    def paint(pixel_arcsec: float, pixels: int) -> Scene:
        edges = _edges(pixel_arcsec, pixels)
        ink = np.zeros((pixels, pixels))
        for group in groups:
            _print_group(ink, edges, group)
        white, black = _levels(contrast)
        return Scene(planes=_grey(white + (black - white) * ink, level), pixel_arcsec=pixel_arcsec)

    return Target(
        name="bars",
        title=f"Bar target, middle period {period:g}″",
        kind="chart",
        size_arcsec=width,
        paint=paint,
        luminance_cd_m2=level * 0.5 * (1.0 + _levels(contrast)[1]),
        contrast=contrast,
        notes=(_NOTE,),
        recipe={
            "name": "bars",
            "period_arcsec": period,
            "contrast": contrast,
            "luminance_cd_m2": level,
        },
        by_day=True,
    )


def _layout(period: float) -> tuple[list[tuple[float, float, float, bool]], float]:
    """Return groups (x, y of the middle, period, lying) of the pinwheel, and the chart's width.

    Coarse groups stand outside, so that rising power reaches ever finer ones in the middle.
    """
    groups = []
    for turn in range(_TURNS):
        coarsest = period * 2.0 ** (_TURNS // 2 - turn) * _STEP
        hole = _ROOM * coarsest
        places = ((-0.5, 1.5), (1.5, 0.5), (0.5, -1.5), (-1.5, -0.5))
        for k, (x, y) in enumerate(places):
            groups.append((x * hole, y * hole, coarsest / _STEP**k, k % 2 == 0))
    return groups, 4.0 * _ROOM * period * 2.0 ** (_TURNS // 2) * _STEP


def _print_group(
    ink: NDArray[np.float64], edges: NDArray[np.float64], group: tuple[float, float, float, bool]
) -> None:
    """Add one group's ink: three upright bars and three lying ones, side by side or stacked."""
    x, y, period, side_by_side = group
    half, low, high = 0.5 * period, 1.25 * period, 2.5 * period
    for sign, upright in ((-1.5, True), (1.5, False)):
        shift = sign * period
        middle_x, middle_y = (x + shift, y) if side_by_side else (x, y - shift)
        three = np.array([-low, -low + period, -low + 2.0 * period])
        start_x = three + middle_x if upright else np.array([middle_x - low])
        start_y = np.array([-middle_y - low]) if upright else three - middle_y
        cover_x = _bars_cover(edges, start_x, half if upright else high)
        cover_y = _bars_cover(edges, start_y, high if upright else half)
        rows, columns = np.flatnonzero(cover_y), np.flatnonzero(cover_x)
        if len(rows) and len(columns):
            here = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
            ink[here] += np.outer(cover_y[here[0]], cover_x[here[1]])


def siemens(
    width_arcmin: float = 1.0,
    spokes: int = 36,
    contrast: float = PRINT_CONTRAST,
    luminance_cd_m2: float = PAPER_CD_M2,
) -> Target:
    """Return a Siemens star: sectors that narrow to the middle.

    Parameters
    ----------
    width_arcmin
        Diameter, 0.01 to 600 arcmin. At radius r the period is 2 pi r / spokes.
    spokes
        Dark sectors, 4 to 360.
    contrast, luminance_cd_m2
        As for `bars`.
    """
    width = require_range("width_arcmin", width_arcmin, 0.01, 600.0, unit="arcmin") * 60.0
    count = int(require_range("spokes", spokes, 4, 360))
    contrast = require_range("contrast", contrast, 0.01, 1.0)
    level = require_range("luminance_cd_m2", luminance_cd_m2, 1e-3, 1e5, unit="cd/m2")

    def paint(pixel_arcsec: float, pixels: int) -> Scene:
        ink = _star_ink(pixel_arcsec, pixels, 0.5 * width, count)
        white, black = _levels(contrast)
        return Scene(planes=_grey(white + (black - white) * ink, level), pixel_arcsec=pixel_arcsec)

    return Target(
        name="siemens",
        title=f"Siemens star, {width / 60.0:g}′, {count} spokes",
        kind="chart",
        size_arcsec=width,
        paint=paint,
        luminance_cd_m2=level * 0.5 * (1.0 + _levels(contrast)[1]),
        contrast=contrast,
        notes=(_NOTE,),
        recipe={
            "name": "siemens",
            "width_arcmin": width / 60.0,
            "spokes": count,
            "contrast": contrast,
            "luminance_cd_m2": level,
        },
        by_day=True,
    )


def _star_ink(pixel_arcsec: float, pixels: int, radius: float, spokes: int) -> NDArray[np.float64]:
    """Return the ink's share of each pixel of a Siemens star.

    Along the arc, a square wave averaged over a pixel is a triangle wave's slope; the
    average over the pixel's extent across the spokes is exact for straight edges. Where
    a whole period is narrower than the pixel the mean, one half, remains.
    """
    axis = (np.arange(pixels) - pixels // 2) * pixel_arcsec
    x, y = axis[None, :], -axis[:, None]
    r = np.hypot(x, y)
    phase = np.arctan2(y, x) * spokes / (2.0 * math.pi)
    arc = np.maximum(r, 1e-9 * radius)
    # Extent of a square pixel across the spoke's edge, in periods.
    across = pixel_arcsec * (np.abs(x) + np.abs(y)) / arc
    extent = np.minimum(across * spokes / (2.0 * math.pi * arc), 1.0)
    extent = np.where(r < pixel_arcsec, 1.0, extent)
    ink = (_inked(phase + 0.5 * extent) - _inked(phase - 0.5 * extent)) / np.maximum(extent, 1e-12)
    inside = np.clip((radius - r) / pixel_arcsec + 0.5, 0.0, 1.0)
    return np.asarray(np.where(extent >= 1.0, 0.5, ink) * inside)


def _inked(phase: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the integral of a square wave that is 1 on the first half of each period."""
    whole = np.floor(phase)
    return np.asarray(0.5 * whole + np.minimum(phase - whole, 0.5))
