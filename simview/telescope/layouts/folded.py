"""The two folded telescopes with glass in front: Maksutov and Schmidt-Cassegrain."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.glass import LINE_C, LINE_F, index
from simview.telescope.layouts.prescriptions import DESIGN_RAYS, back_focus_mm, folding, solved
from simview.telescope.layouts.ray_wavefront import REFERENCE_NM, Layout, coefficients, scale_mm
from simview.telescope.layouts.surfaces import AIR, MIRROR, Surface

Floats = NDArray[np.float64]

# Focal ratio of the Schmidt-Cassegrain's primary; its plate's thickness and the air between plate
# and secondary, mm. Common practice, no source.
_FAST_RATIO: Final = 2.0
_PLATE_MM: Final = 5.0
_BEHIND_PLATE_MM: Final = 10.0

# A meniscus's thickness against its aperture. Common practice, no source.
_MENISCUS: Final = 0.1

# Focal ratio of its primary. Common practice, no source.
_MAKSUTOV_RATIO: Final = 2.6


@lru_cache(maxsize=32)
def schmidt_cassegrain(aperture_mm: float, focal_mm: float) -> Layout:
    """Return two spheres behind a thin plate whose figure takes their spherical aberration away.

    The plate's profile a r^2 + b r^4 + c r^6 is level at 0.866 of the radius, where colour is
    least. Both mirrors are spheres, so coma is left off the axis.

    Source: Rutten & van Venrooij, Telescope Optics (chapter on the Schmidt-Cassegrain) and
    Schroeder (2000, section 8.1), from memory: the neutral zone, the two spheres. Checked by:
    tests/truth/test_telescope_layouts.py (the plate's r^4 against its third-order value)
    """
    first, back = _FAST_RATIO * aperture_mm, back_focus_mm(aperture_mm)
    m = folding("schmidt-cassegrain", focal_mm, first)
    p = (first + back) / (m + 1.0)
    radius = aperture_mm / 2.0
    n = index("BK7", REFERENCE_NM)
    # A sphere alone asks for r^4 / (4 R^3 (n - 1)); its secondary takes a part back.
    power4 = 1.0 / (4.0 * (n - 1.0) * (2.0 * first) ** 3)

    def made(unknown: Floats) -> Layout:
        power, power6, place, curve = (float(each) for each in unknown)
        secondary_z = -place
        plate_z = secondary_z - _BEHIND_PLATE_MM - _PLATE_MM
        level = 0.75 * radius**2
        # Slope 2 a + 4 b r^2 + 6 c r^4 vanishes at the neutral zone; a is half a curvature.
        curved = -2.0 * (2.0 * power * level + 3.0 * power6 * level**2)
        surfaces = (
            Surface(z_mm=plate_z, curvature=0.0, behind="BK7", part="corrector"),
            Surface(
                z_mm=plate_z + _PLATE_MM,
                curvature=curved,
                # -1 makes the r^2 term exact, so that the profile is the polynomial.
                conic=-1.0,
                powers=(power, power6),
                behind=AIR,
                part="corrector",
            ),
            Surface(z_mm=0.0, curvature=-0.5 / first, behind=MIRROR, part="primary"),
            Surface(z_mm=secondary_z, curvature=curve, behind=MIRROR, part="secondary"),
        )
        return Layout(
            name="schmidt-cassegrain",
            surfaces=surfaces,
            stop_mm=plate_z + _PLATE_MM,
            aperture_mm=aperture_mm,
            image_mm=back,
            secondary_mm=secondary_z,
        )

    def wrong(layout: Layout) -> Floats:
        plain = coefficients(layout, rays=DESIGN_RAYS)
        return np.array(
            [plain[4], plain[11], plain[22], 100.0 * (abs(scale_mm(layout)) / focal_mm - 1.0)]
        )

    start = np.array([power4, 0.1 * power4 / first**2, first - p, -(m - 1.0) / (2.0 * m * p)])
    unit = np.array([power4, power4 / first**2, first, abs(start[3])])
    return solved("schmidt-cassegrain", made, wrong, start, unit)


@lru_cache(maxsize=32)
def maksutov(aperture_mm: float, focal_mm: float) -> Layout:
    """Return a thick meniscus before a mirror; a mirrored spot on its back is the secondary.

    The glass and the spot are spheres. At f/12 they leave some undercorrection, which a little
    figuring of the primary takes away: its conic, the meniscus's outer curve, the primary's curve
    and the distance meet four conditions by exact rays - the focal length, the focus's place, blue
    and red light united, and no third-order spherical aberration; the higher orders stay. They
    start from Maksutov's relation for a meniscus without colour, R1 - R2 = t (1 - 1 / n^2).

    Source: Maksutov (1944, JOSA 34, 270) for that relation; Gregory's arrangement (1957) for the
    spot and the figuring, from memory. Checked by: tests/truth/test_telescope_layouts.py
    """
    back, thick = back_focus_mm(aperture_mm), _MENISCUS * aperture_mm
    n = index("BK7", REFERENCE_NM)
    first = _MAKSUTOV_RATIO * aperture_mm
    m = folding("maksutov", focal_mm, first)
    p = (first + back) / (m + 1.0)
    spot = 2.0 * m * p / (m - 1.0)

    def made(unknown: Floats) -> Layout:
        outer, mirror, place, conic = (float(each) for each in unknown)
        surfaces = (
            Surface(z_mm=-place - thick, curvature=-1.0 / outer, behind="BK7", part="corrector"),
            Surface(z_mm=-place, curvature=-1.0 / spot, behind=AIR, part="corrector"),
            Surface(z_mm=0.0, curvature=-1.0 / mirror, conic=conic, behind=MIRROR, part="primary"),
            Surface(z_mm=-place, curvature=-1.0 / spot, behind=MIRROR, part="secondary"),
        )
        return Layout(
            name="maksutov",
            surfaces=surfaces,
            stop_mm=-place - thick,
            aperture_mm=aperture_mm,
            image_mm=back,
            secondary_mm=-place,
        )

    def wrong(layout: Layout) -> Floats:
        plain = coefficients(layout, rays=DESIGN_RAYS)
        blue, red = (
            coefficients(layout, wavelength_nm=nm, rays=DESIGN_RAYS)[4] for nm in (LINE_F, LINE_C)
        )
        power = 100.0 * (abs(scale_mm(layout)) / focal_mm - 1.0)
        return np.array([plain[4] / 100.0, plain[11], blue - red, power])

    start = np.array([spot - thick * (1.0 - 1.0 / n**2), 2.0 * first, first - p, 0.0])
    unit = np.array([spot, 2.0 * first, first, 0.1])
    return solved("maksutov", made, wrong, start, unit)
