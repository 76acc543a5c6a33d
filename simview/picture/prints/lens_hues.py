"""What a lens telescope's colour leaves of an object's own hue.

A lens leaves red and violet out of focus: on a small disc less of them falls than it sends; what is
missing lies around it. Observers report a planet in its own colour with a violet fringe, not a
yellow-green one. So a planet's disc has, as a star has (`chroma.fixated`), the hue of all its light
(`own_hues`); and ground that fills more of the view is looked at by an eye that takes for white
what falls of white on it (`lit_white`).
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eye.retina import Exposure, convolve
from simview.picture.prints import chroma

Planes = NDArray[np.float32]

# Most that is reckoned with, and the least, as X and Z over Y against all in focus.
_LEAST, _MOST = 0.5, 2.0

# Light of a place, against the middle one of lit places, from which on its hue is the disc's, and
# up to which it is that of what lies around: at a limb light falls to a half of the disc's.
# Choices, as is how much a place's own loss is made good for at the most.
_DISC_FROM: Final = 0.4
_FRINGE_TO: Final = 0.1
_MOST_LOST: Final = 5.0

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
    on_disc = _on_the_disc(even[1])
    around = chroma.hue(exposure.extended, scale, lens=True)
    shown = exposure.extended.copy()
    shown[:3] = shown[:3] if around is None else around.recolour(shown, 0)
    box = _box(on_disc, round(_POOLED_DEG * scale))
    own = exposure.extended[:3, *box] * _lost(even, kernel)[:, *box]
    disc = chroma.hue(own, scale, clear=True)
    own = own if disc is None else disc.recolour(own, 0)
    shown[:3, *box] += on_disc[box] * (own - shown[:3, *box])
    return replace(exposure, extended=shown, hues="seen")


def _lost(even: Planes, kernel: Planes) -> Planes:
    """Return what light of one hue, `even` on the retina, is multiplied by to have it there, too.

    X, Y and Z; of their own places, for the air moves colours aside as a whole.
    """
    factors = np.ones_like(even)
    gains = kernel.sum(axis=(1, 2, 3))
    places = [_middle(part[0]) for part in kernel]
    floor = np.float32(1e-6) * even[1].max()
    for channel in (0, 2):
        down, right = (a - b for a, b in zip(places[channel], places[1], strict=True))
        whole = (gains[channel] / gains[1]) * _shifted(even[1], down, right)
        lost = (whole + floor) / (even[channel] + floor)
        factors[channel] = np.clip(lost, 1.0 / _MOST_LOST, _MOST_LOST)
    return factors


def _box(share: Planes, margin: int) -> tuple[slice, slice]:
    """Return rows and columns that hold all places with a share, and so many more."""
    rows, columns = (np.flatnonzero(share.any(axis=axis)) for axis in (1, 0))
    down, right = (
        slice(max(int(found[0]) - margin, 0), int(found[-1]) + margin + 1)
        for found in (rows, columns)
    )
    return down, right


def _on_the_disc(light: Planes) -> Planes:
    """Return how far each place is the disc's: 1 on it, 0 around it."""
    middle = np.median(light[light > chroma.LIT * light.max()])
    share = (light / middle - _FRINGE_TO) / (_DISC_FROM - _FRINGE_TO)
    return np.asarray(np.clip(share, 0.0, 1.0), np.float32)


def _middle(kernel: Planes) -> tuple[float, float]:
    """Return where the middle of a point's light lies, pixels down and right."""
    whole = max(float(kernel.sum(dtype=float)), 1e-30)
    down, right = (
        float(kernel.sum(axis=1 - axis, dtype=float) @ np.arange(kernel.shape[axis])) / whole
        for axis in (0, 1)
    )
    return down, right


def _shifted(plane: Planes, down: float, right: float) -> Planes:
    """Return a plane moved by a part of a pixel or more, its edges repeated."""
    for axis, by in ((0, down), (1, right)):
        low = math.floor(by)
        part, last = np.float32(by - low), plane.shape[axis] - 1
        at = np.arange(last + 1) - low
        here, before = (plane.take(np.clip(k, 0, last), axis) for k in (at, at - 1))
        plane = here + part * (before - here)
    return plane


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
