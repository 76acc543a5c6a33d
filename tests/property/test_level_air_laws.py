"""What must be true of the air along the ground whatever the numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from simview.air import level, shimmer
from simview.errors import RangeError
from simview.kit import Sky
from simview.scene.haze import left
from simview.scene.targets import target

distances = st.floats(20.0, 5000.0)
clearness = st.floats(0.5, 300.0)
strengths = st.floats(1e-17, 1e-12)


@given(distances, distances, clearness)
def test_two_stretches_of_haze_act_one_after_the_other(
    first: float, second: float, visibility: float
) -> None:
    whole = left(first + second, visibility).astype(float)
    product = left(first, visibility).astype(float) * left(second, visibility)
    assert whole == pytest.approx(product, rel=1e-4, abs=1e-30)
    assert np.all((whole >= 0.0) & (whole <= 1.0))


@given(distances, clearness, st.floats(1.01, 3.0))
def test_farther_or_hazier_leaves_less(distance: float, visibility: float, more: float) -> None:
    here = left(distance, visibility)[1]
    assert left(distance * more, visibility)[1] <= here
    assert left(distance, visibility / more)[1] <= here


@given(strengths, distances, st.floats(1.5, 20.0))
def test_turbulence_counts_as_strength_times_length(
    cn2: float, distance: float, times: float
) -> None:
    here = shimmer.fried_r0_m(cn2, distance)
    assert shimmer.fried_r0_m(cn2 * times, distance / times) == pytest.approx(here, rel=1e-9)
    # Four digits of 2^(-3/5).
    assert shimmer.fried_r0_m(2.0 * cn2, distance) / here == pytest.approx(0.6598, rel=1e-4)


@settings(deadline=None, max_examples=60)
@given(strengths, distances, st.floats(3.0, 90.0), st.floats(0.0, 20.0))
def test_house_has_the_same_air_under_any_night(
    cn2: float, distance: float, altitude: float, seeing: float
) -> None:
    shown = target("daytime", distance_m=distance, shimmer=cn2)
    night = Sky(altitude_deg=altitude, seeing_arcsec=seeing)
    try:
        air = level.sky_before(shown, night)
    except RangeError:
        assert shimmer.seeing_arcsec(cn2, distance) > level.MOST_ARCSEC
        return
    assert air == level.sky_before(shown, Sky())
    assert 0.0 < air.seeing_arcsec <= level.MOST_ARCSEC
