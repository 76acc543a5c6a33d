"""Well-known doubles at the one default sky, against what observers report.

Separations and magnitudes: Washington Double Star catalogue, as in the table of doubles. Reports:
common practice, no single source; they are of practised observers on ordinary nights. All stand
under the usual sky, seeing of 2 arcsec, each as high as it comes at 45 deg north, at most 50 deg.
"""

import numpy as np
import pytest

import simview
from simview.power.multiple import pairs_of
from simview.power.pairs import pair_curve
from simview.scene.targets import target


def kit(aperture_mm, objective="mirror", ratio=8.0):
    return simview.Kit(
        telescope=simview.Telescope(
            aperture_mm=aperture_mm, focal_length_mm=ratio * aperture_mm, objective=objective
        ),
        eyepieces=(simview.Eyepiece(focal_length_mm=10.0),),
    )


def judged(aperture_mm, name, through=None, **more):
    pair = target(name)
    (two,) = pairs_of(pair)
    return pair_curve(
        through or kit(aperture_mm),
        pair,
        separation_arcsec=two.separation_arcsec,
        magnitudes=two.magnitudes,
        powers=list(np.geomspace(aperture_mm / 7.0, 2.0 * aperture_mm, 14)),
        closest=False,
        **more,
    )


@pytest.mark.parametrize("name", ["castor", "mizar", "albireo", "almach", "mesarthim", "algieba"])
@pytest.mark.parametrize("aperture_mm", [60.0, 100.0, 150.0, 200.0])
def test_easy_pairs_part_in_any_telescope_at_a_low_power(name, aperture_mm):
    found = judged(aperture_mm, name)
    assert found.splits_from is not None
    # Half the aperture in mm is called a low power; and equal pairs have to stand 2 to 2.5 arcmin
    # apart at the eye (Argyle 2004, Observing and Measuring Visual Double Stars: generally
    # accepted), unequal ones a little more.
    (two,) = pairs_of(target(name))
    assert found.splits_from <= max(0.5 * aperture_mm, 60.0 * 2.75 / two.separation_arcsec)


@pytest.mark.parametrize("name", ["porrima", "cor-caroli", "polaris", "rigel", "rasalgethi"])
def test_showpieces_part_in_60_mm(name):
    assert judged(60.0, name).splits_from is not None


@pytest.mark.parametrize("aperture_mm", [100.0, 150.0, 200.0])
@pytest.mark.parametrize(
    ("name", "most"),
    # Alnitak is called a pair for 150 times and more.
    [("izar", 110.0), ("epsilon1-lyrae", 110.0), ("epsilon2-lyrae", 110.0), ("alnitak", 150.0)],
)
def test_close_pairs_part_in_100_mm_and_more_about_a_hundred_times(name, most, aperture_mm):
    found = judged(aperture_mm, name)
    assert found.splits_from is not None
    assert found.splits_from < most


def test_rigel_asks_for_more_power_than_polaris_in_60_mm():
    # Reports: Polaris with 60 to 76 mm at 40 to 80 times, Rigel with 70 to 76 mm at 100 to 150 in
    # good air (common practice, no single source), with lenses of two glasses of f/11 to f/15. Ours
    # are where half of the looks succeed; a perfect mirror without their colours needs less.
    lens = kit(60.0, "achromat", 700.0 / 60.0)
    polaris, rigel = (judged(60.0, name, lens).splits_from for name in ("polaris", "rigel"))
    assert polaris < 60.0
    assert 60.0 < rigel <= 120.0
    assert judged(60.0, "polaris").splits_from < judged(60.0, "rigel").splits_from < rigel


@pytest.mark.parametrize("name", ["izar", "alnitak", "eta-orionis", "sirius"])
def test_hard_pairs_are_too_much_for_60_mm(name):
    assert judged(60.0, name).splits_from is None


def test_sirius_asks_for_a_good_night_where_it_stands_low():
    # At 45 deg north it culminates 28 deg high (declination -16.7). Reports from there: lost in the
    # glare on ordinary nights, seen in 200 mm and more on the best.
    for aperture_mm in (100.0, 200.0):
        assert judged(aperture_mm, "sirius").splits_from is None
    # 300 mm: at no power that anybody takes on an ordinary night.
    lost = judged(300.0, "sirius").splits_from
    assert lost is None or lost >= 600.0
    low = simview.Sky(seeing_arcsec=1.0, altitude_deg=28.3)
    assert judged(200.0, "sirius", sky=low).splits_from > 60.0
    assert judged(60.0, "sirius", sky=low).splits_from is None


def test_named_doubles_stand_no_higher_than_they_culminate():
    from simview.air.conditions import conditions

    heights = {
        name: conditions([], target(name))[0].altitude_deg for name in ("sirius", "rigel", "castor")
    }
    # 90 - 45 + declination (J2000: -16.72, -8.20, 31.89), and never above the usual 50 deg.
    assert heights == pytest.approx({"sirius": 28.3, "rigel": 36.8, "castor": 50.0}, abs=0.1)
    asked = simview.Sky(altitude_deg=60.0)
    assert conditions([], target("sirius"), asked)[0].altitude_deg == 60.0


def closest(aperture_mm, magnitudes, seeing=0.7, powers=(2.0, 3.0), **more):
    # Couteau (L'Observation des etoiles doubles visuelles, after Argyle 2004): twice the mm.
    pair = target("double", double=(4.0, 0.0, *magnitudes))
    found = pair_curve(
        kit(aperture_mm),
        pair,
        separation_arcsec=4.0,
        magnitudes=magnitudes,
        powers=[per_mm * aperture_mm for per_mm in powers],
        sky=simview.Sky(seeing_arcsec=seeing, air="best" if seeing else "none", **more),
    )
    return min(limit for limit in found.closest_arcsec if limit)


@pytest.mark.parametrize("aperture_mm", [100.0, 150.0, 200.0, 300.0])
def test_equal_pairs_of_the_sixth_magnitude_part_near_dawes_limit(aperture_mm):
    # Dawes 1867, Mem. RAS 35, 137: 116 / D mm for two stars of the sixth magnitude. Without air
    # within a fifth of it; the best moments of good air keep them at Rayleigh's 138 / D, 1.19 of
    # Dawes', within a tenth: whatever the air leaves of contrast at that frequency, half is gone.
    dawes = 116.0 / aperture_mm
    assert closest(aperture_mm, (6.0, 6.0), 0.0) == pytest.approx(1.1 * dawes, rel=0.08)
    assert closest(aperture_mm, (6.0, 6.0)) == pytest.approx(1.19 * dawes, rel=0.1)


@pytest.mark.parametrize(("aperture_mm", "most"), [(100.0, 1.18), (150.0, 1.15), (300.0, 1.15)])
def test_good_air_overhead_keeps_equal_pairs_near_dawes_limit(aperture_mm, most):
    # Overhead the air spreads no colours: within 15 % of Dawes' limit, but for 100 mm, where two
    # stars of the sixth magnitude are dim (docs/models/doubles.md).
    found = closest(
        aperture_mm, (6.0, 6.0), powers=(2.0, 3.0), altitude_deg=90.0, extinction_mag=0.0
    )
    assert 1.0 < found * aperture_mm / 116.0 < most


@pytest.mark.parametrize(
    ("aperture_mm", "seeing"),
    [(50.0, 1.0), (100.0, 1.0), (150.0, 0.7), (200.0, 0.7), (300.0, 0.0)],
)
def test_pairs_as_bright_on_the_retina_part_near_dawes_limit_in_every_telescope(
    aperture_mm, seeing
):
    # What the eye sees of the gap hangs on the light in it, which at one exit pupil grows as the
    # square of the aperture. Pairs as bright there as sixth-magnitude ones in 150 mm (6 inches)
    # keep within 15 % of Dawes' limit overhead, in good air for their size.
    magnitude = 6.0 - 5.0 * np.log10(150.0 / aperture_mm)
    found = closest(
        aperture_mm,
        (magnitude, magnitude),
        seeing,
        powers=(2.0, 3.0),
        altitude_deg=90.0,
        extinction_mag=0.0,
    )
    assert 1.0 < found * aperture_mm / 116.0 < 1.155


def test_stars_at_one_place_are_one_star():
    # Equal stars are drawn out from about half of Dawes' limit on (common practice, no source:
    # practised eyes tell a long image from half of the limit on), never far below.
    words = {
        part: judged_pair(150.0, part * 116.0 / 150.0) for part in (0.02, 0.3, 0.45, 0.7, 0.9, 1.3)
    }
    assert [words[part] for part in (0.02, 0.3, 0.45)] == ["single"] * 3
    assert [words[part] for part in (0.7, 0.9)] == ["elongated"] * 2
    assert words[1.3] == "split"


def judged_pair(aperture_mm, separation_arcsec):
    pair = target("double", double=(separation_arcsec, 0.0, 6.0, 6.0))
    found = pair_curve(
        kit(aperture_mm),
        pair,
        separation_arcsec=separation_arcsec,
        magnitudes=(6.0, 6.0),
        powers=[3.0 * aperture_mm],
        sky=simview.Sky(seeing_arcsec=0.7, altitude_deg=90.0),
        closest=False,
    )
    return found.verdicts[0]


def test_unequal_pairs_follow_lewis_slope():
    # Lewis 1914, Observatory 37, 372 (from memory): means of many observers, times the aperture in
    # inches: 4.8 for 5.7 + 6.4 mag, 16.5 for 6.2 + 9.5, 36 for 4.7 + 10.4. His are what was
    # measured on ordinary nights, so here the usual sky, at 150 mm (5.9 inches). The second
    # agrees within a few per cent, the very unequal ones come out a quarter too easy, the nearly
    # equal ones are held back by the air.
    ratio = [
        closest(150.0, pair, 2.0, powers=(1.2, 1.7)) / (lewis * 25.4 / 150.0)
        for pair, lewis in (((5.7, 6.4), 4.8), ((6.2, 9.5), 16.5), ((4.7, 10.4), 36.0))
    ]
    assert ratio == pytest.approx([1.6, 1.0, 0.74], rel=0.1)
