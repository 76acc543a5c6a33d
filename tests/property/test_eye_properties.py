"""What must be true of every eye, sky and telescope."""

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from simview.eye import reference
from simview.eye.acuity import critical_angle_arcsec
from simview.eye.adaptation import (
    cone_efficiency,
    cone_threshold,
    mesopic,
    rod_threshold,
)
from simview.eye.contrast import sensitivity
from simview.eye.optics import aberration_transfer, diffraction_transfer
from simview.eye.pupil_size import diameter_mm
from simview.eye.scatter import veil_per_lux
from simview.eye.thresholds import (
    Aid,
    limiting_magnitude,
    seen_fraction,
    threshold_contrast,
    threshold_lux,
)
from simview.power.detail import finest_period_arcsec

FEW = settings(max_examples=60, deadline=None)
luminances = st.floats(-6.0, 4.0).map(lambda x: 10.0**x)
pupils = st.floats(0.2, 9.0)
ages = st.floats(20.0, 83.0)


@FEW
@given(luminances, st.floats(1.0, 1e4), ages)
def test_pupil_shrinks_as_light_or_age_grows(light, area, age):
    wide = diameter_mm(light, area, age)
    assert 1.0 < wide < 9.0
    assert diameter_mm(2.0 * light, area, age) <= wide
    assert diameter_mm(light, area, min(age + 5.0, 83.0)) <= wide + 1e-9


@FEW
@given(pupils, st.floats(0.0, 150.0), st.floats(0.0, 20.0))
def test_aberration_part_falls_with_frequency_within_bounds(pupil, frequency, more):
    low = aberration_transfer(frequency, pupil)
    high = aberration_transfer(frequency + more, pupil)
    assert 0.0 < high <= low + 1e-12
    assert low <= 1.0


@FEW
@given(pupils, st.floats(0.0, 3.0), st.floats(0.0, 60.0))
def test_wider_pupil_never_has_less_aberration(pupil, more, frequency):
    # Within 0.5 % where Watson's fit itself turns (his u1 is lowest at 7 mm).
    small, large = aberration_transfer(frequency, np.array([pupil, pupil + more]))
    assert large <= small + 0.005


@FEW
@given(luminances, st.floats(1.01, 100.0))
def test_brighter_sky_never_shows_fainter_stars(light, factor):
    assert threshold_lux(light * factor) >= threshold_lux(light) * (1.0 - 1e-9)


@FEW
@given(luminances, st.floats(1.01, 100.0), st.floats(1e-9, 1.0))
def test_brighter_sky_never_makes_a_patch_easier(light, factor, area):
    dim, bright = light, light * factor
    assert bright * threshold_contrast(bright, area) >= dim * threshold_contrast(dim, area) * 0.999


@FEW
@given(luminances, st.floats(1e-9, 0.1), st.floats(1.01, 10.0))
def test_larger_patch_never_needs_more_contrast(light, area, factor):
    assert threshold_contrast(light, area * factor) <= threshold_contrast(light, area)


@FEW
@given(
    st.floats(20.0, 1000.0),
    st.floats(0.05, 1.5),
    st.floats(16.0, 22.0),
    st.floats(1.05, 2.0),
    st.floats(0.2, 1.0),
)
def test_larger_telescope_shows_fainter_stars_at_the_same_exit_pupil(d, per_mm, mu, factor, t):
    def limit(aperture):
        aid = Aid(
            power=aperture * per_mm, exit_pupil_mm=1.0 / per_mm, eye_pupil_mm=7.0, transmission=t
        )
        return limiting_magnitude(1.08e5 * 10.0 ** (-0.4 * mu), aid)

    assert limit(d * factor) > limit(d)


@FEW
@given(pupils, pupils, st.floats(0.05, 1.0), st.floats(1e-5, 1e3))
def test_no_instrument_makes_a_surface_brighter(exit_pupil, eye_pupil, transmission, sky):
    def light(pupil):
        aid = Aid(
            power=50.0, exit_pupil_mm=pupil, eye_pupil_mm=eye_pupil, transmission=transmission
        )
        return reference.retinal_troland(aid.background(sky))

    bare = Aid(power=1.0, exit_pupil_mm=eye_pupil, eye_pupil_mm=eye_pupil)
    own = reference.retinal_troland(bare.background(sky))
    assert 0.0 < light(exit_pupil) <= own * (1.0 + 1e-9)
    assert light(0.9 * exit_pupil) <= light(exit_pupil) * (1.0 + 1e-9)


@FEW
@given(st.floats(0.0, 50.0), st.floats(0.0, 5.0))
def test_more_light_is_seen_more_often(above, more):
    low, high = seen_fraction(above), seen_fraction(above + more)
    assert 0.0 <= low <= high <= 1.0


@FEW
@given(luminances, st.floats(0.3, 4.0))
def test_mesopic_mixture_lies_between_its_ends(light, ratio):
    share, mixed = (float(x) for x in mesopic(light, light * ratio))
    assert 0.0 <= share <= 1.0
    low, high = sorted((light, light * ratio))
    assert low * (1.0 - 1e-9) <= mixed <= high * (1.0 + 1e-9)
    assert mesopic(2.0 * light, 2.0 * light * ratio)[0] >= share - 1e-9


@FEW
@given(luminances, st.floats(1.01, 100.0))
def test_thresholds_follow_the_light(light, factor):
    # 1.04: printed constants leave steps of 3 % at the joints of the branches.
    assert cone_threshold(light * factor) * 1.04 >= cone_threshold(light)
    assert rod_threshold(light * factor) * 1.04 >= rod_threshold(light)


@FEW
@given(luminances, st.floats(1.01, 100.0), st.floats(0.1, 60.0), st.floats(0.05, 60.0))
def test_more_light_and_larger_objects_need_less_contrast(td, factor, u, size):
    base = sensitivity(u, troland=td, object_deg=size)
    assert sensitivity(u, troland=td * factor, object_deg=size) >= base
    assert sensitivity(u, troland=td, object_deg=size * factor) >= base


@FEW
@given(luminances, st.floats(1.0, 50.0))
def test_acuity_never_improves_in_the_dark(light, factor):
    assert critical_angle_arcsec(light / factor) >= critical_angle_arcsec(light) - 1e-9


@FEW
@given(pupils, st.floats(0.1, 3.0))
def test_cone_efficiency_falls_with_the_pupil(pupil, more):
    assert 0.0 < cone_efficiency(pupil + more) < cone_efficiency(pupil) <= 1.0


@FEW
@given(st.floats(0.1, 90.0), st.floats(1.0, 1.1), ages)
def test_veil_falls_with_angle_and_grows_with_age(angle, factor, age):
    here = veil_per_lux(angle, age)
    assert veil_per_lux(angle * factor, age) <= here
    assert veil_per_lux(angle, min(age + 5.0, 83.0)) >= here


@FEW
@given(
    st.floats(30.0, 400.0),
    st.floats(1.02, 2.0),
    st.floats(5.0, 800.0),
    st.floats(0.05, 1.0),
    st.floats(1.0, 1000.0),
)
def test_larger_perfect_telescope_never_shows_less_in_still_air(d, factor, power, contrast, light):
    eye = 5.0

    def period(aperture):
        used = min(aperture / power, eye)
        return finest_period_arcsec(
            lambda f: diffraction_transfer(f * 3600.0, used * power),
            power=power,
            troland=light * math.pi / 4.0 * used**2,
            contrast=contrast,
            object_apparent_deg=power * 45.0 / 3600.0,
            used_pupil_mm=used,
        )

    small, large = period(d), period(d * factor)
    # At one power a wider beam brings more light and a finer cut-off, but past 1.4 mm also more of
    # the eye's own faults: there a small loss is real (see docs/models/finest-detail.md). At 1.395
    # mm the two already balance, to two parts in a million, for faint bands in bright light.
    if small is not None and min(d * factor / power, eye) <= 1.35:
        assert large <= small * (1.0 + 1e-6)


@settings(max_examples=15, deadline=None)  # each example is two whole curves
@given(st.floats(30.0, 300.0), st.floats(1.05, 2.0), st.floats(0.05, 1.0), st.floats(1.0, 1000.0))
def test_larger_telescopes_best_view_is_never_worse(d, factor, contrast, light):
    def best(aperture):
        periods = []
        for exit_pupil in np.geomspace(0.25, 5.0, 24):
            power = aperture / exit_pupil
            periods.append(
                finest_period_arcsec(
                    lambda f: diffraction_transfer(f * 3600.0, aperture),
                    power=power,
                    troland=light * math.pi / 4.0 * exit_pupil**2,
                    contrast=contrast,
                    object_apparent_deg=power * 45.0 / 3600.0,
                    used_pupil_mm=exit_pupil,
                )
            )
        return min((p for p in periods if p is not None), default=math.inf)

    assert best(d * factor) <= best(d) * (1.0 + 1e-6)
