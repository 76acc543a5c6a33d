"""Through focus: a stack of images along the eyepiece's travel, a cut along the axis, a profile."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import SimviewError, require_choice, require_range
from simview.executor.threads import one_blas_thread, spread_work
from simview.kit import Sky, Telescope
from simview.telescope.exposure import Setting, Stack, checked_screen, exposure
from simview.telescope.opening import LEAST_SAMPLES, REFERENCE_NM, Opening, stop_for
from simview.telescope.spread import checked_waves, moment, on_pixels
from simview.telescope.terms import NO_EXTRAS, Extras

Vector = NDArray[np.float64]

# Pupil samples across for a stack, at least: each image within 1.5e-3 of its own peak for three
# waves of defocus, which no picture shows; `precise` takes more.
_STACK_SAMPLES: Final = 128


def through_focus(  # noqa: PLR0913 (the settings of one exposure)
    scope: Telescope,
    defocus_waves: Sequence[float] | Vector,
    *,
    wavelengths_nm: Sequence[float] | Vector = (REFERENCE_NM,),
    pixel_arcsec: float,
    pixels: int,
    sky: Sky | None = None,
    screen_nm: NDArray[np.float64] | None = None,
    precise: bool = False,
    extras: Extras = NO_EXTRAS,
) -> Stack:
    """Return a star at several positions of the eyepiece and several wavelengths.

    Parameters
    ----------
    defocus_waves
        (p,) eyepiece travel in waves at 550 nm over the full circle, added to the wavefront's
        own defocus; negative is inside focus. `simview.units.focus_shift_mm` gives it in mm.
    wavelengths_nm
        (n,)
    sky
        Air before the telescope; a "moment" is the same at all positions.
    scope, pixel_arcsec, pixels, screen_nm, precise, extras
        As in `simview.telescope.spread.spread_stack`.

    Returns
    -------
    numpy.ndarray
        (p, n, pixels, pixels) float32, or float64 when `precise`; see `spread_stack` for what
        pixels hold. All images have the same scale. Within 1.5e-3 of each image's own peak for
        three waves of defocus; when `precise` within 1e-4.

    Raises
    ------
    SimviewError
        When a value is out of range, the range is empty, or the pattern cannot be sampled.

    Notes
    -----
    Checked by: tests/truth/test_through_focus.py
    """
    waves = checked_waves(wavelengths_nm, pixel_arcsec, pixels)
    travel = checked_travel(defocus_waves)
    screen = checked_screen(screen_nm)
    stop = stop_for(scope, extras=extras)
    screen = moment(sky, stop.aperture_mm) if screen is None else screen
    least = LEAST_SAMPLES if precise else _STACK_SAMPLES
    how: dict[str, Any] = {"screen_nm": screen, "precise": precise, "least_samples": least}
    one = exposure(scope, stop, waves, 0.0, extras=extras, **how)
    stack = on_pixels(_moved(one, travel), pixel_arcsec, int(pixels), sky)
    return stack.reshape(len(travel), len(waves), *stack.shape[1:])


def checked_travel(defocus_waves: Sequence[float] | Vector) -> Vector:
    """Return positions of the eyepiece as an array if they are usable.

    Raises
    ------
    SimviewError
        When there is none, or one is not finite or out of range.
    """
    travel = np.asarray(defocus_waves, dtype=np.float64)
    if travel.ndim != 1 or travel.size == 0:
        raise SimviewError(
            "defocus_waves", got=travel.tolist(), allowed="a list of at least one position"
        )
    for place in (travel.min(), travel.max()):
        require_range("defocus_waves", float(place), -60.0, 60.0, unit="waves")
    return travel


def _moved(one: Setting, travel: Vector) -> Setting:
    """Return an exposure whose planes are all positions of all colours, colours fastest."""
    defocus = travel[:, None] * one.stop.crop**2 * REFERENCE_NM / one.waves[None, :]
    return replace(
        one,
        waves=np.tile(one.waves, len(travel)),
        colour=(one.colour[None, :] + defocus).ravel(),
    )


@one_blas_thread()
def axial_cut(
    scope: Telescope,
    defocus_waves: Sequence[float] | Vector,
    *,
    wavelengths_nm: Sequence[float] | Vector = (REFERENCE_NM,),
    pixel_arcsec: float,
    pixels: int,
    along: str = "x",
    extras: Extras = NO_EXTRAS,
) -> Vector:
    """Return the light on a line through the star, for every position of the eyepiece.

    Seen as a picture it is the cone of light from inside to outside focus, cut open.

    Parameters
    ----------
    defocus_waves
        (p,) as in `through_focus`; hundreds are cheap: defocus factors into x and y, so all of
        them are one matrix product a colour.
    pixel_arcsec, pixels
        Along the line; the star stands on pixel ``pixels // 2``.
    along
        "x": from left to right; "y": from top to bottom.

    Returns
    -------
    numpy.ndarray
        (p, n, pixels) float64: intensity times the area of a square pixel, as in
        `through_focus`, within 1e-3 of the sharpest image's peak.

    Raises
    ------
    SimviewError
        When a value is out of range or the pixels are too coarse to sample the pattern.

    Notes
    -----
    Checked by: tests/truth/test_through_focus.py
    """
    waves = checked_waves(wavelengths_nm, pixel_arcsec, pixels)
    travel = checked_travel(defocus_waves)
    require_choice("along", along, ("x", "y"))
    stop = stop_for(scope, extras=extras)
    one = exposure(scope, stop, waves, 0.0, extras=extras, precise=True)
    coarsest = 0.5 * float(one.unit_arcsec.min())
    require_range("pixel_arcsec", pixel_arcsec, 1e-5, coarsest * (1.0 + 1e-9), unit="arcsec")
    front = _moved(one, travel).front(pixel_arcsec * pixels / 2.0)
    answer = np.empty((len(travel), len(waves), pixels))

    def work(k: int) -> None:
        answer[:, k] = _cut(one, front, k, travel, pixel_arcsec, pixels, along)

    spread_work(work, range(len(waves)))
    return answer


def _cut(
    one: Setting,
    front: Opening,
    k: int,
    travel: Vector,
    pixel_arcsec: float,
    pixels: int,
    along: str,
) -> Vector:
    """Return (p, pixels) of one colour: the pupil summed across the line, then transformed."""
    parts = one.field(front, front.amplitude, k)
    field = front.whole(parts[0]) + (1j * front.whole(parts[1]) if len(parts) == 2 else 0.0)
    if along == "y":
        field = field.T
    n = front.samples
    place = (2.0 * np.arange(n) + 1.0 - n) / n
    waves = travel * one.stop.crop**2 * REFERENCE_NM / one.waves[k]
    chirp = np.exp(2j * np.pi * waves[:, None] * place[None, :] ** 2)
    chirp *= np.sinc(waves[:, None] * 4.0 * place[None, :] / n)  # the mean over a sample
    chirp = chirp.astype(np.complex64)  # products in single precision: 1e-6 of the peak
    columns = (chirp @ field.astype(np.complex64)) * chirp
    step = pixel_arcsec / float(one.unit_arcsec[k]) / n
    image = (np.arange(pixels) - pixels // 2) * step
    kernel = np.exp(-2j * np.pi * np.outer(np.arange(n) - (n - 1) / 2.0, image)) / np.sinc(image)
    seen = np.abs(columns @ kernel.astype(np.complex64)).astype(np.float64)
    return np.asarray(seen**2 * (step**2 / front.light))


def radial_profile(image: NDArray[Any], pixel_arcsec: float) -> tuple[Vector, Vector]:
    """Return an image's mean over rings around its centre pixel.

    Parameters
    ----------
    image
        (ny, nx), the star on pixel n // 2.
    pixel_arcsec
        Side of a pixel; rings are one pixel wide.

    Returns
    -------
    radius_arcsec, mean
        (r,) mean radius of each ring's pixels, and their mean. Rings reach to the nearest edge.
    """
    ny, nx = image.shape
    y, x = np.arange(ny) - ny // 2, np.arange(nx) - nx // 2
    radius = np.hypot(x[None, :], y[:, None])
    ring = np.rint(radius).astype(int)
    rings = min(ny - ny // 2, nx - nx // 2)
    keep = ring < rings
    count = np.bincount(ring[keep], minlength=rings)
    mean = np.bincount(ring[keep], weights=image[keep], minlength=rings) / count
    place = np.bincount(ring[keep], weights=radius[keep], minlength=rings) / count
    return place * pixel_arcsec, mean
