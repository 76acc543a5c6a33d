"""Brightness on the sky in cd/m2: magnitudes per square arcsecond, fluxes of whole scenes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from simview import units
from simview.scene.scene import Scene
from simview.scene.targets import target

# Luminance of linear sRGB primaries. Source: IEC 61966-2-1:1999.
SRGB_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])


def magnitude_of(scene: Scene) -> float:
    """Add up all the light of a scene, straight from the definition."""
    luminance = np.tensordot(SRGB_LUMINANCE, scene.planes.astype(float), axes=1)
    side = scene.pixel_arcsec * math.pi / (180.0 * 3600.0)
    lux = luminance.sum() * side**2 + (2.54e-6 * 10 ** (-0.4 * scene.stars.magnitude)).sum()
    return float(-2.5 * math.log10(lux / 2.54e-6))


# Crumey 2014, MNRAS 442, 2600: B = 10^((12.58 - mu) / 2.5) cd/m2. The constant is rounded to 0.01
# mag (0.9 %), hence 1 %.
@pytest.mark.parametrize(("mu", "expected"), [(22.0, 1.706e-4), (20.0, 1.0765e-3)])
def test_luminance_of_a_surface_brightness_is_crumeys(mu: float, expected: float) -> None:
    assert units.luminance_cd_m2(mu) == pytest.approx(expected, rel=0.01)


# The trade form 10.8e4 * 10^(-0.4 mu) (common practice, no source) differs by up to 0.8 %.
def test_luminance_agrees_with_the_trade_form_within_a_hundredth() -> None:
    for mu in (3.35, 17.0, 21.5):
        assert units.luminance_cd_m2(mu) == pytest.approx(10.8e4 * 10 ** (-0.4 * mu), rel=0.01)


def test_surface_brightness_comes_back_from_luminance() -> None:
    assert units.mag_arcsec2(units.luminance_cd_m2(20.7)) == pytest.approx(20.7, abs=1e-9)


# Each scene, drawn at a fine and at a coarse sampling, must hold the light of its published
# magnitude: 0.05 mag either way.
# What the last degrees before full add to Allen's curve, which goes on smoothly, mag: some 20 % of
# light between 4 and 1.55 degrees (Buratti, Hillier & Wang 1996, Icarus 124, 490, memory; as in
# test_planet_brightness.py), 0.20 mag, of which the smooth curve has 2.45 times 0.026.
MOON_SURGE = 0.13


@pytest.mark.parametrize(
    ("name", "options", "published"),
    [
        # Mallama & Hilton 2018, Astron. Comput. 25, 10, at mean opposition (r = 5.203 au).
        ("jupiter", {}, -2.70),
        # The same at perihelic opposition, diameter 49.9: V -2.94 holds for r = 4.95 au; from the
        # mean orbit the distance term alone gives -2.70 - 5 log10(49.9 / 46.9) = -2.83.
        ("jupiter", {"diameter_arcsec": 49.9}, -2.83),
        # The same, globe and rings: B = 0, 20, 26.7 deg at mean opposition.
        ("saturn", {"tilt_deg": 0.0, "phase_deg": 0.0}, 0.65),
        ("saturn", {"tilt_deg": 20.0, "phase_deg": 0.0}, -0.11),
        ("saturn", {"tilt_deg": 26.7, "phase_deg": 0.0}, -0.34),
        # Allen's full Moon, -12.74 (memory), leaves the opposition surge out: see MOON_SURGE.
        ("moon", {"phase_deg": 0.0}, -12.74 - MOON_SURGE),
        # Bright pairs: both magnitudes together, -2.5 log10(10^-0.892 + 10^-1.552).
        ("mizar", {}, 2.015),
    ],
)
def test_light_of_a_scene_adds_up_to_its_published_magnitude(
    name: str, options: dict[str, float], published: float
) -> None:
    shown = target(name, **options)
    size = max(shown.size_arcsec, 20.0)
    for samples in (200, 48):
        pixels = samples + 12
        scene = shown.scene(pixel_arcsec=size / samples, pixels=pixels)
        own = scene
        if len(scene.stars):
            near = np.hypot(scene.stars.x_arcsec, scene.stars.y_arcsec) < size
            own = Scene(
                planes=scene.planes,
                pixel_arcsec=scene.pixel_arcsec,
                stars=type(scene.stars)(
                    x_arcsec=scene.stars.x_arcsec[near],
                    y_arcsec=scene.stars.y_arcsec[near],
                    magnitude=scene.stars.magnitude[near],
                    temperature_k=scene.stars.temperature_k[near],
                ),
            )
        assert magnitude_of(own) == pytest.approx(published, abs=0.05)
    assert shown.magnitude == pytest.approx(published, abs=0.05)


# Mean surface brightness of Jupiter at mean opposition: 5.33 mag/arcsec2, 801 cd/m2 (Mallama &
# Hilton 2018 magnitude over the ellipse of the IAU radii, computed).
def test_mean_luminance_of_jupiter_is_that_of_its_magnitude_over_its_disc() -> None:
    jupiter = target("jupiter")
    assert jupiter.luminance_cd_m2 == pytest.approx(801.0, rel=0.01)
    scene = jupiter.scene(pixel_arcsec=0.25, pixels=200)
    luminance = np.tensordot(SRGB_LUMINANCE, scene.planes.astype(float), axes=1)
    disc = math.pi / 4 * 46.91 * 43.87 / 0.25**2
    assert luminance.sum() / disc == pytest.approx(801.0, rel=0.01)


def test_full_moon_has_the_luminance_of_its_magnitude_over_its_disc() -> None:
    # 4900 cd/m2: V -12.74 over 1865 arcsec (Allen, memory), and the surge.
    bright = 4900 * 10.0 ** (0.4 * MOON_SURGE)
    assert target("moon", phase_deg=0.0).luminance_cd_m2 == pytest.approx(bright, rel=0.06)
