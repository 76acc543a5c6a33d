"""What a lens telescope's colour leaves of an object's own hue.

A lens leaves red and violet out of focus: on a small disc less of them falls than it sends; what is
missing lies around it. Observers report a planet in its own colour with a violet fringe, not a
yellow-green one. So a planet's disc has, as a star has (`chroma.fixated`), the hue of all its light
(`own_hues`); and ground that fills more of the view is looked at by an eye that takes for white
what falls of white on it (`lit_white`).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eye import ownhue
from simview.eye.retina import Exposure, convolve
from simview.picture.prints import chroma

Planes = NDArray[np.float32]

# Most that is reckoned with, and the least, as X and Z over Y against all in focus.
_LEAST, _MOST = 0.5, 2.0

# How far from a place its hue still takes part of what lies there, deg: three times the spread of
# the widest part of `chroma.hue`.
_POOLED_DEG: Final = 3.0 * chroma.SURROUND_ARCMIN / 60.0


def own_hues(exposure: Exposure) -> Exposure:
    """Return a planet's light with the hue that an eye has of it through a lens.

    On the disc its light is held against light of the disc's mean hue in the same shape, through
    the same lens: what that loses from red and violet there is given back, so what is left is what
    the planet's own places differ in, blurred as the lens blurs each colour, and its hue is seen as
    in a mirror (`chroma.hue`, clear). What lies around keeps the hue that falls on it: the fringe.
    Where the air moves colours aside as a whole, that is no loss, and stays.

    Checked by: tests/unit/picture/test_lens_hues.py
    """
    painted, scale = exposure.scene.planes, exposure.pixels_per_degree
    whole = painted.sum(axis=(1, 2), dtype=float)
    tint = (whole / max(whole[1], 1e-30)).astype(np.float32)
    kernel = np.einsum("p,cpyx->cyx", tint, exposure.lens[:3])[:, None]
    even = convolve(painted[1:2], kernel)
    if even[1].max() <= 0.0:
        return replace(exposure, lit_white=exposure.white)
    on_disc = ownhue.on_disc(even[1])
    around = chroma.hue(exposure.extended, scale, lens=True)
    shown = exposure.extended.copy()
    shown[:3] = shown[:3] if around is None else around.recolour(shown, 0)
    places = [_middle(part[0]) for part in kernel]
    lost = ownhue.lost(even, kernel.sum(axis=(1, 2, 3)), places)
    box = _box(on_disc, round(_POOLED_DEG * scale))
    own = exposure.extended[:3, *box] * lost[:, *box]
    disc = chroma.hue(own, scale, clear=True)
    own = own if disc is None else disc.recolour(own, 0)
    shown[:3, *box] += on_disc[box] * (own - shown[:3, *box])
    return replace(exposure, extended=shown, hues="seen")


def _box(share: Planes, margin: int) -> tuple[slice, slice]:
    """Return rows and columns that hold all places with a share, and so many more."""
    rows, columns = (np.flatnonzero(share.any(axis=axis)) for axis in (1, 0))
    down, right = (
        slice(max(int(found[0]) - margin, 0), int(found[-1]) + margin + 1)
        for found in (rows, columns)
    )
    return down, right


def _middle(kernel: Planes) -> tuple[float, float]:
    """Return where the middle of a point's light lies, pixels down and right."""
    whole = max(float(kernel.sum(dtype=float)), 1e-30)
    down, right = (
        float(kernel.sum(axis=1 - axis, dtype=float) @ np.arange(kernel.shape[axis])) / whole
        for axis in (0, 1)
    )
    return down, right


def lit_white(exposure: Exposure) -> tuple[float, float, float] | None:
    """Return XYZ of a white surface's light as it falls on a picture's lit places.

    What ground has of its own colour stays: the hue that is seen on lit places (`chroma`), each
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
