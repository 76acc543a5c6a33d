"""A sharp edge through the whole chain is as sharp as the telescope's own diffraction leaves it."""

from __future__ import annotations

import numpy as np
import pytest

import simview

# V's effective wavelength, mm.
WAVE_MM = 550e-6


def width(away: np.ndarray, risen: np.ndarray) -> float:
    """From 10 to 90 % of an edge."""
    low, high = np.interp((0.1, 0.9), risen / risen[-1], away)
    return float(high - low)


def diffracted_arcsec(aperture_mm: float, obstruction: float) -> float:
    """Width of an edge behind a ring-shaped pupil, from the pupil's own autocorrelation."""
    side = 1024
    axis = (np.arange(side) - side / 2) * 4.0 / side
    reach = np.hypot(axis[:, None], axis[None, :])
    pupil = ((reach <= 1.0) & (reach >= obstruction)).astype(float)
    transfer = np.fft.ifft2(np.abs(np.fft.fft2(pupil)) ** 2).real[0, : side // 2]
    transfer /= transfer[0]
    # Shifts in pupil radii are frequencies: D / lambda at two radii.
    waves = np.arange(side // 2) * 4.0 / side / 2.0 * aperture_mm / WAVE_MM / 206265.0
    away = np.linspace(-20.0, 20.0, 8001)
    weights = transfer * np.where(np.arange(side // 2) == 0, 0.5, 1.0)
    line = np.cos(2.0 * np.pi * away[:, None] * waves[None, :]) @ weights
    return width(away, np.cumsum(line))


# Eye and nerves add a little (0.24 arcsec alone at 200 times, in quadrature some 3 %), white light
# and the vanes of the secondary's holder as well.
@pytest.mark.parametrize("word", ["150/1200", "200/1200"])
def test_no_edge_is_softer_than_diffraction_makes_it(word: str) -> None:
    kit = simview.find_kit(word).kit
    scope = kit.telescope
    sky = simview.Sky(seeing_arcsec=0.0, altitude_deg=85.0)
    view = simview.look(kit, simview.target("moon"), power=200.0, sky=sky)
    scale = 150.0
    exposed = view.expose(pixels_per_degree=scale, pixels=200)
    lens = exposed.lens[1].sum(axis=(0, 1), dtype=float)
    away = np.arange(len(lens)) * 3600.0 / scale / 200.0
    own = diffracted_arcsec(scope.aperture_mm, scope.obstruction)
    assert 0.95 * own < width(away, np.cumsum(lens)) < 1.15 * own
