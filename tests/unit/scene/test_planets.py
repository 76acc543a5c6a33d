"""Planets: what a date changes, what shows, what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest

from simview.errors import SimviewError
from simview.scene.ephemeris import sight
from simview.scene.mars import cap_edges_deg
from simview.scene.targets import target


def flux(planes: np.ndarray, pixel: float) -> float:
    luminance = np.tensordot([0.2126, 0.7152, 0.0722], planes.astype(float), axes=1)
    return float(luminance.sum()) * (pixel * math.pi / 648000.0) ** 2


@pytest.mark.parametrize("name", ["mars", "venus", "mercury", "uranus", "neptune"])
def test_planet_holds_the_light_of_its_magnitude(name: str) -> None:
    shown = target(name)
    pixel = shown.size_arcsec / 70.0
    scene = shown.scene(pixel_arcsec=pixel, pixels=80)
    found = -2.5 * math.log10(flux(scene.planes, pixel) / 2.54e-6)
    assert found == pytest.approx(shown.magnitude, abs=0.01)


# Mean oppositions and elongations: Mars 17.9 arcsec V -2.09; Venus half lit 24.2 arcsec V -4.46;
# Uranus 3.87 arcsec V 5.6 (Mallama & Hilton 2018 with IAU radii, computed; Uranus to 0.06 for its
# latitude).
@pytest.mark.parametrize(
    ("name", "size", "magnitude"),
    [("mars", 17.9, -2.09), ("venus", 24.2, -4.46), ("uranus", 3.87, 5.60)],
)
def test_planet_has_its_published_size_and_magnitude(
    name: str, size: float, magnitude: float
) -> None:
    shown = target(name)
    assert shown.size_arcsec == pytest.approx(size, rel=0.005)
    assert shown.magnitude == pytest.approx(magnitude, abs=0.06)


def test_lit_share_of_venus_follows_its_phase() -> None:
    scene = target("venus", phase_deg=120.0).scene(pixel_arcsec=0.1, pixels=512)
    row = scene.planes[1][256]
    # Along the line to the Sun the lit part of the diameter is (1 + cos phase) / 2 = 0.25.
    lit = (row > 0.02 * row.max()).sum() * 0.1
    assert lit / target("venus", phase_deg=120.0).size_arcsec == pytest.approx(0.25, abs=0.01)


def test_moon_of_jupiter_throws_its_shadow_where_the_sun_says() -> None:
    scene = target("jupiter-transit").scene(pixel_arcsec=0.05, pixels=900)
    plane = scene.planes[1]
    # Two shadows, each as wide as its moon (Io 1.1, Europa 0.9 arcsec): the Sun's disc takes the
    # edge away: below a quarter of the light to half the penumbra inside the outline, which is
    # 8.94e-4 times the distances of 421 700 and 671 000 km wide.
    axis = np.arange(900) - 450
    inside = np.hypot(axis[None, :], axis[:, None]) * 0.05 < 15.0
    dark = inside & (plane < 0.25 * np.median(plane[inside]))
    expected = math.pi / 4 * 42.9**2 * ((1633.0 / 71492) ** 2 + (1261.0 / 71492) ** 2)
    assert dark.sum() * 0.05**2 == pytest.approx(expected, rel=0.2)


def test_moons_stand_beside_jupiter_with_their_own_light() -> None:
    shown = target("jupiter", date="2026-11-25T21:00")
    stars = shown.scene(pixel_arcsec=0.5, pixels=200).stars
    # Io and Callisto stand beside the disc, Ganymede before it, Europa behind it in the shadow: V
    # -1.68 and -1.05 at 1 au (Allen; memory) plus 5 log10(5.31 x 5.11) = 7.17.
    assert np.sort(stars.magnitude) == pytest.approx([5.49, 6.12], abs=0.03)
    assert (np.hypot(stars.x_arcsec, stars.y_arcsec) > 22.0).all()


def test_moon_before_the_disc_is_a_small_disc_of_its_own_light() -> None:
    # Io, 3643 km, is 1.09 arcsec wide where Jupiter's 142 984 km are 42.9.
    with_io = target("jupiter-transit").scene(pixel_arcsec=0.05, pixels=900).planes[1]
    moon = next(m for m in sight("jupiter", "2027-01-02T04:50").moons if m.name == "io")
    column, row = 450 + round(moon.x_arcsec / 0.05), 450 - round(moon.y_arcsec / 0.05)
    spot = with_io[row, column - 40 : column + 41]
    edges = np.flatnonzero(np.abs(np.diff(spot)) > 0.08 * np.median(spot))
    assert (edges[-1] - edges[0]) * 0.05 == pytest.approx(1.09, abs=0.16)


def test_season_of_mars_decides_which_cap_is_large() -> None:
    north_spring, south_spring = cap_edges_deg(0.0), cap_edges_deg(180.0)
    assert north_spring[0] < south_spring[0]
    assert south_spring[1] < north_spring[1]


def test_saturn_seen_from_the_dark_side_has_dim_rings() -> None:
    # Sun 6.4 deg aside with the tilt below: seen from above the Sun stands under the plane.
    lit = target("saturn", tilt_deg=4.0, phase_deg=6.0, sun_angle_deg=0.0)
    dark = target("saturn", tilt_deg=4.0, phase_deg=6.0, sun_angle_deg=180.0)
    column = [
        float(t.scene(pixel_arcsec=0.2, pixels=256).planes[1][:, 30:60].sum()) for t in (lit, dark)
    ]
    assert column[1] < 0.35 * column[0]


def test_date_below_the_horizon_is_drawn_and_said() -> None:
    shown = target("mars", date="2026-11-25T17:00", latitude_deg=48.0, longitude_deg=11.0)
    assert shown.altitude_deg is not None
    assert shown.altitude_deg < 0.0
    assert any("below the horizon" in note for note in shown.notes)


def test_dated_moon_is_turned_and_lit_as_on_that_day() -> None:
    shown = target("moon", date="2026-11-17T18:00")
    scene = shown.scene(pixel_arcsec=8.0, pixels=260)
    assert scene.planes[1][:, 140:].sum() > scene.planes[1][:, :120].sum()
    found = -2.5 * math.log10(flux(scene.planes, 8.0) / 2.54e-6)
    assert found == pytest.approx(shown.magnitude, abs=0.05)


@pytest.mark.parametrize(
    ("name", "options"),
    [
        ("mars", {"latitude_deg": 10.0}),
        ("saturn", {"tilt_deg": 40.0}),
        ("venus", {"phase_deg": 179.0}),
        ("moon", {"date": "2026-11-25", "phase_deg": 20.0}),
        ("moon", {"phase_deg": float("nan")}),
        ("mars", {"date": "2026-11-25", "latitude_deg": 10.0}),
        ("jupiter", {"seed": -1}),
    ],
)
def test_what_cannot_be_is_refused(name: str, options: dict[str, object]) -> None:
    with pytest.raises(SimviewError):
        target(name, **options)
