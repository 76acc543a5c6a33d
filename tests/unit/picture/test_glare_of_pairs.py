"""Around a bright pair lies the eye's glare; behind it the sky of that exit pupil."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview import srgb
from simview.picture.prints.printing import Wanted, develop_all


def printed(name, aperture_mm, exit_pupil_mm=1.0, *, scale=20.0, pixels=200, vanes=0):
    """Return a pair's surroundings as print luminance, white = 1."""
    scope = simview.Telescope(
        aperture_mm=aperture_mm,
        focal_length_mm=8.0 * aperture_mm,
        objective="mirror",
        obstruction=0.2,
        vanes=vanes,
        vane_mm=1.0,
    )
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))
    view = simview.look(kit, simview.target(name), power=aperture_mm / exit_pupil_mm)
    wanted = Wanted(view=view, pixels_per_degree=scale, pixels=pixels)
    light = srgb.linear(develop_all([wanted]).panels[0] / 255.0)
    return light @ np.array([0.2126, 0.7152, 0.0722])


def ring(light, scale, angle_deg):
    middle = light.shape[0] // 2
    y, x = np.indices(light.shape)
    away = np.hypot(x - middle, y - middle) / scale
    return float(np.median(light[np.abs(away - angle_deg) < 0.08]))


def test_star_of_magnitude_zero_blazes_and_one_of_five_does_not():
    # Rigel's glare stands far above the sky a degree out; around the fifth magnitude there is next
    # to none (common practice, no source; the light is CIE's, tests/unit/eye/test_around.py).
    glares, plain = (printed(name, 200.0) for name in ("rigel", "epsilon1-lyrae"))
    assert ring(glares, 20.0, 1.0) > 3.0 * ring(glares, 20.0, 4.5)
    assert ring(plain, 20.0, 1.0) < 1.3 * ring(plain, 20.0, 4.5)


def test_glare_falls_without_an_edge():
    light = printed("rigel", 200.0)
    angles = np.arange(0.6, 4.0, 0.2)
    falls = np.array([ring(light, 20.0, a) for a in angles])
    assert (np.diff(falls) < 5e-4).all()
    assert (falls[1:] > 0.6 * falls[:-1]).all()


def test_four_vanes_give_a_bright_star_four_spikes():
    # As many as vanes where these are even in number (common practice); 1 mm is common practice.
    plain, crossed = (printed("rigel", 150.0, 0.75, scale=40.0, vanes=v) for v in (0, 4))
    over = crossed - plain
    middle, y, x = 100, *np.indices(over.shape)
    away = np.hypot(x - middle, y - middle) / 40.0
    out = (away > 0.6) & (away < 0.8)
    turn = np.degrees(np.arctan2(y - middle, x - middle))[out] % 90.0
    along = np.minimum(turn, 90.0 - turn)
    # The pair's middle is the picture's, its brighter star stands 0.26 deg from it.
    upon = np.sort(over[out])[::-1]
    assert upon[:20].mean() > 0.003
    assert np.median(over[out]) < 0.0005
    assert np.median(along[over[out] > 0.003]) < 30.0


@pytest.mark.parametrize("exit_pupil_mm", [0.5, 1.0])
def test_sky_behind_a_pair_follows_the_root_of_its_light(exit_pupil_mm):
    # Half the exit pupil has a quarter of the light; brightness in the dark goes with a power of
    # 0.33 to 0.5 of it (Stevens 1957): so half to 0.63.
    dim, full = (
        ring(printed("castor", 150.0, pupil), 20.0, 4.5)
        for pupil in (exit_pupil_mm, 2.0 * exit_pupil_mm)
    )
    assert 0.45 < dim / full < 0.63
