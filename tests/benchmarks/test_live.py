"""How long the page waits for a picture while a control is dragged, and at rest."""

from __future__ import annotations

from itertools import count
from typing import Any

import pytest

from simview.live.frames import see
from simview.live.kit_table import Table
from simview.live.star_room import star
from simview.live.wish import SeeWish, Side, StarWish


@pytest.mark.parametrize("drag", [True, False], ids=["dragged", "at rest"])
@pytest.mark.parametrize("name", ["jupiter", "saturn", "moon", "pleiades", "orion-nebula"])
def test_view_while_power_is_dragged(benchmark: Any, name: str, drag: bool) -> None:
    table, power = Table.laid(()), count(600)

    def step() -> None:
        # Another power each time, as under a hand: nothing of the last picture can be kept.
        side = Side(kit="demo:tabletop-150", power=next(power) / 10.0)
        see(SeeWish(target=name, sides=(side,), side_px=512, drag=drag), table)

    benchmark.pedantic(step, rounds=4, warmup_rounds=1)


@pytest.mark.parametrize("drag", [True, False], ids=["dragged", "at rest"])
def test_star_while_focus_is_turned(benchmark: Any, drag: bool) -> None:
    table, tenths = Table.laid(()), count(-40)

    def step() -> None:
        waves = next(tenths) / 10.0
        faults = ("coma=0.4@30",)
        wish = StarWish(kit="demo:tabletop-150", faults=faults, waves=waves, side_px=512, drag=drag)
        star(wish, table)

    benchmark.pedantic(step, rounds=4, warmup_rounds=1)
