"""What fits into what. Common practice, no source."""

import pytest

from simview.errors import FitError
from simview.eyepiece import barrels
from simview.eyepiece.train import beam
from simview.kit import BARRELS, Amplifier, Diagonal, Eyepiece, Kit, Telescope

SCOPE = Telescope(aperture_mm=100.0, focal_length_mm=1000.0)


@pytest.mark.parametrize(
    ("barrel", "socket", "fits"),
    [
        ("1.25in", "1.25in", True),
        ("0.965in", "1.25in", True),
        ("0.965in", "2in", True),
        ("1.25in", "2in", True),
        ("1.25in", "0.965in", False),
        ("2in", "1.25in", False),
    ],
)
def test_barrel_goes_into_its_own_size_or_with_a_ring_into_a_larger(barrel, socket, fits):
    assert barrels.goes_into(barrel, socket) is fits


def test_larger_barrels_pass_wider_stops():
    stops = [barrels.LARGEST_STOP_MM[size] for size in BARRELS]
    assert stops == sorted(stops)
    # Never more than the barrel's outer diameter, which is its name in inches.
    assert all(stop < float(size[:-2]) * 25.4 for stop, size in zip(stops, BARRELS, strict=True))


@pytest.mark.parametrize(
    ("pieces", "owner"),
    [
        ({"focuser": "0.965in"}, "focuser"),
        ({"focuser": "2in", "diagonal": Diagonal(barrel="0.965in")}, "diagonal"),
        ({"focuser": "2in", "amplifiers": (Amplifier(factor=2, barrel="0.965in"),)}, "amplifier"),
    ],
)
def test_eyepiece_too_large_for_its_socket_is_refused_with_a_remedy(pieces, owner):
    kit = Kit(telescope=SCOPE, eyepieces=(Eyepiece(focal_length_mm=25.0),), **pieces)
    with pytest.raises(FitError) as caught:
        beam(kit, amplifiers=tuple(range(len(kit.amplifiers))), eye_pupil_mm=5.0)
    assert f"the {owner}'s 0.965in socket" in str(caught.value)
    assert caught.value.allowed == "0.965in"
    assert f"change the {owner}" in caught.value.remedy


def test_diagonal_too_large_for_the_focuser_is_refused():
    kit = Kit(
        telescope=SCOPE,
        eyepieces=(Eyepiece(focal_length_mm=25.0),),
        diagonal=Diagonal(barrel="2in"),
    )
    with pytest.raises(FitError, match="diagonal"):
        beam(kit, eye_pupil_mm=5.0)


def test_old_small_eyepiece_works_in_a_larger_focuser():
    small = Eyepiece(focal_length_mm=20.0, design="huygens", barrel="0.965in")
    kit = Kit(telescope=SCOPE, eyepieces=(small,), focuser="1.25in")
    assert beam(kit, eye_pupil_mm=5.0).power == 50.0


def test_stop_wider_than_its_barrel_is_refused():
    odd = Eyepiece(focal_length_mm=40.0, field_stop_mm=40.0)
    with pytest.raises(FitError, match="measure the ring"):
        beam(Kit(telescope=SCOPE, eyepieces=(odd,)), eye_pupil_mm=5.0)


def test_stop_a_little_wider_than_usual_is_believed():
    # Stops of 28 mm occur in 1.25 inch.
    piece = Eyepiece(focal_length_mm=32.0, field_stop_mm=28.0)
    found = beam(Kit(telescope=SCOPE, eyepieces=(piece,)), eye_pupil_mm=5.0)
    assert found.condition == "field stop"
    assert found.true_field_arcmin == pytest.approx(28.0 / 1000.0 * 3437.75, rel=1e-3)
