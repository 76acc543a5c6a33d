"""What the light passes at one setting: open pupil, path error, colour defocus, sampling."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import RangeError
from simview.kit import Telescope, Wavefront
from simview.telescope import glass
from simview.telescope.kept import Kept, scratch
from simview.telescope.pupil import axis, centres, mask
from simview.telescope.stop import Stop, stop_for
from simview.telescope.terms import Term
from simview.telescope.wavefront import path_at

__all__ = [
    "LEAST_SAMPLES",
    "MOST_SAMPLES",
    "REFERENCE_NM",
    "Opening",
    "Stop",
    "defocus_by_colour",
    "full_path",
    "opening",
    "quadrants",
    "resampled",
    "samples_for",
    "steepest",
    "stop_for",
]

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
    x, y
        The point itself, where colours are tilted against each other; else None.
    slope2, slope_r
        (pi^2 / 6) times the squared slope of the path in waves a sample, and times its product
        with the slope of one wave of defocus; float32.
    """

    samples: int
    light: float
    amplitude: Plane
    path: Plane
    r2: Plane
    x: Plane | None
    y: Plane | None
    slope2: Single | None
    slope_r: Single | None
    slope_d: Single

    @property
    def nbytes(self) -> int:
        """Size in memory."""
        maps = (
            *(self.amplitude, self.path, self.r2, self.x, self.y),
            *(self.slope2, self.slope_r, self.slope_d),
        )
        return sum(m.nbytes for m in maps if m is not None)

    def field(
        self,
        amplitude: Array,
        ratio: float,
        defocus: float,
        tilt: tuple[float, float] = (0.0, 0.0),
    ) -> Array:
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
        tilt
            Slope to the right and upwards in waves per radius, for openings with `x` and `y`.
        """
        flat = self.slope2 is None
        if flat and defocus == 0.0 and tilt == (0.0, 0.0):
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
        if self.x is not None and self.y is not None:
            turns += np.multiply(self.x, tilt[0], out=whole)
            turns += np.multiply(self.y, tilt[1], out=whole)
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

        sinc(u) sinc(v) for slopes of u and v waves a sample, as 1 - s + 0.35 s^2 with
        s = (pi^2 / 6) (u^2 + v^2); within 5e-4 up to a quarter wave a sample.
        """
        shape = self.path.shape
        s, other = scratch("s", shape, np.float32), scratch("s2", shape, np.float32)
        np.multiply(self.slope_d, np.float32(defocus**2), out=s)
        if self.slope2 is not None:
            s += np.multiply(self.slope2, np.float32(ratio**2), out=other)
            if self.slope_r is not None and defocus != 0.0:
                s += np.multiply(self.slope_r, np.float32(2.0 * ratio * defocus), out=other)
        np.multiply(s, np.float32(0.35), out=other)
        other -= np.float32(1.0)
        s *= other
        s += np.float32(1.0)
        return s

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


# Bytes of sampled pupils that are kept.
KEPT_BYTES: Final = 64_000_000

_openings: Final[Kept[Opening]] = Kept(KEPT_BYTES, lambda opening: opening.nbytes)


def opening(
    stop: Stop,
    wavefront: Wavefront,
    samples: int,
    *,
    terms: tuple[Term, ...] = (),
    screen_nm: Plane | None = None,
    lopsided: bool = False,
) -> Opening:
    """Return the sampled pupil and path error of a telescope; without air, kept between calls.

    Parameters
    ----------
    terms
        Errors that are no polynomials.
    screen_nm
        (s, s) path error of the air over the effective opening, nm, or None.
    lopsided
        True when a tilt will be added for each colour: no symmetry is made use of.
    """
    how = (stop, wavefront, samples, terms, lopsided)
    if screen_nm is not None:
        return _sampled(*how, screen_nm)
    return _openings.get(how, lambda: _sampled(*how, None))


def full_path(wavefront: Wavefront, terms: tuple[Term, ...], x: Plane, y: Plane) -> Plane:
    """Return the whole path error in waves at 550 nm at points in radii of the full circle."""
    return sum((term.path(x, y) for term in terms), start=path_at(wavefront, x, y))


def _sampled(
    stop: Stop,
    wavefront: Wavefront,
    samples: int,
    terms: tuple[Term, ...],
    lopsided: bool,
    screen_nm: Plane | None,
) -> Opening:
    share = mask(stop.shape, samples)
    x, y = centres(stop.shape, samples)
    path = full_path(wavefront, terms, x * stop.crop, y * stop.crop)
    border = axis(samples + 2) * (stop.crop * (samples + 2) / samples)
    around = full_path(wavefront, terms, border[None, :], -border[:, None])
    if screen_nm is not None:
        air = resampled(screen_nm, samples) / REFERENCE_NM
        air = np.pad(air, 1, mode="reflect", reflect_type="odd")
        down, right = (np.asarray(g)[1:-1, 1:-1] for g in np.gradient(air, 2.0 / samples))
        own = axis(samples)
        path += air[1:-1, 1:-1] + right * (x - own[None, :]) - down * (y + own[:, None])
        around += air
    path += share**2 / 24.0 * _bend(around)
    even_y, even_x = (
        not lopsided and screen_nm is None and even for even in _evenness(share, path)
    )

    def kept(plane: Array) -> Array:
        return quadrants(plane, even_y=even_y, even_x=even_x)

    slope2, slope_r, slope_d = _slopes(share, around)
    return Opening(
        samples=samples,
        light=float(share.sum()),
        amplitude=kept(share),
        path=kept(path),
        r2=kept(x * x + y * y),
        x=kept(x) if lopsided else None,
        y=kept(y) if lopsided else None,
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


def _evenness(share: Plane, path: Plane) -> tuple[bool, bool]:
    """Return whether two maps are mirror-symmetric up-down, left-right, within 1e-9 waves."""

    def even(flip: slice | tuple[slice, slice]) -> bool:
        return all(np.allclose(m, m[flip], rtol=0.0, atol=1e-9) for m in (share, path))

    back = slice(None, None, -1)
    return even(back), even((slice(None), back))


def _bend(around: Plane) -> Plane:
    """Return the sum of the second differences along both axes; a 24th is a mean's excess."""
    inner = around[1:-1, 1:-1]
    along = around[1:-1, 2:] + around[1:-1, :-2]
    return np.asarray(around[2:, 1:-1] + around[:-2, 1:-1] + along - 4.0 * inner)


def _slopes(share: Plane, around: Plane) -> tuple[Single | None, Single | None, Single]:
    """Return the squares of slopes that damp a sample's mean field; see `Opening`.

    `around` is the path with one more sample on each side. In a grey sample the open part is
    narrower, by its open fraction.
    """
    samples = len(share)
    factor = math.pi**2 / 6.0 * share**2
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
    scope: Telescope,
    stop: Stop,
    wavelengths_nm: NDArray[np.float64],
    defocus_waves: float,
    colour_waves: float = 0.0,
) -> NDArray[np.float64]:
    """Return the defocus of each colour in waves *at that wavelength* at the effective edge.

    The eyepiece is where white light looks sharpest (`glass.best_visual_focus_mm`), moved by
    `defocus_waves` (550 nm, over the full circle). A colour whose focus lies farther out is
    seen from inside its focus: negative defocus. `colour_waves` is a fault's defocus between F
    and C (550 nm, over the full circle).
    """
    own = glass.shifts_mm(scope, wavelengths_nm) - glass.best_visual_focus_mm(scope)
    ratio = scope.focal_length_mm / stop.aperture_mm
    colour = -own / (8.0 * ratio**2 * wavelengths_nm * 1e-6)
    spread = colour_waves * glass.dispersion(wavelengths_nm)
    travel = (defocus_waves + spread) * stop.crop**2 * REFERENCE_NM / wavelengths_nm
    return np.asarray(colour + travel)


@lru_cache(maxsize=64)
def steepest(wavefront: Wavefront, crop: float, terms: tuple[Term, ...] = ()) -> float:
    """Return the steepest slope of the path over the opening, waves at 550 nm per radius of it."""
    samples = 96 if not terms else 512
    x = axis(samples)[None, :] * crop
    path = full_path(wavefront, terms, x, -x.T)
    up, right = (np.asarray(g) for g in np.gradient(path, 2.0 / samples))
    inside = x**2 + x.T**2 <= (1.02 * crop) ** 2
    return float(max(np.abs(up[inside]).max(), np.abs(right[inside]).max()))


def samples_for(half_extent: float, slope: float, least: int = LEAST_SAMPLES) -> int:
    """Return how many pupil samples a grid and a wavefront need.

    Parameters
    ----------
    half_extent
        From the grid's centre to its edge, in wavelength / diameter.
    slope
        Steepest wavefront slope in waves per *diameter*: how far from the centre, in
        wavelength / diameter, that slope throws light.
    least
        Samples that are used at least.

    Raises
    ------
    RangeError
        When it is more than `MOST_SAMPLES`: the pattern would fold back onto itself.
    """
    need = max(least, 4.0 * half_extent + 4.0 * slope)
    if need > MOST_SAMPLES:
        raise RangeError(
            "grid and wavefront",
            got=f"half-width {half_extent:.0f}, slope {slope:.0f} wavelengths/aperture",
            allowed=f"4 half-width + 4 slope up to {MOST_SAMPLES}",
            remedy="take a smaller grid or a weaker fault",
        )
    step = 32 if need <= 1024 else 256
    return int(-(-need // step) * step)
