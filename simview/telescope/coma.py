"""What a Newtonian out of collimation shows: a paraboloid's coma and its shadow off the centre.

The primary's axis stands `tilt` off the star in the middle of the field. To third order a
paraboloid's coma is W = tilt D / (32 F^2) r^3 cos t; with the best tilt of the wavefront taken out
two thirds of it remain peak-to-valley. The flare points away from the axis. The light then comes
in at twice the tilt against the tube, and the shadow of the secondary, which hangs in the tube,
falls off the centre, towards the axis.
"""

from __future__ import annotations

import math

from simview.kit import Telescope
from simview.telescope.opening import REFERENCE_NM


def paraboloid_coma_waves(scope: Telescope, tilt_arcmin: float) -> float:
    """Return the coma of a tilted paraboloid, waves peak-to-valley at 550 nm, tilt removed.

    Source: Schroeder, Astronomical Optics, section 5.3 (angular tangential coma 3 tilt / 16 F^2).
    Checked by: tests/truth/test_paraboloid_coma.py (against rays)
    """
    tilt = math.radians(tilt_arcmin / 60.0)
    path_mm = tilt * scope.aperture_mm / (32.0 * scope.focal_ratio**2)
    return 2.0 / 3.0 * path_mm / (REFERENCE_NM * 1e-6)


def axis_tilt_arcmin(scope: Telescope, offset_mm: float) -> float:
    """Return the tilt for which the axis meets the focal plane `offset_mm` off the middle."""
    return math.degrees(math.atan(offset_mm / scope.focal_length_mm)) * 60.0


def axis_offset_mm(scope: Telescope, tilt_arcmin: float) -> float:
    """Return how far off the middle of the field the axis meets the focal plane."""
    return scope.focal_length_mm * math.tan(math.radians(tilt_arcmin / 60.0))


def shadow_offset(scope: Telescope, tilt_arcmin: float) -> float:
    """Return how far the secondary's shadow moves, in radii of the aperture, towards the axis.

    The secondary hangs where it just takes in the cone of the star: f (1 - obstruction) in
    front of the primary.

    Source: geometry; checked by: tests/truth/test_paraboloid_coma.py
    """
    distance = scope.focal_length_mm * (1.0 - scope.obstruction)
    turn = 2.0 * math.radians(tilt_arcmin / 60.0)
    return turn * distance / (scope.aperture_mm / 2.0)


def shadow_against_coma(scope: Telescope, defocus_waves: float) -> float:
    """Return how far the moved shadow leans out of focus, against the lean that coma gives.

    Coma moves the ring of light that left the pupil at radius r by 2 a r^2 along the flare, to
    the same side inside and outside focus; the dark middle, at r = obstruction, is left behind
    towards the axis by 2 a (1 - obstruction^2), with a = tilt D / (32 F^2). The shadow's own
    place in the pupil, drawn 2 W times as large, leans towards the axis outside focus and away
    from it inside. Both grow with the tilt, so their ratio is a matter of the telescope:

        128 F^3 wavelength W / (D (1 + obstruction))

    Parameters
    ----------
    defocus_waves
        W at 550 nm; positive is outside focus.

    Returns
    -------
    float
        Positive where the two add. Below -1 the dark middle leans away from the axis.

    Notes
    -----
    Source: geometry of rays; checked by: tests/truth/test_collimation_loop.py (measured in
    patterns of exact rays)
    """
    wave_mm = REFERENCE_NM * 1e-6
    steepness = 128.0 * scope.focal_ratio**3 * wave_mm * defocus_waves
    return steepness / (scope.aperture_mm * (1.0 + scope.obstruction))


def coma_tolerance_mm(scope: Telescope, waves: float = 0.25) -> float:
    """Return how far off the axis may stand for this much coma (PV, 550 nm), mm.

    offset = 48 F^3 W: it depends on the focal ratio alone. 0.83 mm at f/5 for a quarter wave.
    """
    return 48.0 * scope.focal_ratio**3 * waves * REFERENCE_NM * 1e-6
