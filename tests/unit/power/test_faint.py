"""Faint patches in a kit."""

import math

import numpy as np
import pytest
from even_patches import patch

from simview.errors import SimviewError
from simview.eye.thresholds import threshold_contrast
from simview.kit import Eyepiece, Kit, Sky, Telescope
from simview.power.faint import enough_of, rising, usual, visibility_curve
from simview.scene.targets import target


def kit(aperture):
    return Kit(
        telescope=Telescope(aperture_mm=aperture, focal_length_mm=6.0 * aperture),
        eyepieces=(Eyepiece(focal_length_mm=10.0),),
    )


def best(aperture, mag_arcsec2, arcmin, sky):
    curve = visibility_curve(
        kit(aperture), patch(mag_arcsec2, arcmin), sky=Sky(sky_mag_arcsec2=sky, altitude_deg=70.0)
    )
    return max(curve.above_threshold), curve


def test_small_bright_nebula_shows_in_any_telescope():
    # The Ring in Lyra: 17.9 mag/arcsec2 over 1.2 arcmin; seen in a 60 mm (common practice).
    above, curve = best(60.0, 17.9, 1.2, 20.5)
    assert above > 2.0
    assert curve.seen > 0.9
    assert curve.reason == ""


def test_large_dim_galaxy_needs_a_dark_sky_not_a_large_telescope():
    # The Triangulum galaxy: 22.8 mag/arcsec2 over 50 arcmin (common practice).
    town = [best(aperture, 22.8, 50.0, 19.0)[0] for aperture in (60.0, 200.0, 400.0)]
    country = best(60.0, 22.8, 50.0, 21.7)[0]
    assert max(town) < 1.0 < country
    assert "too little contrast" in best(400.0, 22.8, 50.0, 19.0)[1].reason


def test_small_nebula_shows_best_at_a_higher_power_than_a_large_one():
    small, large = (best(200.0, 20.0, size, 21.0)[1].best_power for size in (0.7, 30.0))
    assert small > 2.0 * large


@pytest.mark.parametrize("degrees", [0.3, 1.0, 3.0])
def test_darker_field_makes_size_worth_more_and_light_no_more(degrees):
    # Why a smaller telescope may need more power for a glow: what power gains by size, less what it
    # loses by light, grows as the field at the eye gets darker (Crumey 2014's own curves).
    def standing(cd_m2, larger):
        area = math.pi / 4.0 * math.radians(degrees * larger) ** 2
        return -math.log(threshold_contrast(cd_m2, area, field_factor=2.0))

    def gain_of_power(cd_m2, step=1.02):
        # The same glow at more power: larger, and its field dimmer by as much.
        more = standing(cd_m2 / step**2, step) - standing(cd_m2 * step**2, 1.0 / step)
        return more / (2.0 * math.log(step))

    gains = [gain_of_power(cd_m2) for cd_m2 in np.geomspace(1e-2, 1.2e-5, 12)]
    assert all(np.diff(gains) > 0.0)


def test_small_telescope_may_need_more_power_for_a_glow_and_never_a_wider_beam():
    # M 51 under a suburb's sky.
    told = {
        aperture: visibility_curve(kit(aperture), target("m51"), sky=Sky(sky_mag_arcsec2=19.5))
        for aperture in (80.0, 120.0, 200.0, 300.0)
    }
    powers = [curve.enough_from for curve in told.values()]
    assert powers[0] > powers[1] > powers[2]
    beams = [aperture / curve.enough_from for aperture, curve in told.items()]
    assert beams == sorted(beams)


def test_stars_are_sent_to_the_limiting_magnitude():
    with pytest.raises(SimviewError, match="limiting magnitude"):
        visibility_curve(kit(100.0), target("double", double=(2.0, 0.0, 5.0, 6.0)))


def test_bright_core_shows_where_the_mean_does_not():
    # The Orion nebula: a mean of 21 mag/arcsec2 over 85 arcmin, a core brighter than 18; that core
    # is seen by everybody, with any instrument, under a suburban sky (common practice).
    curve = visibility_curve(kit(100.0), target("orion-nebula"), sky=Sky(sky_mag_arcsec2=19.5))
    assert max(curve.above_threshold) > 3.0
    assert curve.part_arcsec < 1800.0


def test_marks_of_a_glow_enclose_its_best_power():
    _, curve = best(200.0, 20.0, 2.0, 21.0)
    assert curve.enough_from <= curve.best_power < curve.fades_above


def test_glow_that_never_shows_has_no_marks_but_a_reason():
    _, curve = best(60.0, 24.0, 30.0, 18.0)
    assert (curve.enough_from, curve.fades_above) == (None, None)
    assert curve.reason


@pytest.mark.parametrize(("aperture", "focal"), [(60.0, 700.0), (200.0, 1200.0), (250.0, 1000.0)])
@pytest.mark.parametrize("glow", ["m51", "north-america", "ring-nebula"])
def test_best_power_of_a_glow_is_one_that_can_be_had(aperture, focal, glow):
    kit = Kit(
        telescope=Telescope(aperture_mm=aperture, focal_length_mm=focal),
        eyepieces=(Eyepiece(focal_length_mm=10.0),),
    )
    for magnitude in (18.5, 20.5, 21.8):
        sky = Sky(sky_mag_arcsec2=magnitude)
        found = visibility_curve(kit, target(glow), sky=sky)
        # Eyepieces are made from 2.5 to 56 mm; faint glows are not looked at through a beam
        # narrower than half a millimetre (common practice, no source). Samples stand 6 % apart.
        assert focal / 56.0 <= 1.02 * found.best_power
        assert found.best_power <= 1.02 * min(focal / 2.5, aperture / 0.5)
        # It has a power that is enough exactly where it stands above threshold at its best one.
        stands = found.above_threshold[found.powers.index(found.best_power)] >= 1.0
        assert (found.enough_from is not None) is stands
        if found.enough_from is not None:
            assert focal / 56.0 <= 1.02 * found.enough_from <= 1.02 * found.best_power
    # Both of these show in 60 mm under the darkest of these skies, the North America nebula hardly
    # (common practice).
    if glow != "north-america":
        assert found.enough_from is not None


def by_hand(powers, above, mag):
    """Average "within x mag of the best" over all x, drawn from exp(-x / mag)."""
    drawn = mag * -np.log(1.0 - (np.arange(20000) + 0.5) / 20000)
    levels = max(above) * 10.0 ** (-0.4 * drawn)
    fine = np.geomspace(powers[0], powers[-1], 20001)
    curve = np.maximum.accumulate(np.interp(np.log(fine), np.log(powers), above))
    return float(np.exp(np.log(fine[np.searchsorted(curve, levels)]).mean()))


@pytest.mark.parametrize("slope", [0.05, 0.3, 1.0])
def test_enough_for_a_glow_is_the_mean_of_all_criteria(slope):
    powers = np.geomspace(20.0, 240.0, 60)
    above = 2.0 * (powers / 20.0) ** slope
    found = enough_of(powers, above)
    assert found == pytest.approx(by_hand(powers, above, 0.1), rel=0.02)


def test_enough_for_a_glow_is_its_lowest_power_where_nothing_is_gained():
    powers = [20.0, 40.0, 80.0]
    assert enough_of(powers, [3.0, 3.0, 2.0]) == pytest.approx(20.0)
    assert enough_of(powers, [3.0, 2.0, 1.0]) == pytest.approx(20.0)


def test_enough_for_a_glow_is_never_a_power_that_does_not_show_it():
    assert enough_of([20.0, 40.0, 80.0], [0.90, 0.95, 1.0]) == 80.0


@pytest.mark.parametrize("glow", ["m51", "ring-nebula", "m13", "saturn-nebula"])
@pytest.mark.parametrize("dark", [21.3, 19.5])
def test_enough_for_a_glow_hardly_hangs_on_what_is_called_nearly(glow, dark):
    found = visibility_curve(kit(150.0), target(glow), sky=Sky(sky_mag_arcsec2=dark))
    had = rising(found.powers, found.above_threshold, usual(kit(150.0), found.powers))
    # A fifth either way is what is meant by a reasonable choice, and by hardly.
    for mag in (0.08, 0.12):
        assert enough_of(*had, nearly_mag=mag) == pytest.approx(found.enough_from, rel=0.2)
