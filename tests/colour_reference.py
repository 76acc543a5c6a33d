"""Colours for tests, from colour-science's stored values and the standards' own formulas.

The values are made by `tests/truth/references/make_colours.py`; `tests/truth/test_srgb.py` holds
these formulas to them.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np

STORED = json.loads(
    (Path(__file__).parent / "truth" / "references" / "colours.json").read_text(encoding="utf-8")
)
RGB_TO_XYZ = np.array(STORED["coding"]["rgb_to_xyz"])


def linear(codes):
    """Light of the screen's codes, 0 to 255, as IEC 61966-2-1:1999 decodes them."""
    part = np.asarray(codes, float) / 255.0
    return np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)


def lab(rgb):
    """CIE L*a*b* 1976 of linear light (CIE 15:2004, section 8.2.1), (..., 3)."""
    white = RGB_TO_XYZ @ np.ones(3)
    part = np.asarray(rgb) @ RGB_TO_XYZ.T / white
    # The exact constants: (6/29)^3 and 841/108.
    f = np.where(part > 216 / 24389, np.cbrt(part), 841 / 108 * part + 4 / 29)
    x, y, z = np.moveaxis(f, -1, 0)
    return np.stack([116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)], axis=-1)


def seen_by(deficiency, rgb):
    """Linear light as a colour-blind reader sees it: Machado, Oliveira & Fernandes 2009."""
    matrix = np.array(STORED["colour_blind"][deficiency])
    return np.clip(np.asarray(rgb) @ matrix.T, 0.0, 1.0)
