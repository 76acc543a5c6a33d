"""The primaries' spectra: colours of IEC 61966-2-1 under the CIE 1931 observer, smoothness."""

from __future__ import annotations

import numpy as np
import pytest
from colour_reference import STORED

from simview.scene import spectrum

# Linear sRGB to XYZ. Source: IEC 61966-2-1:1999.
SRGB_TO_XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)


@pytest.fixture(scope="module")
def observer() -> np.ndarray:
    assert STORED["tables"]["nm"] == spectrum.WAVELENGTHS_5NM.tolist()
    return np.array(STORED["tables"]["observer"]).T


@pytest.fixture(scope="module")
def daylight() -> np.ndarray:
    return np.array(STORED["tables"]["d65"])


def test_primaries_have_exactly_the_colours_of_srgb(observer: np.ndarray) -> None:
    xyz = 683.0 * spectrum.STEP_NM * observer @ spectrum.primaries().T
    # The table has 11 digits: rounding stays below 1e-8.
    np.testing.assert_allclose(xyz, SRGB_TO_XYZ, atol=1e-8)


def test_primaries_are_nowhere_negative() -> None:
    assert spectrum.primaries().shape == (3, 81)
    assert (spectrum.primaries() >= 0.0).all()


def test_white_follows_daylight_within_three_hundredths(
    observer: np.ndarray, daylight: np.ndarray
) -> None:
    white = spectrum.primaries().sum(axis=0)
    level = daylight / (683.0 * spectrum.STEP_NM * (observer[1] * daylight).sum())
    np.testing.assert_allclose(white / level, 1.0, atol=0.03)


# The same problem, solved again: least squared slope of three reflectances and of their sum's
# distance from 1, exact colours, nothing negative (Mallett & Yuksel 2019). Active-set method with
# the optimum's own conditions as its end.
def test_primaries_are_the_smoothest_that_are_possible(
    observer: np.ndarray, daylight: np.ndarray
) -> None:
    n = len(daylight)
    light = daylight / (683.0 * 5.0 * (observer[1] * daylight).sum())
    colours = np.kron(np.eye(3), 683.0 * 5.0 * observer * light)
    wanted = SRGB_TO_XYZ.T.ravel()
    slope = np.diff(np.eye(n), axis=0)
    total = np.hstack([np.eye(n)] * 3)
    cost = np.kron(np.eye(3), slope.T @ slope) + total.T @ total
    pull = total.T @ np.ones(n)
    free = np.ones(3 * n, bool)
    for _ in range(50):
        on = np.flatnonzero(free)
        corner = np.zeros((9, 9))
        system = np.block([[cost[np.ix_(on, on)], colours[:, on].T], [colours[:, on], corner]])
        solution = np.linalg.solve(system, np.r_[pull[on], wanted])
        x = np.zeros(3 * n)
        x[on] = solution[: len(on)]
        gradient = cost @ x - pull + colours.T @ solution[len(on) :]
        out, back = free & (x < -1e-12), ~free & (gradient < -1e-12)
        if not (out.any() or back.any()):
            break
        free[out], free[back] = False, True
    else:
        pytest.fail("no optimum found")
    np.testing.assert_allclose(spectrum.primaries() / light, x.reshape(3, n), atol=1e-7)


def test_bands_tile_the_visible_evenly() -> None:
    centres = spectrum.band_centres_nm(10)
    np.testing.assert_allclose(np.diff(centres), 27.0)
    assert centres[0] - 13.5 == pytest.approx(420.0)
    assert centres[-1] + 13.5 == pytest.approx(690.0)
