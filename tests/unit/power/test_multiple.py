"""Which stars are judged as pairs, and what is said of several."""

import pytest

import simview
from simview.picture.views.judged import judge_view
from simview.power.marks import marks
from simview.power.multiple import pairs_of
from simview.scene.targets import target
from simview.starters import starter


def test_double_double_is_two_close_pairs_as_its_halves_are_in_the_table():
    first, second = pairs_of(target("double-double"))
    for pair, name in ((first, "epsilon1-lyrae"), (second, "epsilon2-lyrae")):
        (alone,) = pairs_of(target(name))
        assert pair.separation_arcsec == pytest.approx(alone.separation_arcsec, abs=0.03)
        assert pair.magnitudes == alone.magnitudes
    assert (first.name, second.name) == ("A-B", "C-D")
    # 3.5 arcmin apart, Epsilon 1 to the north (common knowledge).
    assert first.middle_arcsec[1] - second.middle_arcsec[1] == pytest.approx(207.0, abs=4.0)


@pytest.mark.parametrize("name", ["albireo", "trapezium", "beta-monocerotis", "nu-scorpii"])
def test_other_doubles_are_one_pair_of_their_two_brightest(name):
    (pair,) = pairs_of(target(name))
    assert pair.name == ""


def test_anything_else_is_no_pair():
    assert pairs_of(target("jupiter")) == ()
    assert pairs_of(target("pleiades")) == ()


def test_each_pair_has_its_verdict_and_the_hardest_stands_for_all():
    kit, _ = starter("100/1000")
    told = judge_view(kit, target("double-double"), power=100.0)
    splits = told.figures["splits"]
    verdicts = [each["verdict"] for each in splits["pairs"]]
    assert verdicts == ["elongated", "split"]
    assert splits["verdict"] == "elongated"
    names = [name for name, _ in told.panels[0].rows]
    assert {"A-B", "C-D"} <= set(names)
    both = [marks(kit, target(name)).enough_from for name in ("epsilon1-lyrae", "epsilon2-lyrae")]
    assert told.figures["enough_from"] == pytest.approx(max(both), rel=0.02)


def test_close_up_of_two_pairs_is_held_on_a_close_one():
    view = simview.look(starter("100/1000")[0], "double-double", power=100.0)
    first, _ = pairs_of(view.target)
    assert view.target.interest_arcsec == pytest.approx(first.middle_arcsec)
    scene = view.target.scene(pixel_arcsec=0.1, pixels=64, at_arcsec=first.middle_arcsec)
    x, y = scene.stars.x_arcsec[[0, 2]], scene.stars.y_arcsec[[0, 2]]
    assert (x.mean(), y.mean()) == pytest.approx((0.0, 0.0), abs=0.01)
