"""Quantiles, found as numpy finds them but without its masked arrays, which take long to load.

Checked by: tests/unit/test_quantiles.py
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray


def quantile(values: NDArray[Any], share: float) -> NDArray[Any]:
    """Return the value, along the last axis, below which this share of all lies.

    Parameters
    ----------
    values
        (..., n), n from 1 on; none may be missing.
    share
        0 to 1; between two values by a straight line.
    """
    place = share * (values.shape[-1] - 1)
    low, high = math.floor(place), math.ceil(place)
    found = np.partition(values, (low, high), axis=-1)
    below, above = found[..., low], found[..., high]
    return np.asarray(below + (above - below) * (place - low))
