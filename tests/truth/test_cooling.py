"""A cooling mirror against the heat equation's closed forms.

Sources: Carslaw & Jaeger, Conduction of Heat in Solids, section 7.7 (a rod of radius a that loses
heat at its surface: roots of m J1(m) = Bi J0(m)); Newton's law of cooling; Texereau, How to Make a
Telescope (a cooling mirror is overcorrected), from memory.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import j0, j1

import simview
from simview.picture.startest.patterns import StarTest
from simview.telescope import cooling
from simview.telescope.cooling import (
    GLASSES,
    TRANSFER_W,
    Mirror,
    cooled,
    grip,
    minutes_until,
    profile,
)
from simview.telescope.faults import parse
from simview.telescope.focus_drift import _shrunk, drift_mm
from simview.telescope.layouts.surfaces import Surface

MIRROR = Mirror(aperture_mm=150.0, thickness_mm=25.0)


def closed_form(mirror: Mirror, minutes: float, r: np.ndarray) -> np.ndarray:
    """Loss through the faces is a factor exp(-t / tau); along the radius it is the rod's series."""
    glass = GLASSES[mirror.glass]
    seconds, radius, thick = 60.0 * minutes, mirror.aperture_mm / 2e3, mirror.thickness_mm / 1e3
    spread = glass.conductivity / (glass.density * glass.heat)
    biot = TRANSFER_W * radius / glass.conductivity
    faces = math.exp(-2.0 * TRANSFER_W * seconds / (glass.density * glass.heat * thick))
    total = np.zeros_like(r)
    for k in range(60):
        root = brentq(
            lambda m: m * j1(m) - biot * j0(m), max(k * math.pi, 1e-9), (k + 1) * math.pi - 1e-9
        )
        weight = 2.0 * biot / ((root**2 + biot**2) * j0(root))
        total += weight * j0(root * r) * math.exp(-spread * (root / radius) ** 2 * seconds)
    return faces * total


@pytest.mark.parametrize("minutes", [5.0, 20.0, 60.0])
@pytest.mark.parametrize("glass", list(GLASSES))
def test_warmth_along_the_radius_is_that_of_the_series(minutes, glass):
    mirror = replace(MIRROR, glass=glass)
    r = (np.arange(60) + 0.5) / 60.0
    # 60 rings: 1e-3 of the warmth at the start.
    np.testing.assert_allclose(profile(mirror, minutes), closed_form(mirror, minutes, r), atol=1e-3)


def test_mirror_that_keeps_its_rim_warm_cools_by_newtons_law():
    """A wide mirror's middle knows nothing of the rim."""
    mirror = Mirror(aperture_mm=900.0, thickness_mm=25.0)
    glass = GLASSES["plate"]
    tau = glass.density * glass.heat * 0.025 / (2.0 * TRANSFER_W)
    assert profile(mirror, 60.0)[0] == pytest.approx(math.exp(-3600.0 / tau), rel=1e-3)


def test_cooling_mirror_is_overcorrected_and_plate_more_than_borosilicate():
    plate, boro = (cooled(replace(MIRROR, glass=g), 5.0) for g in GLASSES)
    # Positive Z11 is undercorrection (docs/conventions.md).
    assert plate.noll[11] < boro.noll[11] < 0.0
    assert plate.noll[11] / boro.noll[11] == pytest.approx(9.0 / 3.3, rel=0.3)


def test_all_of_it_fades():
    early, late = cooled(MIRROR, 10.0), cooled(MIRROR, 120.0)
    assert early.seeing_arcsec > 3.0 * late.seeing_arcsec
    assert early.plume_waves > 2.0 * late.plume_waves
    assert abs(early.noll[11]) > abs(late.noll[11])
    # Racine et al. 1991: 0.40 arcsec at one kelvin.
    one = minutes_until(MIRROR, 1.0)
    assert cooled(MIRROR, one).seeing_arcsec == pytest.approx(0.40, abs=0.02)


def test_wait_grows_with_thickness_and_in_a_closed_tube():
    plain = minutes_until(MIRROR, 1.0)
    assert minutes_until(replace(MIRROR, thickness_mm=35.0), 1.0) > 1.2 * plain
    assert minutes_until(replace(MIRROR, closed=True), 1.0) > 1.5 * plain
    # Common practice, no source: one to two hours for such a mirror.
    assert 45.0 < plain < 130.0


def test_tube_of_aluminium_shrinks_as_tables_say():
    # 23e-6 a kelvin: a metre by 0.23 mm in ten kelvin.
    # One mirror: the tube's shrinking less that of the glass's radius.
    scope = simview.Telescope(aperture_mm=150.0, focal_length_mm=1000.0, obstruction=0.25)
    own = GLASSES["plate"].expansion
    told = drift_mm(scope, "newtonian", 10.0, glass="plate")
    assert told == pytest.approx((23e-6 - own) * 1e4, rel=1e-3)


@pytest.mark.parametrize("layout", ["newtonian", "cassegrain"])
def test_telescope_of_one_stuff_stays_in_focus(layout):
    scope = simview.Telescope(aperture_mm=200.0, focal_length_mm=2400.0, obstruction=0.33)
    own = GLASSES["plate"].expansion
    assert drift_mm(scope, layout, 10.0, glass="plate", tube=own) == pytest.approx(0.0, abs=1e-5)


def test_folded_telescope_drifts_by_the_square_of_its_magnification():
    # Cassegrain f/12 of f/3: mirrors nearer by s move the focus by (m^2 + 1) s from the primary,
    # the primary's focal length shorter by its share by m^2 (third-order, Schroeder 2.5); what is
    # left of the second mirror's own curve is a few hundredths of that.
    scope = simview.Telescope(aperture_mm=200.0, focal_length_mm=2400.0, obstruction=0.33)
    glass, tube, m = GLASSES["plate"].expansion, 23e-6, 4.0
    first, behind = 600.0, 150.0
    apart = first - (first + behind) / (m + 1.0)
    second = 2.0 * m * (first + behind) / (m + 1.0) / (m - 1.0)
    moved = m**2 * (tube * apart - glass * first) + tube * apart
    moved += glass * (second / 2.0) * (m - 1.0) ** 2
    told = drift_mm(scope, "cassegrain", 1.0, glass="plate")
    assert told == pytest.approx(moved, rel=0.1)


def test_grip_of_a_cell_comes_and_goes():
    held = [grip(MIRROR, minutes) for minutes in (0.0, 5.0, 15.0, 60.0, 180.0)]
    assert held[0] == pytest.approx(0.0)
    assert held[1] < held[2] > held[3] > held[4]
    # By then the cell, 405 s of Newton's law, has long been cold: what is left is the rim's warmth.
    assert held[3] == pytest.approx(profile(MIRROR, 60.0)[-1], abs=1e-3)


def test_sheet_of_a_warm_telescope_stands_beside_the_same_cooled_down():
    kit = simview.Kit(
        telescope=simview.Telescope(
            aperture_mm=150.0,
            focal_length_mm=900.0,
            obstruction=0.25,
            wavefront=simview.Wavefront(spherical=0.2),
        ),
        layout="newtonian",
    )
    test = StarTest(kit=kit, faults=(parse("cooling=15,pinch=0.5"),))
    assert test.beside().scope.wavefront == kit.telescope.wavefront
    assert test.afflicted().scope.wavefront.trefoil == pytest.approx(
        0.5 * grip(Mirror(aperture_mm=150.0, thickness_mm=25.0), 15.0)
    )


def test_index_of_air_falls_by_a_millionth_a_kelvin():
    # Edlen's 1.000277 at 15 C and 550 nm: (n - 1) / T.
    assert pytest.approx(0.000277 / 288.15, rel=0.03) == cooling.INDEX_A_KELVIN


@pytest.mark.parametrize(("closed", "seconds"), [(False, 405.0), (True, 810.0)])
def test_cell_cools_as_sheet_of_aluminium_does_by_newtons_law(closed: bool, seconds: float) -> None:
    # 3 mm x 2700 kg/m3 x 900 J/(kg K) = 7290 J/(m2 K), given up on both sides at 9 W/(m2 K): 405 s;
    # twice as long in a closed tube. The rim of the glass less that.
    mirror = Mirror(aperture_mm=150.0, thickness_mm=25.0, closed=closed)
    for minutes in (5.0, 12.0):
        rim = float(cooling.profile(mirror, minutes)[-1])
        wanted = rim - math.exp(-60.0 * minutes / seconds)
        assert grip(mirror, minutes) == pytest.approx(wanted, abs=1e-6)


def test_surface_a_kelvin_colder_is_smaller_in_all_its_lengths() -> None:
    # Sagitta z(r) of a plate that shrinks by 1 part in 1000: z / 0.999 at r / 0.999, term by term.
    warm = Surface(z_mm=50.0, curvature=1e-3, behind="BK7", part="corrector", powers=(2e-9, 3e-15))
    cold = _shrunk(warm, 1e-3, 0.0)
    r = 60.0

    def sagitta(one: Surface, at: float) -> float:
        return 0.5 * one.curvature * at**2 + one.powers[0] * at**4 + one.powers[1] * at**6

    assert sagitta(cold, 0.999 * r) == pytest.approx(0.999 * sagitta(warm, r), rel=1e-9)
    assert cold.powers == pytest.approx((2e-9 / 0.999**3, 3e-15 / 0.999**5), rel=1e-12)
    assert _shrunk(warm, 0.0, 2e-5).z_mm == pytest.approx(49.999)
