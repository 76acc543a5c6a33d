"""Earthshine in print: plain beside a thin crescent in binoculars, lost at half Moon."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted

SIDE = 500


def limb(phase_deg: float) -> tuple[float, float]:
    """Return the codes just inside and just outside the dark limb, in a 10 x 50 binocular."""
    pair = simview.Binocular(power=10, aperture_mm=50, true_field_deg=5.0)
    moon = simview.target("moon", phase_deg=phase_deg)
    sky = simview.Sky(sky_mag_arcsec2=20.5, altitude_deg=30.0)
    view = simview.look(simview.Kit(binocular=pair), moon, sky=sky)
    panel = develop_all([Wanted(view=view, pixels_per_degree=20.0, pixels=SIDE)]).panels[0]
    middle, radius = SIDE // 2, moon.size_arcsec / 2.0 / (3600.0 / 20.0 / 10.0)
    rows = slice(middle - 12, middle + 13)

    def at(share: float) -> float:
        # Upright, lit on the right: the dark limb is on the left.
        column = round(middle - share * radius)
        return float(np.mean(panel[rows, column - 2 : column + 3].astype(float)))

    return at(0.85), at(1.17)


@pytest.mark.parametrize("phase_deg", [150.0, 140.0, 130.0])
def test_dark_side_of_a_crescent_stands_out_in_binoculars(phase_deg: float) -> None:
    # Reported from the thin crescent to some five days after new Moon (docs/models/observed.md).
    inside, outside = limb(phase_deg)
    assert inside > outside + 6.0


def test_no_dark_limb_shows_at_half_moon() -> None:
    inside, outside = limb(90.0)
    further = limb(75.0)
    # The glare falls off from the lit side; no step at the limb is left in it.
    assert abs(inside - outside) < 3.0
    assert abs(further[0] - further[1]) < 4.0


def sky_beside(phase_deg: float, aperture_mm: float) -> list[float]:
    """Return the codes of the sky 1.1, 1.3 and 1.6 radii from the middle, on the lit side."""
    scope = simview.Telescope(aperture_mm=aperture_mm, focal_length_mm=10.0 * aperture_mm)
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=20.0),))
    view = simview.look(kit, simview.target("moon", phase_deg=phase_deg), power=50)
    panel = develop_all([Wanted(view=view, pixels_per_degree=8.0, pixels=400)]).panels[0]
    radius = 0.5 * view.target.size_arcsec * 50.0 / 3600.0 * 8.0
    # Turned by 180 deg, so lit on the left.
    columns = [round(200 - share * radius) for share in (1.1, 1.3, 1.6)]
    return [float(panel[197:204, c - 1 : c + 2].mean()) for c in columns]


# The eye's veil around the Moon (CIE 146:2002, integrated over its disc) is some 1/100 of the lit
# ground's mean at a tenth of its radius outside a full Moon's limb and falls to 1/800 at the
# field's edge; around a half Moon, half of that. So the sky beside a full Moon glows no less than
# beside a half one, whatever the telescope, and fades outwards.
@pytest.mark.parametrize("aperture_mm", [60.0, 100.0, 200.0])
def test_sky_glows_around_a_full_moon_as_around_a_half_one(aperture_mm: float) -> None:
    full, half = sky_beside(1.0, aperture_mm), sky_beside(90.0, aperture_mm)
    for codes in (full, half):
        # The eye discounts nearly all of it: dark, but not as black as outside the field.
        assert codes[0] > codes[1] > codes[2] > 5.0
        assert codes[0] < 50.0
    assert all(0.6 < a / b < 1.6 for a, b in zip(full, half, strict=True))


def moon_panel(
    aperture_mm: float, focal_mm: float, piece_mm: float, phase_deg: float
) -> tuple[np.ndarray, float]:
    """Return the greys of the whole field, 300 pixels for 42 deg, and the terminator's column.

    The picture is turned: lit on the left.
    """
    scope = simview.Telescope(aperture_mm=aperture_mm, focal_length_mm=focal_mm)
    piece = simview.Eyepiece(focal_length_mm=piece_mm, apparent_field_deg=42.0)
    view = simview.look(
        simview.Kit(telescope=scope, eyepieces=(piece,)),
        simview.target("moon", phase_deg=phase_deg),
        sky=simview.Sky(altitude_deg=50.0),
    )
    panel = develop_all([Wanted(view=view, pixels_per_degree=300 / 42.0, pixels=300)]).panels[0]
    scale = 300 / 42.0 * view.beam.power / 3600.0
    return np.asarray(panel, float).mean(axis=2), 150 - view.target.interest_arcsec[0] * scale


# Observers, common practice: a mirror scatters no less than a lens, and a gibbous Moon's glare is
# over its night side whether the field holds all of the Moon or is overflown by it.
def test_night_side_of_a_gibbous_moon_is_alike_whether_the_moon_fits_or_not() -> None:
    fits, _ = moon_panel(60.0, 700.0, 10.0, 45.0)
    overflows, _ = moon_panel(100.0, 900.0, 10.0, 45.0)
    dark = [float(panel[140:160, -20:-8].mean()) for panel in (fits, overflows)]
    assert min(dark) > 6.0
    assert max(dark) < 30.0
    assert dark[1] == pytest.approx(dark[0], abs=8.0)


# Earthshine and the glare over it come through the same exit pupil: what stands out at 1.5 mm is
# not lost at 0.5 mm (reported with small refractors at 100 times, common practice).
@pytest.mark.parametrize("piece_mm", [6.0, 18.0])
def test_earthshine_beside_a_crescent_stands_out_in_small_exit_pupils(piece_mm: float) -> None:
    panel, edge = moon_panel(60.0, 700.0, piece_mm, 130.0)
    radius = 932.0 * 300 / 42.0 * 700.0 / piece_mm / 3600.0
    # Beside the terminator glare hides it; half a radius on it is plain.
    beside, away = (
        panel[140:160, round(edge + low * radius) : round(edge + high * radius)].mean()
        for low, high in ((0.12, 0.2), (0.5, 0.9))
    )
    assert away > beside + 3.0
    assert away < 40.0
