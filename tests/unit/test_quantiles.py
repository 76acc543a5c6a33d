"""Quantiles are numpy's."""

import numpy as np
import pytest

from simview.quantiles import quantile


@pytest.mark.parametrize("share", [0.0, 0.25, 0.8, 0.98, 1.0])
@pytest.mark.parametrize("shape", [(1,), (2,), (5,), (1000,), (7, 60)])
def test_quantiles_are_those_of_numpy(shape, share):
    values = np.random.default_rng(4).lognormal(size=shape)
    before = values.copy()
    assert quantile(values, share) == pytest.approx(np.quantile(values, share, axis=-1), rel=1e-14)
    assert np.array_equal(values, before)
