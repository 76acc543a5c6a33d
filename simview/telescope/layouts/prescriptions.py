"""Five ways to build a telescope, each as surfaces with curves of our own.

None copies a telescope that is sold: the numbers follow from aperture and focal length by the
relations named here, and where a condition has no closed form (a corrector's curves) exact rays
decide. Proportions that nothing fixes - how thick the glass is, how far behind the mirror the
focus lies - are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import FitError
from simview.glass import LINE_C, LINE_F, curvatures
from simview.telescope.layouts.ray_wavefront import Layout, coefficients, scale_mm
from simview.telescope.layouts.surfaces import AIR, MIRROR, Surface

Floats = NDArray[np.float64]

# Focal ratio of a classical Cassegrain's primary.
_PRIMARY_RATIO: Final = 3.0

# A lens's glass against its aperture: crown, flint, and the air between.
_CROWN: Final = 0.08
_FLINT: Final = 0.05
_AIR_GAP: Final = 0.005

# Rays while curves are searched for: enough for polynomials to the eighth power.
DESIGN_RAYS: Final = 100

# A field angle at which coma is judged, radians.
_SMALL_FIELD: Final = math.radians(0.2)


def back_focus_mm(aperture_mm: float) -> float:
    """Return how far behind a folded telescope's primary the focus lies: visual back, diagonal."""
    return 100.0 + 0.25 * aperture_mm


def newtonian(aperture_mm: float, focal_mm: float) -> Layout:
    """Return a paraboloid; its flat folds the light and bends nothing, and is left out.

    Source: a paraboloid brings axial light to a point exactly.
    """
    primary = Surface(
        z_mm=0.0, curvature=-0.5 / focal_mm, conic=-1.0, behind=MIRROR, part="primary"
    )
    return Layout(
        name="newtonian",
        surfaces=(primary,),
        stop_mm=0.0,
        aperture_mm=aperture_mm,
        image_mm=-focal_mm,
        secondary_mm=-focal_mm * 0.8,
    )


def cassegrain(aperture_mm: float, focal_mm: float) -> Layout:
    """Return a paraboloid and a hyperboloid: the classical Cassegrain.

    Source: Schroeder (2000, section 2.5 and table 6.2), from memory: the secondary is a
    hyperboloid with one focus at the primary's and the other in the focal plane, its conic
    -((m + 1) / (m - 1))^2. Checked by: tests/truth/test_telescope_layouts.py (exact rays: a point)
    """
    first = _PRIMARY_RATIO * aperture_mm
    m = folding("cassegrain", focal_mm, first)
    p = (first + back_focus_mm(aperture_mm)) / (m + 1.0)
    primary = Surface(z_mm=0.0, curvature=-0.5 / first, conic=-1.0, behind=MIRROR, part="primary")
    secondary = Surface(
        z_mm=p - first,
        curvature=-(m - 1.0) / (2.0 * m * p),
        conic=-(((m + 1.0) / (m - 1.0)) ** 2),
        behind=MIRROR,
        part="secondary",
    )
    return Layout(
        name="cassegrain",
        surfaces=(primary, secondary),
        stop_mm=0.0,
        aperture_mm=aperture_mm,
        image_mm=back_focus_mm(aperture_mm),
        secondary_mm=secondary.z_mm,
    )


def folding(name: str, focal_mm: float, first_mm: float) -> float:
    """Return by how much the second mirror magnifies the first one's focal length.

    Raises
    ------
    FitError
        If it would have too little to do.
    """
    m = focal_mm / first_mm
    if m < 2.0:
        raise FitError(
            f"layout {name}",
            got=f"focal length {focal_mm:g} mm",
            allowed=f"at least {2.0 * first_mm:.0f} mm with this aperture",
            remedy='another layout, for example layout = "other"',
        )
    return m


@lru_cache(maxsize=32)
def refractor(aperture_mm: float, focal_mm: float) -> Layout:
    """Return a crown and a flint with a thin air space, BK7 before F2.

    Four curves meet four conditions, by exact rays: the focal length at 550 nm, F and C light
    united, no third-order spherical aberration and no coma. They start from the two thin lenses
    that unite F and C, the crown alike on both sides.

    Source: the conditions of an aplanatic achromat, Kingslake, Lens Design Fundamentals.
    """
    crown, flint = (each / focal_mm for each in curvatures("achromat"))
    start = np.array([crown / 2.0, -crown / 2.0, -crown / 2.0, -crown / 2.0 - flint])
    thick = (_CROWN * aperture_mm, _AIR_GAP * aperture_mm, _FLINT * aperture_mm)
    places = (0.0, thick[0], thick[0] + thick[1], sum(thick))

    def made(unknown: Floats) -> Layout:
        glasses, parts = ("BK7", AIR, "F2", AIR), ("crown", "crown", "flint", "flint")
        surfaces = tuple(
            Surface(z_mm=z, curvature=float(c), behind=glass, part=part)
            for z, c, glass, part in zip(places, unknown[:4], glasses, parts, strict=True)
        )
        return Layout(
            name="refractor",
            surfaces=surfaces,
            stop_mm=0.0,
            aperture_mm=aperture_mm,
            image_mm=focal_mm * float(unknown[4]),
        )

    def wrong(layout: Layout) -> Floats:
        plain = coefficients(layout, rays=DESIGN_RAYS)
        aside = coefficients(layout, (_SMALL_FIELD, 0.0), rays=DESIGN_RAYS)
        colour = [
            coefficients(layout, wavelength_nm=nm, rays=DESIGN_RAYS)[4] for nm in (LINE_F, LINE_C)
        ]
        power = 100.0 * (abs(scale_mm(layout)) / focal_mm - 1.0)
        return np.array([plain[4], plain[11], aside[8], colour[0] - colour[1], power])

    unit = np.array([crown, crown, crown, crown, 1.0])
    return solved("refractor", made, wrong, np.append(start, 1.0), unit)


def solved(
    name: str,
    made: Callable[[Floats], Layout],
    wrong: Callable[[Layout], Floats],
    start: Floats,
    unit: Floats,
) -> Layout:
    """Return the layout for which nothing is wrong.

    Parameters
    ----------
    made
        From the unknowns to a layout.
    wrong
        What should vanish, as many as there are unknowns, of order 1.
    start, unit
        Where to begin, and how much of each unknown is much.

    Raises
    ------
    FitError
        If no such layout is found: the wanted numbers do not go together.
    """
    from scipy.optimize import root

    def miss(scaled: Floats) -> Floats:
        with np.errstate(all="ignore"):
            return np.nan_to_num(wrong(made(scaled * unit)), nan=1e3, posinf=1e3, neginf=-1e3)

    found = root(miss, start / unit, method="hybr", options={"xtol": 1e-12, "eps": 1e-7})
    # A thousandth of a wave, or of a hundredth part of the focal length.
    if not np.abs(miss(found.x)).max() < 1e-3:
        raise FitError(
            f"layout {name}",
            got="this aperture and focal length",
            allowed="such as this kind of telescope is built with",
            remedy='another layout, for example layout = "other"',
        )
    return made(found.x * unit)
