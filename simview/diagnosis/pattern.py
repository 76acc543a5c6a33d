"""A star out of focus as a camera sees it, and how that picture changes with everything unknown.

The pupil is the kit's own, the transform a separable matrix product onto the picture's pixels,
the air one smooth factor on the transfer function. Every derivative is written out, so that a fit
needs tens of evaluations instead of thousands.

Source: Fraunhofer diffraction, Born & Wolf, Principles of Optics, section 8.3; Soummer et al.
2007, Optics Express 15, 15935 (the separable transform). Derivatives are elementary.
Checked by: tests/unit/diagnosis/test_pattern.py (against spread_stack, and by differences)
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.kit import Telescope
from simview.telescope import opening
from simview.telescope.pupil import Shape, axis, centres, mask
from simview.telescope.terms import TurnedEdge, Zone
from simview.telescope.wavefront import zernike
from simview.units import ARCSEC_PER_RADIAN

Plane = NDArray[np.float64]
Array = NDArray[Any]

# What a fit can give the wavefront: Noll's polynomials, and the forms that are none: "edge",
# "zone:RADIUS".
Mode = int | str

# Step by which the shadow's edge is moved to see what it does, in radii.
_NUDGE: Final = 0.004

# The pupil's own unknowns: what hides light, in radii of the opening.
SHADOW: Final = ("shadow", "shadow_x", "shadow_y")


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Light of one colour channel: wavelengths in nm and their shares, which sum to 1."""

    wavelengths_nm: tuple[float, ...]
    weights: tuple[float, ...]

    @property
    def mean_nm(self) -> float:
        """Mean wavelength."""
        return float(np.dot(self.wavelengths_nm, self.weights))


@dataclass(frozen=True, slots=True, kw_only=True)
class Wavelet:
    """The pupil at one wavelength, reduced to what the transform needs."""

    wave_nm: float
    share: float
    ratio: float
    unit_arcsec: float
    colour: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pupil:
    """The kit's sampled pupil.

    Parameters
    ----------
    amplitude
        (n, n) open share of each sample.
    x, y
        (n, n) where its open part lies, radii of the opening.
    basis
        (modes, n, n) waves at 550 nm for one unit of each mode.
    r2
        (n, n)
    nudged
        (3, n, n) change of the amplitude with each of `SHADOW`.
    """

    amplitude: Plane
    x: Plane
    y: Plane
    r2: Plane
    basis: Plane
    nudged: Plane


def shape_of(scope: Telescope, shadow: tuple[float, float, float]) -> Shape:
    """Return what hides light: the kit's secondary made larger and moved by `shadow`."""
    own = opening.stop_for(scope).shape
    return Shape(
        obstruction=float(np.clip(own.obstruction + shadow[0], 0.0, 0.9)),
        vanes=own.vanes,
        vane_ratio=own.vane_ratio,
        shadow_x=shadow[1],
        shadow_y=shadow[2],
    )


def basis_of(mode: Mode, x: Plane, y: Plane) -> Plane:
    """Return one unit of a mode in waves at 550 nm at points in radii of the full circle."""
    if isinstance(mode, int):
        return zernike(mode, x, y)
    kind, _, where = mode.partition(":")
    if kind == "edge":
        return TurnedEdge(waves=1.0).path(x, y)
    return Zone(waves=1.0, radius=float(where)).path(x, y)


@lru_cache(maxsize=8)
def pupil_of(
    scope: Telescope, modes: tuple[Mode, ...], samples: int, shadow: tuple[float, float, float]
) -> Pupil:
    """Return the kit's pupil with a basis for its wavefront."""
    stop = opening.stop_for(scope)
    shape = shape_of(scope, shadow)
    amplitude = mask(shape, samples)
    x, y = centres(shape, samples)
    full_x, full_y = x * stop.crop, y * stop.crop
    nudged = np.zeros((3, samples, samples))
    for k in range(3 if shape.obstruction > 0.0 else 0):
        for sign in (1.0, -1.0):
            moved = [*shadow]
            moved[k] += sign * _NUDGE
            other = mask(shape_of(scope, (moved[0], moved[1], moved[2])), samples)
            nudged[k] += sign * other / (2.0 * _NUDGE)
    return Pupil(
        amplitude=np.asarray(amplitude),
        x=x,
        y=y,
        r2=full_x**2 + full_y**2,
        basis=np.stack([basis_of(mode, full_x, full_y) for mode in modes])
        if modes
        else np.zeros((0, samples, samples)),
        nudged=nudged,
    )


def wavelets(scope: Telescope, band: Band) -> list[Wavelet]:
    """Return what each wavelength of a band needs: its scale and the glass's own defocus."""
    stop = opening.stop_for(scope)
    waves = np.array(band.wavelengths_nm)
    colour = opening.defocus_by_colour(scope, stop, waves, 0.0) / stop.crop**2
    return [
        Wavelet(
            wave_nm=float(wave),
            share=share,
            ratio=opening.REFERENCE_NM / float(wave),
            unit_arcsec=float(wave) * 1e-6 / stop.aperture_mm * ARCSEC_PER_RADIAN,
            colour=float(own),
        )
        for wave, share, own in zip(waves, band.weights, colour, strict=True)
    ]


def samples_for(defocus: float, half_extent: float) -> int:
    """Return how many pupil samples a defocus and a grid (half of it, in wavelength / D) need."""
    need = max(64.0, 14.0 * abs(defocus), 2.3 * half_extent)
    return int(min(320, 16 * -(-need // 16)))


@dataclass(slots=True, kw_only=True)
class Kernels:
    """Transform matrices of one wavelength onto one grid, and their change with its scale."""

    x: Array
    y: Array
    dx: Array
    dy: Array


def _wheel(turns: Plane) -> Array:
    """Return exp(2 pi i turns) in single precision; whole turns are taken off before."""
    angle = (2.0 * np.pi * (turns - np.rint(turns))).astype(np.float32)
    wheel = np.empty(angle.shape, np.complex64)
    np.cos(angle, out=wheel.real)
    np.sin(angle, out=wheel.imag)
    return wheel


def kernels(samples: int, pixels: int, step: float, shift: tuple[float, float]) -> Kernels:
    """Return the matrices (samples, pixels); `step` and `shift` in wavelength / diameter.

    Row 0 is the top: y runs upwards against the rows.
    """
    place = (np.arange(samples) - (samples - 1) / 2.0) / samples
    image = (np.arange(pixels) - (pixels - 1) / 2.0) * step
    made = []
    for sign, off in ((1.0, shift[0]), (-1.0, shift[1])):
        where = image * sign - off
        turns = sign * place[:, None] * where[None, :]
        matrix = _wheel(-turns)
        matrix /= np.sinc(where / samples).astype(np.float32)  # the mean over a sample's square
        made += [matrix, matrix * np.complex64(-2j * np.pi) * turns.astype(np.float32)]
    return Kernels(x=made[0], dx=made[1], y=made[2], dy=made[3])


@dataclass(slots=True, kw_only=True)
class Sight:
    """One channel's picture of unit light and its derivatives, before air, gamma and background.

    Parameters
    ----------
    image
        (m, m), sums to about 1.
    slopes
        Name of a parameter to (m, m).
    """

    image: Plane
    slopes: dict[str, Plane] = field(default_factory=dict)


def sight(  # noqa: PLR0913 (the settings of one exposure)
    pupil: Pupil,
    light: list[Wavelet],
    *,
    modes: tuple[Mode, ...],
    strengths: Plane,
    defocus: float,
    pixel_arcsec: float,
    pixels: int,
    shift: tuple[float, float],
    wanted: frozenset[str] | None,
) -> Sight:
    """Return a star without air, and its slopes where `wanted` names them.

    Parameters
    ----------
    strengths
        (modes,) of the modes.
    defocus
        Waves at 550 nm over the full circle.
    pixel_arcsec, pixels
        Of the grid.
    shift
        Where the star stands from the middle of the grid, arcsec to the right and upwards.
    wanted
        Names of modes ("m0", "m1" ...), "defocus", "scale", "x", "y" and of `SHADOW`; None for
        none.
    """
    samples = len(pupil.amplitude)
    path = defocus * pupil.r2
    if modes:
        path = path + np.tensordot(strengths, pupil.basis, axes=1)
    total = Sight(image=np.zeros((pixels, pixels)))
    light_sum = float(pupil.amplitude.sum())
    for wave in light:
        turns = wave.ratio * path + wave.colour * pupil.r2
        wheel = _wheel(turns)
        wheel *= _damping(pupil, wave.ratio * defocus + wave.colour)
        spun = wheel * pupil.amplitude.astype(np.float32)
        step = pixel_arcsec / wave.unit_arcsec
        offset = shift[0] / wave.unit_arcsec, shift[1] / wave.unit_arcsec
        k = kernels(samples, pixels, step, offset)
        half = spun @ k.x
        field_ = k.y.T @ half
        scale = wave.share * (step / samples) ** 2 / light_sum
        total.image += scale * (field_.real**2 + field_.imag**2)
        if wanted is None:
            continue
        names, stack = _perturbed(pupil, wheel, spun, wave, wanted, len(modes))
        if names:
            moved = k.y.T @ (stack @ k.x)
            slope = 2.0 * (field_.real * moved.real + field_.imag * moved.imag)
            for name, plane in zip(names, slope, strict=True):
                _add(total.slopes, name, scale * plane)
        if "scale" in wanted:
            moved = k.dy.T @ half + k.y.T @ (spun @ k.dx)
            plane = 2.0 * (field_.real * moved.real + field_.imag * moved.imag)
            plane += 2.0 * (field_.real**2 + field_.imag**2)
            _add(total.slopes, "scale", scale * plane)
    _normalise_shadow(total, pupil, light_sum)
    return total


def _damping(pupil: Pupil, defocus: float) -> Array:
    """Return the mean of a defocused field over a sample against its value in the middle.

    As in `simview.telescope.opening.Opening.damping`, for the slope of defocus alone.
    """
    samples = len(pupil.amplitude)
    slope = (4.0 * defocus / samples) ** 2 * pupil.r2
    s = np.pi**2 / 6.0 * pupil.amplitude**2 * slope
    return np.asarray(1.0 - s + 0.35 * s * s, np.float32)


def _normalise_shadow(total: Sight, pupil: Pupil, light_sum: float) -> None:
    """Take off what a larger shadow does to the whole light: the picture stays of unit light."""
    for k, name in enumerate(SHADOW):
        if name in total.slopes:
            lost = float(pupil.nudged[k].sum()) / light_sum
            total.slopes[name] -= lost * total.image


def _add(slopes: dict[str, Plane], name: str, plane: Array) -> None:
    if name in slopes:
        slopes[name] += plane
    else:
        slopes[name] = plane.astype(np.float64)


def _perturbed(
    pupil: Pupil, wheel: Array, spun: Array, wave: Wavelet, wanted: frozenset[str], modes: int
) -> tuple[list[str], Array]:
    """Return the names and the changed fields in the pupil of all wanted slopes."""
    names: list[str] = []
    stack: list[Array] = []
    turn = np.complex64(2j * np.pi * wave.ratio) * spun
    for index in range(modes):
        if f"m{index}" in wanted:
            names.append(f"m{index}")
            stack.append(turn * pupil.basis[index].astype(np.float32))
    if "defocus" in wanted:
        names.append("defocus")
        stack.append(turn * pupil.r2.astype(np.float32))
    for name, across in (("x", pupil.x), ("y", pupil.y)):
        if name in wanted:
            # A tilt of so many waves across the radius moves the star by one arcsec.
            names.append(name)
            tilt = np.complex64(1j * np.pi / wave.unit_arcsec) * spun
            stack.append(tilt * across.astype(np.float32))
    for index, name in enumerate(SHADOW):
        if name in wanted:
            names.append(name)
            stack.append(wheel * pupil.nudged[index].astype(np.float32))
    return names, np.stack(stack) if stack else np.zeros((0, *spun.shape), np.complex64)


@lru_cache(maxsize=4)
def balanced(scope: Telescope, modes: tuple[Mode, ...]) -> tuple[Array, Array]:
    """Return the modes over the open pupil, piston, tilt and focus taken out, and its weights."""
    stop = opening.stop_for(scope)
    share = mask(stop.shape, 64)
    place = axis(64) * stop.crop
    x, y = np.broadcast_arrays(place[None, :], -place[:, None])
    open_ = share > 0.0
    x, y, weight = x[open_], y[open_], share[open_] / share.sum()
    plain = np.stack([np.ones_like(x), x, y, x * x + y * y])
    basis = np.stack([basis_of(mode, x, y) for mode in modes])
    gram = (plain * weight) @ plain.T
    basis = basis - ((basis * weight) @ plain.T) @ np.linalg.inv(gram) @ plain
    return basis, weight
