"""Light that the eye scatters: the veil around bright things.

CIE's formula is for eyes that look with their whole pupil: within half a degree most of it is the
faults of the optics' outer parts. A telescope's beam is thinner and passes through their middle, so
close to a star there is less of it (`scatter.share_of_beam`); what is left around it is
diffraction, which the telescope's own image has already.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview import banded
from simview.banded import cubic_weights
from simview.eye.pruned import fast_length, lit_box, rows_of, spectrum_of
from simview.eye.scatter import BROWN_EYES, VALID_DEG, WIDE_MM, veil_per_lux

Array = NDArray[np.float64]

# Distance from its middle, in pixels, within which a kernel is averaged over its pixels.
STEEP: Final = 12

# Scatter counts wholly as close by up to the first angle, not at all from the second on, deg.
CLOSE_DEG: Final = (0.3, 1.2)

# Pixels per degree on which scatter close by is computed; its inner edge at 0.1 deg takes five.
CLOSE_PIXELS_PER_DEGREE: Final = 48.0


@lru_cache(maxsize=64)
def scattered_fraction(
    inner_deg: float,
    outer_deg: float,
    age_years: float,
    pigment: float = BROWN_EYES,
    *,
    pupil_mm: float = WIDE_MM,
) -> float:
    """Return the share of a source's light that lands between two angles from it.

    Parameters
    ----------
    inner_deg, outer_deg
        0.1 to 100 deg.
    age_years, pigment, pupil_mm
        As in `veil_per_lux`.

    Notes
    -----
    The integral of the veil over the ring, per lux; trapezoid in log angle, within 1e-4.
    """
    angle = np.geomspace(inner_deg, outer_deg, 400)
    ring = 2.0 * np.pi * np.sin(np.radians(angle)) * np.radians(angle)
    veil = veil_per_lux(angle, age_years, pigment, pupil_mm=pupil_mm)
    return float(np.trapezoid(veil * ring, np.log(angle)))


@lru_cache(maxsize=16)
def veil_kernel(
    pixels_per_degree: float,
    radius_deg: float,
    age_years: float,
    pigment: float = BROWN_EYES,
    *,
    pupil_mm: float = WIDE_MM,
) -> Array:
    """Return the eye's scatter as a square kernel: share of a pixel's light in each other pixel.

    Parameters
    ----------
    pixels_per_degree
        Of apparent angle; the veil is smooth, 4 to 10 will do.
    radius_deg
        How far it reaches, up to 100 deg.

    Returns
    -------
    numpy.ndarray
        (n, n) with n odd, read-only. Scatter closer than 0.1 deg is not in it: that is the eye's
        optics.
    """
    half = max(1, math.ceil(radius_deg * pixels_per_degree))
    # One quarter, the others mirror it. Far out a pixel's middle stands for it (0.3 % at STEEP
    # pixels, less beyond); close by its mean by 5 x 5 points, so that the steep middle is not
    # missed.

    def within(pixels: Array) -> Array:
        along = pixels / pixels_per_degree
        angle = np.hypot(along[:, None], along[None, :])
        low, high = VALID_DEG
        veil = veil_per_lux(np.clip(angle, low, high), age_years, pigment, pupil_mm=pupil_mm)
        veil[(angle < low) | (angle > min(high, radius_deg))] = 0.0
        return veil

    quarter = within(np.arange(half + 1.0))
    near = min(half, STEEP) + 1
    fine = (np.arange(5) - 2.0) / 5.0
    points = np.abs((np.arange(near)[:, None] + fine).ravel())
    dense = within(points)
    quarter[:near, :near] = dense.reshape(near, 5, near, 5).mean(axis=(1, 3))
    rows = np.concatenate([quarter[:0:-1], quarter])
    kernel = np.concatenate([rows[:, :0:-1], rows], axis=1)
    kernel *= math.radians(1.0 / pixels_per_degree) ** 2
    kernel.setflags(write=False)
    return kernel


@dataclass(frozen=True, slots=True, kw_only=True)
class Veil:
    """What the light of one whole field scatters over that field.

    Parameters
    ----------
    planes
        (channels, m, m) in the unit of the light, centred on the field.
    pixels_per_degree
        Of apparent angle.
    middle
        Where the field's centre lies on them, in pixels; 0 is the middle of the first pixel.
    kept
        Share of light that is not scattered.
    age_years, pigment, pupil_mm
        Of the eye and the beam that enters it, for the scatter close by.
    """

    planes: NDArray[np.float32]
    pixels_per_degree: float
    middle: float
    kept: float
    age_years: float
    pigment: float
    pupil_mm: float = WIDE_MM

    def over(
        self,
        image: NDArray[np.float32],
        *,
        pixels_per_degree: float,
        aside_px: tuple[float, float] = (0.0, 0.0),
    ) -> NDArray[np.float32]:
        """Lay the veil over an image that is part of the field.

        Parameters
        ----------
        image
            (channels, n, n) sharp, the field's centre in the middle of pixel n // 2.
        aside_px
            How far, in its own pixels, the image's middle lies right of and below the field's.

        Returns
        -------
        (channels, n, n): what the image keeps, and the veil.
        """
        answer = np.ascontiguousarray(self._close(image, pixels_per_degree))
        far = self._from_afar(image.shape[-1], pixels_per_degree, aside_px)
        # One plane after the other: in the largest pictures all of them take tens of megabytes.
        for place, (own, veil) in enumerate(zip(image, far, strict=True)):
            answer[place] += own * np.float32(self.kept)
            answer[place] += veil
        return answer

    def near_of(self, seen: NDArray[np.float32], pixels_per_degree: float) -> NDArray[np.float32]:
        """Return what was scattered close by into an image that has it in it, but none from afar.

        What is scattered twice, some 5 % of it, is reckoned as if light were even.
        """
        near = self._close(seen, pixels_per_degree)
        near /= np.float32(self.kept + _close_share(self.age_years, self.pigment, self.pupil_mm))
        return near

    def _close(self, image: NDArray[np.float32], pixels_per_degree: float) -> NDArray[np.float32]:
        return close_by(
            image, pixels_per_degree, self.age_years, self.pigment, pupil_mm=self.pupil_mm
        )

    def alone(
        self,
        pixels: int,
        *,
        pixels_per_degree: float,
        aside_px: tuple[float, float] = (0.0, 0.0),
    ) -> NDArray[np.float32]:
        """Return what lands from afar on an image of so many pixels; see `over`."""
        return np.stack(list(self._from_afar(pixels, pixels_per_degree, aside_px)))

    def _from_afar(
        self, pixels: int, pixels_per_degree: float, aside_px: tuple[float, float]
    ) -> Iterator[NDArray[np.float32]]:
        """Give what lands from afar, plane by plane; see `alone`."""
        step = self.pixels_per_degree / pixels_per_degree
        along = np.arange(pixels) - pixels // 2
        columns, rows = (
            cubic_weights(np.asarray(self.middle + step * (along + away)), self.planes.shape[-1])
            for away in aside_px
        )
        down, across = (banded.Band(way.astype(np.float32)) for way in (rows, columns))
        for plane in self.planes:
            laid = banded.down(down, banded.across(plane, across))
            yield np.maximum(laid, np.float32(0.0), out=laid)


def veil_of(
    field: NDArray[np.float32],
    *,
    pixels_per_degree: float,
    field_deg: float,
    age_years: float,
    pigment: float = BROWN_EYES,
    finest: float = 8.0,
    pupil_mm: float = WIDE_MM,
) -> Veil:
    """Scatter the light of a whole field in the eye.

    Parameters
    ----------
    field
        (channels, n, n) of a field and some room around it, its centre in the middle of pixel
        n // 2. What lies beyond the field stop sends no light.
    pixels_per_degree
        Of apparent angle.
    field_deg
        Apparent diameter of the field stop.
    finest
        Pixels per degree above which the veil is computed on larger pixels.
    pupil_mm
        Width of the beam that enters the eye (`beam_pupil`).

    Notes
    -----
    Checked by: tests/truth/test_eye_glare.py
    """
    n = field.shape[-1]
    along = (np.arange(n) - n // 2) / pixels_per_degree
    inside = np.hypot(along[:, None], along[None, :]) <= field_deg / 2.0
    shrink = max(1, round(pixels_per_degree / finest))
    light = _reduced(field * inside, shrink)
    scale = pixels_per_degree / shrink
    reach = min(light.shape[-1] / scale, VALID_DEG[1])
    kernel = veil_kernel(scale, reach, age_years, pigment, pupil_mm=pupil_mm)
    far = kernel.copy()
    half = kernel.shape[0] // 2
    near = min(half, math.ceil(CLOSE_DEG[1] * scale))  # further out nothing counts as close by
    middle = slice(half - near, half + near + 1)
    far[middle, middle] *= 1.0 - _nearness(near, scale)
    beyond = 0.0
    if reach < 99.0:
        beyond = scattered_fraction(reach, VALID_DEG[1], age_years, pigment, pupil_mm=pupil_mm)
    return Veil(
        planes=_scattered(light, far),
        pixels_per_degree=scale,
        middle=(n // 2 + 0.5) / shrink - 0.5,
        kept=1.0 - float(kernel.sum()) - beyond,
        age_years=age_years,
        pigment=pigment,
        pupil_mm=pupil_mm,
    )


def nearness(angle_deg: Array) -> Array:
    """Return the share of the scatter at an angle that counts as close by: 1 inside, 0 outside.

    Far scatter is smooth and is computed once for a field, on large pixels; what lands close by
    is steep and is computed in each picture on its own pixels.
    """
    inner, outer = CLOSE_DEG
    fall = np.clip((angle_deg - inner) / (outer - inner), 0.0, 1.0)
    return np.asarray(np.cos(np.pi / 2.0 * fall) ** 2)


@lru_cache(maxsize=16)
def _nearness(half: int, pixels_per_degree: float) -> Array:
    """Return `nearness` over a kernel that reaches so many pixels each way."""
    along = np.arange(-half, half + 1) / pixels_per_degree
    return nearness(np.hypot(along[:, None], along[None, :]))


@lru_cache(maxsize=16)
def _close_share(age_years: float, pigment: float, pupil_mm: float) -> float:
    """Return the share of light that is scattered close by."""
    scale = CLOSE_PIXELS_PER_DEGREE
    kernel = veil_kernel(scale, CLOSE_DEG[1], age_years, pigment, pupil_mm=pupil_mm)
    return float((kernel * _nearness(kernel.shape[0] // 2, scale)).sum())


def close_by(
    image: NDArray[np.float32],
    pixels_per_degree: float,
    age_years: float,
    pigment: float = BROWN_EYES,
    *,
    filled: bool = False,
    pupil_mm: float = WIDE_MM,
    out: NDArray[np.float32] | None = None,
) -> NDArray[np.float32]:
    """Return what an image scatters within about a degree; it is taken to go on past its edges.

    Parameters
    ----------
    image
        (channels, n, n).
    pixels_per_degree
        Of apparent angle.
    age_years, pigment
        Of the eye.
    filled
        Let the scatter of points go on smoothly to their middles, past the formula's 0.1 deg, where
        it would end in a ring.
    pupil_mm
        Width of the beam that enters the eye.
    out
        Where the answer is put; the image itself may be overwritten.
    """
    from PIL import Image

    n = image.shape[-1]
    shrink = max(1, round(pixels_per_degree / CLOSE_PIXELS_PER_DEGREE))
    scale = pixels_per_degree / shrink
    kernel = veil_kernel(scale, CLOSE_DEG[1], age_years, pigment, pupil_mm=pupil_mm)
    half = kernel.shape[0] // 2
    if filled:
        kernel = _filled(half, scale, age_years, pigment, pupil_mm)
    kernel = kernel * _nearness(half, scale)
    scatter = _Scatter(kernel)
    answer = np.empty_like(image) if out is None else out
    # One plane after the other: in the largest pictures all of them take tens of megabytes.
    for plane, made in zip(image, answer, strict=True):
        rest = -n % shrink
        even = np.pad(plane, (0, rest), mode="edge") if rest else plane
        veil = scatter(np.pad(_reduced(even, shrink), half, mode="edge"))[half:-half, half:-half]
        if shrink == 1:
            made[:] = veil
            continue
        size = veil.shape[-1] * shrink
        wide = Image.fromarray(np.ascontiguousarray(veil)).resize(
            (size, size), Image.Resampling.BICUBIC
        )
        np.maximum(np.asarray(wide)[:n, :n], 0.0, out=made)
    return answer


@lru_cache(maxsize=16)
def _filled(
    half: int, pixels_per_degree: float, age_years: float, pigment: float, pupil_mm: float
) -> Array:
    """Return the eye's scatter as a kernel that levels off within 0.1 deg, as `starimage` does."""
    along = np.arange(-half, half + 1) / pixels_per_degree
    angle = np.hypot(np.hypot(along[:, None], along[None, :]), VALID_DEG[0])
    veil = veil_per_lux(np.minimum(angle, VALID_DEG[1]), age_years, pigment, pupil_mm=pupil_mm)
    return np.asarray(veil * math.radians(1.0 / pixels_per_degree) ** 2)


def _reduced(planes: NDArray[np.float32], shrink: int) -> NDArray[np.float32]:
    """Return means over squares of pixels; what is left over at the far edges is dropped."""
    if shrink == 1:
        return planes
    size = planes.shape[-1] // shrink
    cut = planes[..., : size * shrink, : size * shrink]
    return banded.block_means(cut, shrink)


def _scattered(light: NDArray[np.float32], kernel: Array) -> NDArray[np.float32]:
    """Convolve planes with a kernel, which is centred; beyond their edges there is no light."""
    scatter, answer = _Scatter(kernel), np.empty_like(light)
    for plane, out in zip(light, answer, strict=True):
        out[:] = scatter(plane)
    return answer


class _Scatter:
    """Convolves one plane after the other with a kernel, as `_scattered` does.

    Planes of one picture are mostly lit in the same places: the kernel's spectrum serves them all.
    """

    def __init__(self, kernel: Array) -> None:
        self._kernel = kernel
        self._shape = (0, 0)
        self._sides = (0, 0)
        self._spectrum = np.zeros((0, 0), np.complex64)

    def __call__(self, plane: NDArray[np.float32]) -> NDArray[np.float32]:
        half = self._kernel.shape[0] // 2
        answer = np.zeros_like(plane)
        # Nothing is scattered farther from all light than the kernel reaches.
        rows, columns = (
            slice(max(lit.start - half, 0), min(lit.stop + half, whole))
            for lit, whole in zip(lit_box(plane[None]), plane.shape, strict=True)
        )
        if rows.start == rows.stop:
            return answer
        lit, out = plane[rows, columns], answer[rows, columns]
        height, width = lit.shape
        self._fit((height, width))
        scattered = spectrum_of(lit, self._sides)
        scattered *= self._spectrum
        out[:] = rows_of(scattered, self._sides[1], slice(0, out.shape[0]))[:, : out.shape[1]]
        return answer

    def _fit(self, shape: tuple[int, int]) -> None:
        """Have the kernel's spectrum at hand for planes of a shape."""
        if shape != self._shape:
            ring = _ring(self._kernel, shape)
            height, width = ring.shape
            self._shape, self._sides = shape, (height, width)
            self._spectrum = spectrum_of(ring, self._sides)


def _ring(kernel: Array, shape: tuple[int, int]) -> NDArray[np.float32]:
    """Return a kernel laid out to be convolved with planes of a shape without running over.

    Its middle is on pixel 0; what lies before that comes around from the far edges.
    """
    half = kernel.shape[0] // 2
    reaches = [min(half, size - 1) for size in shape]
    sides = [fast_length(size + reach) for size, reach in zip(shape, reaches, strict=True)]
    ring = np.zeros(sides, dtype=np.float32)
    ways = [
        (
            (slice(0, reach + 1), slice(half, half + reach + 1)),
            (slice(side - reach, side), slice(half - reach, half)),
        )
        for side, reach in zip(sides, reaches, strict=True)
    ]
    for rows, from_rows in ways[0]:
        for columns, from_columns in ways[1]:
            ring[rows, columns] = kernel[from_rows, from_columns]
    return ring
