"""Features, glows, pairs and parts against sums done by another road."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from even_patches import patch

from simview.air.stopping import annular_transfer
from simview.eye.contrast import receptor_transfer, sensitivity
from simview.eye.optics import aberration_transfer
from simview.eye.stations import Station, stations
from simview.kit import Eyepiece, Kit, Mount, Observer, Sky, Telescope
from simview.power import features, splitting
from simview.power.drawing_pairs import NOTICED, UNNOTICED, bridge, drawn_pair
from simview.power.faint import is_glow, parts_of, usual, visibility_curve
from simview.power.features import Feature, Seen, depth_needed, features_of, seen_from, seen_in
from simview.power.finest import seen_contrast, troland_of
from simview.power.multiple import _pair, _pairs, _two_pairs
from simview.power.pairs import DARK, pair_curve
from simview.power.parts import _half_period, _least_transfer, parts
from simview.power.splitting import gap_of, split_in_view
from simview.scene.scene import Scene, Stars
from simview.scene.targets import target
from simview.units import luminance_cd_m2

SPACE = Sky(air="none", altitude_deg=90.0, extinction_mag=0.0)
JUPITER, SATURN = target("jupiter"), target("saturn")


def kit(aperture: float = 100.0, ratio: float = 10.0, obstruction: float = 0.0, **mount: float):
    return Kit(
        telescope=Telescope(
            aperture_mm=aperture, focal_length_mm=ratio * aperture, obstruction=obstruction
        ),
        eyepieces=(Eyepiece(focal_length_mm=10.0),),
        mount=Mount(**mount) if mount else Mount(kind="fixed"),
    )


def place(instrument: Kit, what, power: float, sky: Sky = SPACE, **observer) -> Station:
    (one,) = stations(instrument, what, powers=[power], sky=sky, observer=Observer(**observer))
    return one


# Thin features.


def seen_by_eye(one: Station, u, power: float):
    """Sensitivity to Jupiter's detail at u cycles a degree through the eye's optics."""
    passed = aberration_transfer(u, one.path.beam.used_pupil_mm) * receptor_transfer(u)
    wide = JUPITER.size_arcsec * power / 3600.0
    return passed * sensitivity(u, troland=troland_of(one.eye), object_deg=wide)


def kept(f, aperture_mm: float, power: float, pupil_mm: float):
    """What a perfect telescope at 555 nm, the eye's optics and its receptors leave."""
    nu = np.minimum(f * 206264.8 * 555e-6 / aperture_mm, 1.0)
    u = 3600.0 * f / power
    return annular_transfer(nu, 0.0) * aberration_transfer(u, pupil_mm) * receptor_transfer(u)


@pytest.mark.parametrize("power", [60.0, 200.0])
def test_shadow_on_jupiter_is_as_deep_as_its_light_spread_by_hand(power: float) -> None:
    one = place(kit(), JUPITER, power)
    spot = features_of(JUPITER)[0]
    found = seen_in(one.path, one.eye, JUPITER, spot)
    # A disc's transform, 2 J1(x) / x, over the plane of frequencies, on a square grid. The colours
    # of the band from 555 nm weigh 4 %.
    f = (np.arange(400) - 199.5) * 0.01
    away = np.hypot(f, f[:, None])
    from scipy.special import j1

    x = math.pi * away * spot.width_arcsec
    light = math.pi / 4.0 * spot.width_arcsec**2 * 2.0 * j1(x) / x
    passed = kept(away, 100.0, power, one.path.beam.used_pupil_mm)
    assert found.depth == pytest.approx(float((light * passed).sum()) * 0.01**2, rel=0.04)
    # Twice what the best grating needs, of a ground that counts up to the 0.1 deg of a spot.
    u = np.geomspace(0.2, 80.0, 2000)
    best = sensitivity(u, troland=troland_of(one.eye), object_deg=features.SPOT_DEG).max()
    assert found.needed == pytest.approx(2.0 / best, rel=0.005)


def test_division_counts_all_the_ground_of_its_two_rings() -> None:
    one = place(kit(), SATURN, 100.0)
    line = features_of(SATURN)[0]
    # The bright rings, 92.0 to 136.8 thousand km of a diameter twice as much: 0.164 of it.
    assert line.ground_arcsec / SATURN.size_arcsec == pytest.approx(0.164, abs=0.001)
    assert line.bands[-1][1] == pytest.approx(SATURN.size_arcsec / 2.0)
    found = seen_in(one.path, one.eye, SATURN, line)
    u = np.geomspace(0.2, 80.0, 2000)
    ground = line.ground_arcsec * 100.0 / 3600.0
    best = sensitivity(u, troland=troland_of(one.eye), object_deg=ground).max()
    assert found.needed == pytest.approx(2.0 / best, rel=0.005)
    f = np.linspace(0.0, 4.0, 8001)
    passed = kept(f, 100.0, 100.0, one.path.beam.used_pupil_mm)
    w = line.width_arcsec
    wanted = 0.9 * 2.0 * w * np.trapezoid(passed * np.sinc(f * w), f)
    assert found.depth == pytest.approx(float(wanted), rel=0.04)


def test_rille_is_a_kilometre_of_the_moons_diameter_on_ground_a_hundred_times_as_wide() -> None:
    moon = target("moon")
    (rille,) = features_of(moon)
    # The Moon's mean diameter: 2 x 1737.4 km (Archinal et al. 2018).
    assert rille.width_arcsec == pytest.approx(moon.size_arcsec / (2.0 * 1737.4), rel=1e-3)
    assert rille.ground_arcsec == pytest.approx(100.0 * rille.width_arcsec)
    assert features_of(target("moon", phase_deg=9.9)) == ()
    assert features_of(target("moon", phase_deg=10.0)) != ()
    assert features_of(target("mars")) == ()


def test_shadow_of_io_is_as_wide_as_io() -> None:
    (io,) = features_of(JUPITER)
    # Io's mean radius 1821.5 km, Jupiter's at the equator 71492 (Archinal et al. 2018).
    assert io.width_arcsec / JUPITER.size_arcsec == pytest.approx(1821.5 / 71492.0, rel=1e-3)
    assert (io.contrast, io.ground_arcsec, io.there) == (1.0, JUPITER.size_arcsec, False)


SPOT = Feature(name="a", shape="spot", width_arcsec=1.0, contrast=0.5, ground_arcsec=30.0)


@pytest.mark.parametrize(
    ("depth", "dip", "seen", "barely"),
    # A hundredth of a dip makes a line, nine make a clear one (docs/models/power.md).
    [
        (0.10, None, True, False), (0.0999, None, False, False),
        (0.10, 0.0099, False, False), (0.10, 0.01, True, True),
        (0.10, 0.0899, True, True), (0.10, 0.09, True, False), (0.0999, 0.05, False, False),
    ],
)  # fmt: skip
def test_feature_is_seen_where_it_is_deep_and_parted(depth, dip, seen, barely) -> None:
    one = Seen(feature=SPOT, depth=depth, needed=0.1, dip=dip)
    assert (one.seen, one.barely) == (seen, barely)
    told = one.figures()
    assert (told["name"], told["width_arcsec"], told["depth_needed"]) == ("a", 1.0, 0.1)
    assert (told["seen"], told["barely"]) == (seen, barely)


def test_depth_that_nothing_reaches_is_told_as_none() -> None:
    one = Seen(feature=SPOT, depth=1.0, needed=math.inf)
    assert not one.seen
    assert one.figures()["depth_needed"] is None
    assert depth_needed(0.0, "line", 1.0) == math.inf


def test_clear_power_goes_before_a_lower_one_that_barely_shows(monkeypatch) -> None:
    judged = {
        30.0: None,
        40.0: Seen(feature=SPOT, depth=0.1, needed=0.2, dip=0.5),
        50.0: Seen(feature=SPOT, depth=0.3, needed=0.2, dip=0.05),
        60.0: Seen(feature=SPOT, depth=0.3, needed=0.2, dip=0.06),
        70.0: Seen(feature=SPOT, depth=0.3, needed=0.2, dip=0.5),
    }
    monkeypatch.setattr(features, "seen_in", lambda path, *_: judged[path.beam.power])
    at = [place(kit(), JUPITER, power) for power in judged]
    assert seen_from(at, JUPITER, SPOT) == (70.0, False)
    assert seen_from(at[:-1], JUPITER, SPOT) == (50.0, True)
    assert seen_from(at[:2], JUPITER, SPOT) == (None, False)


def test_no_feature_is_judged_without_light() -> None:
    one = place(kit(), JUPITER, 60.0)
    spot = features_of(JUPITER)[0]
    for light in (None, 0.0, -1.0):
        dark = replace(one.eye, object_cd_m2=light)
        assert seen_in(one.path, dark, JUPITER, spot) is None
    for share, there in ((0.94, True), (0.95, False)):
        blocked = replace(one.path, beam=replace(one.path.beam, obstruction=share))
        assert (seen_in(blocked, one.eye, JUPITER, spot) is not None) is there


# Glows.


def test_parts_of_an_even_patch_are_discs_of_their_areas() -> None:
    found = parts_of(patch(20.0, 10.0))
    light = luminance_cd_m2(20.0)
    assert [mean for _, mean in found] == pytest.approx([light] * len(found), rel=1e-5)
    assert found[-1][0] == pytest.approx(600.0, rel=0.02)
    # Four pixels of 96 across 1.1 of its diameter: 6.875" each, 2 x 6.875 x sqrt(4 / pi).
    assert found[0][0] == pytest.approx(2.0 * 6.875 * math.sqrt(4.0 / math.pi), rel=1e-3)
    assert [size for size, _ in found] == sorted(size for size, _ in found)


def test_parts_of_a_core_in_a_halo_are_means_from_the_middle_outwards() -> None:
    def paint(pixel_arcsec, pixels):
        y, x = np.mgrid[:pixels, :pixels] - pixels // 2
        r = np.hypot(x, y) * pixel_arcsec
        light = np.where(r < 100.0, 5.0, np.where(r < 300.0, 1.0, 0.0))
        return Scene(planes=np.tile(light, (3, 1, 1)).astype(np.float32), pixel_arcsec=pixel_arcsec)

    glow = replace(patch(20.0, 10.0), paint=paint)
    for size, mean in parts_of(glow):
        share = min((200.0 / size) ** 2, 1.0)  # of the disc's area that is core
        assert mean == pytest.approx(1.0 + 4.0 * share, rel=0.06)
    assert parts_of(glow)[-1][0] == pytest.approx(600.0, rel=0.02)


def test_brightest_part_is_the_mean_of_the_four_brightest_pixels() -> None:
    def paint(pixel_arcsec, pixels):
        light = np.zeros((pixels, pixels), np.float32)
        light[40:50, 40:50] = 1.0
        light[45, 43:47] = (2.0, 8.0, 4.0, 2.0)
        return Scene(planes=np.tile(light, (3, 1, 1)), pixel_arcsec=pixel_arcsec)

    found = parts_of(replace(patch(20.0, 10.0), paint=paint))
    assert found[0][1] == pytest.approx(4.0, rel=1e-4)
    # All hundred: 96 of 1 and these 16.
    assert found[-1][1] == pytest.approx(1.12, rel=1e-4)


def test_faint_glow_is_one_of_the_deep_sky_or_dim() -> None:
    assert is_glow(target("m51"))
    assert not is_glow(JUPITER)
    assert not is_glow(target("castor"))
    for light, dim in ((0.049, True), (0.05, False)):
        assert is_glow(replace(JUPITER, luminance_cd_m2=light)) is dim


def test_powers_that_can_be_had_reach_a_hundredth_past_their_ends() -> None:
    # 100 mm of 1000: 1000 / 56 = 17.86 (7 mm of pupil only ask for 14.3), 100 / 0.5 = 200.
    low, high = 1000.0 / 56.0, 200.0
    steps = (0.985 * low, 0.995 * low, 100.0, 1.005 * high, 1.015 * high)
    assert usual(kit(), steps) == [False, True, True, True, False]
    assert usual(kit(), (2.0, 3.0)) == [True, True]
    assert usual(Kit(eyepieces=()), (1.0,)) == [True]


def test_air_takes_from_a_glow_what_it_takes_from_a_star() -> None:
    # 0.3 mag through the air 1.99 times as thick at 30 deg (Kasten & Young 1989). It dims the sky's
    # glow by 0.3 (X - 1) mag too, X = (1 - 0.96 sin^2 z)^-0.5 = 1.89 (Krisciunas & Schaefer 1991,
    # PASP 103, 1033): a sky as much darker in clear air is as dark.
    def stands(sky: Sky) -> float:
        told = visibility_curve(kit(), patch(21.0, 5.0), sky=sky, powers=[50.0])
        return told.above_threshold[0]

    sky = Sky(air="none", altitude_deg=30.0, extinction_mag=0.0, sky_mag_arcsec2=20.5)
    clear = stands(replace(sky, sky_mag_arcsec2=20.5 + 0.3 * 0.89))
    dimmed = stands(replace(sky, extinction_mag=0.3))
    assert dimmed / clear == pytest.approx(10.0 ** (-0.4 * 0.3 * 1.99), rel=0.01)


def test_glow_fades_at_the_last_power_that_keeps_half_of_its_best() -> None:
    told = visibility_curve(
        kit(200.0, 6.0),
        patch(20.0, 2.0),
        sky=Sky(sky_mag_arcsec2=21.0),
        powers=[30.0, 60.0, 120.0, 240.0, 480.0, 960.0, 1920.0],
    )
    best = told.powers.index(told.best_power)
    assert told.above_threshold[best] == max(told.above_threshold)
    last = told.powers.index(told.fades_above)
    assert told.above_threshold[last] >= 0.5 * max(told.above_threshold)
    assert all(x < 0.5 * max(told.above_threshold) for x in told.above_threshold[last + 1 :])
    assert best <= last < len(told.powers) - 1


def test_glow_in_the_secondarys_shadow_does_not_show() -> None:
    # At 10 times 300 mm send a beam of 30 mm, whose middle 18 mm are dark: any pupil is in them.
    told = visibility_curve(kit(300.0, 5.0, 0.6), patch(17.0, 60.0), powers=[10.0, 100.0])
    assert told.above_threshold[0] == 0.0
    assert told.above_threshold[1] > 1.0
    assert told.best_power == 100.0


# Doubles.


def row(*stars: tuple[float, float, float]) -> Stars:
    x, y, magnitude = np.array(stars).T
    return Stars(x_arcsec=x, y_arcsec=y, magnitude=magnitude, temperature_k=np.full(len(x), 6000.0))


def test_pair_has_its_stars_distance_and_middle_and_the_brighter_one_first() -> None:
    # A triangle of 3 and 4: 5 apart.
    two = row((1.0, 2.0, 6.0), (4.0, 6.0, 5.0))
    one = _pair(two, (0, 1), "A-B")
    assert (one.name, one.separation_arcsec, one.magnitudes) == ("A-B", 5.0, (6.0, 5.0))
    assert one.middle_arcsec == (2.5, 4.0)
    assert one.places == (1, 0)
    assert _pair(two, (1, 0), "").places == (1, 0)
    assert _pair(row((0, 0, 5.0), (0, 3, 5.0)), (0, 1), "").places == (0, 1)
    # Two at one place cannot be told apart by any eye: a hundredth of an arcsecond stands for none.
    assert _pair(row((7, 7, 5.0), (7, 7, 6.0)), (0, 1), "").separation_arcsec == 0.01


def double_of(stars: Stars, size: float = 100.0):
    scene = Scene(planes=np.zeros((3, 32, 32), np.float32), pixel_arcsec=size / 8.0, stars=stars)
    return replace(target("castor"), size_arcsec=size, paint=lambda *_, **__: scene)


def test_two_brightest_of_three_stars_are_the_pair_and_one_star_is_none() -> None:
    three = double_of(row((0.0, 0.0, 7.0), (3.0, 0.0, 4.0), (0.0, 9.0, 5.0)))
    (one,) = _pairs(three)
    assert one.magnitudes == (4.0, 5.0)
    assert one.separation_arcsec == pytest.approx(math.hypot(3.0, 9.0))
    assert _pairs(double_of(row((0.0, 0.0, 4.0)))) == ()


def test_neighbours_past_the_fourth_star_change_no_pairs() -> None:
    four = [(0.0, 0.0, 5.0), (200.0, 0.0, 5.1), (2.0, 0.0, 6.0), (200.0, 3.0, 6.1)]
    found = _pairs(double_of(row(*four, (0.5, 0.0, 9.0)), 400.0))
    assert [(one.name, one.places) for one in found] == [("A-B", (0, 2)), ("C-D", (1, 3))]
    # Ten times the wider pair's 3" is just the field.
    assert _two_pairs(row(*four), 30.0) is not None


def curve(separation: float, magnitudes=(5.0, 5.0), instrument=None, sky=SPACE, **more):
    return pair_curve(
        instrument or kit(ratio=8.0),
        target("double", double=(separation, 90.0, *magnitudes)),
        separation_arcsec=separation,
        magnitudes=magnitudes,
        sky=sky,
        **more,
    )


def test_closest_pair_is_found_within_half_a_per_cent_wherever_the_search_began() -> None:
    both = curve(2.0, powers=[100.0, 140.0]).closest_arcsec
    alone = [curve(2.0, powers=[p]).closest_arcsec[0] for p in (100.0, 140.0)]
    assert both == pytest.approx(alone, rel=0.005)
    assert curve(1.005 * alone[0], powers=[100.0]).verdicts == ("split",)
    assert curve(0.995 * alone[0], powers=[100.0]).verdicts != ("split",)


def test_closest_pairs_are_left_out_but_around_the_first_split() -> None:
    powers = [30.0, 40.0, 60.0, 90.0, 130.0, 200.0]
    whole = curve(2.0, powers=powers)
    quick = curve(2.0, powers=powers, closest=False)
    first = whole.verdicts.index("split")
    assert 1 < first < 5
    told = [k for k, each in enumerate(quick.closest_arcsec) if each is not None]
    assert told == [first - 1, first]
    assert quick.splits_from == pytest.approx(whole.splits_from, rel=0.01)
    assert powers[first - 1] < quick.splits_from <= powers[first]
    assert (whole.splits_to, whole.reason) == (None, "")


def test_pair_in_the_secondarys_shadow_is_none_and_says_so() -> None:
    blind = kit(300.0, 5.0, 0.6)
    told = curve(3.0, instrument=blind, powers=[10.0, 150.0])
    assert (told.verdicts[0], told.limits[0], told.gaps[0]) == ("single", DARK, 0.0)
    assert (told.gaps_needed[0], told.closest_arcsec[0]) == (None, None)
    assert told.verdicts[1] == "split"
    assert told.splits_from == 150.0
    only = curve(3.0, instrument=blind, powers=[10.0])
    assert only.reason.endswith(DARK)
    # What the aperture can do is told of the widest that works: 116 / 300 mm; 1.22 lambda / D.
    assert told.dawes_arcsec == pytest.approx(116.0 / 300.0, rel=0.01)
    assert told.rayleigh_arcsec == pytest.approx(138.4 / 300.0, rel=0.02)


def test_air_dims_a_pair_as_fainter_stars_are() -> None:
    # 0.3 mag, 1.99 times through the air at 30 deg (Kasten & Young 1989).
    sky = replace(SPACE, altitude_deg=30.0)
    dimmed = curve(3.0, (9.0, 9.5), sky=replace(sky, extinction_mag=0.3), powers=[100.0])
    fainter = curve(3.0, (9.6, 10.1), sky=sky, powers=[100.0])
    bright = curve(3.0, (9.0, 9.5), sky=sky, powers=[100.0])
    assert dimmed.gaps_needed[0] == pytest.approx(fainter.gaps_needed[0], rel=0.02)
    assert dimmed.gaps_needed[0] > 1.02 * bright.gaps_needed[0]


def judged(power: float, apart: float, magnitudes=(5.0, 5.0)):
    observer = Observer()
    (one,) = stations(
        kit(ratio=8.0), target("castor"), powers=[power], sky=SPACE, observer=observer
    )
    told = split_in_view(
        one.path, one.eye, observer, separation_arcsec=apart, magnitudes=magnitudes
    )
    return one, told, observer


@pytest.mark.parametrize(
    ("power", "apart", "verdict"),
    [
        (150.0, 1.7, "split"),
        (60.0, 2.6, "split"),
        (150.0, 1.25, "elongated"),
        (20.0, 1.5, "single"),
    ],
)
def test_pair_is_drawn_so_that_a_reader_tells_what_the_eye_does(power, apart, verdict) -> None:
    one, told, observer = judged(power, apart)
    assert told.verdict == verdict
    drawn = drawn_pair(
        one.path, observer, separation_arcsec=apart, magnitudes=(5.0, 5.0), verdict=verdict
    )
    plain = drawn_pair(
        one.path, observer, separation_arcsec=apart, magnitudes=(5.0, 5.0), verdict="elongated"
    )
    # Narrower for a split pair, wider for one that is none: by 12 % a step, a dozen at the most.
    steps = math.log(drawn.nerves_arcmin / plain.nerves_arcmin) / math.log(1.12)
    if verdict == "single":
        assert drawn.gap <= UNNOTICED
        assert steps >= 0.0
        return
    assert steps == pytest.approx(round(steps), abs=1e-6)
    assert round(steps) in (range(-12, 1) if verdict == "split" else (0,))
    if -12 < round(steps) < 0:
        assert drawn.gap >= NOTICED > plain.gap


def test_nerves_blur_in_print_is_no_wider_than_any_star_of_the_view() -> None:
    # A star is as wide as the eye's own blur, half of it on each side at half its height: its
    # standard deviation is that over 2 sqrt(2 ln 2).
    one, _, observer = judged(150.0, 1.25)
    for acuity_arcmin, kept in ((0.7, 0.7 / 2.354820), (0.5, 0.5 / 2.354820), (0.2, 0.2)):
        path = replace(one.path, acuity_arcsec=60.0 * acuity_arcmin)
        drawn = drawn_pair(
            path, observer, separation_arcsec=1.25, magnitudes=(5.0, 5.0), verdict="elongated"
        )
        assert drawn.nerves_arcmin == pytest.approx(kept, rel=1e-4)


def test_view_dims_a_pair_as_its_air_does() -> None:
    # 0.3 mag, 1.99 times through the air at 30 deg (Kasten & Young 1989): 0.6 mag.
    one, _, observer = judged(150.0, 3.0)
    sky = replace(one.path.sky, altitude_deg=30.0, extinction_mag=0.3)

    def needed(path, *magnitudes: float) -> float:
        told = split_in_view(path, one.eye, observer, separation_arcsec=3.0, magnitudes=magnitudes)
        return told.gap_needed

    dimmed = needed(replace(one.path, sky=sky), 9.0, 9.5)
    clear = replace(one.path, sky=replace(sky, extinction_mag=0.0))
    assert dimmed == pytest.approx(needed(clear, 9.6, 10.1), rel=0.02)
    assert dimmed > 1.02 * needed(clear, 9.0, 9.5)


def ringed(scale: float):
    """A star half as bright 1 from its middle, with a bright ring 3 to 4 from it."""

    def image(r):
        x = np.abs(r) / scale
        return 0.5 ** (x**2) + 0.1 * np.exp(-(((x - 3.6) / 0.3) ** 2))

    return image


@pytest.mark.parametrize("scale", [1e-3, 0.1, 10.0, 1e3])
@pytest.mark.parametrize("apart", [2.6, 3.0, 3.3, 4.4])
def test_gap_is_as_deep_of_stars_a_thousand_times_as_large(apart, scale) -> None:
    image, ratio = ringed(scale), 0.3
    x = np.linspace(0.0, apart + 1.0, 200001)
    line = ringed(1.0)(x) + ratio * ringed(1.0)(x - apart)
    # Up to 0.9 of a star's width, twice its half, from its place a hump is the fainter star's.
    near = np.abs(x - apart) < 0.9
    hump = np.flatnonzero(near)[line[near].argmax()]
    low = line[:hump].min()
    radial = (line[hump] - low) / (line[hump] + low)
    ring, peak = ringed(1.0)(np.array([apart, 0.0]))
    along = ratio * peak / (ratio * peak + 2.0 * ring)
    found = gap_of(apart * scale, ratio, image, 2.0 * scale)
    assert found == pytest.approx(min(radial, along), rel=0.01)


def test_pair_that_is_not_split_is_graded_by_what_is_left_of_its_gap() -> None:
    """A quarter of what the eye needs is a notch; less, that telescope and air leave, the limit."""
    for share, parted, grade in (
        (0.249, True, "limit"),
        (0.249, False, "elongated"),
        (0.25, True, "notched"),
        (0.9, True, "notched"),
    ):
        assert splitting._grade("elongated", share * 0.2, 0.2, parted=parted) == grade
    assert splitting._grade("elongated", 0.0, 0.0, parted=True) == "limit"
    assert splitting._grade("split", 0.2, 0.2, parted=True) == "split"
    assert splitting._grade("single", 0.0, 0.2, parted=True) == "single"


def airy(r):
    """A perfect telescope's star of 100 mm at 550 nm (Born & Wolf, section 8.5)."""
    from scipy.special import j1

    x = np.pi * np.maximum(np.abs(r), 1e-9) / (550e-6 / 100.0 * 206264.8)
    return (2.0 * j1(x) / x) ** 2


@pytest.mark.parametrize(
    ("apart", "ratio", "leaves"),
    # The last three have a dip of some 0.15 to 0.3 between them, which a third image fills.
    [(2.6, 0.7, 0.2), (2.4, 1.0, 0.25), (1.3, 1.0, 0.03), (1.4, 0.6, 0.03), (1.6, 0.35, 0.03)],
)
def test_bridge_is_no_more_than_it_takes(apart: float, ratio: float, leaves: float) -> None:
    where, share = bridge(airy, 100.0, apart, ratio, leaves=leaves)
    x = np.linspace(0.0, apart, 4001)
    bare = airy(x) + ratio * airy(x - apart)
    between = (x > 0.25 * apart) & (x < 0.95 * apart)
    assert where == pytest.approx(x[between][bare[between].argmin()], abs=0.05)

    def dip(light: float) -> float:
        line = bare + light * ratio * airy(x - where)
        return float(1.0 - line[between].min() / line[-1])

    assert dip(share) < leaves + 0.01
    assert dip(share - 0.05) > leaves


# Parts.


def test_bounds_are_where_each_part_alone_leaves_the_contrast_that_is_needed() -> None:
    sky = replace(SPACE, seeing_arcsec=2.0, air="long")
    shaky = kit(kind="altazimuth", shake_arcsec=0.7)
    one = place(shaky, JUPITER, 100.0, sky)
    found = parts([one], JUPITER)
    # What must be left: one over the eye's best sensitivity times the detail's contrast.
    u = np.geomspace(0.3, 60.0, 4000)
    seen = seen_by_eye(one, u, 100.0)
    least = 1.0 / (float(seen.max()) * seen_contrast(one.eye, JUPITER))
    assert _least_transfer(one, JUPITER) == pytest.approx(least, rel=0.01)
    # Aperture: the overlap of two circles at 555 nm; the band's colours weigh some per cent.
    nu = np.linspace(0.0, 1.0, 20001)
    at = nu[np.flatnonzero(annular_transfer(nu, 0.0) < least)[0]]
    cutoff = 100.0 / 555e-6 / 206264.8
    assert found.aperture_arcsec == pytest.approx(0.5 / (at * cutoff), rel=0.06)
    # Mount: exp(-2 pi^2 s^2 f^2) for an RMS of s an axis.
    f = math.sqrt(-math.log(least) / 2.0) / (math.pi * 0.7)
    assert found.mount_arcsec == pytest.approx(0.5 / f, rel=0.01)
    # Air: exp(-3.44 (lambda f / r0)^(5/3)) of a long exposure, r0 = 0.98 lambda / seeing (Fried
    # 1966), but for the outer scale, which leaves up to a quarter more.
    fried = (-math.log(least) / 3.44) ** 0.6 * 0.98 / 2.0
    assert 0.75 * 0.5 / fried < found.air_arcsec < 1.05 * 0.5 / fried


@pytest.mark.parametrize("light", [1e-5, 1e-2, 1.0, 1e3])
def test_contrast_that_is_needed_is_the_eyes_best_in_dim_light_too(light: float) -> None:
    one = place(kit(), JUPITER, 100.0)
    one = replace(one, eye=replace(one.eye, object_cd_m2=light, sky_cd_m2=1e-9))
    u = np.linspace(0.05, 60.0, 40001)
    seen = seen_by_eye(one, u, 100.0)
    wanted = 1.0 / (float(seen.max()) * seen_contrast(one.eye, JUPITER))
    assert _least_transfer(one, JUPITER) == pytest.approx(wanted, rel=0.01)


@pytest.mark.parametrize("power", [40.0, 120.0])
def test_eye_alone_ends_where_its_sensitivity_comes_down_to_the_contrast(power: float) -> None:
    one = place(kit(), JUPITER, power)
    (found,) = parts([one], JUPITER).eye_arcsec
    u = np.geomspace(1.0, 60.0, 20001)
    seen = seen_by_eye(one, u, power)
    last = u[np.flatnonzero(seen * seen_contrast(one.eye, JUPITER) >= 1.0)[-1]]
    assert found == pytest.approx(0.5 * 3600.0 / last / power, rel=0.01)


def test_part_that_keeps_enough_everywhere_or_never_bounds_nothing() -> None:
    f = np.array([0.0, 1.0, 2.0])
    assert _half_period(f, np.array([1.0, 0.9, 0.8]), 0.5) is None
    assert _half_period(f, np.array([0.4, 0.3, 0.2]), 0.5) is None
    assert _half_period(f, np.array([1.0, 0.5, 0.2]), 0.5) == pytest.approx(0.5 / (1.0 + 0.0))


def test_air_of_the_best_moments_is_told_before_this_aperture() -> None:
    # A sharp moment has a meaning for one aperture only: air and aperture together.
    one = place(kit(), JUPITER, 100.0, Sky(seeing_arcsec=0.3, air="best", altitude_deg=90.0))
    found = parts([one], JUPITER)
    assert found.air_arcsec >= 0.99 * found.aperture_arcsec
