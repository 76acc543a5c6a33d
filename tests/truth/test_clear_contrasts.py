"""A glow that is clear at the eyepiece is as clear in print, in town as well.

Georgeson & Sullivan 1975, J. Physiol. 252, 627: contrasts well above threshold look as they are.
Kulikowski 1976, Vision Res. 16, 1419: they look alike when they are as far above their thresholds
(both from memory). Thresholds: Crumey 2014. On the display lies the reference viewing flare of IEC
61966-2-1, 1 % of white.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

import simview
from simview import srgb
from simview.eye.reference import of_troland
from simview.eye.thresholds import threshold_contrast
from simview.picture.prints.display import Display, shown_contrast
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.scene.scene import Scene, Stars, Target
from simview.units import luminance_cd_m2

FLARE = 0.01
SIDE = 320


def glow(contrast: float, sky_mag: float, radius_arcsec: float) -> Target:
    """Return an even disc that adds so many times the sky's light at the zenith."""

    def paint(pixel_arcsec: float, pixels: int) -> Scene:
        away = np.hypot(*np.mgrid[:pixels, :pixels] - pixels // 2) * pixel_arcsec
        light = np.where(away < radius_arcsec, contrast * luminance_cd_m2(sky_mag), 0.0)
        planes = np.repeat(light[None], 3, axis=0).astype(np.float32)
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec, stars=Stars.none())

    return Target(
        name="glow",
        title="Glow",
        kind="deep-sky",
        size_arcsec=2.0 * radius_arcsec,
        paint=paint,
        magnitude=8.0,
    )


@pytest.mark.parametrize(("sky_mag", "contrast"), [(19.0, 0.5), (19.0, 1.0), (21.3, 2.0)])
def test_glow_of_five_degrees_is_as_clear_on_the_display_as_in_the_telescope(
    sky_mag: float, contrast: float
) -> None:
    # M 27 in a town, 30 times in 60 mm: half of the sky's light, four degrees wide.
    kit = simview.Kit(
        telescope=simview.Telescope(aperture_mm=60.0, focal_length_mm=600.0),
        eyepieces=(simview.Eyepiece(focal_length_mm=20.0, apparent_field_deg=50.0),),
    )
    sky = simview.Sky(sky_mag_arcsec2=sky_mag, air="none", extinction_mag=0.0)
    observer = simview.Observer(field_factor=1.4)
    target = glow(contrast, sky_mag, 300.0)
    view = simview.look(kit, target, power=30.0, sky=sky, observer=observer, traced=False)
    wanted = Wanted(view=view, pixels_per_degree=SIDE / 20.0, pixels=SIDE)
    away = np.hypot(*np.mgrid[:SIDE, :SIDE] - SIDE // 2) / (SIDE / 20.0)
    inside, outside = away < 1.8, (away > 6.0) & (away < 9.0)
    rods = wanted.expose().extended[3]
    at_eye = float(rods[inside].mean() / rods[outside].mean()) - 1.0
    code = develop_all([wanted]).panels[0].mean(axis=2)
    light = srgb.linear(code / 255.0) + FLARE
    found = light[inside].mean() / light[outside].mean() - 1.0
    ground = view.path.troland_per_cd_m2() * luminance_cd_m2(sky_mag)
    area = math.pi / 4.0 * math.radians(5.0) ** 2
    least = float(threshold_contrast(of_troland(ground), area, field_factor=1.4 * math.sqrt(2.0)))
    assert at_eye > 2.0 * least
    # Kulikowski takes off one threshold. A third less at most: print takes off nearly one and a
    # half, so that what is just seen does not pass for clear, and its rods saturate.
    assert 0.67 * (at_eye - least) < found < 1.1 * (at_eye - least)


def test_contrast_far_above_threshold_is_shown_less_its_threshold() -> None:
    display = Display()
    ground = 0.0135
    over = display.over_flare(ground)
    assert over == pytest.approx((ground + FLARE) / ground)
    least = float(display.just_noticeable(ground))
    for contrast in (0.4, 0.6, 0.8):
        seen = float(shown_contrast(np.asarray(contrast), 0.15, least, over)) / over
        assert contrast - 2.0 * 0.15 < seen < contrast - 0.5 * 0.15
