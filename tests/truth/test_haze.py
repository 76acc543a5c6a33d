"""Hazy air against Koschmieder's law, worked by hand.

Source: Koschmieder 1924, Beitr. Phys. freien Atm. 12, 33: of a dark thing's contrast against the
horizon sky exp(-sigma d) is left, 2 % at the visibility. By wavelength: Kruse, McGlauchlin &
McQuistan 1962, Elements of Infrared Technology, as later papers on
free-space optics quote it.
"""

from __future__ import annotations

import math
from importlib.resources import files

import numpy as np
import pytest

from simview.scene.haze import PRIMARIES_NM, blueness, extinction_per_km, left, veiled


@pytest.mark.parametrize(
    ("primary", "x", "y"), [(0, 0.640, 0.330), (1, 0.300, 0.600), (2, 0.150, 0.060)]
)
def test_primaries_stand_for_the_waves_of_their_hue(primary: int, x: float, y: float) -> None:
    # IEC 61966-2-1: the primaries' chromaticities, and white at 0.3127, 0.3290 (D65). The dominant
    # wavelength is where the line from white through a primary meets the CIE 1931 spectrum locus.
    lines = (files("simview.eye") / "data/cie1931_2deg.csv").read_text("utf-8").splitlines()
    rows = [line.split(",") for line in lines if line[:1].isdigit()]
    table = np.array([[float(word) for word in row[:4]] for row in rows])
    nm, locus = table[:, 0], table[:, 1:3] / table[:, 1:4].sum(axis=1, keepdims=True)
    seen = (nm > 440.0) & (nm < 640.0)
    nm, aside = nm[seen], locus[seen] - (0.3127, 0.3290)
    towards = np.array([x, y]) - (0.3127, 0.3290)
    side = aside[:, 0] * towards[1] - aside[:, 1] * towards[0]
    crossed = [i for i in np.flatnonzero(np.diff(np.sign(side))) if float(aside[i] @ towards) > 0.0]
    (i,) = crossed
    wave = nm[i] + (nm[i + 1] - nm[i]) * side[i] / (side[i] - side[i + 1])
    # The table stands at every fifth nanometre.
    assert pytest.approx(wave, abs=0.3) == PRIMARIES_NM[primary]


def test_extinction_is_3_912_over_visibility() -> None:
    # The figure that meteorologists use: ln 50 = 3.912; 0.3912 a km for 10 km.
    assert extinction_per_km(10.0) == pytest.approx(0.3912, abs=5e-5)
    assert extinction_per_km(1.0) == pytest.approx(3.912, abs=5e-4)


@pytest.mark.parametrize(
    ("distance_m", "visibility_km", "kept"),
    # exp(-3.912 d / V) by hand.
    [
        (10_000.0, 10.0, 0.0200),
        (5_000.0, 10.0, 0.1414),
        (300.0, 10.0, 0.8893),
        (400.0, 20.0, 0.9247),
    ],
)
def test_green_contrast_is_koschmieders(
    distance_m: float, visibility_km: float, kept: float
) -> None:
    # The green primary's wave is 549.1 nm and not 550: 0.2 % of the exponent.
    assert left(distance_m, visibility_km)[1] == pytest.approx(kept, rel=0.01)


def test_contrast_of_black_against_the_horizon_falls_with_distance() -> None:
    horizon = np.array([0.3, 0.4, 0.5], np.float32)
    black = np.zeros((3, 2, 2), np.float32)
    whole = np.ones((2, 2), np.float32)
    for distance in (0.0, 1500.0, 3000.0, 12_000.0):
        seen = veiled(black, distance, 12.0, horizon, whole)
        contrast = 1.0 - seen / horizon[:, None, None]
        assert contrast == pytest.approx(
            np.broadcast_to(left(distance, 12.0)[:, None, None], contrast.shape), rel=1e-5
        )


def test_horizon_sky_stays_as_it_is_behind_any_haze() -> None:
    horizon = np.array([0.3, 0.4, 0.5], np.float32)
    sky = np.broadcast_to(horizon[:, None, None], (3, 2, 2)).astype(np.float32)
    seen = veiled(sky, 2500.0, 4.0, horizon, np.ones((2, 2), np.float32))
    assert seen == pytest.approx(sky, rel=1e-6)


def test_where_nothing_stands_no_haze_shines() -> None:
    nothing = veiled(
        np.zeros((3, 2, 2), np.float32),
        2500.0,
        4.0,
        np.ones(3, np.float32),
        np.zeros((2, 2), np.float32),
    )
    assert not nothing.any()


def test_power_of_wavelength_is_kruses() -> None:
    assert blueness(100.0) == 1.6
    assert blueness(23.0) == 1.3
    # 0.585 x 5^(1/3) = 1.0004.
    assert blueness(5.0) == pytest.approx(1.0004, abs=1e-4)
    # At 23 km red light of 633 nm: 3.912 / 23 x (633/550)^-1.3 = 0.1417 a km.
    assert extinction_per_km(23.0, 633.0) == pytest.approx(0.1417, abs=2e-4)


def test_haze_takes_blue_first_and_clear_air_takes_nothing() -> None:
    red, green, blue = left(3000.0, 10.0)
    assert blue < green < red
    assert left(3000.0, math.inf) == pytest.approx(np.ones(3))
