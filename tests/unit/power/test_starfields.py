"""How faint a field's stars may be."""

import numpy as np
import pytest

import simview
from simview.kit import Eyepiece, Kit, Sky, Telescope
from simview.power.starfields import star_curve, stars_seen
from simview.scene.targets import target

FIELD = target("pleiades")
KIT = Kit(
    telescope=Telescope(aperture_mm=100.0, focal_length_mm=800.0),
    eyepieces=(Eyepiece(focal_length_mm=10.0),),
)


def test_power_brings_fainter_stars_up_to_a_best():
    found = star_curve(KIT, FIELD, sky=Sky(sky_mag_arcsec2=19.0))
    best = int(np.argmax(found.limits))
    assert np.all(np.diff(found.limits[:best]) > 0.0)
    assert found.powers[0] < found.enough_from <= found.best_power == found.powers[best]


def test_limit_is_the_views_own():
    curve = star_curve(KIT, FIELD, powers=[80.0])
    view = simview.look(KIT, FIELD, power=80.0)
    # The curve takes the first eyepiece's glass, which this power is.
    assert curve.limits[0] == pytest.approx(view.numbers["limiting_magnitude"], abs=1e-6)


def test_fainter_limit_counts_more_stars_and_fades_them_in():
    counts = [stars_seen(FIELD, limit) for limit in np.arange(3.0, 12.0, 0.5)]
    assert np.all(np.diff(counts) >= 0.0)
    assert counts[-1] > 30.0
    # The six that eyes count: 2.87, 3.63, 3.70, 3.87, 4.18, 4.30 mag (Hipparcos; from memory).
    assert stars_seen(FIELD, 1.4) < 0.5
    assert 5.0 < stars_seen(FIELD, 4.9) < 9.0
