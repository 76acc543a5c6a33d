"""The figures of a view from its parts, and what a pair's gap asks for, by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from simview.eye.contrast import sensitivity
from simview.eye.starimage import Blur
from simview.eye.stations import Station, stations
from simview.eye.system import FAULT_WIDTH
from simview.eye.thresholds import Aid, limiting_magnitude, star_lux
from simview.kit import Binocular, Eyepiece, Kit, Mount, Observer, Sky, Telescope
from simview.power.features import features_of
from simview.power.figures import faintest_magnitude, naked_pupil_mm, numbers, relative_brightness
from simview.power.splitting import is_split, judge
from simview.scene.targets import target

SPACE = Sky(air="none", altitude_deg=90.0, extinction_mag=0.0, sky_mag_arcsec2=21.0)
RADIAN = 180.0 * 3600.0 / math.pi


def kit(**mount: object) -> Kit:
    return Kit(
        telescope=Telescope(
            aperture_mm=200.0, focal_length_mm=1000.0, obstruction=0.3, transmission=0.8
        ),
        eyepieces=(Eyepiece(focal_length_mm=20.0, apparent_field_deg=50.0),),
        mount=Mount(**mount) if mount else Mount(kind="altazimuth"),
    )


def place(
    name: str,
    power: float,
    sky: Sky = SPACE,
    observer: Observer = Observer(),  # noqa: B008 (frozen)
    **mount: object,
) -> Station:
    (one,) = stations(kit(**mount), target(name), powers=[power], sky=sky, observer=observer)
    return one


def told(name: str, power: float, **mount: object) -> dict[str, float | None]:
    one = place(name, power, **mount)
    return numbers(one.path, one.eye, target(name), Observer())


# The eye's own pupil, told, so that what is lit of it is geometry alone.
SIX_MM = Observer(pupil_mm=6.0)


@pytest.mark.parametrize("power", [10.0, 20.0, 100.0, 250.0])
def test_surface_is_as_bright_as_the_share_of_the_pupil_that_is_lit(power: float) -> None:
    # Geometry: of a pupil p wide a beam of D / power lights (D / power / p)^2, but for the
    # secondary's shadow, 0.3 D / power wide, which falls into the pupil as it is; less the glass.
    path = place("jupiter", power, observer=SIX_MM).path
    p, bundle = 6.0, 200.0 / power
    lit = (min(bundle, p) / p) ** 2 - (0.3 * bundle / p) ** 2
    assert relative_brightness(path, target("jupiter"), SIX_MM) == pytest.approx(
        lit * path.beam.transmission, rel=1e-6
    )
    assert 0.5 < path.beam.transmission < 0.8


def test_the_naked_eye_has_one_pupil_whatever_the_telescope() -> None:
    # Watson & Yellott 2012, eq. 21, written out for two eyes of 40 years that look at a sky of
    # 21 mag/arcsec2 over 120 degrees: 10.8e4 * 10^(-0.4 * 21) cd/m2 (common formula). Jupiter,
    # 0.3 cd/m2 deg2, adds next to nothing.
    flux = 10.8e4 * 10.0 ** (-0.4 * 21.0) * math.pi / 4.0 * 120.0**2
    x = (flux / 846.0) ** 0.41
    young = 7.75 - 5.75 * x / (x + 2.0)
    wanted = young + (40.0 - 28.58) * (0.02132 - 0.0095623 * young)
    naked = naked_pupil_mm(target("jupiter"), SPACE, Observer(age_years=40.0))
    assert naked == pytest.approx(wanted, abs=0.05)

    # Twice the power leaves a quarter of a surface's light, on the Moon too.
    def share(power: float) -> float:
        return told("moon", power)["relative_brightness"] or 0.0

    assert share(100.0) / share(200.0) == pytest.approx(4.0, rel=1e-6)


def test_by_day_a_binocular_of_five_mm_takes_only_what_its_glass_takes() -> None:
    # Its exit pupil is wider than an eye's pupil by day: nothing is cut off.
    pair = Kit(binocular=Binocular(power=10.0, aperture_mm=50.0))
    house = target("daytime")
    (one,) = stations(pair, house, powers=[10.0], sky=SPACE, observer=Observer())
    assert one.path.beam.eye_pupil_mm < 5.0
    assert relative_brightness(one.path, house, Observer()) == one.path.beam.transmission


def test_figures_of_a_view_are_its_geometry() -> None:
    found = told("jupiter", 50.0)
    assert found["power"] == 50.0
    assert found["exit_pupil_mm"] == pytest.approx(4.0)  # 200 / 50
    # 50 degrees of apparent field: about a degree of sky, by either condition.
    assert found["true_field_arcmin"] == pytest.approx(60.0, rel=0.08)
    assert found["apparent_field_deg"] == pytest.approx(50.0, rel=0.08)
    # The sky turns by 15.041" a second of time.
    turning = 15.041 * math.cos(math.radians(target("jupiter").declination_deg))
    assert found["drift_seconds"] == pytest.approx(
        found["true_field_arcmin"] * 60.0 / turning, rel=1e-3
    )
    # Rayleigh's 1.22 lambda / D at 550 nm: 138.4 / 200.
    one = place("jupiter", 50.0)
    assert found["resolution_aperture_arcsec"] == pytest.approx(
        138.37 / one.path.beam.aperture_mm, rel=1e-3
    )
    assert found["resolution_eye_arcsec"] == pytest.approx(one.eye.acuity_arcsec / 50.0)
    assert found["resolution_air_arcsec"] == 0.0


def test_nothing_drifts_in_a_driven_view_or_on_the_ground_and_no_star_shows_by_day() -> None:
    assert told("jupiter", 50.0, kind="equatorial", driven=True)["drift_seconds"] is None
    assert told("jupiter", 50.0, kind="equatorial", driven=False)["drift_seconds"] is not None
    for name in ("bars", "siemens", "daytime"):
        assert told(name, 50.0)["drift_seconds"] is None
    assert told("daytime", 50.0)["limiting_magnitude"] is None
    assert told("jupiter", 50.0)["limiting_magnitude"] is not None


def test_faintest_star_is_the_thresholds_less_what_the_air_takes() -> None:
    # Kasten & Young 1989: 1.994 air masses at 30 degrees; 0.25 mag each.
    sky = replace(SPACE, altitude_deg=30.0, extinction_mag=0.25)
    one = place("pleiades", 100.0, sky)
    observer = Observer()
    beam = one.path.beam
    aid = Aid(
        power=100.0,
        exit_pupil_mm=2.0,
        eye_pupil_mm=one.eye.pupil_mm,
        transmission=beam.transmission * (1.0 - 0.3**2),
        field_factor=observer.field_factor,
        age_years=observer.age_years,
    )
    from simview.air.glow import luminance_cd_m2

    airy = RADIAN * 550e-6 / 200.0
    wanted = limiting_magnitude(luminance_cd_m2(sky), aid, blur_arcsec=airy) - 0.25 * 1.994
    assert faintest_magnitude(one.path, one.eye, observer) == pytest.approx(wanted, abs=0.002)


@pytest.mark.parametrize(("fault", "seeing"), [(4.0, 0.0), (0.0, 3.0), (12.0, 5.0)])
def test_faintest_star_is_as_wide_as_all_that_blurs_it_together(fault, seeing) -> None:
    # Independent widths add as squares.
    from simview.air import alone
    from simview.air.glow import luminance_cd_m2
    from simview.eye.aided import aid_of

    sky = Sky(air="long", seeing_arcsec=seeing, altitude_deg=90.0, extinction_mag=0.0)
    one = place("pleiades", 300.0, sky)
    path = replace(one.path, fault_arcsec=fault)
    air = alone.width_arcsec(path.sky, 200.0)
    wide = math.sqrt((RADIAN * 550e-6 / 200.0) ** 2 + air**2 + (FAULT_WIDTH * fault) ** 2)
    aid = aid_of(path, one.eye, Observer())
    wanted = limiting_magnitude(luminance_cd_m2(sky), aid, blur_arcsec=wide)
    assert faintest_magnitude(path, one.eye, Observer()) == pytest.approx(wanted, abs=1e-6)


def test_saturns_bands_lie_at_their_kilometres_of_a_disc_as_wide_as_its_rings() -> None:
    saturn = target("saturn")
    (division,) = features_of(saturn)
    # Ring A ends at 136.78 thousand km (PDS Ring-Moon Systems Node): that is half of the size.
    scale = saturn.size_arcsec / 2.0 / 136.78
    edges = ((74.66, 91.98), (91.98, 99.5), (99.5, 104.5), (104.5, 117.57), (117.57, 122.17),
             (122.17, 129.0), (129.0, 136.78))  # fmt: skip
    assert [(low, high) for low, high, _ in division.bands] == [
        (pytest.approx(low * scale, rel=2e-3), pytest.approx(high * scale, rel=2e-3))
        for low, high in edges
    ]
    # 4.6 thousand km of 273.6 across.
    assert division.width_arcsec == pytest.approx(saturn.size_arcsec * 4.6 / 273.56, rel=2e-3)


# A pair's gap.


def gaussian(sigma: float):
    return lambda r: (
        np.exp(-(np.asarray(r, float) ** 2) / 2.0 / sigma**2) / 2.0 / math.pi / sigma**2
    )


def blur(sigma: float, **more) -> Blur:
    wide = 2.0 * math.sqrt(2.0 * math.log(2.0)) * sigma
    return Blur(spread=gaussian(sigma), width_arcsec=wide, aperture_mm=100.0, **more)


AID = Aid(power=150.0, exit_pupil_mm=0.7, eye_pupil_mm=6.0, transmission=0.6, field_factor=2.0)


@pytest.mark.parametrize(
    ("apart", "magnitudes"), [(2.0, (6.0, 6.0)), (4.0, (9.0, 7.0)), (0.6, (10.0, 10.0))]
)
def test_gap_is_a_grating_whose_period_is_the_stars_distance(apart, magnitudes) -> None:
    # Two bright stars and the dark between them: one period of that width at the eye, on a patch
    # of two. Its light: the fainter star's peak and what the brighter one lays there, through the
    # glass and a pupil of 0.7 mm. 2.54e-6 lx of 0 mag (Allen), spread over square arcseconds.
    sigma = 0.4 * apart
    degrees = apart * 150.0 / 3600.0
    ratio = 10.0 ** (-0.4 * abs(magnitudes[0] - magnitudes[1]))
    peak = 1.0 / (2.0 * math.pi * sigma**2)
    under = peak * math.exp(-(apart**2) / 2.0 / sigma**2)
    nits = 2.54e-6 * 10.0 ** (-0.4 * min(magnitudes)) * RADIAN**2 * (ratio * peak + under) * 0.6
    seen = sensitivity(
        1.0 / degrees,
        troland=nits * math.pi / 4.0 * 0.7**2,
        object_deg=max(2.0 * degrees, 0.1),
        eyes=1,
    )
    found = judge(apart, magnitudes, blur(sigma), AID)
    assert found.gap_needed == pytest.approx(1.0 / float(seen), rel=0.02)
    # Who needs four times Blackwell's light needs twice the usual observer's contrast.
    duller = judge(apart, magnitudes, blur(sigma), replace(AID, field_factor=4.0))
    assert duller.gap_needed == pytest.approx(2.0 * found.gap_needed)
    assert found.apparent_arcmin == pytest.approx(60.0 * degrees)


def test_companion_stands_against_the_sky_and_the_bright_stars_light_at_its_place() -> None:
    # Crumey's threshold on a background: the sky and, where the companion is, the other's halo.
    apart, sigma, sky = 5.0, 1.5, 1e-3
    found = judge(apart, (4.0, 9.0), blur(sigma), AID, sky_cd_m2=sky)
    peak = 1.0 / (2.0 * math.pi * sigma**2)
    under = peak * math.exp(-(apart**2) / 2.0 / sigma**2)
    halo = 2.54e-6 * 10.0 ** (-0.4 * 4.0) * under * RADIAN**2
    wide = math.radians(2.0 * math.sqrt(2.0 * math.log(2.0)) * sigma * 150.0 / 3600.0)
    least = star_lux(sky + halo, AID, area_sr=math.pi / 4.0 * wide**2)
    wanted = 2.54e-6 * 10.0 ** (-0.4 * 9.0) / float(least)
    assert found.companion_over_threshold == pytest.approx(wanted, rel=0.02)
    assert found.companion_over_ring == pytest.approx(0.01 * peak / under, rel=1e-3)


@pytest.mark.parametrize(
    ("apart", "fainter_mag", "long"),
    [(1.0, 0.0, False), (1.3, 0.0, False), (1.45, 0.0, True), (1.55, 1.5, False), (1.7, 1.5, True)],
)
def test_pair_looks_long_where_it_reaches_a_seventh_further_than_one_star(
    apart: float, fainter_mag: float, long: bool
) -> None:
    # Two Gaussians against one of both their light, at half of the fainter's height: one reaches
    # sqrt(2 ln(2 (1 + r) / r)) either way, the pair as far as the sum on a fine line.
    ratio = 10.0 ** (-0.4 * fainter_mag)
    x = np.linspace(-6.0, 6.0 + apart, 400001)
    line = np.exp(-(x**2) / 2.0) + ratio * np.exp(-((x - apart) ** 2) / 2.0)
    one = 2.0 * math.sqrt(2.0 * math.log(2.0 * (1.0 + ratio) / ratio))
    assert bool(np.ptp(x[line >= ratio / 2.0]) > 1.15 * one) is long
    found = judge(apart, (4.0, 4.0 + fainter_mag), blur(1.0), AID)
    assert found.verdict == ("elongated" if long else "single")


@pytest.mark.parametrize("magnitude", [7.0, 9.0, 11.0])
def test_companion_lost_in_a_bright_sky_is_not_split_however_dark_the_gap(magnitude) -> None:
    # A gap asks for no less contrast for the sky's light, a star for more light than the sky's.
    verdicts = set()
    for sky in (0.0, 1e-2, 1.0, 1e2, 1e4):
        found = judge(6.0, (3.0, magnitude), blur(0.8), AID, sky_cd_m2=sky)
        wanted = found.companion_over_threshold >= 1.0 and found.gap >= found.gap_needed
        assert (found.verdict == "split") is wanted
        sooner = is_split(6.0, (3.0, magnitude), blur(0.8), AID, sky_cd_m2=sky)
        assert sooner is wanted
        verdicts.add(wanted)
    assert verdicts == {True, False}
