"""Doubles against the classic limits and against what observers report."""

import math

import numpy as np
import pytest

import simview
from simview.errors import RangeError
from simview.eye.state import objective_of, settle
from simview.eye.system import LightPath
from simview.eye.thresholds import Aid
from simview.eyepiece.train import beam
from simview.kit import Eyepiece, Kit, Observer, Sky, Telescope
from simview.power import splitting
from simview.power.drawing_pairs import drawn_pair
from simview.power.splitting import split, split_in_view
from simview.scene.targets import target

SPACE = Sky(air="none", altitude_deg=90.0, extinction_mag=0.0)
OBSERVER = Observer(age_years=30.0)


def verdict(aperture_mm, power, separation, magnitudes, sky=SPACE):
    """Judge a pair in a mirror of that aperture, optically perfect and without obstruction."""
    kit = Kit(
        telescope=Telescope(aperture_mm=aperture_mm, focal_length_mm=8.0 * aperture_mm),
        eyepieces=(Eyepiece(focal_length_mm=10.0),),
    )
    pair = target("double", double=(separation, 90.0, *magnitudes))
    first = beam(kit, power=power, eye_pupil_mm=7.0)
    eye = settle(first, pair, sky, OBSERVER, binocular=False)
    seen = beam(kit, power=power, eye_pupil_mm=eye.pupil_mm)
    path = LightPath(scope=objective_of(kit, seen), beam=seen, sky=sky, mount=kit.mount)
    return split_in_view(path, eye, OBSERVER, separation_arcsec=separation, magnitudes=magnitudes)


def closest(aperture_mm, power, magnitudes):
    """Return the closest pair that is split, arcsec."""
    low, high = 50.0 / aperture_mm, 600.0 / aperture_mm
    for _ in range(14):  # to 1e-4 of the range
        middle = (low + high) / 2.0
        if verdict(aperture_mm, power, middle, magnitudes).verdict == "split":
            high = middle
        else:
            low = middle
    return high


@pytest.mark.parametrize("aperture_mm", [60.0, 100.0, 200.0])
def test_bright_equal_pairs_split_between_dawes_and_rayleigh(aperture_mm):
    # Dawes 1867, Mem. RAS 35, 137: 116 / D arcsec, found with practised eyes and equal stars;
    # Rayleigh 1879: 138.4 / D at 550 nm. The model's eye comes within 13 % of Dawes'.
    limit = closest(aperture_mm, 1.5 * aperture_mm, (4.0, 4.0))
    assert 116.0 / aperture_mm < limit < 138.4 / aperture_mm


def test_limits_stand_beside_the_verdict():
    seen = verdict(100.0, 150.0, 2.0, (6.0, 6.0))
    assert seen.dawes_arcsec == pytest.approx(1.16)
    assert seen.rayleigh_arcsec == pytest.approx(1.3837, abs=1e-3)


def test_gap_of_an_equal_pair_at_rayleighs_limit_is_the_classic_saddle():
    # Midpoint over peak 0.7350, equal stars, one colour: Michelson 0.1527. Airy's own pattern.
    from scipy.special import j1

    def airy(radius):
        v = np.maximum(np.pi * 100.0 / 550e-6 * np.abs(radius) / 206264.806, 1e-9)
        return (2.0 * j1(v) / v) ** 2

    aid = Aid(power=10.0, exit_pupil_mm=10.0, eye_pupil_mm=7.0)
    # At a power of 10 the eye's scatter is spread over more than the pair.
    seen = split(1.219670 * 550e-6 / 100.0 * 206264.806, (0.0, 0.0), airy, aid, aperture_mm=100.0)
    assert seen.gap == pytest.approx((1.0 - 0.7350) / (1.0 + 0.7350), abs=0.002)


def test_power_opens_a_pair_that_the_telescope_resolves():
    # Common practice: a pair needs 2 to 5 arcmin at the eye.
    low, high = verdict(100.0, 20.0, 1.6, (5.0, 5.0)), verdict(100.0, 150.0, 1.6, (5.0, 5.0))
    assert (low.verdict, high.verdict) == ("single", "split")
    assert "at this power" in low.limit
    assert high.limit == ""
    assert high.apparent_arcmin == pytest.approx(4.0)


def test_power_does_not_open_what_the_telescope_merges():
    for power in (100.0, 200.0, 400.0):
        seen = verdict(60.0, power, 1.5, (4.0, 4.0))
        assert seen.verdict != "split"
        assert "whatever the power" in seen.limit


def test_unequal_pairs_need_more_than_the_limits_for_equal_ones():
    equal, unequal = closest(100.0, 150.0, (4.0, 4.0)), closest(100.0, 150.0, (4.0, 7.0))
    assert unequal > 1.25 * equal


def test_companion_on_the_first_ring_is_harder_than_in_the_first_dark_ring():
    # Airy: dark ring at 1.22, bright ring at 1.635 lambda/D (100 mm: 1.38 and 1.85 arcsec).
    dark = verdict(100.0, 200.0, 1.38, (3.0, 7.0))
    ring = verdict(100.0, 200.0, 1.85, (3.0, 7.0))
    assert ring.companion_over_ring < 0.7 * dark.companion_over_ring


@pytest.mark.parametrize(
    ("name", "aperture", "separation", "magnitudes", "seeing", "expected"),
    [
        # Separations and magnitudes: Washington Double Star catalogue. Verdicts: common practice.
        ("Albireo", 50.0, 34.3, (3.19, 5.11), 3.0, "split"),
        ("Mizar", 50.0, 14.4, (2.23, 3.88), 3.0, "split"),
        ("Castor", 60.0, 5.6, (1.93, 2.97), 2.0, "split"),
        ("gamma Leonis", 60.0, 4.6, (2.37, 3.64), 1.5, "split"),
        ("eps1 Lyrae", 100.0, 2.2, (5.15, 6.10), 1.0, "split"),
        ("Polaris", 80.0, 18.3, (1.98, 8.9), 2.0, "split"),
        ("Rigel", 100.0, 9.4, (0.2, 6.8), 1.5, "split"),
        ("Sirius", 100.0, 11.2, (-1.46, 8.5), 2.0, "single"),
        ("Sirius", 300.0, 11.2, (-1.46, 8.5), 1.0, "split"),
    ],
)
def test_well_known_doubles_behave_as_observers_report(
    name, aperture, separation, magnitudes, seeing, expected
):
    # Reports of Sirius come from the north, where it culminates at 28 deg (45 deg north).
    high = 28.3 if name == "Sirius" else 60.0
    sky = Sky(seeing_arcsec=seeing, altitude_deg=high)
    assert verdict(aperture, 1.5 * aperture, separation, magnitudes, sky).verdict == expected, name


def test_faint_companion_is_named_as_the_reason():
    seen = verdict(60.0, 60.0, 30.0, (5.0, 13.5))
    assert seen.verdict == "single"
    assert "too faint" in seen.limit
    assert seen.companion_over_threshold < 1.0


def test_order_of_the_two_does_not_matter():
    assert verdict(100.0, 150.0, 3.0, (4.0, 7.0)) == verdict(100.0, 150.0, 3.0, (7.0, 4.0))


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan])
def test_impossible_separations_are_refused(bad):
    aid = Aid(power=10.0, exit_pupil_mm=5.0, eye_pupil_mm=7.0)
    with pytest.raises(RangeError, match="separation_arcsec"):
        split(bad, (1.0, 2.0), lambda r: np.exp(-(r**2)), aid, aperture_mm=50.0)


@pytest.mark.parametrize("magnitudes", [(4.0, 4.0), (3.0, 4.5)])
def test_seen_gap_is_drawn_with_no_less_blur_than_it_takes_to_notice_it(magnitudes):
    # The ratio of the lights by Pogson's law; the gap's Michelson contrast reaches a half or the
    # nerves' least blur, and with one step more of blur it would not reach it.
    here = simview.look(
        Kit(
            telescope=Telescope(aperture_mm=100.0, focal_length_mm=1000.0),
            eyepieces=(Eyepiece(focal_length_mm=10.0),),
        ),
        target("double", double=(2.6, 90.0, *magnitudes)),
        power=100.0,
        sky=Sky(air="none", altitude_deg=90.0, extinction_mag=0.0),
    ).path
    sigma = drawn_pair(
        here, Observer(), separation_arcsec=2.6, magnitudes=magnitudes, verdict="split"
    ).nerves_arcmin
    ratio = 10.0 ** (-0.4 * (magnitudes[1] - magnitudes[0]))

    def gap(blur):
        image = splitting.star_image(here, 3.0 * 2.6, nerves_arcmin=blur)
        return splitting._gap(2.6, ratio, image, splitting.star_width(image, 100.0))[0]

    assert gap(sigma) >= 0.5
    # From the nerves of 20/20 sight, or the view's own, down in steps of 1.12.
    least = min(splitting.sight_sigma_arcmin(1.0), here.acuity_arcsec / 60.0 / 2.3548)
    assert sigma <= least * 1.0001
    if gap(least) >= 0.5:
        assert sigma == pytest.approx(least, rel=1e-4)
    else:
        assert gap(1.12 * sigma) < 0.5
