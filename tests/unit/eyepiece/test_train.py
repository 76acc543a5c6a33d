"""beam(): which pieces are taken, what is refused, what the eye takes from the beam."""

import dataclasses
import math

import pytest

from simview.errors import FitError, RangeError, SimviewError
from simview.eyepiece import designs
from simview.eyepiece.train import beam, choices, power_of
from simview.kit import Amplifier, Binocular, Diagonal, Eyepiece, Kit, Telescope

SCOPE = Telescope(aperture_mm=100.0, focal_length_mm=1000.0, transmission=0.9)


def kit(*focal_lengths, **options):
    eyepieces = tuple(Eyepiece(focal_length_mm=f) for f in focal_lengths)
    return Kit(telescope=SCOPE, eyepieces=eyepieces, **options)


BARLOW = Amplifier(factor=2.0)
PRISM = Amplifier(factor=1.5, kind="erecting-prism")


class TestNamedPieces:
    def test_eyepiece_is_counted_from_nought(self):
        assert beam(kit(25.0, 10.0), eyepiece=1, eye_pupil_mm=5.0).power == 100.0

    def test_amplifiers_multiply(self):
        pieces = kit(25.0, amplifiers=(BARLOW, PRISM))
        found = beam(pieces, amplifiers=(0, 1), eye_pupil_mm=5.0)
        assert found.power == pytest.approx(120.0)
        assert found.amplifier_name == "2× Barlow + 1.5× erecting prism"

    def test_light_is_the_product_of_all_pieces(self):
        pieces = kit(25.0, amplifiers=(BARLOW,), diagonal=Diagonal(transmission=0.8))
        found = beam(pieces, amplifiers=(0,), eye_pupil_mm=5.0)
        glass = designs.USUAL["plossl"].transmission
        assert found.transmission == pytest.approx(0.9 * 0.8 * 0.92 * glass)

    def test_erecting_prism_takes_the_diagonals_place(self):
        pieces = kit(25.0, amplifiers=(PRISM,), diagonal=Diagonal(transmission=0.5))
        with_prism = beam(pieces, amplifiers=(0,), eye_pupil_mm=5.0)
        without = beam(pieces, eye_pupil_mm=5.0)
        assert with_prism.transmission / without.transmission == pytest.approx(0.92 / 0.5)
        assert (with_prism.orientation, without.orientation) == ("upright", "mirrored")

    def test_stated_transmission_of_an_eyepiece_counts(self):
        piece = Eyepiece(focal_length_mm=25.0, transmission=0.5)
        found = beam(Kit(telescope=SCOPE, eyepieces=(piece,)), eye_pupil_mm=5.0)
        assert found.transmission == pytest.approx(0.45)

    def test_stop_inside_the_tube_is_the_working_aperture(self):
        stopped = dataclasses.replace(SCOPE, stop_mm=60.0, obstruction=0.3)
        pieces = Kit(telescope=stopped, eyepieces=(Eyepiece(focal_length_mm=10.0),))
        found = beam(pieces, eye_pupil_mm=5.0)
        assert found.aperture_mm == 60.0
        assert found.exit_pupil_mm == pytest.approx(0.6)
        assert found.obstruction == pytest.approx(30.0 / 60.0)

    @pytest.mark.parametrize("index", [-1, 2, 1.0, True, "0"])
    def test_index_that_the_kit_does_not_have_is_refused(self, index):
        with pytest.raises(RangeError, match="eyepiece index") as caught:
            beam(kit(25.0, 10.0), eyepiece=index, eye_pupil_mm=5.0)
        assert caught.value.allowed == "0 to 1"

    def test_amplifier_that_the_kit_does_not_have_is_refused(self):
        with pytest.raises(RangeError, match="no such piece"):
            beam(kit(25.0), amplifiers=(0,), eye_pupil_mm=5.0)

    def test_same_amplifier_twice_is_refused(self):
        with pytest.raises(FitError, match="each piece once"):
            beam(kit(25.0, amplifiers=(BARLOW,)), amplifiers=(0, 0), eye_pupil_mm=5.0)

    def test_kit_without_eyepieces_says_what_to_do(self):
        with pytest.raises(SimviewError, match="ask for a power"):
            beam(kit(), eye_pupil_mm=5.0)

    def test_absurd_power_of_real_pieces_is_refused(self):
        long = Telescope(aperture_mm=50.0, focal_length_mm=2000.0)
        pieces = Kit(telescope=long, eyepieces=(Eyepiece(focal_length_mm=1.0),))
        with pytest.raises(RangeError, match="20 to 1000 times"):
            beam(pieces, eye_pupil_mm=5.0)

    @pytest.mark.parametrize("pupil", [0.0, -1.0, math.nan, 20.0])
    def test_impossible_eye_is_refused(self, pupil):
        with pytest.raises(RangeError, match="eye_pupil_mm"):
            beam(kit(25.0), eye_pupil_mm=pupil)


class TestPowerAskedFor:
    @pytest.mark.parametrize(
        ("power", "eyepiece", "amplifier"),
        [
            (40.0, "25 mm", ""),
            (100.0, "10 mm", ""),
            (80.0, "25 mm", "2× Barlow"),
            (150.0, "10 mm", "1.5× erecting prism"),
            (120.0, "25 mm", "2× Barlow + 1.5× erecting prism"),
            (101.9, "10 mm", ""),
        ],
    )
    def test_is_met_with_the_pieces_of_the_box(self, power, eyepiece, amplifier):
        found = beam(kit(25.0, 10.0, amplifiers=(BARLOW, PRISM)), power=power, eye_pupil_mm=5.0)
        assert found.in_the_box
        assert found.power == pytest.approx(power, rel=0.02)
        assert (found.eyepiece_name, found.amplifier_name) == (eyepiece, amplifier)

    def test_is_met_with_the_fewest_pieces(self):
        found = beam(kit(20.0, 10.0, amplifiers=(BARLOW,)), power=100.0, eye_pupil_mm=5.0)
        assert (found.eyepiece_name, found.amplifier_name) == ("10 mm", "")

    def test_is_met_by_an_imagined_eyepiece_when_no_piece_comes_within_two_percent(self):
        found = beam(kit(25.0, 10.0), power=97.0, eye_pupil_mm=5.0)
        assert not found.in_the_box
        assert found.power == pytest.approx(97.0, rel=1e-12)
        assert found.exit_pupil_mm == pytest.approx(100.0 / 97.0)
        assert found.eyepiece_name == "10.3 mm"

    def test_imagined_eyepiece_takes_after_the_nearest_piece(self):
        wide = Eyepiece(focal_length_mm=8.0, apparent_field_deg=82.0, transmission=0.7)
        narrow = Eyepiece(focal_length_mm=25.0, design="huygens")
        pieces = Kit(telescope=SCOPE, eyepieces=(narrow, wide))
        found = beam(pieces, power=200.0, eye_pupil_mm=5.0)
        assert found.apparent_field_deg == pytest.approx(82.0)
        assert found.transmission == pytest.approx(0.63)
        low = beam(pieces, power=30.0, eye_pupil_mm=5.0)
        assert low.apparent_field_deg == pytest.approx(32.0)

    def test_imagined_eyepiece_keeps_the_apparent_field_of_a_known_stop(self):
        piece = Eyepiece(focal_length_mm=25.0, field_stop_mm=21.0)
        pieces = Kit(telescope=SCOPE, eyepieces=(piece,))
        found = beam(pieces, power=100.0, eye_pupil_mm=5.0)
        assert found.apparent_field_deg == pytest.approx(math.degrees(21.0 / 25.0))
        assert found.condition == "angle"

    def test_kit_without_eyepieces_gets_an_imagined_one(self):
        found = beam(kit(), power=100.0, eye_pupil_mm=5.0)
        assert not found.in_the_box
        assert found.apparent_field_deg == 50.0

    def test_power_past_the_shortest_eyepiece_still_has_its_field(self):
        found = beam(kit(10.0), power=1900.0, eye_pupil_mm=5.0)
        assert found.power == pytest.approx(1900.0)
        assert found.true_field_arcmin == pytest.approx(50.0 / 1900.0 * 60.0)

    @pytest.mark.parametrize("power", [1e9, 0.0, -50.0, math.nan, math.inf, 2001.0, 9.9])
    def test_absurd_power_is_refused(self, power):
        with pytest.raises(RangeError, match="allowed: 10 to 2000 times"):
            beam(kit(10.0), power=power, eye_pupil_mm=5.0)

    def test_power_whose_secondary_fills_the_eye_is_refused(self):
        dark = dataclasses.replace(SCOPE, obstruction=0.5)
        with pytest.raises(FitError, match="shadow fills the eye"):
            beam(Kit(telescope=dark), power=10.0, eye_pupil_mm=2.0)


class TestChoices:
    def test_lists_each_eyepiece_alone_with_each_amplifier_and_with_all(self):
        pieces = kit(25.0, 10.0, amplifiers=(BARLOW, PRISM))
        powers = [round(power, 6) for power, _ in choices(pieces)]
        assert powers == [40.0, 80.0, 60.0, 120.0, 100.0, 200.0, 150.0, 300.0]

    def test_leaves_out_what_does_not_fit(self):
        big = Eyepiece(focal_length_mm=40.0, barrel="2in")
        pieces = Kit(telescope=SCOPE, eyepieces=(big,), amplifiers=(BARLOW,), focuser="2in")
        assert [power for power, _ in choices(pieces)] == [25.0]

    def test_binocular_has_none_to_choose(self):
        glass = Kit(binocular=Binocular(power=10.0, aperture_mm=50.0))
        assert list(choices(glass)) == []

    def test_power_of_is_the_ratio(self):
        assert power_of(SCOPE, Eyepiece(focal_length_mm=20.0), (BARLOW,)) == 100.0


class TestWithoutEyepieces:
    def test_naked_eye_has_power_one_and_its_own_aperture(self):
        found = beam(Kit(), eye_pupil_mm=6.5)
        assert (found.power, found.aperture_mm, found.exit_pupil_mm) == (1.0, 6.5, 6.5)
        assert found.transmission == 1.0
        assert found.orientation == "upright"

    def test_binocular_has_what_its_shell_says(self):
        glass = Kit(binocular=Binocular(power=10.0, aperture_mm=50.0, true_field_deg=6.5))
        found = beam(glass, eye_pupil_mm=7.0)
        assert (found.power, found.exit_pupil_mm, found.aperture_mm) == (10.0, 5.0, 50.0)
        assert found.true_field_arcmin == pytest.approx(390.0)
        assert found.orientation == "upright"

    def test_binocular_is_stopped_down_by_a_small_pupil(self):
        glass = Kit(binocular=Binocular(power=7.0, aperture_mm=50.0))
        found = beam(glass, eye_pupil_mm=3.0)
        assert (found.used_pupil_mm, found.aperture_mm) == (3.0, 21.0)

    @pytest.mark.parametrize(
        ("pieces", "power"),
        [(Kit(), 2.0), (Kit(binocular=Binocular(power=10, aperture_mm=50)), 12.0)],
    )
    def test_other_power_than_its_own_is_refused(self, pieces, power):
        with pytest.raises(FitError, match="leave the power out"):
            beam(pieces, power=power, eye_pupil_mm=5.0)

    def test_its_own_power_may_be_asked_for(self):
        glass = Kit(binocular=Binocular(power=10.0, aperture_mm=50.0))
        assert beam(glass, power=10.0, eye_pupil_mm=5.0).power == 10.0
