"""What the eye scatters around a small bright planet fades into the sky: no disc, no edge."""

from __future__ import annotations

import numpy as np
import pytest

from simview import Eyepiece, Kit, Sky, Telescope, look
from simview.eye.glare import Veil, close_by, scattered_fraction
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted


def codes_outwards(name: str, aperture: float, power: float) -> np.ndarray:
    """Mean code of rings 0.1 deg wide around the planet, of a field 6 deg wide at 40 px/deg."""
    kit = Kit(
        telescope=Telescope(
            aperture_mm=aperture, focal_length_mm=6.0 * aperture, objective="mirror"
        ),
        eyepieces=(Eyepiece(focal_length_mm=6.0 * aperture / power),),
    )
    view = look(kit, name, power=power, sky=Sky(sky_mag_arcsec2=20.5))
    pixels = 240
    wanted = Wanted(view=view, pixels_per_degree=40.0, pixels=pixels)
    code = np.asarray(develop_all([wanted]).panels[0]).mean(axis=2)
    along = np.arange(pixels) - pixels // 2
    ring = (np.hypot(along[:, None], along[None, :]) / 4.0).astype(int)
    count = np.bincount(ring.ravel())
    return (np.bincount(ring.ravel(), code.ravel()) / count)[:28]


# What is found again in an image is what was scattered into it, to the share that scatters twice.
@pytest.mark.parametrize("wide", [1, 12, 60])
def test_near_glare_is_found_again_in_the_image_that_has_it(wide: int) -> None:
    image = np.zeros((1, 121, 121), np.float32)
    first = 60 - wide // 2
    image[0, first : first + wide, first : first + wide] = 1000.0
    veil = Veil(
        planes=np.zeros((1, 8, 8), np.float32),
        pixels_per_degree=8.0,
        middle=4.0,
        kept=0.9,
        age_years=40.0,
        pigment=0.5,
    )
    near = close_by(image, 40.0, 40.0)
    found = veil.near_of(image * np.float32(veil.kept) + near, 40.0)
    outside = image[0] == 0.0
    # The tail of a kernel spread by itself is twice the tail times its whole: what scatters twice
    # adds that much of it, of which once is reckoned with.
    whole = scattered_fraction(0.1, 1.2, 40.0)
    most = 0.06 * float(near[0][outside].max())  # past the near part's own end
    assert found[0][outside] == pytest.approx(near[0][outside], rel=2.0 * whole, abs=most)


# Lightness is seen through the veil (Gilchrist & Jacobsen 1983), hue is that of the retina's light.
def test_veil_is_taken_off_lightness_and_not_off_hue() -> None:
    kit = Kit(
        telescope=Telescope(aperture_mm=100.0, focal_length_mm=900.0, objective="achromat"),
        eyepieces=(Eyepiece(focal_length_mm=9.0),),
    )
    view = look(kit, "venus", power=100.0, sky=Sky())
    exposed = view.expose(pixels_per_degree=60.0, pixels=120)
    less = exposed.less_veil(0.8)
    x, y, z = exposed.extended[:3]
    assert np.allclose(less.extended[0] / less.extended[1], x / y, rtol=1e-3)
    assert np.allclose(less.extended[2] / less.extended[1], z / y, rtol=1e-3)
    # An eye of 40 years scatters some 8 % (CIE 146), so its middle is hardly darker; at the
    # picture's edge most light was veil.
    assert less.extended[1].max() > 0.92 * y.max()
    assert less.extended[1][60, 110] < 0.5 * y[60, 110]


@pytest.mark.parametrize(
    ("name", "aperture", "power"),
    [("neptune", 150.0, 200.0), ("uranus", 300.0, 300.0), ("uranus", 150.0, 200.0)],
)
def test_glare_of_a_small_planet_has_no_edge(name: str, aperture: float, power: float) -> None:
    code = codes_outwards(name, aperture, power)
    sky = code[-4:].mean()
    # From 0.4 deg on: never lighter outwards, and no ring of 0.1 deg falls by more than 3 codes, a
    # plateau that ends does; and it is not over at once: 0.2 deg farther out some of it is left.
    falls = -np.diff(code[4:])
    assert falls.min() > -0.5
    assert falls.max() < 3.0
    assert code[4] - sky < 14.0
    assert code[6] - sky > 0.1 * (code[4] - sky)
