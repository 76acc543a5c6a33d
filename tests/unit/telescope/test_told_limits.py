"""What pages and docstrings say of limits and usual settings is what the telescope's room does."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import simview
from simview.errors import SimviewError
from simview.telescope import focus, mount_motion, opening, screws, stop
from simview.telescope.exposure import checked_screen
from simview.telescope.fault_kinds import KINDS
from simview.telescope.faults import Fault, parse
from simview.telescope.flat_screws import FlatScrews
from simview.telescope.pupil import Shape, mask
from simview.telescope.screws import Screws
from simview.telescope.spread import checked_waves, moment

PAGE = Path(__file__).parents[3] / "docs" / "models" / "faults.md"
MIRROR = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3)


def rows_of_the_page() -> dict[str, tuple[str, str, str]]:
    part = PAGE.read_text("utf-8").partition("## Limits and usual settings")[2]
    table = part.partition("\n## ")[0].replace("−", "-")
    cells = [
        re.split(r" \| ?", line[3:].rstrip("| ")) for line in table.splitlines() if "| `" in line
    ]
    return {c[0].strip("`"): tuple((*c[1:], "", "", "")[:3]) for c in cells}  # type: ignore[misc]


ROWS = rows_of_the_page()


def made(name: str, amount: float, unit: str, **options: float) -> Fault:
    name = "noll 11" if name == "noll" else name
    return Fault(name=name, amount=amount, unit=unit, options=tuple(options.items()))


def test_page_tells_of_every_fault() -> None:
    assert set(ROWS) == set(KINDS)


@pytest.mark.parametrize("name", ROWS)
def test_amounts_of_a_fault_end_where_the_page_says(name: str) -> None:
    told = re.findall(r"(\S+) to (\S+) ([a-z%]+)", ROWS[name][0])
    assert [unit for _, _, unit in told] == list(KINDS[name].units)
    for low, high, unit in told:
        for end, beyond in ((float(low), -1e-6), (float(high), 1e-6)):
            assert made(name, end, unit).amount == end
            with pytest.raises(SimviewError, match="allowed"):
                made(name, end + beyond, unit)


@pytest.mark.parametrize("name", [name for name, row in ROWS.items() if row[2].strip()])
def test_settings_of_a_fault_are_usual_and_end_where_the_page_says(name: str) -> None:
    told = re.findall(r"([a-z]+) (\S+) \((\S+) to (\S+?)\)", ROWS[name][2])
    assert {option for option, *_ in told} == set(KINDS[name].options)
    unit, (low_amount, _) = next(iter(KINDS[name].units.items()))
    for option, usual, low, high in told:
        assert made(name, low_amount, unit).option(option) == float(usual)
        for end, beyond in ((float(low), -1e-6), (float(high), 1e-6)):
            assert made(name, low_amount, unit, **{option: end}).option(option) == end
            with pytest.raises(SimviewError, match="allowed"):
                made(name, low_amount, unit, **{option: end + beyond})


@pytest.mark.parametrize("name", ROWS)
def test_direction_of_a_fault_is_usual_as_the_page_says(name: str) -> None:
    angle = ROWS[name][1].strip()
    typed = "noll 11" if name == "noll" else name
    unit, (_, high) = next(iter(KINDS[name].units.items()))
    if not angle:
        with pytest.raises(SimviewError, match="no angle"):
            Fault(name=typed, amount=high / 2.0, unit=unit, angle_deg=0.0)
        return
    assert Fault(name=typed, amount=high / 2.0, unit=unit).angle == float(angle.rstrip("°"))
    for end in (-360.0, 360.0):
        assert Fault(name=typed, amount=high / 2.0, angle_deg=end).angle == end
        with pytest.raises(SimviewError, match="360"):
            Fault(name=typed, amount=high / 2.0, angle_deg=end * (1.0 + 1e-6))


def test_clock_has_twelve_hours_from_the_top_to_the_right() -> None:
    # A clock's face: 12 above, 3 to the right; angles run the other way from the right.
    for hour in range(1, 13):
        told = parse(f"coma=0.1@{hour}oclock").angle
        over, up = math.sin(hour * math.pi / 6.0), math.cos(hour * math.pi / 6.0)
        assert math.cos(math.radians(told)) == pytest.approx(over, abs=1e-12)
        assert math.sin(math.radians(told)) == pytest.approx(up, abs=1e-12)


# What docstrings promise: a value at the end of a range is taken, the next one is refused.
ENDS: dict[str, tuple[Any, list[Any], list[Any]]] = {
    "wavelength, 350 to 1000 nm": (
        lambda v: checked_waves([v], 0.1, 64), [350.0, 1000.0], [349.99, 1000.01]
    ),
    "pixel, 1e-5 to 36000 arcsec": (
        lambda v: checked_waves([550.0], v, 64), [1e-5, 36000.0], [0.99e-5, 36000.1]
    ),
    "pixels, 2 to 4096": (
        lambda v: checked_waves([550.0], 0.1, v), [2, 4096, np.int64(64)], [1, 4097, True]
    ),
    "travel, -60 to 60 waves": (
        lambda v: focus.checked_travel([v]), [-60.0, 60.0], [-60.01, 60.01]
    ),
    "screen, a square of 8 and more": (
        checked_screen,
        [np.zeros((8, 8)), np.ones((300, 300))],
        [np.zeros((7, 7)), np.zeros((8, 9)), np.zeros(64), np.full((8, 8), np.nan)],
    ),
    "samples, even numbers of 16 to 4096": (
        lambda v: mask(Shape(), v), [16, 64], [15, 14, 17, 4098]
    ),
    "shadow, up to 0.98": (
        lambda v: mask(Shape(obstruction=v), 32), [0.0, 0.98], [-0.01, 0.981]
    ),
    "vanes, up to half": (
        lambda v: mask(Shape(vanes=1, vane_ratio=v), 32), [0.0, 0.5], [-0.01, 0.501]
    ),
    "effective aperture, 0.1 mm to the telescope's own": (
        lambda v: stop.stop_for(simview.Telescope(aperture_mm=80.0, focal_length_mm=400.0), v),
        [0.1, 80.0],
        [0.099, 80.01],
    ),
    "shadow against the effective aperture, up to 98 %": (
        lambda v: stop.stop_for(MIRROR, 100.0, v), [0.0, 0.98], [-0.01, 0.981]
    ),
    "frames, 1 to 100000": (
        lambda v: mount_motion.path_arcsec(simview.Mount(), v, np.random.default_rng(1)),
        [1, 2],
        [0, 100001],
    ),
    "frames a second, 0.1 to 10000": (
        lambda v: mount_motion.path_arcsec(
            simview.Mount(), 2, np.random.default_rng(1), frames_per_second=v
        ),
        [0.1, 10000.0],
        [0.099, 10001.0],
    ),
    "since the touch, 0 to a million seconds": (
        lambda v: mount_motion.path_arcsec(
            simview.Mount(), 2, np.random.default_rng(1), touched_s=v
        ),
        [0.0, 1e6, float("inf")],
        [-0.01, 1.01e6],
    ),
    "thread of a screw, 0.05 to 5 mm": (
        lambda v: Screws(scope=MIRROR, pitch_mm=v), [0.05, 5.0], [0.049, 5.01]
    ),
    "first screw, -360 to 360 deg": (
        lambda v: Screws(scope=MIRROR, first_deg=v), [-360.0, 360.0], [-360.1, 360.1]
    ),
    "circle behind a primary, a tenth of the mirror to all of it": (
        lambda v: Screws(scope=MIRROR, circle_mm=v), [15.0, 150.0], [14.9, 150.1]
    ),
    "circle before a secondary, a 20th of its shadow to all of it": (
        lambda v: Screws(scope=MIRROR, circle_mm=v, layout="cassegrain"), [2.25, 45.0], [2.2, 45.1]
    ),
    "circle of a flat's screws, the same": (
        lambda v: FlatScrews(scope=MIRROR, circle_mm=v), [2.25, 45.0], [2.2, 45.1]
    ),
    "thread of a flat's screw, 0.05 to 5 mm": (
        lambda v: FlatScrews(scope=MIRROR, pitch_mm=v), [0.05, 5.0], [0.049, 5.01]
    ),
    "flat's first screw and focuser, -360 to 360 deg": (
        lambda v: FlatScrews(scope=MIRROR, first_deg=v, focuser_deg=-v),
        [-360.0, 360.0],
        [-360.1, 360.1],
    ),
    "turns, -20 to 20": (
        lambda v: simview.collimation(
            simview.Kit(telescope=MIRROR), turns=(v, v, v), pixels=32, pixel_arcsec=0.3
        ),
        [-20.0, 20.0],
        [-20.01, 20.01],
    ),
}  # fmt: skip


@pytest.mark.parametrize("said", ENDS)
def test_range_ends_where_its_docstring_says(said: str) -> None:
    ask, taken, refused = ENDS[said]
    for value in taken:
        ask(value)
    for value in refused:
        with pytest.raises(SimviewError):
            ask(value)


def test_screws_stand_and_are_cut_as_is_usual() -> None:
    # M6 coarse is a millimetre, M4 coarse 0.7 (ISO 261); 0.7 of the aperture behind a primary, 0.4
    # of the shadow before a secondary, which is a third where none is told (common practice).
    own = Screws(scope=MIRROR)
    assert (own.circle_mm, own.pitch_mm) == (pytest.approx(105.0), 1.0)
    folded = Screws(scope=MIRROR, layout="schmidt-cassegrain")
    assert (folded.circle_mm, folded.pitch_mm) == (pytest.approx(18.0), 0.7)
    bare = simview.Telescope(aperture_mm=200.0, focal_length_mm=2000.0)
    assert Screws(scope=bare, layout="cassegrain").circle_mm == pytest.approx(26.4)
    flat = FlatScrews(scope=MIRROR)
    assert (flat.circle_mm, flat.pitch_mm) == (pytest.approx(18.0), 0.7)
    assert own.angles_deg() == flat.angles_deg() == (90.0, 210.0, 330.0)
    assert screws.COMA_ALLOWED == 0.25
    assert not own.before_secondary
    assert folded.before_secondary
    assert flat.before_secondary


def test_samples_follow_the_widest_of_three_needs_in_whole_steps() -> None:
    # The docstring's: 4 half-widths, 5 slopes, 3 of both; steps of 32, from 1024 on of 256.
    needs = {(0.0, 0.0): 256, (70.0, 0.0): 288, (0.0, 60.0): 320, (60.0, 40.0): 320}
    needs |= {(256.0, 0.0): 1024, (257.0, 0.0): 1280, (512.0, 0.0): 2048}
    for (half, slope), wanted in needs.items():
        assert opening.samples_for(half, slope) == wanted
    assert opening.samples_for(10.0, 2.0, 128) == 128
    with pytest.raises(SimviewError, match="2048"):
        opening.samples_for(512.1, 0.0)


def test_only_a_moment_of_air_that_moves_has_a_screen() -> None:
    sky = simview.Sky(seeing_arcsec=2.0, air="moment", seed=3)
    screen = moment(sky, 100.0)
    assert screen is not None
    assert screen.shape[0] == screen.shape[1]
    assert moment(None, 100.0) is None
    assert moment(simview.Sky(seeing_arcsec=0.0, air="moment"), 100.0) is None
    assert moment(simview.Sky(seeing_arcsec=2.0, air="long"), 100.0) is None
