"""What is kept of an exposure, and overwritten on the way, leaves every print as it is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from simview import Eyepiece, Kit, Telescope, look
from simview.eye.glare import close_by
from simview.picture.prints.exposing import _without_paint
from simview.picture.prints.wanted import Wanted

KIT = Kit(
    telescope=Telescope(aperture_mm=60.0, focal_length_mm=700.0, objective="achromat"),
    eyepieces=(Eyepiece(focal_length_mm=9.0),),
)


def test_scatter_may_be_put_where_the_image_was() -> None:
    rng = np.random.default_rng(3)
    image = np.zeros((3, 150, 150), np.float32)
    # Lit in different places, one plane not at all.
    image[0, 20:40, 30:100] = rng.random((20, 70))
    image[1, 90:140, 5:25] = 50.0 * rng.random((50, 20))
    for scale in (20.0, 60.0):
        alone = [close_by(plane[None], scale, 40.0)[0] for plane in image]
        kept = image.copy()
        apart = close_by(image, scale, 40.0)
        assert np.array_equal(image, kept)
        given = close_by(kept, scale, 40.0, out=kept)
        assert given is kept
        assert np.array_equal(given, apart)
        assert np.allclose(apart, np.stack(alone), rtol=1e-5, atol=1e-6 * apart.max())
        assert not apart[2].any()


@pytest.mark.parametrize(("pixels", "reached"), [(60, False), (400, True)])
def test_exposure_without_its_paint_gives_the_same_light(pixels: int, *, reached: bool) -> None:
    # Jupiter's moons stand beside it: a close-up of the planet has none of them, a wide view has.
    view = look(KIT, "jupiter")
    whole = Wanted(view=view, pixels_per_degree=60.0, pixels=pixels, star_px=2.0).expose()
    kept = _without_paint(whole)
    assert len(kept.scene.stars) == len(whole.scene.stars) > 0
    assert kept.spot_of(5.0) == pytest.approx(whole.spot_of(5.0), rel=1e-6)
    assert kept.star_spots() == pytest.approx(whole.star_spots(), rel=1e-6)
    assert kept.star_peaks() == pytest.approx(whole.star_peaks(), rel=1e-6)
    factors = np.linspace(1.0, 2.0, len(whole.scene.stars))
    stars = [each.retina(factors).points for each in (whole, kept)]
    assert np.array_equal(*stars)
    assert bool(stars[0].any()) is reached
    # What holds no star's image holds no lens for it either.
    held = kept.lens.nbytes + kept.star_lens.nbytes
    assert held < 2000 if not reached else kept.star_lens is whole.star_lens


def test_star_whose_image_alone_reaches_the_picture_is_not_lost() -> None:
    view = look(KIT, "jupiter")
    whole = Wanted(view=view, pixels_per_degree=60.0, pixels=60, star_px=2.0).expose()
    reach = (whole.extended.shape[-1] + whole.star_lens.shape[-1]) / 2.0
    stars = whole.scene.stars.picked(np.arange(len(whole.scene.stars)) == 0)
    for away, wanted in ((reach - 1.0, True), (reach + 3.0, False)):
        moved = replace(
            stars,
            x_arcsec=np.array([away * whole.scene.pixel_arcsec]),
            y_arcsec=np.array([0.0]),
        )
        beside = replace(whole, scene=replace(whole.scene, stars=moved))
        kept = _without_paint(beside)
        assert (kept.star_lens is whole.star_lens) is wanted
        one = np.ones(1)
        assert np.array_equal(kept.retina(one).points, beside.retina(one).points)
