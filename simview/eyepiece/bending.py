"""The bending of a field for pictures that must come quickly: the places are kept, not found anew.

`simview.eyepiece.distortion` bends a picture once and well; here the same places are looked up for
many pictures of one size and scale, all planes at once.

Checked by: tests/unit/test_glide.py, against `View.expose`.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.executor.threads import spread_work
from simview.eyepiece.distortion import origin, stretch
from simview.eyepiece.field_edge import field_mask, radius_deg
from simview.eyepiece.lensfigures import EyepieceFigures

Planes = NDArray[np.float32]

# Rows of a picture that are bent at once.
_STRIPE: Final = 64


class Bending(NamedTuple):
    """What an eyepiece's glass does, its blur left out."""

    across: NDArray[np.float32]  # (n, n) where light comes from, pixels from the middle
    along: NDArray[np.float32]
    spread: NDArray[np.float32] | None  # over how much area light is drawn; None keeps luminance
    kept: Planes

    def bent(self, planes: Planes, step: float) -> Planes:
        """Return planes on this picture's pixels, each of which is `step` of theirs wide."""
        # All planes of a pixel lie side by side, so that its four neighbours are looked up once.
        n = planes.shape[-1]
        pixels = np.ascontiguousarray(planes.reshape(len(planes), -1).T)
        answer = np.empty((len(planes), *self.across.shape), np.float32)

        def draw(rows: slice) -> None:
            y, ty = _between(self.along[rows], step, n)
            x, tx = _between(self.across[rows], step, n)
            first = y * n + x
            top, bottom = (
                pixels.take(at, axis=0) * (1.0 - tx) + pixels.take(at + 1, axis=0) * tx
                for at in (first, first + n)
            )
            top += (bottom - top) * ty
            if self.spread is not None:
                top *= self.spread[rows].reshape(-1, 1)
            answer[:, rows] = top.T.reshape(len(planes), -1, answer.shape[2])

        spread_work(draw, _stripes(len(self.across)))
        return answer


def _stripes(rows: int) -> list[slice]:
    """Return a picture's rows in pieces that stay in the processor's cache."""
    return [slice(top, top + _STRIPE) for top in range(0, rows, _STRIPE)]


def _between(
    places: NDArray[np.float32], step: float, n: int
) -> tuple[NDArray[np.int32], NDArray[np.float32]]:
    """Return the pixel before each place and how far behind it the place lies, flat, (N, 1)."""
    at = places.ravel() * np.float32(step)
    at += np.float32(n // 2)
    np.clip(at, 0.0, n - 1.001, out=at)
    before = at.astype(np.int32)
    return before, (at - before)[:, None]


@lru_cache(maxsize=12)
def bending(
    figures: EyepieceFigures, scale: float, pixels: int, weights: bytes, dim: bool
) -> Bending:
    """Return what the glass does to a picture of this side and scale, pixels per degree.

    Parameters
    ----------
    figures
        What the eyepiece does.
    scale
        Pixels per degree of apparent angle.
    pixels
        Side of the picture.
    weights
        Weights of the wavelengths, as bytes, which can be kept by.
    dim
        True where what is drawn out wider comes out dimmer.
    """
    shape = (pixels, pixels)
    away = radius_deg(shape, scale)
    source, factor = origin(figures, away)
    along = ((np.arange(pixels) - pixels // 2)[:, None] * factor).astype(np.float32)
    table = np.frombuffer(weights).reshape(4, -1)
    return Bending(
        across=np.ascontiguousarray(along.T),
        along=along,
        spread=stretch(figures, away, source, factor) if dim else None,
        kept=field_mask(shape, scale, figures, weights=table),
    )
