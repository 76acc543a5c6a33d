"""The Moon in print as observers report it: black shadows, earthshine in thin crescents only."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted

SIDE = 300


def panels(
    aperture_mm: float, power: float, phase_deg: float, close_deg: float
) -> tuple[np.ndarray, np.ndarray]:
    """Return the whole field 51 deg wide and the terminator, greys of 0 to 255, lit on the left."""
    scope = simview.Telescope(
        aperture_mm=aperture_mm,
        focal_length_mm=10.0 * aperture_mm if aperture_mm < 100.0 else 6.0 * aperture_mm,
        objective="achromat" if aperture_mm < 100.0 else "mirror",
    )
    piece = simview.Eyepiece(focal_length_mm=scope.focal_length_mm / power, apparent_field_deg=50.0)
    kit = simview.Kit(telescope=scope, eyepieces=(piece,))
    moon = simview.target("moon", phase_deg=phase_deg)
    view = simview.look(kit, moon, power=power, sky=simview.Sky(altitude_deg=50.0))
    at = moon.interest_arcsec or (0.0, 0.0)
    whole = Wanted(view=view, pixels_per_degree=SIDE / 51.0, pixels=SIDE)
    close = Wanted(view=view, pixels_per_degree=SIDE / close_deg, pixels=SIDE, at_arcsec=at)
    printed = develop_all([whole, close]).panels
    return tuple(np.asarray(panel, float).mean(axis=2) for panel in printed)  # type: ignore[return-value]


# Observers, common practice: near first quarter the shadows at the terminator and the night side
# are black in a clean telescope, for the eye discounts an even veil (Gilchrist & Jacobsen 1983). 20
# of 255 is 0.7 % of white: below what a screen in a dim room throws back (IEC 61966-2-1: 1 %).
@pytest.mark.parametrize(("aperture_mm", "power"), [(60.0, 50.0), (150.0, 75.0), (300.0, 200.0)])
def test_night_side_is_black_near_first_quarter(aperture_mm: float, power: float) -> None:
    whole, close = panels(aperture_mm, power, 85.0, 12.0)
    dark = close[:, round(0.65 * SIDE) :]
    assert dark.mean(axis=0).max() < 20.0
    assert dark.min() > 5.0
    # Far from the terminator the field is darker yet, but not the black outside its stop.
    row = whole[SIDE // 2 - 5 : SIDE // 2 + 5, round(0.8 * SIDE) : round(0.95 * SIDE)].mean(axis=0)
    assert 3.0 < row.min() < row.max() < 14.0


def test_crater_shadows_are_black_beside_lit_ground() -> None:
    _, close = panels(300.0, 200.0, 85.0, 8.0)
    lit = close[:, : SIDE // 2]
    # Shadows take up more than a hundredth of the ground beside the terminator.
    assert np.percentile(lit, 1.0) < 40.0
    assert np.percentile(lit, 50.0) > 75.0


@pytest.mark.parametrize(("aperture_mm", "power"), [(60.0, 30.0), (150.0, 40.0)])
def test_seas_show_in_the_earthshine_of_a_thin_crescent(aperture_mm: float, power: float) -> None:
    whole, _ = panels(aperture_mm, power, 145.0, 12.0)
    radius = 0.5 * 1864.6 * power / 3600.0 * SIDE / 51.0
    along = np.arange(SIDE) - SIDE // 2
    right, down = np.meshgrid(along / radius, along / radius)
    # The dark side, off the limb and off the crescent, which is on the left.
    night = (np.hypot(right, down) < 0.9) & (right > -0.2)
    seas, highlands = np.percentile(whole[night], (10.0, 90.0))
    sky = whole[SIDE // 2 - 3 : SIDE // 2 + 3, round(0.9 * SIDE)].mean()
    assert seas > sky + 12.0
    assert highlands > seas + 5.0
    assert highlands < 60.0


# Observers, common practice: at high power the half Moon is dimmer than at low power, and no ground
# of it dazzles away; one that keeps to the print's own white (98 % of lit ground below it) has
# next to nothing near the end of the scale.
@pytest.mark.parametrize(
    ("aperture_mm", "power", "phase_deg"), [(60.0, 117.0, 95.0), (200.0, 200.0, 82.0)]
)
def test_lit_ground_is_not_burnt_out_at_high_power(
    aperture_mm: float, power: float, phase_deg: float
) -> None:
    whole, _ = panels(aperture_mm, power, phase_deg, 12.0)
    lit = whole[whole > 40.0]
    assert lit.size > 0.2 * SIDE**2
    assert np.mean(lit > 246.0) < 0.01
    assert np.percentile(lit, 95.0) > 180.0
