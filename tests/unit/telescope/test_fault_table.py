"""One entry in the table is a whole fault: followed as the guide for contributors says."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest

import simview
from simview.picture.startest.atlas_cells import cells_for
from simview.picture.startest.words import words_for
from simview.telescope import fault_kinds, faults
from simview.telescope.fault_kinds import KINDS
from simview.telescope.faults import Fault, apply_faults, parse
from simview.telescope.quality import rms_waves, strehl
from simview.telescope.star import point_spread
from simview.telescope.terms import NO_EXTRAS

SCOPE = simview.Telescope(
    aperture_mm=150.0,
    focal_length_mm=750.0,
    wavefront=simview.Wavefront(spherical=0.1, astigmatism=0.1, noll={11: 0.02}),
)


def entry_in_the_guide() -> str:
    """The code that the guide tells a contributor to write."""
    guide = Path(__file__).parents[3] / "DEVELOPERS.md"
    part = guide.read_text(encoding="utf-8").partition("## Add a fault of the optics")[2]
    found = re.search(r"```python\n(.*?)```", part, re.DOTALL)
    assert found
    return found[1]


@pytest.fixture
def _table_with_it(monkeypatch: pytest.MonkeyPatch) -> None:
    more = eval("{" + entry_in_the_guide() + "}", vars(fault_kinds))
    table = {**fault_kinds.KINDS, **more}
    for module in (fault_kinds, faults):
        monkeypatch.setattr(module, "KINDS", table)
    monkeypatch.setattr("simview.picture.startest.atlas_cells.KINDS", table)


@pytest.mark.usefixtures("_table_with_it")
def test_entry_of_the_guide_is_a_fault_everywhere() -> None:
    fault = parse("saddle=1/2@30deg")
    found = apply_faults(SCOPE, (fault,))
    # Nothing of the kit's own wavefront is lost, and the fault costs light.
    assert found.scope.wavefront == SCOPE.wavefront
    assert strehl(found.scope, extras=found.extras) < strehl(SCOPE) - 0.02
    # r^4 sin 4t of amount 1/2 peak to valley: RMS = A / 2 / sqrt(10) over a clear circle (the
    # integral of r^8 sin^2 over the disc is 1/10 of its area), within the sampling's 1 %.
    bare = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0)
    alone = apply_faults(bare, (fault,))
    expected = 0.25 / math.sqrt(10.0)
    assert rms_waves(alone.scope, extras=alone.extras) == pytest.approx(expected, rel=0.01)
    assert words_for(fault, SCOPE).title == "A saddle"
    for kind in ("newtonian", "refractor", "cassegrain"):
        assert any(cell.fault.startswith("saddle=") for cell in cells_for(kind))


def test_fractions_and_degrees_are_read() -> None:
    hours = {"12oclock": 90.0, "3 o'clock": 0.0, "9h": 180.0, "4:30h": 315.0, "12": 12.0}
    for typed, angle in hours.items():
        assert parse(f"coma=1/4@{typed}").angle == angle
    with pytest.raises(simview.SimviewError, match="@ANGLE"):
        parse("coma=1/4@13oclock")
    fault = parse("coma=1/4@30deg")
    assert (fault.amount, fault.angle_deg) == (0.25, 30.0)
    assert parse(str(fault)) == fault


def test_shadow_and_secondary_take_millimetres() -> None:
    found = apply_faults(SCOPE, (parse("secondary=45mm"), parse("off-centre-shadow=7.5mm@0")))
    assert found.extras.obstruction == pytest.approx(0.3)
    assert found.extras.shadow_x == pytest.approx(0.1)
    with pytest.raises(simview.SimviewError, match="secondary"):
        apply_faults(SCOPE, (parse("secondary=149mm"),))


def test_seeing_takes_a_seed() -> None:
    seeds = [apply_faults(SCOPE, (parse(f"seeing=1,seed={k}"),)).sky for k in (3, 4)]
    assert [sky.seed for sky in seeds if sky is not None] == [3, 4]


def test_dew_leaves_a_star_its_rings_and_takes_its_light() -> None:
    clear, dewed = (
        apply_faults(simview.Telescope(aperture_mm=100.0, focal_length_mm=900.0), faults)
        for faults in ((), (parse("dew=30%"),))
    )
    # Droplets at random over a third of the glass, thrown here and transformed: the star's peak.
    chance = np.random.default_rng(3)
    y, x = np.mgrid[-255.5:256.5, -255.5:256.5]
    glass = np.hypot(x, y) < 255.0
    drops = glass & (chance.random(glass.shape) > 0.3)
    left = (drops.sum() / glass.sum()) ** 2
    told = strehl(dewed.scope, extras=dewed.extras) / strehl(clear.scope, extras=clear.extras)
    assert told == pytest.approx(left, rel=0.01)
    how = {"pixel_arcsec": 0.3, "pixels": 64}
    one, other = (
        point_spread(found.scope, extras=found.extras, **how).image for found in (clear, dewed)
    )
    # The same picture but for its light, far beyond whose edge the rest is scattered.
    assert other == pytest.approx(one * 0.49, rel=1e-6, abs=1e-12)


def test_strongest_on_a_control_shows_on_a_telescope_that_can_have_it() -> None:
    # In their usual units faults differ by a hundred: a control to 1 mm or 1 % would show nothing.
    newtonian = simview.Telescope(aperture_mm=150.0, focal_length_mm=900.0, obstruction=0.27)
    folded = simview.Telescope(aperture_mm=203.0, focal_length_mm=2030.0, obstruction=0.34)
    lens = simview.Telescope(aperture_mm=80.0, focal_length_mm=900.0, objective="achromat")
    for name, kind in KINDS.items():
        unit, (_, high) = next(iter(kind.units.items()))
        assert 0.0 < kind.control <= high
        if unit == "waves" or name == "noll":
            continue
        scope, layout = newtonian, "newtonian"
        if kind.layouts and "newtonian" not in kind.layouts:
            folds = "schmidt-cassegrain" in kind.layouts
            scope, layout = (folded, "schmidt-cassegrain") if folds else (lens, "refractor")
        if name == "wedge":
            scope, layout = lens, "refractor"
        fault = Fault(name=name, amount=0.5 * kind.control)
        found = apply_faults(scope, (fault,), layout=layout)
        assert (found.scope, found.extras, found.sky) != (scope, NO_EXTRAS, None), name
