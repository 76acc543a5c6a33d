"""The star in a frame: found among others, cut out, or refused with the reason."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.diagnosis.photo_files import Frame
from simview.errors import SimviewError

Plane = NDArray[np.float64]
Array = NDArray[Any]

# Least width of a star's disc, pixels: below it the rings that tell defocus are lost. A choice.
LEAST_DISC: Final = 14.0

# Largest share of the disc's pixels that may be at full scale, and what counts as full scale.
MOST_CLIPPED: Final = 0.3
FULL: Final = 0.975

# Longest against shortest width of a star that is no trail; another star's share of the light
# that makes two stars of one; share of the frame's width that a star may fill.
_ROUNDEST: Final = 1.7
_SECOND: Final = 0.25

# Least brightness of a screenshot's border, and how even it is; sky against the brightest light
# above which a frame is no night sky; part of a long shape that its mirror image does not cover,
# above which it is no trail but lit from one side (half a disc: 0.25). Choices.
_BRIGHT_BORDER: Final = 0.1
_EVEN: Final = 0.02
_BRIGHTEST_SKY: Final = 0.3
_LOPSIDED: Final = 0.12

# A frame is searched at this many pixels across.
_SEARCHED: Final = 400


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """Where the star is in a frame, in pixels of it.

    Parameters
    ----------
    x, y
        Middle of its light, columns and rows from the middle of pixel 0.
    spread
        Root mean square distance of its light from there.
    """

    x: float
    y: float
    spread: float

    @property
    def radius(self) -> float:
        """Radius of an even disc of that spread."""
        return self.spread * math.sqrt(2.0)


class UnfitError(SimviewError):
    """A photograph from which nothing can be told."""


def refuse(name: str, got: str, remedy: str) -> UnfitError:
    """Return the refusal of a photograph, in one line."""
    return UnfitError(f"photograph {name}", got=got, remedy=remedy)


def trimmed(frame: Frame) -> Frame:
    """Return a frame without the bright even borders that screenshots have, texts on them too.

    Dark borders do no harm, and a dark sky without noise would pass for one.
    """
    from scipy import ndimage

    grey = frame.mean(axis=2)
    rim = np.concatenate((grey[0], grey[-1], grey[:, 0], grey[:, -1]))
    border = float(np.median(rim))
    if border < _BRIGHT_BORDER or (np.abs(rim - border) < _EVEN).mean() < 0.6:
        return frame
    labels, count = ndimage.label(np.abs(grey - border) >= _EVEN)
    sizes = np.bincount(labels.ravel())[1:]
    if count == 0:
        return frame
    rows, columns = ndimage.find_objects(labels)[int(np.argmax(sizes))]
    inner = grey[rows, columns]
    # The picture within the borders is a rectangle: else it was no border.
    if min(inner.shape) < 32 or sizes.max() < 0.9 * inner.size:
        return frame
    return frame[rows, columns][1:-1, 1:-1]


def find(frame: Frame, name: str) -> Found:
    """Return where the star is.

    Raises
    ------
    UnfitError
        A black frame, several stars, one at the edge, in focus, trailed or overexposed.
    """
    from scipy import ndimage

    grey = frame.mean(axis=2, dtype=np.float64)
    shrink = max(1, math.ceil(max(grey.shape) / _SEARCHED))
    small = _shrunk(grey, shrink)
    sky, noise = _sky(small)
    smooth = ndimage.gaussian_filter(small, 1.0) - sky
    peak = float(np.percentile(smooth, 100.0 * (1.0 - 12.0 / smooth.size)))
    if sky > 0.02 and sky > _BRIGHTEST_SKY * (peak + sky):
        raise _bright_all_over(name)
    if peak < max(4.0 * noise, 0.004):
        raise refuse(name, "no star in it", "expose longer, or take a brighter star")
    # A caustic is many times as bright as the rest of the disc, which must hold together.
    level = max(0.07 * peak, 4.0 * noise)
    mask = ndimage.binary_fill_holes(ndimage.binary_closing(smooth > level, iterations=3))
    labels, count = ndimage.label(mask)
    light = ndimage.sum_labels(np.maximum(smooth, 0.0), labels, np.arange(1, count + 1))
    order = np.argsort(light)[::-1]
    best = int(order[0]) + 1
    rivals = [int(k) + 1 for k in order if light[k] > _SECOND * light[order[0]]]
    if len(rivals) > 1:
        raise _several(name, labels, rivals)
    region = labels == best
    _check_place(region, name)
    found = _measured(grey, region, shrink, sky)
    _check_shape(smooth, region, found, name)
    return found


def _bright_all_over(name: str) -> UnfitError:
    return refuse(
        name,
        "a picture that is bright all over: no star against a dark sky",
        "photograph one bright star out of focus, at night",
    )


def _several(name: str, labels: Array, rivals: list[int]) -> UnfitError:
    """Return the refusal of several bright things, by what they are: alike and round, or not."""
    from scipy import ndimage

    found = ndimage.find_objects(labels)
    shapes = [np.array((labels[found[k - 1]] == k).shape) for k in rivals]
    full = [float((labels[found[k - 1]] == k).mean()) for k in rivals]
    sides = np.array(shapes)
    stars = (
        # A round disc fills pi / 4 of the square around it.
        all(abs(part - math.pi / 4.0) < 0.12 for part in full)
        and float((sides.max(axis=1) / sides.min(axis=1)).max()) < 1.4
        and float(sides.max() / sides.min()) < 1.5
    )
    if stars:
        count = {2: "two stars", 3: "three stars"}.get(len(rivals), f"{len(rivals)} stars")
        return refuse(
            name,
            f"{count}, and nothing says which of them is meant",
            "photograph one bright star alone, or cut the picture so that one is left",
        )
    return refuse(
        name,
        "more than one bright thing, and not all of them stars",
        "photograph one bright star out of focus, alone, against a dark sky",
    )


def _lopsided(along: Array, across: Array) -> bool:
    """Return whether a shape's two long sides differ, as those of a half Moon do."""
    reach = float(max(np.abs(along).max(), 1.0)), float(max(np.abs(across).max(), 1.0))
    count, *_ = np.histogram2d(
        along, across, bins=14, range=[(-reach[0], reach[0]), (-reach[1], reach[1])]
    )
    return bool(np.abs(count - count[:, ::-1]).sum() > 2.0 * _LOPSIDED * count.sum())


def _shrunk(plane: Array, step: int) -> Plane:
    rows, columns = (n // step * step for n in plane.shape)
    cut = plane[:rows, :columns].reshape(rows // step, step, columns // step, step)
    return np.asarray(cut.mean(axis=(1, 3)), np.float64)


def _sky(plane: Plane) -> tuple[float, float]:
    sky = float(np.median(plane))
    below = plane[plane <= sky]
    return sky, 1.4826 * float(np.median(np.abs(below - sky))) if below.size else 0.0


def _check_place(region: NDArray[np.bool_], name: str) -> None:
    edge = region[0].any() or region[-1].any() or region[:, 0].any() or region[:, -1].any()
    if region.mean() > 0.6:
        raise _bright_all_over(name)
    if edge:
        raise refuse(
            name, "the star is cut off by the picture's edge", "bring it to the middle of the field"
        )


def _measured(grey: Plane, region: NDArray[np.bool_], shrink: int, sky: float) -> Found:
    rows, columns = np.nonzero(region)
    pad = 4 * shrink
    top, bottom = rows.min() * shrink - pad, (rows.max() + 1) * shrink + pad
    left, right = columns.min() * shrink - pad, (columns.max() + 1) * shrink + pad
    top, left = max(top, 0), max(left, 0)
    light = np.maximum(grey[top:bottom, left:right] - sky, 0.0)
    light = np.where(light > 0.05 * light.max(initial=0.0), light, 0.0)
    y, x = np.arange(light.shape[0]), np.arange(light.shape[1])
    total = float(light.sum())
    mx, my = float(light.sum(axis=0) @ x) / total, float(light.sum(axis=1) @ y) / total
    r2 = (x[None, :] - mx) ** 2 + (y[:, None] - my) ** 2
    spread = math.sqrt(float((light * r2).sum()) / total)
    return Found(x=left + mx, y=top + my, spread=spread)


def _check_shape(smooth: Plane, region: NDArray[np.bool_], found: Found, name: str) -> None:
    if 2.0 * found.radius < LEAST_DISC:
        raise refuse(
            name,
            f"a disc only {2.0 * found.radius:.0f} pixels wide: the star is in focus or too small",
            f"turn the focuser until it is a disc, at least {LEAST_DISC:.0f} pixels wide;"
            " better 100 or more",
        )
    light = np.where(region, np.maximum(smooth, 0.0), 0.0)
    y, x = np.nonzero(region)
    weight = light[y, x]
    mx, my = np.average(x, weights=weight), np.average(y, weights=weight)
    spread = np.cov(np.stack((x - mx, y - my)), aweights=np.maximum(weight, 1e-9))
    low, high = np.sqrt(np.linalg.eigvalsh(spread))
    if high <= _ROUNDEST * max(low, 1e-6):
        return
    short, long = np.linalg.eigh(spread)[1].T
    if _lopsided(*(axis[0] * (x - x.mean()) + axis[1] * (y - y.mean()) for axis in (long, short))):
        raise refuse(
            name,
            "no star, but something lit from one side: the Moon, or a thing by lamplight",
            "photograph one bright star out of focus, alone, against a dark sky",
        )
    raise refuse(
        name,
        f"a star {high / max(low, 1e-6):.1f} times as long as wide: trailed, double or near focus",
        "shorten the exposure or let the mount follow, take a single star, defocus farther",
    )
