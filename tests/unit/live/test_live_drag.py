"""What makes a drag quick: figures alone, pictures asked for ahead, answers worked out once."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
import pytest

from simview.errors import SimviewError
from simview.live import routes as doors
from simview.live.frames import see
from simview.live.kit_table import Table
from simview.live.once import once
from simview.live.star_room import star
from simview.live.wish import SeeWish, Side, StarWish, checked

TOY = "demo:toy-refractor-50"


def wish(power: float = 45.0, **more: Any) -> SeeWish:
    return SeeWish(target="jupiter", sides=(Side(kit=TOY, power=power),), side_px=200, **more)


def test_figures_alone_are_those_of_the_whole_answer_without_a_picture() -> None:
    table = Table.laid(())
    whole, alone = see(wish(), table), see(wish(shown=()), table)
    assert alone.pictures == ()
    assert alone.header["sides"] == whole.header["sides"]


def test_picture_with_a_margin_shows_the_same_sky_at_the_same_scale_and_more_around() -> None:
    table = Table.laid(())
    plain, wider = see(wish(), table), see(wish(margin=1.2), table)
    assert wider.pictures[0].shape == (240, 240, 3)
    sides = [told.header["sides"][0] for told in (plain, wider)]
    assert sides[0]["pixels_per_degree"] == sides[1]["pixels_per_degree"]
    middle = wider.pictures[0][20:220, 20:220].astype(float)
    # The same light; noise that hides the steps of 8 bits lies elsewhere.
    assert np.abs(middle - plain.pictures[0]).mean() < 1.0


def test_of_two_views_the_one_is_pictured_that_is_asked_for() -> None:
    table = Table.laid(())
    sides = (Side(kit=TOY, power=45.0), Side(kit="demo:tabletop-150", power=75.0))
    both = SeeWish(target="jupiter", sides=sides, side_px=128)
    second = see(both.model_copy(update={"shown": (1,)}), table)
    assert len(second.header["sides"]) == 2
    (picture,) = second.pictures
    assert np.array_equal(picture, see(both, table).pictures[1])


@pytest.mark.parametrize("shown", [(1,), (-1,), (0, 1)])
def test_view_that_there_is_not_is_told(shown: tuple[int, ...]) -> None:
    asked = {"target": "jupiter", "sides": [{"kit": TOY}], "shown": shown}
    with pytest.raises(SimviewError, match=r"shown|greater"):
        checked(SeeWish, asked)


def test_what_is_only_held_waits_where_many_pages_are_open(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(doors, "jobs", lambda: 2)
    house = doors.House(Table.laid(()), "key")
    house.lines = 3
    raw = doors._frame(house, wish(hold=True, number=9).model_dump_json())
    assert b'"busy": true' in raw
    assert b'"px": []' in raw
    house.lines = 2
    assert b'"px": [200]' in doors._frame(house, wish(hold=True).model_dump_json())
    house.close()


def test_star_s_picture_while_dragged_is_no_darker_and_no_larger_than_at_rest() -> None:
    asked = StarWish(kit="demo:tabletop-150", faults=("coma=0.4@30",), side_px=448)
    table = Table.laid(())
    rest, drag = (
        star(asked.model_copy(update={"drag": drag}), table).pictures[0].astype(float)
        for drag in (False, True)
    )
    assert len(drag) == 224
    coarse = rest.reshape(224, 2, 224, 2, 3).mean(axis=(1, 3))
    assert drag.mean() == pytest.approx(coarse.mean(), rel=0.05)
    lit = [np.count_nonzero(each[..., 1] > 20.0) for each in (drag, coarse)]
    assert lit[0] == pytest.approx(lit[1], rel=0.1)


def test_two_that_ask_at_once_have_it_worked_out_once() -> None:
    begun, calls = threading.Barrier(2), []

    @once(4)
    def slow(number: int) -> int:
        calls.append(number)
        time.sleep(0.2)
        return number * number

    def ask() -> int:
        begun.wait()
        return slow(7)

    with ThreadPoolExecutor(2) as pool:
        answers = [each.result() for each in [pool.submit(ask), pool.submit(ask)]]
    assert answers == [49, 49]
    assert calls == [7]


def test_what_failed_is_asked_anew() -> None:
    tries = []

    @once(4)
    def fails_first(number: int) -> int:
        tries.append(number)
        if len(tries) == 1:
            raise SimviewError("number", got=number, allowed="a second try")
        return number

    with pytest.raises(SimviewError):
        fails_first(3)
    assert fails_first(3) == 3
