"""What the light passes at one setting: open pupil, path error, colour defocus, sampling."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import RangeError
from simview.glass import dispersion
from simview.kit import Telescope, Wavefront
from simview.memory import Memory
from simview.telescope import colour_focus
from simview.telescope.phase_map import Relief, evenness, quadrants, resampled
from simview.telescope.pupil import axis, centres, mask
from simview.telescope.scratch import scratch
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
        Sum of the open fractions over the whole pupil, over the share that dew leaves clear.
    amplitude
        Open fraction of each sample.
    path
        Path error at the middle of the open part, waves at 550 nm.
    r2
        Squared distance of that point from the centre, in radii of the opening.
    x, y
        The point itself, where colours are tilted against each other; else None.
    path_single, r2_single, most_waves
        The path and r^2 in float32, and the path's largest modulus.
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
    path_single: Single
    r2_single: Single
    most_waves: float
    slope2: Single | None
    slope_r: Single | None
    slope_d: Single

    @property
    def nbytes(self) -> int:
        """Size in memory."""
        maps = (
            *(self.amplitude, self.path, self.r2, self.x, self.y),
            *(self.slope2, self.slope_r, self.slope_d, self.path_single, self.r2_single),
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
        angle = self._angle(ratio, defocus, tilt, dtype)
        damped = scratch("damped", shape, dtype)
        np.multiply(amplitude, self.damping(ratio, defocus), out=damped)
        field = scratch("field", (2, *shape), dtype)
        np.multiply(damped, np.cos(angle, out=field[0]), out=field[0])
        np.multiply(damped, np.sin(angle, out=field[1]), out=field[1])
        return field

    def _angle(self, ratio: float, defocus: float, tilt: tuple[float, float], dtype: Any) -> Array:
        """Return the phase in radians, in `dtype`.

        Phases of many turns are brought to half a turn in float64 before they are cut to
        float32; less than two turns are exact enough as they are (4e-7 rad).
        """
        shape, flat = self.path.shape, self.slope2 is None
        angle = scratch("angle", shape, dtype)
        few = self.most_waves * ratio + abs(defocus) < 2.0
        if dtype == np.float32 and few and self.x is None:
            np.multiply(self.r2_single, np.float32(2.0 * math.pi * defocus), out=angle)
            if not flat:
                own = scratch("own angle", shape, dtype)
                scale = np.float32(2.0 * math.pi * ratio)
                angle += np.multiply(self.path_single, scale, out=own)
            return angle
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
        np.multiply(turns, 2.0 * math.pi, out=angle, casting="same_kind")
        return angle

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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """A pupil's whole maps before symmetry and air: open share, where its middle is, the path.

    `down` and `right` are the path's slopes in waves a sample.
    """

    share: Plane
    x: Plane
    y: Plane
    path: Plane
    down: Plane
    right: Plane
    clear: float = 1.0

    @property
    def nbytes(self) -> int:
        """Size in memory."""
        return 6 * int(self.path.nbytes)


# Bytes of sampled pupils that are kept, with and without symmetry found out.
KEPT_BYTES: Final = 48_000_000

_openings: Final[Memory[Opening]] = Memory(KEPT_BYTES, lambda opening: opening.nbytes)
_grounds: Final[Memory[_Ground]] = Memory(KEPT_BYTES, lambda ground: ground.nbytes)


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
    how = (stop, wavefront, samples, terms)

    def made() -> Opening:
        ground = _grounds.get(how, lambda: _ground(*how))
        if screen_nm is not None:
            return _under_air(ground, screen_nm, lopsided)
        even = evenness(ground.share, ground.path)
        return _laid_out(ground, (False, False) if lopsided else even, lopsided)

    return made() if screen_nm is not None else _openings.get((*how, lopsided), made)


def full_path(wavefront: Wavefront, terms: tuple[Term, ...], x: Plane, y: Plane) -> Plane:
    """Return the whole path error in waves at 550 nm at points in radii of the full circle."""
    return sum((term.path(x, y) for term in terms), start=path_at(wavefront, x, y))


def _ground(stop: Stop, wavefront: Wavefront, samples: int, terms: tuple[Term, ...]) -> _Ground:
    share = mask(stop.shape, samples)
    x, y = centres(stop.shape, samples)
    border = axis(samples + 2) * (stop.crop * (samples + 2) / samples)
    relief = Relief.of(full_path(wavefront, terms, border[None, :], -border[:, None]))
    path = full_path(wavefront, terms, x * stop.crop, y * stop.crop)
    path += share**2 / 24.0 * relief.bend
    return _Ground(
        share=share,
        x=x,
        y=y,
        path=path,
        down=relief.down,
        right=relief.right,
        clear=stop.clear,
    )


def _under_air(ground: _Ground, screen_nm: Plane, lopsided: bool) -> Opening:
    """Return a pupil with a screen of air added, read where each sample is open."""
    samples = len(ground.share)
    air = resampled(screen_nm, samples) / REFERENCE_NM
    relief = Relief.of(np.pad(air, 1, mode="reflect", reflect_type="odd"))
    own = axis(samples)
    path = ground.path + air + ground.share**2 / 24.0 * relief.bend
    path += relief.right * (ground.x - own[None, :]) * (samples / 2.0)
    path -= relief.down * (ground.y + own[:, None]) * (samples / 2.0)
    seen = replace(
        ground, path=path, down=ground.down + relief.down, right=ground.right + relief.right
    )
    return _laid_out(seen, (False, False), lopsided)


def _laid_out(ground: _Ground, even: tuple[bool, bool], lopsided: bool) -> Opening:
    """Return the maps in quadrants, with what damps a sample's mean field; see `Opening`.

    In a grey sample the open part is narrower, by its open fraction.
    """
    share, samples = ground.share, len(ground.share)

    def kept(plane: Array) -> Array:
        return quadrants(plane, even_y=even[0], even_x=even[1])

    factor = (math.pi**2 / 6.0 * share**2).astype(np.float32)
    slope = (axis(samples) * (4.0 / samples)).astype(np.float32)  # of one wave of defocus
    down, right = ground.down.astype(np.float32), ground.right.astype(np.float32)
    flat = not ground.path.any()
    path, r2 = kept(ground.path), kept(ground.x**2 + ground.y**2)
    joint = factor * (right * slope[None, :] + down * slope[:, None])
    return Opening(
        samples=samples,
        light=float(share.sum()) / ground.clear,
        amplitude=kept(share),
        path=path,
        r2=r2,
        path_single=path.astype(np.float32),
        r2_single=r2.astype(np.float32),
        most_waves=float(np.abs(path[kept(share) > 0.0]).max()),
        x=kept(ground.x) if lopsided else None,
        y=kept(ground.y) if lopsided else None,
        slope2=None if flat else kept(factor * (down**2 + right**2)),
        slope_r=None if flat else kept(joint),
        slope_d=kept(factor * (slope[None, :] ** 2 + slope[:, None] ** 2)),
    )


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

    Parameters
    ----------
    scope, stop
        The telescope, and what part of its opening is in effect.
    wavelengths_nm
        Of the colours, (n,).
    defocus_waves
        Of the eyepiece, 550 nm, over the full circle.
    colour_waves
        A fault's defocus between F and C, 550 nm, over the full circle.
    """
    own = colour_focus.shifts_mm(scope, wavelengths_nm) - colour_focus.best_visual_focus_mm(scope)
    ratio = scope.focal_length_mm / stop.aperture_mm
    colour = -own / (8.0 * ratio**2 * wavelengths_nm * 1e-6)
    spread = colour_waves * dispersion(wavelengths_nm)
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
    need = max(least, 4.0 * half_extent, 5.0 * slope, 3.0 * (half_extent + slope))
    if need > MOST_SAMPLES:
        raise RangeError(
            "grid and wavefront",
            got=f"half-width {half_extent:.0f}, slope {slope:.0f} wavelengths/aperture",
            allowed=f"4 half-widths, 5 slopes and 3 of both up to {MOST_SAMPLES}",
            remedy="take a smaller grid or a weaker fault",
        )
    step = 32 if need <= 1024 else 256
    return int(-(-need // step) * step)
