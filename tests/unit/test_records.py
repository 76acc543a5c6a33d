"""Records are ordinary Python: copied, pickled, replaced, unfolded, printed, fed from numpy."""

from __future__ import annotations

import copy
import dataclasses
import json
import pickle

import numpy as np
import pytest

import simview
from simview.demo import kit_path

KITS = ("demo:tabletop-150", "demo:toy-refractor-50", "demo:binoculars-10x50")
WAVEFRONT = simview.Wavefront(spherical=0.25, noll={11: 0.05, 5: -0.02})


@pytest.fixture(params=KITS)
def kit(request):
    return simview.load_kit(kit_path(request.param))


@pytest.mark.parametrize(
    "again",
    [copy.copy, copy.deepcopy, lambda kit: pickle.loads(pickle.dumps(kit)), dataclasses.replace],
    ids=["copy", "deepcopy", "pickle", "replace"],
)
def test_kit_stays_equal_when_it_is_copied(kit, again):
    assert again(kit) == kit
    assert hash(again(kit)) == hash(kit)


def test_wavefront_with_noll_terms_stays_equal_when_it_is_copied():
    for again in (copy.deepcopy(WAVEFRONT), pickle.loads(pickle.dumps(WAVEFRONT))):
        assert again == WAVEFRONT
        assert hash(again) == hash(WAVEFRONT)
        assert dict(again.noll) == {5: -0.02, 11: 0.05}


def test_kit_unfolds_to_what_json_knows(kit):
    table = dataclasses.asdict(kit)
    assert json.loads(json.dumps(table))["name"] == kit.name


def test_noll_terms_cannot_be_changed():
    with pytest.raises(TypeError, match="cannot be changed"):
        WAVEFRONT.noll[11] = 1.0
    with pytest.raises(TypeError, match="cannot be changed"):
        WAVEFRONT.noll.update({11: 1.0})


def test_record_prints_what_was_said_and_no_more():
    scope = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3)
    typed = "Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3)"
    assert repr(scope) == typed
    assert eval(typed, {"Telescope": simview.Telescope}) == scope
    assert repr(simview.Sky()) == "Sky()"


def test_demo_kits_print_in_a_few_lines(kit):
    assert len(repr(kit)) < 1600


@pytest.mark.parametrize("kind", [np.float64, np.float32, np.int64, np.int32])
def test_numpy_scalars_become_plain_numbers(kind):
    scope = simview.Telescope(aperture_mm=kind(150), focal_length_mm=kind(750), vanes=np.int64(4))
    assert type(scope.aperture_mm) in (int, float)
    assert type(scope.vanes) is int
    assert scope == simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, vanes=4)


def test_numpy_scalars_can_be_seeds_and_nolls_indices():
    assert simview.Sky(seed=np.uint32(7)) == simview.Sky(seed=7)
    assert simview.Wavefront(noll={np.int64(11): np.float32(0.5)}).noll == {11: 0.5}


@pytest.mark.parametrize(
    ("record", "wrong", "named"),
    [
        (simview.Kit, {"eyepieces": 3}, "eyepieces"),
        (simview.Kit, {"eyepieces": ["plossl"]}, "eyepieces"),
        (simview.Kit, {"telescope": "newtonian"}, "telescope"),
        (simview.Kit, {"mount": None}, "mount"),
        (simview.Kit, {"sky": 2.0}, "sky"),
        (simview.Kit, {"observer": 40}, "observer"),
        (simview.Wavefront, {"noll": [0.1]}, "noll"),
        (simview.Sky, {"seed": 1.5}, "seed"),
        (simview.Sky, {"seeing_arcsec": np.bool_(True)}, "seeing_arcsec"),
    ],
)
def test_wrong_part_is_refused_by_its_name(record, wrong, named):
    with pytest.raises(simview.SimviewError, match=named):
        record(**wrong)


def test_one_piece_alone_is_a_list_of_one():
    piece = simview.Eyepiece(focal_length_mm=10.0)
    assert simview.Kit(eyepieces=piece).eyepieces == (piece,)


def test_file_gives_back_kit_with_its_sky_and_observer(kit, tmp_path):
    whole = dataclasses.replace(
        kit, sky=simview.Sky(seeing_arcsec=1.5), observer=simview.Observer(age_years=60)
    )
    assert simview.load_kit(simview.save_kit(whole, tmp_path / "kit.toml")) == whole


def test_look_takes_the_kits_own_sky_and_observer_unless_told_otherwise(kit):
    own = dataclasses.replace(
        kit,
        sky=simview.Sky(seeing_arcsec=1.25),
        observer=simview.Observer(age_years=70, pupil_mm=4.5),
    )
    view = simview.look(own, "castor")
    assert view.sky.seeing_arcsec == 1.25
    assert view.observer.age_years == 70
    told = simview.Sky(seeing_arcsec=3.5)
    assert simview.look(own, "castor", sky=told).sky == told


def test_look_takes_the_height_of_a_dated_target():
    dated = simview.target(
        "jupiter", date="2027-01-02T23:00", latitude_deg=48.0, longitude_deg=11.0
    )
    kit = simview.load_kit(kit_path("demo:tabletop-150"))
    assert simview.look(kit, dated, power=75).sky.altitude_deg == dated.altitude_deg


def views():
    """One look into the sky, and one by day with everything that the air does to it."""
    kit = simview.load_kit(kit_path("demo:tabletop-150"))
    yield simview.look(kit, "castor", power=100)
    for air in ("long", "moment", "none"):
        yield simview.look(kit, "daytime", power=50, sky=simview.Sky(air=air))


@pytest.mark.parametrize("view", list(views()), ids=repr)
def test_view_can_be_copied_and_pickled_and_still_shows_the_same(view):
    wanted = view.image(pixels_per_degree=3)
    for again in (copy.deepcopy(view), pickle.loads(pickle.dumps(view)), dataclasses.replace(view)):
        assert again.numbers == view.numbers
        assert again.image(pixels_per_degree=3) == wanted
    assert dataclasses.asdict(view)["kit"]["name"] == view.kit.name


def test_view_prints_in_a_line_and_shows_itself_as_a_picture():
    view = next(views())
    assert repr(view).startswith("<View: castor through Tabletop reflector 150/750 at 100x")
    assert view._repr_png_().startswith(b"\x89PNG")


def test_star_is_an_array_a_picture_and_a_line():
    scope = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0)
    star = simview.point_spread(scope, pixel_arcsec=0.2, pixels=64)
    assert np.asarray(star).shape == (64, 64)
    assert np.asarray(star, dtype=np.float32).sum() == pytest.approx(star.image.sum(), rel=1e-6)
    assert star._repr_png_().startswith(b"\x89PNG")
    assert repr(star).startswith("<PointSpread: 64 x 64 pixels of 0.2 arcsec, 150 mm")
    for again in (copy.deepcopy(star), pickle.loads(pickle.dumps(star))):
        np.testing.assert_array_equal(again.image, star.image)
        assert again.strehl == star.strehl
    np.testing.assert_array_equal(dataclasses.asdict(star)["image"], star.image)


def test_look_offers_the_nearest_name_for_an_unknown_target(kit):
    with pytest.raises(simview.SimviewError, match="did you mean 'jupiter'"):
        simview.look(kit, "jupitr")


@pytest.mark.parametrize("wrong", [{"kit": "kit.toml"}, {"target": 5}, {"sky": 2.0}])
def test_look_refuses_what_is_of_another_kind(kit, wrong):
    call = {"kit": kit, "target": "castor"} | wrong
    with pytest.raises(simview.SimviewError, match=next(iter(wrong))):
        simview.look(**call)
