"""Which stars are judged as pairs, and what is said of several."""

import numpy as np
import pytest

import simview
from simview.picture.views.judged import judge_view
from simview.power.marks import marks
from simview.power.multiple import _two_pairs, pairs_of
from simview.scene.scene import Stars
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
    told = judge_view(kit, target("double-double"), power=75.0)
    splits = told.figures["splits"]
    verdicts = [each["verdict"] for each in splits["pairs"]]
    assert verdicts == ["elongated", "split"]
    assert splits["verdict"] == "elongated"
    names = [name for name, _ in told.panels[0].rows]
    assert {"A-B", "C-D"} <= set(names)
    both = [marks(kit, target(name)) for name in ("epsilon1-lyrae", "epsilon2-lyrae")]
    for figure in ("enough_from", "split_from"):
        hardest = max(each.figures()[figure] for each in both)
        assert told.figures[figure] == pytest.approx(hardest, rel=0.02)


def test_close_up_of_two_pairs_is_held_on_a_close_one():
    view = simview.look(starter("100/1000")[0], "double-double", power=100.0)
    first, _ = pairs_of(view.target)
    assert view.target.interest_arcsec == pytest.approx(first.middle_arcsec)
    scene = view.target.scene(pixel_arcsec=0.1, pixels=64, at_arcsec=first.middle_arcsec)
    x, y = scene.stars.x_arcsec[[0, 2]], scene.stars.y_arcsec[[0, 2]]
    assert (x.mean(), y.mean()) == pytest.approx((0.0, 0.0), abs=0.01)


def alone(x, y):
    return Stars(
        x_arcsec=np.array(x),
        y_arcsec=np.array(y),
        magnitude=np.full(len(x), 5.0),
        temperature_k=np.full(len(x), 9000.0),
    )


def test_four_stars_alone_are_two_pairs_where_they_stand_in_pairs():
    # Pairs of 2 and 3 arcsec, 200 apart.
    four = alone([0.0, 200.0, 2.0, 200.0], [0.0, 0.0, 0.0, 3.0])
    assert _two_pairs(four, 400.0) == ((0, 2), (1, 3))
    # The wider one ten times over is 30 arcsec: a field of less holds no two pairs apart.
    assert _two_pairs(four, 30.5) is not None
    assert _two_pairs(four, 29.5) is None
    assert _two_pairs(alone([0.0, 2.0, 200.0], [0.0, 0.0, 0.0]), 400.0) is None
    # A chain: the third's nearest is the second, whose nearest is the first.
    assert _two_pairs(alone([0.0, 2.0, 5.0, 9.0], [0.0, 0.0, 0.0, 0.0]), 400.0) is None
