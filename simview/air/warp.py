"""How shimmer bends a picture at one moment: every part of it is shifted its own way.

Along a level path the light from two points of the object, an angle apart, crosses the same air
only near the telescope. Their images wander apart: the picture is warped. A layer of air at the
distance z carries waves of f cycles/m. The beam from a point narrows towards it, by s = 1 - z/L,
so over the aperture D the wave has f s cycles/m; and over the field it has f z cycles/rad. Each
wave tilts the wavefront along its own direction by the least-squares slope over the aperture.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.air.seeing import SEEING_WAVELENGTH_NM
from simview.air.shimmer import slab_r0
from simview.air.turbulence import spectrum_rad2_m2
from simview.memory import remembered
from simview.scene.scene import Scene
from simview.units import ARCSEC_PER_RADIAN

Values = NDArray[np.float64]
Single = NDArray[np.float32]

# Nodes a side of the field of shifts, which repeats beyond them, and how many to the angle that
# the aperture fills at the object's distance.
_NODES: Final = 512
_FINE: Final = 6.0

# Layers that the path is summed in (Gauss).
_LAYERS: Final = 48


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """A level path and the telescope at its end.

    Parameters
    ----------
    cn2
        m^(-2/3), above 0.
    distance_m, aperture_m
        Above 0.
    outer_scale_m
        May be infinite.
    """

    cn2: float
    distance_m: float
    aperture_m: float
    outer_scale_m: float = math.inf


def spectrum_rad2(frequency: Values, path: Path) -> Values:
    """Return the power spectrum of the shifts over the field, both axes together.

    Parameters
    ----------
    frequency
        Any shape, cycles/rad, above 0.

    Returns
    -------
    array
        Like `frequency`, rad2 per (cycle/rad)2.

    Notes
    -----
    Source: filter of the wavefront's tilt: Noll 1976, J. Opt. Soc. Am. 66, 207 (Q of Z2 and Z3);
    summed along a spherical wave as in Fried 1966, J. Opt. Soc. Am. 56, 1380.
    Checked by: tests/truth/test_warp.py
    """
    from scipy.special import jv

    nodes, weights = np.polynomial.legendre.leggauss(_LAYERS)
    strength = slab_r0(path.cn2, path.distance_m) ** -0.6
    slope = SEEING_WAVELENGTH_NM * 1e-9 / (2.0 * math.pi) * 16.0 / path.aperture_m
    total = np.zeros_like(frequency)
    for node, weight in zip(nodes, weights, strict=True):
        share = 0.5 * (node + 1.0)
        away = share * path.distance_m
        waves = frequency / away
        x = math.pi * path.aperture_m * (1.0 - share) * waves
        tilt = slope * jv(2, x) / x
        power = spectrum_rad2_m2(waves, strength, path.outer_scale_m)
        total += 0.5 * weight * power * tilt**2 / away**2
    return total


@remembered(4)
def shifts_arcsec(path: Path, seed: int) -> tuple[Single, Single, float]:
    """Return a field of shifts at one moment.

    Returns
    -------
    right, up
        (n, n) float32 arcsec, periodic; the shift that the whole picture shares is left out.
    step_arcsec
        Between nodes.

    Notes
    -----
    Checked by: tests/truth/test_warp.py
    """
    step = path.aperture_m / path.distance_m / _FINE
    frequency = np.fft.fftfreq(_NODES, step)
    fy, fx = frequency[:, None], frequency[None, : _NODES // 2 + 1].copy()
    fx[0, -1] = abs(fx[0, -1])
    radius = np.hypot(fy, fx)
    radius[0, 0] = 1.0
    amplitude = _amplitude(radius, path) / (_NODES * step)
    amplitude[0, 0] = 0.0
    rng = np.random.default_rng([seed, 3])
    noise = np.fft.rfft2(rng.standard_normal((_NODES, _NODES))) * (1j * amplitude * _NODES)
    shape = (_NODES, _NODES)
    right, up = (np.fft.irfft2(noise * part / radius, s=shape) for part in (fx, fy))
    return (
        (right * ARCSEC_PER_RADIAN).astype(np.float32),
        (up * ARCSEC_PER_RADIAN).astype(np.float32),
        step * ARCSEC_PER_RADIAN,
    )


def _amplitude(frequency: Values, path: Path) -> Values:
    """Return the root of the spectrum, read from a curve of few points."""
    points = np.linspace(math.log(frequency.min()), math.log(frequency.max()), 400)
    curve = 0.5 * np.log(spectrum_rad2(np.exp(points), path))
    return np.asarray(np.exp(np.interp(np.log(frequency), points, curve)))


def most_arcsec(path: Path, seed: int) -> float:
    """Return the largest shift of either axis."""
    right, up, _ = shifts_arcsec(path, seed)
    return float(max(np.abs(right).max(), np.abs(up).max()))


def bent(scene: Scene, pixels: int, path: Path, seed: int) -> Scene:
    """Return the middle of a scene with every part of it shifted its own way.

    Parameters
    ----------
    scene
        With a margin of `most_arcsec` about the `pixels` that are wanted. Its luminance is moved,
        not changed; points of light stay.
    """
    from scipy.ndimage import map_coordinates, spline_filter

    right, up, step = shifts_arcsec(path, seed)
    n = scene.planes.shape[-1]
    offset = np.arange(pixels) - pixels // 2
    place = offset * (scene.pixel_arcsec / step)
    grid = np.meshgrid(-place, place, indexing="ij")
    moved = [map_coordinates(part, grid, order=1, mode="grid-wrap") for part in (right, up)]
    rows = (offset + n // 2)[:, None] + moved[1] / scene.pixel_arcsec
    columns = (offset + n // 2)[None, :] - moved[0] / scene.pixel_arcsec
    planes = np.empty((len(scene.planes), pixels, pixels), np.float32)
    for plane, old in zip(planes, scene.planes, strict=True):
        smooth = spline_filter(old, order=3, output=np.float32, mode="mirror")
        map_coordinates(
            smooth, [rows, columns], output=plane, order=3, mode="mirror", prefilter=False
        )
    np.maximum(planes, 0.0, out=planes)
    return Scene(planes=planes, pixel_arcsec=scene.pixel_arcsec, stars=scene.stars)
