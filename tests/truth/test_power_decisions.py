"""Decisions of the power room, each against a figure from outside."""

import numpy as np
import pytest

import simview
from simview.eye.stations import stations
from simview.eye.thresholds import Aid
from simview.power.finest import seen_contrast
from simview.power.splitting import split
from simview.power.starfields import star_curve
from simview.scene.targets import target
from simview.units import luminance_cd_m2

KIT = simview.Kit(
    telescope=simview.Telescope(aperture_mm=100.0, focal_length_mm=800.0),
    eyepieces=(simview.Eyepiece(focal_length_mm=10.0),),
)


def test_stars_are_enough_where_no_eye_could_tell_the_rest():
    # Argelander's steps: practised eyes tell 0.1 mag, hardly less (common practice, no source).
    found = star_curve(KIT, target("pleiades"))
    at = dict(zip(found.powers, found.limits, strict=True))
    short = max(found.limits) - at[found.enough_from]
    assert 0.0 <= short <= 0.1
    below = [limit for power, limit in at.items() if power < found.enough_from]
    assert not below or max(found.limits) - below[-1] > 0.1


def test_light_lost_on_the_way_counts_for_a_double():
    def judged(transmission):
        aid = Aid(power=150.0, exit_pupil_mm=0.7, eye_pupil_mm=6.0, transmission=transmission)
        return split(
            6.0, (5.0, 10.5), lambda r: np.exp(-(r**2)), aid, aperture_mm=100.0, sky_cd_m2=1e-4
        )

    clear, dim = judged(1.0), judged(0.5)
    # Against no sky to speak of half of the light is half of the margin; against a bright one the
    # root of it (de Vries and Rose): between the two, and never none.
    assert 1.3 < clear.companion_over_threshold / dim.companion_over_threshold < 2.1
    # The gap's contrast is judged by the light that is left, as its root at most.
    assert 1.0 < dim.gap_needed / clear.gap_needed < 1.5 or dim.gap_needed == clear.gap_needed


def test_contrast_of_jupiter_is_that_of_its_belts():
    # Reflectances of belts and zones, published for visible light: some 0.45 to 0.55 against 0.70
    # to 0.80 (Peek 1958, The Planet Jupiter, and later photometry; from memory): as Michelson
    # contrast 0.12 to 0.28; the marks take the strong ones.
    assert 0.2 <= target("jupiter").contrast <= 0.3


@pytest.mark.parametrize("sky_mag", [8.0, 4.0])
def test_skylight_over_a_planet_takes_contrast_from_it(sky_mag):
    # Light over dark and bright alike: contrast falls to L / (L + S) (Michelson's definition).
    saturn = target("saturn")
    sky = simview.Sky(sky_mag_arcsec2=sky_mag, extinction_mag=0.0, altitude_deg=90.0, air="none")
    place = stations(KIT, saturn, powers=[100.0], sky=sky, observer=simview.Observer())[0]
    light, over = saturn.luminance_cd_m2, luminance_cd_m2(sky_mag)
    wanted = light / (light + over)
    # A tenth: the retina counts the light through each pupil a little differently.
    assert seen_contrast(place.eye, saturn) / saturn.contrast == pytest.approx(wanted, rel=0.1)
