"""Jupiter's map is drawn once, by whoever comes first, and begun by whoever will want it."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest

import simview
from simview.cli import report
from simview.cli.options import ReportOptions
from simview.scene import jupiter


def test_two_threads_that_want_the_map_at_once_draw_it_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    drawn: list[int] = []
    wake = jupiter._draw_wake

    def counted(*how: object) -> None:
        drawn.append(1)
        wake(*how)  # type: ignore[arg-type]

    monkeypatch.setattr(jupiter, "_draw_wake", counted)
    jupiter.cloud_map.cache_clear()
    fetch = simview.target("jupiter").fetch
    assert fetch is not None
    with ThreadPoolExecutor(2) as threads:
        for work in [threads.submit(fetch) for _ in range(2)]:
            work.result()
    simview.target("jupiter").scene(pixel_arcsec=2.0, pixels=64)
    assert drawn == [1]


def test_what_fetches_a_map_travels_and_is_known_again() -> None:
    fetch = simview.target("jupiter").fetch
    assert fetch == simview.target("jupiter").fetch
    assert pickle.loads(pickle.dumps(fetch)) == fetch


@pytest.mark.parametrize(("json", "begun"), [(False, 2), (True, 0)])
def test_maps_are_begun_once_each_where_a_picture_is_drawn(
    json: bool, begun: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Callable[[], None]] = []
    monkeypatch.setattr(report, "beside", asked.append)
    reporter = report.Reporter(ReportOptions(json=json), stem="two-worlds")
    reporter.fetch(*map(simview.target, ("jupiter", "saturn", "moon", "jupiter")))
    assert len(asked) == begun
