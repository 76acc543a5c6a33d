"""Decisions of the power room, each against a figure from outside."""

import numpy as np
import pytest
from even_patches import patch

import simview
from simview.eye.stations import stations
from simview.eye.thresholds import Aid
from simview.power.faint import visibility_curve
from simview.power.figures import faintest_magnitude
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
    assert max(found.limits) - below[-1] > 0.1


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


@pytest.mark.parametrize("magnitude", [8.0, 9.0, 10.0])
def test_gap_of_a_dim_pair_is_judged_by_the_light_that_is_left(magnitude):
    def needed(transmission):
        aid = Aid(power=150.0, exit_pupil_mm=0.7, eye_pupil_mm=6.0, transmission=transmission)
        both = (magnitude, magnitude)
        return split(
            2.0, both, lambda r: np.exp(-(r**2)) / np.pi, aid, aperture_mm=100.0
        ).gap_needed

    # A contrast just seen goes as the root of the light where its quanta set the limit (de Vries
    # 1943, Physica 10, 553; Rose 1948, J. Opt. Soc. Am. 38, 196) and stays where there is plenty
    # (Weber's law): a quarter of the light asks for 1 to 2 times the contrast; of a dim pair for
    # clearly more.
    assert 1.15 < needed(0.25) / needed(1.0) <= 2.0


def ringed(r):
    """A narrow star, its light in all about 1, with one ring that stands clear of it."""
    r = np.asarray(r, float)
    return 10.0 * (np.exp(-((r / 0.15) ** 2)) + 0.02 * np.exp(-(((r - 2.0) / 0.15) ** 2)))


@pytest.mark.parametrize("fainter_mag", [3.0, 4.0, 5.0])
def test_companion_on_a_ring_stands_out_from_the_rest_of_that_ring(fainter_mag):
    # Both stars in an image; Michelson's contrast of the companion's place against the same ring on
    # the other side, measured there. The dark between star and ring is deeper than that.
    ratio = 10.0 ** (-0.4 * fainter_mag)
    here, there = (float(ringed(2.0) + ratio * ringed(away)) for away in (0.0, 4.0))
    wanted = (here - there) / (here + there)
    aid = Aid(power=150.0, exit_pupil_mm=0.7, eye_pupil_mm=6.0)
    found = split(2.0, (3.0, 3.0 + fainter_mag), ringed, aid, aperture_mm=100.0)
    # The eye's own scatter lies over both: half of a per cent.
    assert found.gap == pytest.approx(wanted, rel=0.01)
    # Its peak over the light at its place: a ring of a fiftieth of the middle, and some scatter.
    assert found.companion_over_ring == pytest.approx(50.0 * ratio, rel=0.02)
    assert found.apparent_arcmin == pytest.approx(2.0 * 150.0 / 60.0)


def test_air_dims_a_glow_by_its_magnitudes_an_air_mass():
    # What an extinction is by definition: k magnitudes lost where one air mass is crossed. Overhead
    # the sky's own light, stated as it is seen from the ground, stays the same.
    def seen(mag_arcsec2, lost):
        sky = simview.Sky(sky_mag_arcsec2=21.0, altitude_deg=90.0, extinction_mag=lost)
        found = visibility_curve(KIT, patch(mag_arcsec2, 4.0), powers=[20.0, 50.0], sky=sky)
        return np.array(found.above_threshold)

    assert seen(20.0, 0.6) == pytest.approx(seen(20.6, 0.0), rel=1e-3)
    assert np.all(seen(20.0, 0.6) < 0.7 * seen(20.0, 0.0))


def test_glow_has_faded_where_it_stands_half_as_high_as_at_its_best():
    # By definition (docs/models/power.md); half is a choice.
    found = visibility_curve(KIT, patch(20.0, 4.0), sky=simview.Sky(sky_mag_arcsec2=21.0))
    at = dict(zip(found.powers, found.above_threshold, strict=True))
    best = at[found.best_power]
    past = [above for power, above in at.items() if power > found.fades_above]
    assert past
    assert max(past) < 0.5 * best <= at[found.fades_above]
    # Samples stand 6 % apart, so the last one that counts is nearly there.
    assert at[found.fades_above] < 0.56 * best


DIM_PAIR = {"double": (8.0, 0.0, 9.0, 9.5)}


@pytest.mark.parametrize("name", ["jupiter", "m51", "pair"])
@pytest.mark.parametrize("power", [20.0, 120.0])
def test_secondary_takes_the_part_of_the_light_that_its_area_is(name, power):
    # A ring of inner and outer radius r and R has 1 - (r / R)^2 of the circle's area (geometry).
    def eye(obstruction, transmission):
        scope = simview.Telescope(
            aperture_mm=100.0,
            focal_length_mm=800.0,
            obstruction=obstruction,
            transmission=transmission,
        )
        kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))
        shown = target("double", **DIM_PAIR) if name == "pair" else target(name)
        sky = simview.Sky(sky_mag_arcsec2=21.5)
        place = stations(kit, shown, powers=[power], sky=sky, observer=simview.Observer())[0]
        return place, faintest_magnitude(place.path, place.eye, simview.Observer())

    (half, limit), (clear, wanted) = eye(0.5, 0.8), eye(0.0, 0.8 * 0.75)
    assert half.eye.sky_cd_m2 == pytest.approx(clear.eye.sky_cd_m2, rel=1e-6)
    if name != "pair":
        assert half.eye.object_cd_m2 == pytest.approx(clear.eye.object_cd_m2, rel=1e-6)
    assert half.eye.pupil_mm == pytest.approx(clear.eye.pupil_mm, rel=1e-6)
    assert half.eye.acuity_arcsec == pytest.approx(clear.eye.acuity_arcsec, rel=1e-6)
    # The ring's own diffraction widens a star a little: some hundredths of a magnitude.
    assert limit == pytest.approx(wanted, abs=0.05)


def test_contrast_of_jupiter_is_that_of_its_belts():
    # Reflectances of belts and zones, published for visible light: some 0.45 to 0.55 against 0.70
    # to 0.80 (Peek 1958, The Planet Jupiter, and later photometry; from memory): as Michelson
    # contrast 0.12 to 0.28; the marks take the strong ones.
    assert 0.2 <= target("jupiter").contrast <= 0.3


def test_contrast_of_saturn_is_that_of_its_rings():
    # Ring A reflects two thirds of ring B, Cassini's division a tenth (Cuzzi et al. 1984, in
    # Planetary Rings; from memory): as Michelson contrast 0.2 from ring to ring and 0.8 from the
    # division to what lies on both sides. The marks stand for both: well above the one, not above
    # the other.
    rings, division = (1.0 - 2.0 / 3.0) / (1.0 + 2.0 / 3.0), (0.85 - 0.1) / (0.85 + 0.1)
    assert 2.0 * rings <= target("saturn").contrast <= division


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
