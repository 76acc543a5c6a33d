"""Colour adaptation: the eye takes the light of the Sun, as it comes through the air, for white.

Source: CAT16 with CIECAM's degree of adaptation: Li, Li, Wang et al. 2017, "Comprehensive color
solutions: CAM16, CAT16, and CAM16-UCS", Color Res. Appl. 42, 703; CIE 248:2022.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Planes = NDArray[np.float32]

# CIE XYZ to the cones' channels of CAT16 (Li et al. 2017).
_CAT16: Final = np.array(
    [
        [0.401288, 0.650173, -0.051461],
        [-0.250268, 1.204414, 0.045854],
        [-0.002079, 0.048952, 0.953127],
    ]
)

# White of the display, XYZ of D65 with Y = 1 (IEC 61966-2-1).
D65: Final = (0.9505, 1.0, 1.0890)

# The eye adapts to this share of a scene's white (CIE 248:2022: a grey of 20 %).
_GREY: Final = 0.2

# Factor of the surround: an object that dazzles is seen as in average surroundings; 0.8 would be
# for pictures in a dark room, where knowledge of the screen takes part (CIE 248:2022).
_SURROUND: Final = 1.0


def purity(planes: Planes, blue: float, pure: float) -> Planes:
    """Return how far light is from the display's white, 0 to 1, by the cones' answers.

    Parameters
    ----------
    planes
        (3, ...) X, Y, Z.
    blue
        How much of the blue cones' difference from the others counts.
    pure
        The difference that counts as 1.

    Notes
    -----
    Checked by: tests/truth/test_nebula_colour.py
    """
    cones = (_CAT16 / (_CAT16 @ D65)[:, None]).astype(np.float32)
    red, green, third = (_row(planes, row) for row in cones)
    both = np.float32(0.5) * (red + green)
    apart = np.hypot(red - green, np.float32(blue) * (third - both))
    apart /= np.maximum(planes[1], np.float32(1e-12)) * np.float32(pure)
    return np.asarray(np.minimum(apart, np.float32(1.0)))


def _row(planes: Planes, row: Planes) -> Planes:
    return np.asarray(row[0] * planes[0] + row[1] * planes[1] + row[2] * planes[2])


def degree(white_cd_m2: float) -> float:
    """Return how far an eye adapts to the colour of a light, 0 to 1.

    `white_cd_m2`: luminance of a white surface in that light.

    Source: CIE 248:2022: D = F [1 - exp((-L_A - 42) / 92) / 3.6].
    Checked by: tests/truth/test_colour_adaptation.py
    """
    return _SURROUND * (1.0 - math.exp((-_GREY * white_cd_m2 - 42.0) / 92.0) / 3.6)


def adapting(white_xyz: tuple[float, float, float], share: float) -> Floats:
    """Return the (3, 3) matrix that turns XYZ under a white into what looks so on a display.

    Parameters
    ----------
    white_xyz
        Of the light, at any level.
    share
        How far the eye adapts to it: 0 leaves colours as they are, 1 makes that light white.

    Notes
    -----
    Checked by: tests/truth/test_colour_adaptation.py
    """
    white = np.asarray(white_xyz, float) / white_xyz[1]
    gains = share * (_CAT16 @ D65) / (_CAT16 @ white) + 1.0 - share
    return np.asarray(np.linalg.inv(_CAT16) @ (gains[:, None] * _CAT16))
