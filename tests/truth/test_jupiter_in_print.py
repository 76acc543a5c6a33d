"""Jupiter's belts and spot as they are printed, against what falls on the retina.

Sources: hue of squares that lie side by side is seen as it is, and more, below some 4 cycles/degree
(Smith, Jin & Pokorny 2001, Vision Res. 41, 1007); contrast constancy of light (Georgeson & Sullivan
1975, J. Physiol. 252, 627; memory). CIELAB: ISO/CIE 11664-4. How dark belts are against zones:
contrasts of 10 to 30 % (Chanover et al. 1996, Icarus 121, 351; memory).
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

import simview
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.srgb import linear

Array = NDArray[np.float64]
# Linear sRGB to CIE XYZ (IEC 61966-2-1).
XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
WHITE = XYZ.sum(axis=1)
SCALE, PIXELS = 60.0, 200
# Equatorial and polar radius at mean opposition, arcsec (Archinal et al. 2018), and the latitude
# that faces us, deg.
EQUATOR, POLE, TILT = 23.45, 21.93, 2.4
# Planetographic latitudes, deg.
BANDS = {"zone": (3.0, 6.0), "belt": (9.5, 15.5), "spot": (-23.9, -20.9)}


@cache
def seen(aperture_mm: float) -> tuple[Array, Array, float]:
    """XYZ against white on the retina and in print, right side up, and arcsec a pixel; 200 times.

    High up, so that the air spreads no colours over the belts.
    """
    scope = simview.Telescope(aperture_mm=aperture_mm, focal_length_mm=1200.0, objective="mirror")
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=6.0),))
    sky = simview.Sky(altitude_deg=85.0)
    view = simview.look(kit, simview.target("jupiter"), power=200.0, sky=sky)
    exposed = view.expose(pixels_per_degree=SCALE, pixels=PIXELS)
    white = np.array(exposed.white)
    retina = exposed.extended[:3].astype(float) / white[:, None, None] * WHITE[:, None, None]
    panel = develop_all([Wanted(view=view, pixels_per_degree=SCALE, pixels=PIXELS)]).panels[0]
    light = np.asarray(linear(panel[::-1, ::-1].astype(float) / 255.0))
    return retina, np.moveaxis(light @ XYZ.T, -1, 0), 3600.0 / (SCALE * 200.0)


def mean(image: Array, pixel: float, band: str) -> Array:
    """XYZ of a band in the disc's middle; of the Great Red Spot, 15 deg east of it."""
    turn = np.radians(TILT)
    round_ = np.arctan(np.tan(np.radians(BANDS[band])) * POLE / EQUATOR)
    up = POLE * np.sin(round_) * np.cos(turn) - EQUATOR * np.cos(round_) * np.sin(turn)
    rows = np.sort(PIXELS // 2 - np.round(up / pixel).astype(int))
    right = (np.arange(PIXELS) - PIXELS // 2) * pixel
    # East on the disc is left on the sky.
    columns = np.abs(right - SPOT_RIGHT) < 1.0 if band == "spot" else np.abs(right) < 8.0
    return np.asarray(image[:, rows[0] : rows[1] + 1][:, :, columns].mean(axis=(1, 2)))


SPOT_RIGHT = EQUATOR * np.sin(np.radians(15.0)) * np.cos(np.radians(22.0))


# Of light's contrast the print's curve takes a twentieth of its logarithm at the most. Of hue a
# Gaussian over 3 arcmin leaves 0.7 of a belt 13 arcmin wide, and pale and bright lights lose a
# tenth each. (It was 0.4 to 0.5 of what red and green cones see, and a tenth of the blue.)
@pytest.mark.parametrize("aperture_mm", [150.0, 200.0])
@pytest.mark.parametrize("band", ["belt", "spot"])
def test_belts_and_spot_keep_their_hue_in_print_nearly_as_their_contrast(
    aperture_mm: float, band: str
) -> None:
    *images, pixel = seen(aperture_mm)
    (eye, paper), (eye_zone, paper_zone) = (
        [mean(image, pixel, name) for image in images] for name in (band, "zone")
    )
    lightness = np.log(paper[1] / paper_zone[1]) / np.log(eye[1] / eye_zone[1])
    # What the eye scatters over the disc, some hundredths of its light, is taken off in print.
    assert 0.9 < lightness < 1.1
    apart = [
        here / here[1] - zone / zone[1] for here, zone in ((eye, eye_zone), (paper, paper_zone))
    ]
    for axis in (0, 2):
        assert 0.5 < apart[1][axis] / apart[0][axis] < 1.1


def test_belt_in_print_is_as_dark_against_the_zone_as_published() -> None:
    _, paper, pixel = seen(200.0)
    belt, zone = mean(paper, pixel, "belt")[1], mean(paper, pixel, "zone")[1]
    assert 0.1 < (zone - belt) / (zone + belt) < 0.3
