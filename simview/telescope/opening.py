"""What the light passes at one setting: open pupil, path error, colour defocus, sampling."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import FitError, RangeError, require_range
from simview.kit import Telescope, Wavefront
from simview.telescope.glass import best_visual_focus_mm, shifts_mm
from simview.telescope.kept import Kept, scratch
from simview.telescope.pupil import axis, centres, pupil
from simview.telescope.wavefront import path_at, path_waves

Plane = NDArray[np.float64]
Single = NDArray[np.float32]
Array = NDArray[Any]

# Wavelength of all wavefront coefficients, nm.
REFERENCE_NM: Final = 550.0

# Pupil samples across the diameter: what is used at least, what is allowed at most.
# 256 grey samples hold the pattern within 1e-6 of its peak (tests/truth/test_airy.py).
LEAST_SAMPLES: Final = 256
MOST_SAMPLES: Final = 2048


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A sampled pupil, ready for the transform.

    Maps are kept as quadrants that all begin at the centre: (qy, qx, n/2, n/2), down before up,
    right before left. Along an axis in which pupil and path are both mirror-symmetric there is
    one instead of two.

    Parameters
    ----------
    samples
        Samples across the diameter, n.
    light
        Sum of the open fractions over the whole pupil.
    amplitude
        Open fraction of each sample.
    path
        Path error at the middle of the open part, waves at 550 nm.
    r2
        Squared distance of that point from the centre, in radii of the opening.
    slope2, slope_r
        (pi^2 / 6) times the squared slope of the path in waves a sample, and times its product
        with the slope of one wave of defocus; float32.
    """

    samples: int
    light: float
    amplitude: Plane
    path: Plane
    r2: Plane
    slope2: Single | None
    slope_r: Single | None
    slope_d: Single

    @property
    def nbytes(self) -> int:
        """Size in memory."""
        maps = (self.amplitude, self.path, self.r2, self.slope2, self.slope_r, self.slope_d)
        return sum(m.nbytes for m in maps if m is not None)

    def field(self, amplitude: Array, ratio: float, defocus: float) -> Array:
        """Return the field, (parts, qy, qx, n/2, n/2): real and imaginary part.

        The imaginary part is left out where it vanishes. Every sample holds the mean of the
        field over its area: exp(i phase) at the middle, damped by the phase's slope. Scratch
        space of this thread.

        Parameters
        ----------
        amplitude
            `amplitude` in the precision wanted.
        ratio
            550 nm / wavelength.
        defocus
            Waves at the wavelength, at the edge.
        """
        flat = self.slope2 is None
        if flat and defocus == 0.0:
            return amplitude[None]
        shape, dtype = self.path.shape, amplitude.dtype
        turns = scratch("turns", shape, np.float64)
        if flat:
            np.multiply(self.r2, defocus, out=turns)
        else:
            np.multiply(self.path, ratio, out=turns)
        whole = scratch("whole turns", shape, np.float64)
        if not flat and defocus != 0.0:
            turns += np.multiply(self.r2, defocus, out=whole)
        turns -= np.rint(turns, out=whole)
        angle = scratch("angle", shape, dtype)
        np.multiply(turns, 2.0 * math.pi, out=angle, casting="same_kind")
        damped = np.multiply(
            amplitude, self.damping(ratio, defocus), out=scratch("d", shape, dtype)
        )
        field = scratch("field", (2, *shape), dtype)
        np.multiply(damped, np.cos(angle, out=field[0]), out=field[0])
        np.multiply(damped, np.sin(angle, out=field[1]), out=field[1])
        return field

    def damping(self, ratio: float, defocus: float) -> Single:
        """Return the mean of exp(i phase) over a sample against its value in the middle.

        sinc(u) sinc(v) for slopes of u and v waves a sample, as exp(-s - 0.15 s^2) with
        s = (pi^2 / 6) (u^2 + v^2); within 5e-4 up to a quarter wave a sample.
        """
        shape = self.path.shape
        s, other = scratch("s", shape, np.float32), scratch("s2", shape, np.float32)
        np.multiply(self.slope_d, np.float32(defocus**2), out=s)
        if self.slope2 is not None:
            s += np.multiply(self.slope2, np.float32(ratio**2), out=other)
            if self.slope_r is not None and defocus != 0.0:
                s += np.multiply(self.slope_r, np.float32(2.0 * ratio * defocus), out=other)
        np.multiply(s, np.float32(-0.15), out=other)
        other -= np.float32(1.0)
        s *= other
        return np.asarray(np.exp(s, out=s))

    def whole(self, quadrants: Array) -> Array:
        """Return one of the maps over the full pupil, (n, n)."""
        both = np.broadcast_to(quadrants, (2, 2, *quadrants.shape[2:]))
        lower = np.concatenate((both[0, 1][:, ::-1], both[0, 0]), axis=1)
        upper = np.concatenate((both[1, 1][:, ::-1], both[1, 0]), axis=1)
        return np.concatenate((upper[::-1], lower))

    @property
    def even_y(self) -> bool:
        """Whether pupil and path are mirror-symmetric up-down."""
        return bool(self.path.shape[0] == 1)

    @property
    def even_x(self) -> bool:
        """Whether pupil and path are mirror-symmetric left-right."""
        return bool(self.path.shape[1] == 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """The effective opening of a telescope: its diameter and what hides in front of it."""

    aperture_mm: float
    obstruction: float
    vane_ratio: float
    crop: float

    @property
    def open_fraction(self) -> float:
        """Open area against the full circle of this diameter, vanes left in."""
        return 1.0 - self.obstruction**2


def stop_for(
    scope: Telescope, aperture_mm: float | None = None, obstruction: float | None = None
) -> Stop:
    """Return the opening that is in effect.

    Parameters
    ----------
    aperture_mm
        Effective aperture, when the eye stops the telescope down; None for the working one.
    obstruction
        Diameter of the secondary against *that* aperture; None computes it.

    Raises
    ------
    RangeError, FitError
        When the aperture is larger than the telescope's or all of it lies in the shadow.
    """
    full = scope.working_aperture_mm
    diameter = full if aperture_mm is None else float(aperture_mm)
    require_range("effective aperture_mm", diameter, 0.1, full * (1.0 + 1e-9), unit="mm")
    shadow = scope.obstruction * scope.aperture_mm / diameter
    shadow = shadow if obstruction is None else float(obstruction)
    if not 0.0 <= shadow <= 0.98:
        raise FitError(
            "effective aperture",
            got=f"{diameter:g} mm, {100 * shadow:.0f} % of its width in the secondary's shadow",
            allowed="a shadow up to 98 % of the width",
            remedy="use a higher power",
        )
    shadow = shadow if shadow > _LEAST_SHADOW else 0.0
    vane = min(scope.vane_mm / diameter, 0.5) if scope.vanes else 0.0
    crop = diameter / scope.aperture_mm
    return Stop(aperture_mm=diameter, obstruction=shadow, vane_ratio=vane, crop=crop)


# Shadows smaller than this against the aperture change nothing that can be computed.
_LEAST_SHADOW: Final = 1e-6

# Bytes of sampled pupils that are kept.
KEPT_BYTES: Final = 64_000_000

_openings: Final[Kept[Opening]] = Kept(KEPT_BYTES, lambda opening: opening.nbytes)


def opening(
    stop: Stop, vanes: int, wavefront: Wavefront, samples: int, screen_nm: Plane | None = None
) -> Opening:
    """Return the sampled pupil and path error of a telescope; without air, kept between calls.

    Parameters
    ----------
    screen_nm
        (s, s) path error of the air over the effective opening, nm, or None.
    """
    if screen_nm is not None:
        return _sampled(stop, vanes, wavefront, samples, screen_nm)
    key = (stop, vanes, wavefront, samples)
    return _openings.get(key, lambda: _sampled(stop, vanes, wavefront, samples, None))


def _sampled(
    stop: Stop, vanes: int, wavefront: Wavefront, samples: int, screen_nm: Plane | None
) -> Opening:
    shape = {"obstruction": stop.obstruction, "vanes": vanes, "vane_ratio": stop.vane_ratio}
    mask = pupil(samples, **shape)
    x, y = centres(samples, **shape)
    path = path_at(wavefront, x * stop.crop, y * stop.crop)
    around = path_waves(wavefront, samples + 2, crop=stop.crop * (samples + 2) / samples)
    if screen_nm is not None:
        air = resampled(screen_nm, samples) / REFERENCE_NM
        air = np.pad(air, 1, mode="reflect", reflect_type="odd")
        down, right = (np.asarray(g)[1:-1, 1:-1] for g in np.gradient(air, 2.0 / samples))
        own = axis(samples)
        path += air[1:-1, 1:-1] + right * (x - own[None, :]) - down * (y + own[:, None])
        around += air
    path += mask**2 / 24.0 * _bend(around)
    even_y, even_x = (screen_nm is None and even for even in _evenness(mask, path))

    def kept(plane: Array) -> Array:
        return quadrants(plane, even_y=even_y, even_x=even_x)

    slope2, slope_r, slope_d = _slopes(mask, around)
    return Opening(
        samples=samples,
        light=float(mask.sum()),
        amplitude=kept(mask),
        path=kept(path),
        r2=kept(x * x + y * y),
        slope2=None if slope2 is None else kept(slope2),
        slope_r=None if slope_r is None else kept(slope_r),
        slope_d=kept(slope_d),
    )


def quadrants(plane: Array, *, even_y: bool, even_x: bool) -> Array:
    """Return a map cut into quadrants that begin at the centre; see `Opening`."""
    half = len(plane) // 2
    rows = [plane[half:]] if even_y else [plane[half:], plane[half - 1 :: -1]]
    parts = [[r[:, half:]] if even_x else [r[:, half:], r[:, half - 1 :: -1]] for r in rows]
    return np.stack([np.stack(row) for row in parts])


def _evenness(mask: Plane, path: Plane) -> tuple[bool, bool]:
    """Return whether two maps are mirror-symmetric up-down, left-right, within 1e-9 waves."""

    def even(flip: slice | tuple[slice, slice]) -> bool:
        return all(np.allclose(m, m[flip], rtol=0.0, atol=1e-9) for m in (mask, path))

    back = slice(None, None, -1)
    return even(back), even((slice(None), back))


def _bend(around: Plane) -> Plane:
    """Return the sum of the second differences along both axes; a 24th is a mean's excess."""
    inner = around[1:-1, 1:-1]
    along = around[1:-1, 2:] + around[1:-1, :-2]
    return np.asarray(around[2:, 1:-1] + around[:-2, 1:-1] + along - 4.0 * inner)


def _slopes(mask: Plane, around: Plane) -> tuple[Single | None, Single | None, Single]:
    """Return the squares of slopes that damp a sample's mean field; see `Opening`.

    `around` is the path with one more sample on each side. In a grey sample the open part is
    narrower, by its open fraction.
    """
    samples = len(mask)
    factor = math.pi**2 / 6.0 * mask**2
    x = axis(samples)[None, :] * (4.0 / samples)  # slope of one wave of defocus along x
    unit = np.asarray(factor * (x**2 + x.T**2), dtype=np.float32)
    if not around.any():
        return None, None, unit
    down, right = (np.asarray(g)[1:-1, 1:-1] for g in np.gradient(around))
    own = np.asarray(factor * (down**2 + right**2), dtype=np.float32)
    joint = np.asarray(factor * (right * x + down * x.T), dtype=np.float32)
    return own, joint, unit


def resampled(screen: Plane, samples: int) -> Plane:
    """Return a square map on another number of samples across the same width (cubic).

    Source: Keys 1981, IEEE Trans. ASSP 29, 1153, cubic convolution with a = -1/2.
    Checked by: tests/unit/telescope/test_opening.py
    """
    old = screen.shape[0]
    if old == samples:
        return screen
    place = (np.arange(samples) + 0.5) * old / samples - 0.5
    start = np.floor(place).astype(int)
    t = place - start
    weights = (
        ((-0.5 * t + 1.0) * t - 0.5) * t,
        (1.5 * t - 2.5) * t * t + 1.0,
        ((-1.5 * t + 2.0) * t + 0.5) * t,
        (0.5 * t - 0.5) * t * t,
    )
    matrix = np.zeros((samples, old))
    for offset, weight in zip((-1, 0, 1, 2), weights, strict=True):
        np.add.at(matrix, (np.arange(samples), np.clip(start + offset, 0, old - 1)), weight)
    return np.asarray(matrix @ screen @ matrix.T)


def defocus_by_colour(
    scope: Telescope, stop: Stop, wavelengths_nm: NDArray[np.float64], defocus_waves: float
) -> NDArray[np.float64]:
    """Return the defocus of each colour in waves *at that wavelength* at the effective edge.

    The eyepiece is where white light looks sharpest (`glass.best_visual_focus_mm`), moved by
    `defocus_waves` (550 nm, over the full circle). A colour whose focus lies farther out is
    seen from inside its focus: negative defocus.
    """
    own = shifts_mm(scope, wavelengths_nm) - best_visual_focus_mm(scope)
    ratio = scope.focal_length_mm / stop.aperture_mm
    colour = -own / (8.0 * ratio**2 * wavelengths_nm * 1e-6)
    travel = defocus_waves * stop.crop**2 * REFERENCE_NM / wavelengths_nm
    return np.asarray(colour + travel)


@lru_cache(maxsize=64)
def steepest(wavefront: Wavefront, crop: float) -> float:
    """Return the steepest slope of the path over the opening, waves at 550 nm per radius."""
    x = axis(96)[None, :] * crop
    path = path_at(wavefront, x, -x.T)
    up, right = (np.asarray(g) for g in np.gradient(path, 2.0 / 96))
    inside = x**2 + x.T**2 <= (1.02 * crop) ** 2
    return float(max(np.abs(up[inside]).max(), np.abs(right[inside]).max()))


def samples_for(half_extent: float, slope: float) -> int:
    """Return how many pupil samples a grid and a wavefront need.

    Parameters
    ----------
    half_extent
        From the grid's centre to its edge, in wavelength / diameter.
    slope
        Steepest wavefront slope in waves per *diameter*: how far from the centre, in
        wavelength / diameter, that slope throws light.

    Raises
    ------
    RangeError
        When it is more than `MOST_SAMPLES`: the pattern would fold back onto itself.
    """
    need = max(LEAST_SAMPLES, 4.0 * half_extent + 4.0 * slope)
    if need > MOST_SAMPLES:
        raise RangeError(
            "grid and wavefront",
            got=f"half-width {half_extent:.0f}, slope {slope:.0f} wavelengths/aperture",
            allowed=f"4 half-width + 4 slope up to {MOST_SAMPLES}",
            remedy="take a smaller grid or a weaker fault",
        )
    step = 64 if need <= 1024 else 256
    return int(-(-need // step) * step)
