"""Stars beside a brighter one: its light lies behind them, near it more than far from it."""

from __future__ import annotations

import numpy as np
import pytest

from simview import Observer, Sky, look
from simview.demo import kit_path
from simview.eye.beside import boiling_lux, halo_cd_m2, threshold_rise
from simview.kitfile import load_kit_file
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.power.splitting import split_in_view
from simview.scene.scene import Stars
from simview.scene.targets import target


def a_view(name: str = "sirius", **options):
    file = load_kit_file(kit_path("demo:tabletop-150"))
    return look(
        file.kit,
        target(name, **options),
        power=150,
        sky=Sky(altitude_deg=60.0),
        observer=Observer(),
    )


def stars(*rows: tuple[float, float]) -> Stars:
    """Stars on a line: x in arcsec, magnitude."""
    x, magnitude = np.array(rows).T
    return Stars(
        x_arcsec=x,
        y_arcsec=np.zeros(len(x)),
        magnitude=magnitude,
        temperature_k=np.full(len(x), 6500.0),
    )


@pytest.mark.parametrize(("apart", "faint"), [(11.3, 8.5), (30.0, 11.0), (5.0, 6.0)])
def test_margin_is_the_splitting_rooms_own(apart: float, faint: float) -> None:
    # Found there for one pair, by another road: the companion's light over its threshold.
    view = a_view()
    told = (view.path, view.eye, view.observer)
    limit = view.numbers["limiting_magnitude"]
    pair = stars((0.0, -1.46), (apart, faint))
    halo = halo_cd_m2(view.path, view.observer, pair, limit)
    rise = threshold_rise(*told, halo, boiling_lux(view.path, pair, limit))
    margin = 10.0 ** (0.4 * (limit - faint)) / rise[1]
    judged = split_in_view(*told, separation_arcsec=apart, magnitudes=(-1.46, faint))
    assert margin == pytest.approx(judged.companion_over_threshold, rel=0.03)


def test_halo_fades_outwards_and_spares_its_own_star() -> None:
    view = a_view()
    told = (view.path, view.eye, view.observer)
    row = stars((0.0, -1.46), (5.0, 9.0), (20.0, 9.0), (200.0, 9.0))
    halo = halo_cd_m2(view.path, view.observer, row, 12.5)
    assert halo[0] == 0.0
    assert halo[1] > 10.0 * halo[2] > 100.0 * halo[3] > 0.0
    assert np.all(np.diff(threshold_rise(*told, halo)[1:]) < 0.0)


def test_faint_stars_hide_nothing() -> None:
    view = a_view()
    told = (view.path, view.eye, view.observer)
    halo = halo_cd_m2(view.path, view.observer, stars((0.0, 9.0), (3.0, 9.5)), 12.5)
    assert np.all(halo == 0.0)
    assert np.all(threshold_rise(*told, halo) == 1.0)


def added(first: float, companion: float) -> np.ndarray:
    """Return by how many levels a companion changes each channel of each pixel."""
    images = []
    for second in (companion, 20.0):
        view = a_view("double", double=[12.0, 90.0, first, second])
        wanted = Wanted(view=view, pixels_per_degree=200.0, pixels=240, star_px=3.0)
        images.append(develop_all([wanted]).panels[0].astype(int))
    return np.asarray(images[0] - images[1])


def test_companion_in_glare_prints_fainter_than_alone() -> None:
    alone, beside = added(8.0, 8.5).mean(axis=2), added(0.0, 8.5).mean(axis=2)
    assert 0.0 < beside.max() < 0.7 * alone.max()


def test_companion_that_is_lost_in_glare_leaves_no_trace_in_print() -> None:
    view = a_view()
    judged = split_in_view(
        view.path, view.eye, view.observer, separation_arcsec=12.0, magnitudes=(-1.46, 9.0)
    )
    assert judged.companion_over_threshold < 0.7
    lost = added(-1.46, 9.0)
    # Its light is 1 part in 15,000 of the bright one's: single channels round otherwise, here and
    # there, some thirty of 172,800. Where it would stand nothing does, and no place of a star's
    # size holds more than two of them.
    seen = added(8.0, 8.5).mean(axis=2)
    y, x = np.unravel_index(int(seen.argmax()), seen.shape)
    assert not lost[y - 4 : y + 5, x - 4 : x + 5].any()
    places = np.lib.stride_tricks.sliding_window_view(np.abs(lost).sum(axis=2), (3, 3))
    assert places.sum(axis=(2, 3)).max() <= 2
    assert np.abs(lost).max() <= 1


def test_a_crowds_thresholds_are_those_of_its_stars_one_by_one() -> None:
    view = a_view()
    told = (view.path, view.eye, view.observer)
    # From a thousandth of the sky's light to a million times as much: more than any star's halo.
    halo = np.geomspace(1e-6, 1e3, 9001)
    crowd = threshold_rise(*told, halo)
    few = np.concatenate([threshold_rise(*told, part) for part in np.array_split(halo, 9)])
    away = np.abs(crowd / few - 1.0)
    assert away.max() < 2e-3
    assert np.quantile(away, 0.99) < 2e-5
