"""Frames of one side of focus, aligned, graded and averaged onto the working grid."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.diagnosis import finding
from simview.diagnosis.finding import FULL, MOST_CLIPPED, Found, refuse
from simview.diagnosis.model import Plate
from simview.diagnosis.pattern import Band
from simview.diagnosis.photo_files import Frame, Shot

Plane = NDArray[np.float64]
Array = NDArray[Any]

# Mean and standard deviation of the light that a camera's red, green and blue pixels answer to,
# nm, for a star of 7000 K. Source: the camera of Darrodi, Finlayson, Goodman and Mackiewicz 2015,
# "Reference data set for camera spectral sensitivity estimation", JOSA A 32, 381, times a black
# body; a phone's differ by some 10 nm. Checked by: tests/truth/test_camera_bands.py
RED: Final = (591.0, 53.0)
GREEN: Final = (526.0, 43.0)
BLUE: Final = (469.0, 32.0)
# A camera without colours: silicon behind a filter that keeps infrared out. From memory.
GREY: Final = (560.0, 75.0)

# Share of a burst's frames that is kept: the sharpest. A choice.
_KEPT: Final = 0.7

# Pixels across the working grid at most and at least.
MOST_PIXELS: Final = 112
LEAST_PIXELS: Final = 40


def band(mean_nm: float, deviation_nm: float) -> Band:
    """Return three wavelengths with the mean, deviation and kurtosis of a Gaussian band."""
    step = math.sqrt(3.0) * deviation_nm
    return Band(
        wavelengths_nm=(mean_nm - step, mean_nm, mean_nm + step), weights=(1 / 6, 2 / 3, 1 / 6)
    )


def fine_band(mean_nm: float, deviation_nm: float, count: int = 7) -> Band:
    """Return a Gaussian band in many wavelengths: a simple lens focuses each of them elsewhere."""
    off = np.linspace(-2.1, 2.1, count)
    share = np.exp(-0.5 * off**2)
    return Band(
        wavelengths_nm=tuple((mean_nm + deviation_nm * off).tolist()),
        weights=tuple((share / share.sum()).tolist()),
    )


def bands(channels: int) -> tuple[Band, ...]:
    """Return the light of a picture's channels."""
    kinds = (RED, GREEN, BLUE) if channels == 3 else (GREY,)
    return tuple(band(*kind) for kind in kinds)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stars:
    """The star in all frames that are kept.

    Parameters
    ----------
    cuts
        Each (n, n, channels), the star about in the middle, sky taken off.
    use
        (n, n, channels) bool for each: neither clipped nor hot, no other star.
    places
        Where the star's middle is in each cut, pixels from its middle, to the right and down.
    noise
        (channels,) standard deviation of the sky in one frame.
    radius
        Of the disc, pixels.
    linear, name
        Of the shot.
    bands
        Light of each channel.
    dropped
        How many frames were left out.
    """

    cuts: tuple[Frame, ...]
    use: tuple[NDArray[np.bool_], ...]
    places: tuple[tuple[float, float], ...]
    noise: NDArray[np.float64]
    radius: float
    linear: bool
    name: str
    bands: tuple[Band, ...]
    dropped: int = 0

    def in_green(self) -> Stars:
        """Return the star in green light alone, for a lens that leaves red and blue out of focus.

        A picture without colours stays as it is, its band told more finely.
        """
        channel = 1 if len(self.bands) == 3 else 0
        cut = slice(channel, channel + 1)
        return replace(
            self,
            cuts=tuple(frame[..., cut] for frame in self.cuts),
            use=tuple(good[..., cut] for good in self.use),
            noise=self.noise[cut],
            bands=(fine_band(*(GREEN if channel else GREY)),),
        )


def stars_of(shot: Shot) -> Stars:
    """Return the star of a shot, cut out of its frames.

    Raises
    ------
    UnfitError
        When no frame, or less than half of them, shows a star that can be used.
    """
    found: list[tuple[Frame, Found]] = []
    first: finding.UnfitError | None = None
    for frame in shot.frames:
        cut = finding.trimmed(frame)
        try:
            found.append((cut, finding.find(cut, shot.name)))
        except finding.UnfitError as error:
            first = first or error
    if not found or 2 * len(found) < len(shot.frames):
        assert first is not None
        raise first
    radius = float(np.median([star.radius for _, star in found]))
    half = math.ceil(2.1 * radius) + 3
    cuts, use, places, noises, sharp = [], [], [], [], []
    for frame, star in found:
        if abs(math.log(star.radius / radius)) > 0.2:
            continue
        cut, off = _cut(frame, star, half)
        clean, good, noise = _cleaned(cut, off, radius)
        cuts.append(clean)
        use.append(good)
        places.append(off)
        noises.append(noise)
        sharp.append(_sharpness(clean))
    _check_clipped(use, places, radius, shot.name)
    kept = _graded(sharp)
    return Stars(
        cuts=tuple(cuts[k] for k in kept),
        use=tuple(use[k] for k in kept),
        places=tuple(places[k] for k in kept),
        noise=np.median(noises, axis=0),
        radius=radius,
        linear=shot.linear,
        name=shot.name,
        bands=bands(cuts[0].shape[2]),
        dropped=len(shot.frames) - len(kept),
    )


def _cut(frame: Frame, star: Found, half: int) -> tuple[Frame, tuple[float, float]]:
    """Return a square around the star, filled with the edge's values where the frame ends."""
    row, column = round(star.y), round(star.x)
    padded = np.pad(frame, ((half, half), (half, half), (0, 0)), constant_values=np.nan)
    cut = padded[row : row + 2 * half + 1, column : column + 2 * half + 1]
    return cut, (star.x - column, star.y - row)


def _cleaned(
    cut: Frame, off: tuple[float, float], radius: float
) -> tuple[Frame, NDArray[np.bool_], NDArray[np.float64]]:
    """Return a cut without its sky, where it may be used, and the sky's noise."""
    from scipy import ndimage

    side = np.arange(len(cut)) - (len(cut) - 1) / 2.0
    x, y = np.meshgrid(side - off[0], side - off[1])
    distance = np.hypot(x, y)
    inside = np.isfinite(cut[..., 0])
    good = np.repeat(inside[..., None], cut.shape[2], axis=2)
    clean = np.zeros_like(cut)
    noise = np.zeros(cut.shape[2])
    around = inside & (distance > 1.55 * radius)
    for c in range(cut.shape[2]):
        plane = np.where(inside, cut[..., c], 0.0).astype(np.float64)
        clipped = plane >= FULL
        good[..., c] &= ~ndimage.binary_dilation(clipped, iterations=1)
        sky, noise[c], others = _sky_plane(plane, around, x, y)
        good[..., c] &= ~ndimage.binary_dilation(others, iterations=3)
        flat = plane - sky
        spikes = np.abs(flat - ndimage.median_filter(flat, 3))
        smooth = ndimage.gaussian_filter(np.abs(flat), 1.5)
        hot = spikes > np.maximum(8.0 * noise[c], 0.5 * smooth) + 0.02
        good[..., c] &= ~hot
        clean[..., c] = np.where(inside, flat, 0.0)
    return clean, good, noise


def _sky_plane(
    plane: Plane, around: NDArray[np.bool_], x: Plane, y: Plane
) -> tuple[Plane, float, NDArray[np.bool_]]:
    """Return the sky as a sloping plane, its noise, and what stands out of it around the star."""
    use = around.copy()
    if use.sum() < 30:
        return np.full_like(plane, float(plane.min())), 1e-3, np.zeros_like(around)
    off = np.zeros_like(plane)
    sigma = 1e-6
    sky = np.zeros_like(plane)
    for _ in range(3):
        columns = np.stack([np.ones(use.sum()), x[use], y[use]], axis=1)
        answer, *_ = np.linalg.lstsq(columns, plane[use], rcond=None)
        sky = answer[0] + answer[1] * x + answer[2] * y
        off = plane - sky
        sigma = max(1.4826 * float(np.median(np.abs(off[use]))), 1e-6)
        use = around & (np.abs(off) < 4.0 * sigma + 1e-4)
        if use.sum() < 30:
            break
    # Eight-bit pictures have a sky without noise: a step of tones is the least error.
    sigma = max(sigma, 3e-4)
    return sky, sigma, around & (off > 8.0 * sigma + 0.02)


def _sharpness(cut: Frame) -> float:
    plane = cut.mean(axis=2)
    down, right = np.gradient(plane)
    return float((down**2 + right**2).sum() / max(float((plane**2).sum()), 1e-9))


def _graded(sharp: Sequence[float]) -> list[int]:
    """Return which frames are kept: the sharper ones of a burst, in their order."""
    count = len(sharp)
    keep = count if count < 5 else max(5, math.ceil(_KEPT * count))
    return sorted(np.argsort(sharp)[::-1][:keep].tolist())


def _check_clipped(
    use: Sequence[NDArray[np.bool_]],
    places: Sequence[tuple[float, float]],
    radius: float,
    name: str,
) -> None:
    shares = []
    for good, off in zip(use, places, strict=True):
        side = np.arange(len(good)) - (len(good) - 1) / 2.0
        disc = np.hypot(side[None, :] - off[0], side[:, None] - off[1]) < radius
        shares.append(1.0 - good[disc].mean(axis=0).max())
    share = float(np.median(shares)) if shares else 1.0
    if share > MOST_CLIPPED:
        raise refuse(
            name,
            f"{100 * share:.0f} % of the star's disc is overexposed",
            "shorten the exposure until no part of the disc is white",
        )


def plate_of(stars: Stars, half: float, pixels: int) -> tuple[Plate, Array]:
    """Return a star on the working grid: the mean of its frames, and each of them.

    Parameters
    ----------
    half
        Half width of the grid in pixels of the photograph.
    pixels
        Of the grid.

    Returns
    -------
    Plate, numpy.ndarray
        The latter (frames, channels, pixels, pixels) float32.
    """
    channels = stars.cuts[0].shape[2]
    total = np.zeros((channels, pixels, pixels))
    weight = np.zeros_like(total)
    each = []
    for cut, good, off in zip(stars.cuts, stars.use, stars.places, strict=True):
        size = len(cut)
        rows, columns = (_overlap(size, half, pixels, shift) for shift in (off[1], off[0]))
        data = rows @ np.moveaxis(cut, 2, 0) @ columns.T
        fine = rows @ np.moveaxis(good, 2, 0).astype(np.float64) @ columns.T > 0.999
        each.append(data)
        total += np.where(fine, data, 0.0)
        weight += fine
    count = len(each)
    use = weight > 0.7 * count
    mean = np.where(use, total / np.maximum(weight, 1.0), 0.0)
    ratio = 2.0 * half / pixels
    noise = stars.noise / math.sqrt(count) / max(ratio, 1.0)
    plate = Plate(data=mean, use=use, noise=noise, bands=stars.bands)
    return plate, np.stack(each).astype(np.float32)


def _overlap(size: int, half: float, pixels: int, shift: float) -> Plane:
    """Return (pixels, size): each new pixel the mean of the old ones that it covers."""
    old = np.arange(size + 1) - size / 2.0 - shift
    new = np.linspace(-half, half, pixels + 1)
    low = np.maximum(old[None, :-1], new[:-1, None])
    high = np.minimum(old[None, 1:], new[1:, None])
    share = np.maximum(high - low, 0.0)
    return np.asarray(share / (new[1] - new[0]))
