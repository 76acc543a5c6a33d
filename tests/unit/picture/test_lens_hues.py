"""Colours of small discs in lens telescopes: the planet's own, a violet fringe around it."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.picture.prints.adapting import adapt
from simview.picture.prints.gliding import Gliding
from simview.picture.prints.printing import develop_all, developed
from simview.picture.prints.wanted import Wanted

SIDE = 300


def rings(name: str, objective: str, **told: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the mean colour of a planet's disc and of what lies 1.1 to 1.4 radii out, 60 mm."""
    scope = simview.Telescope(aperture_mm=60.0, focal_length_mm=600.0, objective=objective)
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))
    # High up, so that the air spreads no colours.
    view = simview.look(
        kit, simview.target(name, **told), power=60.0, sky=simview.Sky(altitude_deg=85.0)
    )
    radius = 0.5 * view.target.size_arcsec
    scale = 0.3 * SIDE / (radius * 60.0 / 3600.0)
    shown = develop_all([Wanted(view=view, pixels_per_degree=scale, pixels=SIDE)]).panels[0]
    along = (np.arange(SIDE) - SIDE // 2) / (0.3 * SIDE)
    away = np.hypot(along[:, None], along[None, :])
    colour = np.asarray(shown, float)
    return colour[away < 0.8].mean(axis=0), colour[(away > 1.1) & (away < 1.4)].mean(axis=0)


# Common practice: a planet in a small achromat has its own colour, no yellow-green one, and a soft
# violet fringe. Its own is what a mirror of that size shows.
@pytest.mark.parametrize("name", ["jupiter", "mars"])
def test_disc_has_its_own_colour_in_an_achromat(name: str) -> None:
    lens, mirror = (rings(name, objective)[0] for objective in ("achromat", "mirror"))
    for channel in (0, 2):
        assert lens[channel] - lens[1] == pytest.approx(mirror[channel] - mirror[1], abs=6.0)


# Observers call Saturn's globe cream, in lenses as in mirrors. (It printed 50 codes more red than
# blue in 100 mm f/9, lemon-yellow, where a mirror had 41.)
@pytest.mark.parametrize(("aperture_mm", "focal_mm"), [(60.0, 700.0), (100.0, 900.0)])
def test_saturns_globe_is_cream_in_an_achromat_as_in_a_mirror(
    aperture_mm: float, focal_mm: float
) -> None:
    lens, mirror = (globe(aperture_mm, focal_mm, kind) for kind in ("achromat", "mirror"))
    for channel in (0, 2):
        assert lens[channel] - lens[1] == pytest.approx(mirror[channel] - mirror[1], abs=3.5)


def globe(aperture_mm: float, focal_mm: float, objective: str) -> np.ndarray:
    """Return the mean colour of the middle of Saturn's globe, clear of the rings, 6 mm eyepiece."""
    scope = simview.Telescope(
        aperture_mm=aperture_mm, focal_length_mm=focal_mm, objective=objective
    )
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=6.0),))
    sky = simview.Sky(altitude_deg=85.0)
    view = simview.look(kit, simview.target("saturn"), power=focal_mm / 6.0, sky=sky)
    scale = 90.0
    shown = develop_all([Wanted(view=view, pixels_per_degree=scale, pixels=SIDE)]).panels[0]
    # A lens with a diagonal mirrors, a Newtonian turns: its half away from the near rings.
    pixel = 3600.0 / (scale * view.beam.power)
    up = 1 if objective == "mirror" else -1
    row, reach = SIDE // 2 + up * round(4.0 / pixel), round(2.0 / pixel)
    part = shown[row - reach : row + reach, SIDE // 2 - reach : SIDE // 2 + reach]
    return np.asarray(part, float).mean(axis=(0, 1))


def test_planet_under_a_hand_has_the_colour_that_it_has_at_rest() -> None:
    # It turned from lemon to cream when the hand let go of the power.
    scope = simview.Telescope(aperture_mm=100.0, focal_length_mm=900.0, objective="achromat")
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=6.0),))
    sky = simview.Sky(altitude_deg=85.0)

    def at(power: float) -> simview.View:
        return simview.look(kit, simview.target("saturn"), power=power, sky=sky)

    view, scale = at(150.0), 90.0
    rest = develop_all([Wanted(view=view, pixels_per_degree=scale, pixels=SIDE)]).panels[0]
    family = Gliding("Saturn", at).family(view, pixels_per_degree=scale, pixels=SIDE, star_px=3.0)
    light = adapt([each.levels for each in family])
    moving = developed(family[-1], family, light, star_px=3.0)
    middle = slice(SIDE // 2 - 15, SIDE // 2 + 15)
    colours = [
        np.asarray(shown[middle, middle], float).mean(axis=(0, 1)) for shown in (rest, moving)
    ]
    for channel in (0, 2):
        apart = [colour[channel] - colour[1] for colour in colours]
        assert apart[1] == pytest.approx(apart[0], abs=4.0)


# Conrady's and Sidgwick's rules (common practice): colour is next to none where the focal ratio is
# 5 times the aperture in inches, plain below 3. 60 mm f/11.7 has 5.0 times, 102 mm f/4.9 has 1.2.
def test_fringe_is_a_trace_in_a_slow_lens_and_plain_in_a_fast_one() -> None:
    def parts(aperture: float, focal: float, power: float, objective: str) -> list[np.ndarray]:
        scope = simview.Telescope(aperture_mm=aperture, focal_length_mm=focal, objective=objective)
        kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))
        return zones(kit, power)

    slow, mirror, fast = (
        parts(60.0, 700.0, 117.0, "achromat"),
        parts(60.0, 700.0, 117.0, "mirror"),
        parts(102.0, 500.0, 204.0, "achromat"),
    )
    violet = [float(one[2][2] - one[2][1]) for one in (slow, mirror, fast)]
    trace, plain = violet[0] - violet[1], violet[2] - violet[1]
    assert 1.5 < trace < 15.0
    # Their colours are out of focus by as many waves as these ratios say: one to four.
    assert plain > 2.5 * trace
    assert plain > 20.0
    # Middle and rim of the slow lens's disc are cream as in a mirror, no mustard, no violet.
    for zone in (0, 1):
        for channel in (0, 2):
            lens = slow[zone][channel] - slow[zone][1]
            assert lens == pytest.approx(mirror[zone][channel] - mirror[zone][1], abs=6.0)


def zones(kit: simview.Kit, power: float) -> list[np.ndarray]:
    """Return the mean colours of Jupiter's middle, of its rim, and of what lies around it."""
    view = simview.look(
        kit, simview.target("jupiter"), power=power, sky=simview.Sky(altitude_deg=85.0)
    )
    radius = 0.5 * view.target.size_arcsec
    scale = 0.3 * SIDE / (radius * power / 3600.0)
    shown = develop_all([Wanted(view=view, pixels_per_degree=scale, pixels=SIDE)]).panels[0]
    along = (np.arange(SIDE) - SIDE // 2) / (0.3 * SIDE)
    away = np.hypot(along[:, None], along[None, :])
    colour = np.asarray(shown, float)
    rings = ((0.0, 0.5), (0.8, 0.92), (1.1, 1.4))
    return [colour[(away >= low) & (away < high)].mean(axis=0) for low, high in rings]
