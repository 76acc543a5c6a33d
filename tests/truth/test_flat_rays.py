"""A Newtonian's flat out of its place, and the view by day, against an independent program's rays.

Reference: rayoptics (M. Hayford), with its own tilts, decentres, intersections and reflections; its
answers lie in `references/flat.json`, beside the script that asked it. Star and field are found
there by solving for the rays; here by reflection at a plane. Tolerance: 1e-8 radians, 1e-6 mm.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from simview.kit import Telescope
from simview.telescope.daylight import IN_PRIMARY, ByDay, Part, _Rays, seen_along
from simview.telescope.flat import Hung, seen

TOLD = json.loads((Path(__file__).parent / "references/flat.json").read_text("utf-8"))
SCOPE = Telescope(
    aperture_mm=TOLD["aperture_mm"],
    focal_length_mm=TOLD["focal_mm"],
    obstruction=TOLD["obstruction"],
)
CASES = {case["name"]: case for case in TOLD["cases"]}


def hung(case: dict, **how) -> Hung:
    return Hung(
        shift_mm=complex(*case["shift"]), along_mm=case["along"], lean=complex(*case["lean"]), **how
    )


@pytest.mark.parametrize("name", CASES)
def test_star_in_the_middle_stands_where_their_rays_say(name: str) -> None:
    case = CASES[name]
    left = seen(SCOPE, hung(case, collimated=False)).star
    assert [left.real, left.imag] == pytest.approx(case["star_left"], abs=1e-6)
    again = seen(SCOPE, hung(case)).star
    field = case["field"]
    assert again.real == pytest.approx(field[0] / field[2], abs=1e-8)
    assert again.imag == pytest.approx(field[1] / field[2], abs=1e-8)


@pytest.mark.parametrize("name", CASES)
def test_light_is_shaded_and_missed_where_their_rays_say(name: str) -> None:
    case, found = CASES[name], seen(SCOPE, hung(CASES[name]))
    node = (np.arange(TOLD["grid"]) + 0.5) / TOLD["grid"] * 2.0 - 1.0
    at = (node[None, :] + 1j * node[:, None]).ravel()
    light = np.array(list(case["light"]))
    shaded, dark = light == "s", light == "d"
    # Circles for what is an ellipse by less than 1 %: points that close to an edge may differ.
    for theirs, off, radius in (
        (shaded, np.abs(at - found.shadow), SCOPE.obstruction),
        (dark, np.abs(at - found.lit), found.lit_radius),
    ):
        inside = off < radius if theirs is shaded else off > radius
        clear = (np.abs(off - radius) > 0.015) & (light != " ")
        if theirs is dark:
            clear &= ~shaded
        np.testing.assert_array_equal(inside[clear], theirs[clear])
    if name == "far":
        assert 0.02 < dark.sum() / (light != " ").sum() < 0.3


@pytest.mark.parametrize("name", CASES)
def test_ways_from_the_hole_go_where_their_rays_go(name: str) -> None:
    case = CASES[name]
    by_day = ByDay(scope=SCOPE, hung=hung(case))
    rows = case["hole"]
    slopes = np.array([row["slopes"] for row in rows])
    on_flat, down = _Rays.from_hole(by_day, slopes).at_flat()
    assert on_flat.tolist() == [row["on_flat"] for row in rows]
    met = [row for row in rows if row["on_flat"]]
    place = down._mirror()[0]
    within = np.hypot(*place[:, :2].T) <= SCOPE.aperture_mm / 2.0
    np.testing.assert_allclose(place, [row["primary"] for row in met], atol=1e-6)
    hit, up = down.at_primary()
    assert hit.sum() >= within.sum() - 1  # a clip may be in the way of one
    again, out = up.at_flat()
    kept = [row for row, good in zip(met, hit, strict=True) if good]
    assert again.tolist() == [row["again"] for row in kept]
    back = [row for row in kept if row["again"]]
    if back:
        np.testing.assert_allclose(out.point, [row["flat"] for row in back], atol=1e-6)
        ways = out.way / np.linalg.norm(out.way, axis=1)[:, None]
        np.testing.assert_allclose(ways, [row["out"] for row in back], atol=1e-9)
    labels = seen_along(by_day, slopes)
    assert np.isin(labels[on_flat], [*IN_PRIMARY, Part.CLIP, Part.CELL]).all()
