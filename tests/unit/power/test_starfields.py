"""How faint a field's stars may be."""

import math

import numpy as np
import pytest

from simview.kit import Eyepiece, Kit, Observer, Sky, Telescope
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


def limit_by_hand(power, aperture_mm, transmission, sky_mag):
    """Crumey 2014, MNRAS 442, 2600, from his printed short forms: no code of the program's.

    Threshold at night F B R(B), R = (6.505e-4 B^-1/4 - 8.461e-4)^2 sr; B = 10^((12.58 - mu) / 2.5)
    cd/m2 (eq. 7), behind a telescope times t (d / p)^2; a star gains t (D / p)^2; one eye costs
    sqrt 2, F = 2 in the field; 0 mag is 2.54e-6 lx. The pupil: de Groot & Gebhard 1952.
    """
    sky = 10.0 ** ((12.58 - sky_mag) / 2.5)
    pupil = 7.0
    for _ in range(30):
        seen = sky * transmission * (aperture_mm / power / pupil) ** 2
        pupil = 10.0 ** (0.8558 - 0.000401 * (math.log10(seen * math.pi / 10.0) + 8.6) ** 3)
    area = (6.505e-4 * seen**-0.25 - 8.461e-4) ** 2
    lux = 2.0 * math.sqrt(2.0) * seen * area / (transmission * (aperture_mm / pupil) ** 2)
    return -2.5 * math.log10(lux / 2.54e-6)


@pytest.mark.parametrize(("power", "sky_mag"), [(40.0, 20.5), (80.0, 20.5), (40.0, 21.5)])
def test_faintest_star_at_each_power_is_the_papers(power, sky_mag):
    sky = Sky(sky_mag_arcsec2=sky_mag, seeing_arcsec=0.5, altitude_deg=90.0, extinction_mag=0.0)
    found = star_curve(KIT, FIELD, powers=[power], sky=sky, observer=Observer(age_years=23))
    # Objective 0.85 and the eyepiece's four uncoated-to-coated faces: 0.80 comes through. His short
    # form is good to 0.01 mag; the star's own width at the eye costs up to 0.02.
    by_hand = limit_by_hand(power, 100.0, 0.80, sky_mag)
    assert found.limits[0] == pytest.approx(by_hand - 0.01, abs=0.015)


def test_black_sky_shows_the_papers_faintest_star():
    # Section 4.2 there: 5 log D(cm) + 8.45 - 2.5 log F + 2.5 log(t / 0.75), F = 2: 12.77; no sky
    # darker than 1e-5 cd/m2 counts. The star's width at 160 times costs some hundredths.
    sky = Sky(sky_mag_arcsec2=21.5, seeing_arcsec=0.5, altitude_deg=90.0, extinction_mag=0.0)
    found = star_curve(KIT, FIELD, powers=[160.0], sky=sky, observer=Observer(age_years=23))
    assert found.limits[0] == pytest.approx(12.74, abs=0.03)


def test_fainter_limit_counts_more_stars_and_fades_them_in():
    counts = [stars_seen(FIELD, limit) for limit in np.arange(3.0, 12.0, 0.5)]
    assert np.all(np.diff(counts) >= 0.0)
    assert counts[-1] > 30.0
    # The six that eyes count: 2.87, 3.63, 3.70, 3.87, 4.18, 4.30 mag (Hipparcos; from memory).
    assert stars_seen(FIELD, 1.4) < 0.5
    assert 5.0 < stars_seen(FIELD, 4.9) < 9.0
