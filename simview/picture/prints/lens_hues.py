"""What a lens telescope's colour leaves of white on a small disc.

A lens leaves red and violet out of focus: on a small disc less of them falls than the whole has;
what is missing lies around it. An eye adapts to what falls on the disc that it looks at: observers
report a planet in its own colour with a violet fringe, not a yellow-green one.
"""

from __future__ import annotations

import numpy as np

from simview.eye.retina import Exposure
from simview.picture.prints import chroma

# Most that is reckoned with, and the least, as X and Z over Y against all in focus.
_LEAST, _MOST = 0.5, 2.0


def lit_white(exposure: Exposure) -> tuple[float, float, float] | None:
    """Return XYZ of a white surface's light as it falls on a picture's lit places.

    What a disc has of its own colour stays: the hue that is seen on lit places (`chroma`), each
    weighted by its light as painted, is held against what fell there were all in focus.

    Checked by: tests/unit/picture/test_lens_hues.py
    """
    if exposure.white is None:
        return None
    n, k = exposure.extended.shape[-1], exposure.lens.shape[-1]
    first = (n + k) // 2 - n // 2
    painted = exposure.scene.planes[:, first : first + n, first : first + n]
    weight = painted[1]
    hue = chroma.hue(exposure.extended, exposure.pixels_per_degree, lens=True)
    seen = exposure.extended[:3] if hue is None else hue.recolour(exposure.extended, 0)
    falls = np.tensordot(seen, weight, axes=2)
    gains = exposure.lens[:3].sum(axis=(2, 3), dtype=float)
    in_focus = gains @ np.tensordot(painted, weight, axes=2)
    if falls[1] <= 0.0 or in_focus.min() <= 0.0:
        return exposure.white
    lost = np.clip((falls / falls[1]) / (in_focus / in_focus[1]), _LEAST, _MOST)
    x, y, z = (float(v) for v in lost * exposure.white)
    return x, y, z
