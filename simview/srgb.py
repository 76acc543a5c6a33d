"""The screen's coding of light, in one place: sRGB.

Source: IEC 61966-2-1:1999, sections 5.2 and 5.3.
Checked by: tests/truth/test_srgb.py
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray


def coded(light: ArrayLike) -> NDArray[Any]:
    """Turn linear light into code values, both 0 to 1; what lies outside is clipped.

    Returns
    -------
    ndarray
        Same shape; single precision stays single.
    """
    clipped = np.clip(light, 0.0, 1.0)
    curved = 1.055 * clipped ** (1.0 / 2.4) - 0.055
    return np.asarray(np.where(clipped <= 0.0031308, 12.92 * clipped, curved))


def linear(code: ArrayLike) -> NDArray[Any]:
    """Turn code values into linear light, both 0 to 1.

    Returns
    -------
    ndarray
        Same shape; single precision stays single.
    """
    given = np.asarray(code)
    curved = ((given + 0.055) / 1.055) ** 2.4
    return np.asarray(np.where(given <= 0.04045, given / 12.92, curved))
