"""How wide the light is beside the dark middle: rays through the edges of a pupil with coma.

Each ray of a wavefront lands where the wavefront's slope sends it (Born & Wolf, Principles of
Optics, 5.1: transverse ray aberration). The rim and the shadow's edge are sent here point by
point, by differences of the wavefront itself; a formula of the program takes no part in it.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from simview.kit import Telescope
from simview.telescope.flat_screws import FlatScrews
from simview.telescope.screws import Screws


def landed(radius: float, middle: complex, coma: float, defocus: float) -> np.ndarray:
    """Where rays through a circle of the pupil land, waves per radius, right and up."""
    angle = np.linspace(0.0, 2.0 * math.pi, 20001)
    x, y = radius * np.cos(angle) + middle.real, radius * np.sin(angle) + middle.imag

    def wave(x, y):
        r = np.hypot(x, y)
        return defocus * r**2 + coma * r**2 * x

    step = 1e-5
    return np.stack(
        (
            (wave(x + step, y) - wave(x - step, y)) / (2 * step),
            (wave(x, y + step) - wave(x, y - step)) / (2 * step),
        )
    )


def widths(hidden: float, shadow: float, coma: float, defocus: float) -> float:
    """Widest against narrowest of the light along the axis of the coma."""
    rim, edge = landed(1.0, 0j, coma, defocus), landed(hidden, complex(shadow), coma, defocus)
    sides = (
        float(rim[0].max() - edge[0].max()),
        float(edge[0].min() - rim[0].min()),
    )
    return max(sides) / min(sides)


@pytest.mark.parametrize("defocus", [5.0, 8.0])
@pytest.mark.parametrize(
    ("aperture", "focal", "hidden"),
    [(150.0, 750.0, 0.3), (114.0, 900.0, 0.3), (200.0, 1000.0, 0.24)],
)
@pytest.mark.parametrize("part", [0.5, 1.0])
def test_band_is_as_wide_as_rays_say(aperture, focal, hidden, defocus, part) -> None:
    screws = Screws(
        scope=Telescope(aperture_mm=aperture, focal_length_mm=focal, obstruction=hidden)
    )
    ratio = focal / aperture
    # A quarter wave of coma at 12 F^3 wavelength off the axis; a r^3 with a = tilt D / (32 F^2)
    # (Schroeder, Astronomical Optics, 5.3); the flare points away from the axis, the shadow moves
    # towards it by twice the tilt times its height above the mirror.
    tilt = part * 12.0 * ratio**3 * 550e-6 / focal
    coma = tilt * aperture / (32.0 * ratio**2) / 550e-6
    shadow = 2.0 * tilt * focal * (1.0 - hidden) / (aperture / 2.0)
    exact = widths(hidden, shadow, -coma, defocus)
    arcmin = math.degrees(tilt) * 60.0
    # Leading order in the coma against rays: its square is (a / W)^2, below 1 % here.
    assert screws.band_ratio(complex(arcmin), defocus) == pytest.approx(exact, rel=0.02)


def test_band_of_a_flat_is_the_ring_between_two_circles() -> None:
    screws = FlatScrews(scope=Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3))
    tilt = complex(0.0, 2.0 * screws.tolerance_arcmin)
    off = screws.off_mm(tilt)
    exact = (75.0 - 22.5 + off) / (75.0 - 22.5 - off)
    assert screws.band_ratio(tilt, 10.0) == pytest.approx(exact, rel=1e-9)
