"""Explanations weighed against one another: closed forms against direct integration."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from simview.diagnosis import comparison
from simview.diagnosis.pattern import basis_of
from simview.diagnosis.records import polynomials, said
from simview.telescope.wavefront import zernike

MODES = tuple(range(5, 12))


def told(sigma: float = 0.01, finer=None, **noll: float):
    values = np.array([noll.get(f"z{mode}", 0.0) for mode in MODES])
    return comparison.explanations(MODES, values, sigma**2 * np.eye(len(MODES)), finer)


def test_a_good_telescope_has_no_fault() -> None:
    assert told()[0].faults == ()
    assert said(()) == "no fault worth the name"


@pytest.mark.parametrize(
    ("noll", "faults"),
    [
        ({"z11": 0.08}, {"spherical"}),
        ({"z8": -0.07}, {"coma"}),
        ({"z5": 0.06, "z7": 0.06}, {"astigmatism", "coma"}),
        ({"z10": 0.07, "z11": -0.08}, {"trefoil", "spherical"}),
    ],
)
def test_faults_alone_and_together_are_named(noll: dict[str, float], faults: set[str]) -> None:
    best = told(**noll)[0]
    assert set(best.faults) == faults
    assert best.likely > 0.8


def test_what_errors_can_make_is_no_fault() -> None:
    best = told(sigma=0.05, z11=0.05)
    assert best[0].faults == ()
    assert best[0].likely < 0.6


def test_odds_are_those_of_the_two_marginal_densities() -> None:
    """A number that was measured: scipy's normal densities of it with and without the fault."""
    value, sigma = 0.03, 0.012
    both = told(sigma=sigma, z11=value)
    odds = {one.faults: one.likely for one in both}
    there = stats.norm(scale=math.hypot(sigma, 0.08)).pdf(value)
    not_there = stats.norm(scale=math.hypot(sigma, 0.006)).pdf(value)
    assert odds[("spherical",)] / odds[()] == pytest.approx(there / not_there, rel=1e-6)


def test_worth_is_the_likelihood_of_a_smaller_scatter_less_its_price() -> None:
    """Of n independent errors whose scatter is what was left: scipy's log-likelihood."""
    rng = np.random.default_rng(5)
    off = rng.standard_normal(400)
    off /= off.std()
    logs = [stats.norm(scale=s).logpdf(s * off).sum() for s in (0.3, 0.2)]
    gain = comparison.worth(0.3**2, 0.2**2, 400.0, 1)
    assert gain == pytest.approx(logs[1] - logs[0] - 0.5 * math.log(400.0), rel=1e-9)


def test_a_turned_edge_that_was_worth_it_is_named() -> None:
    best = told(z8=0.08, finer={("edge",): 30.0, ("zone:0.65",): 4.0})[0]
    assert best.faults == ("coma", "edge")
    assert said(best.faults) == "out of line (coma) and turned edge"


def test_polynomials_stand_for_an_edge_and_a_zone() -> None:
    """What a kit file holds instead is near the form itself over most of the glass."""
    side = (np.arange(120) - 59.5) / 60.0
    x, y = np.meshgrid(side, -side)
    inside = np.hypot(x, y) < 0.99
    for mode, most in (("edge", 0.05), ("zone:0.65", 0.12)):
        sum_ = sum(part * zernike(j, x, y) for j, part in polynomials(mode).items())
        left = (basis_of(mode, x, y) - sum_)[inside]
        plain = np.stack([np.ones(inside.sum()), (x * x + y * y)[inside]], axis=1)
        left = left - plain @ np.linalg.lstsq(plain, left, rcond=None)[0]
        assert left.std() < most
        assert basis_of(mode, x, y)[inside].std() > 1.5 * left.std()
