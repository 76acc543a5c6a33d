"""Light on rough ground under a grazing Sun, against ground drawn eight times finer."""

from __future__ import annotations

import math

import numpy as np
import pytest

from simview.scene.sunlit_terrain import open_to_light

# The Sun's radius at 1 au: 0.2666 deg (IAU nominal radius).
SUN = 4.652e-3
FINER = 8


def ground_km(step: float, rows: int = 24, n: int = 500) -> np.ndarray:
    """Return profiles of a highland on the Moon's globe, the picture's plane under their middle.

    A profile's amplitude falls as wavenumber's power -1.45: H = 0.95, a highland's (Rosenburg et
    al. 2011, J. Geophys. Res. 116, E02001; memory). 0.15 km rms in waves of up to 50 km.
    """
    rng = np.random.default_rng(4)
    waves = np.fft.rfftfreq(n, step)
    size = np.where(waves > 0.02, np.maximum(waves, 0.02) ** -1.45, 0.0)
    phase = np.exp(2j * math.pi * rng.random((rows, len(waves))))
    rough = np.fft.irfft(size * phase, n)
    along = (np.arange(n) - 0.5 * n) * step
    return np.asarray(0.15 * rough / rough.std() - along**2 / (2.0 * 1737.4))


def light_between(ground: np.ndarray, step: float, slope: float) -> np.ndarray:
    """Return each point's mean light over its own step, each place against its own horizon.

    The ground between the points is straight. The light is the segment of the Sun's disc that
    stands above the highest of all places ahead (geometry).
    """
    n = ground.shape[1]
    places = (np.arange(n * FINER) + 0.5) / FINER - 0.5
    fine = np.stack([np.interp(places, np.arange(n), row) for row in ground])
    horizon = np.full(fine.shape, -np.inf)
    for ahead in range(1, fine.shape[1]):
        rise = (fine[:, ahead:] - fine[:, :-ahead]) / (ahead * step / FINER)
        np.maximum(horizon[:, :-ahead], rise, out=horizon[:, :-ahead])
    level = np.clip((horizon - slope) / SUN, -1.0, 1.0)
    light = (np.arccos(level) - level * np.sqrt(1.0 - level * level)) / math.pi
    return np.asarray(light.reshape(len(ground), n, FINER).mean(axis=2))


# The Sun stands 8 deg above the picture's plane in a view of a half Moon, but next to nothing above
# the ground that it grazes: what hides it there stands a point or two away. Light spread over what
# a ray rises in a step of the *plane* lit those hollows, the more the higher that plane's Sun: 0.07
# and 0.15 of the full light in shadows at a slope of 0.14 and 0.4, where it is none.
@pytest.mark.parametrize("step", [0.44, 1.5])
@pytest.mark.parametrize("slope", [0.0, 0.14, 0.4])
def test_grazing_light_is_that_of_the_ground_between_the_points(step: float, slope: float) -> None:
    ground = ground_km(step) + slope * step * np.arange(500)
    found = open_to_light(ground.astype(np.float32), step, slope, SUN)[:, :-20]
    true = light_between(ground, step, slope)[:, :-20]
    shadow, bright = true < 0.02, true > 0.98
    assert 0.2 < shadow.mean() < 0.85
    assert float(found[shadow].mean()) < 0.001
    assert float(found[bright].mean()) > 0.99
    assert abs(float((found - true).mean())) < 0.015
    assert float(np.sqrt(((found - true) ** 2).mean())) < 0.09
