"""Photographs of stars out of focus by engines that are not this program's: hcipy and poppy.

Pupils, polynomials and transforms are theirs, moments of air are hcipy's (poppy's screens lack the
slow part of turbulence, which matters most here). What a phone does to a picture - tilt,
vignetting, noise, tones, eight bits, clipping, JPEG - is done here with numpy, scipy and Pillow.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

Array = NDArray[Any]

# Pupil samples across; sides of a focal plane's pixel, wavelength / diameter at 550 nm.
SAMPLES = 96
STEP = 0.5

# A phone's bands that are not those the program takes: mean and deviation, nm; an invention that
# differs from the camera in simview.diagnosis.plates by some 10 nm.
PHONE = ((602.0, 47.0), (534.0, 46.0), (462.0, 36.0))


@dataclass(frozen=True, kw_only=True)
class Truth:
    """A telescope and how it was photographed."""

    engine: str
    aperture_mm: float
    obstruction: float
    vanes: int
    noll: dict[int, float]
    defocus: tuple[float, ...]
    seeing_arcsec: float = 2.0
    moments: int = 60
    seed: int = 1
    camera: dict[str, float] = field(default_factory=dict)
    # What is no polynomial: "edge", "zone", "plume" or "rough", its strength in waves RMS, its
    # place (radius or direction in deg) and its width.
    finer: tuple[str, float, float, float] | None = None


def finer_path(truth: Truth, x: Array, y: Array) -> Array | float:
    """Return waves at 550 nm of what is no polynomial, at points in radii, right and up.

    Forms: a rim that bends as a parabola; a ring with a Gaussian's section, which is not the form
    that the program looks for; a ridge that grows towards the rim; random ripples with power
    falling as frequency to the power 2.5.
    """
    if truth.finer is None:
        return 0.0
    kind, rms, place, width = truth.finer
    r = np.hypot(x, y)
    if kind == "edge":
        path = np.maximum(r - (1.0 - width), 0.0) ** 2
    elif kind == "zone":
        path = np.exp(-0.5 * ((r - place) / (width / 2.355)) ** 2)
    elif kind == "plume":
        turn = math.radians(place)
        along, across = (
            x * math.cos(turn) + y * math.sin(turn),
            y * math.cos(turn) - x * math.sin(turn),
        )
        path = np.exp(-0.5 * (across / (width / 2.355)) ** 2) * np.clip(along + 0.1, 0.0, None)
    else:
        rng = np.random.default_rng(truth.seed)
        path = np.zeros_like(r)
        for _ in range(60):
            ripples = rng.uniform(2.0, 8.0)
            turn, phase = rng.uniform(0.0, 2.0 * math.pi, 2)
            wave = np.pi * ripples * (x * math.cos(turn) + y * math.sin(turn))
            path = path + ripples**-1.25 * np.cos(wave + phase)
    inside = (r <= 1.0) & (r >= truth.obstruction)
    plain = np.stack([np.ones_like(x), x, y, x * x + y * y], axis=-1)
    answer, *_ = np.linalg.lstsq(plain[inside], path[inside], rcond=None)
    left = path - plain @ answer
    sign = -1.0 if truth.seed % 2 and kind != "plume" else 1.0
    return np.asarray(sign * rms * left / left[inside].std())


def light(truth: Truth, bands: Any = PHONE) -> list[Array]:
    """Return for each picture its frames of unit light: (moments, 3, n, n), row 0 at the top."""
    rng = np.random.default_rng(truth.seed)
    engine = _Hcipy(truth) if truth.engine == "hcipy" else _Poppy(truth)
    answer = []
    for waves in truth.defocus:
        # The disc is 8 W wavelengths / diameter wide.
        pixels = 2 * int((4.0 * abs(waves) * 1.45 + 9.0) / STEP)
        frames = np.zeros((truth.moments, 3, pixels, pixels), np.float32)
        for moment in range(truth.moments):
            air = engine.air(int(rng.integers(1 << 31))) if truth.seeing_arcsec else 0.0
            for c, (mean, deviation) in enumerate(bands):
                for nm in (mean - deviation, mean + deviation):
                    frames[moment, c] += 0.5 * engine.star(waves, air, nm, pixels)
        answer.append(frames)
    return answer


class _Hcipy:
    """hcipy's pupil, polynomials, screens and propagation."""

    def __init__(self, truth: Truth) -> None:
        import hcipy

        self._h, self._truth = hcipy, truth
        self._d = truth.aperture_mm * 1e-3
        self._grid = hcipy.make_pupil_grid(SAMPLES, self._d)
        shape = hcipy.make_obstructed_circular_aperture(
            self._d, truth.obstruction, truth.vanes, 0.001 if truth.vanes else 0.0
        )
        self._open = np.asarray(hcipy.evaluate_supersampled(shape, self._grid, 8))
        modes = hcipy.make_zernike_basis(max(truth.noll), self._d, self._grid)
        path = sum(waves * np.asarray(modes[j - 1]) for j, waves in truth.noll.items())
        # Seen on its own grid a Noll mode is zero outside the circle: grey samples count in full.
        place = 2.0 / self._d
        self._path = path + finer_path(truth, self._grid.x * place, self._grid.y * place)
        self._r2 = (self._grid.x**2 + self._grid.y**2) / (self._d / 2.0) ** 2
        self._planes: dict[int, Any] = {}

    def air(self, seed: int) -> Array:
        """One moment of air in waves at 550 nm, its tilt taken out: frames are brought together."""
        return _moment(self._grid, self._open, self._truth.seeing_arcsec, seed)

    def star(self, waves: float, air: Array | float, nm: float, pixels: int) -> Array:
        """A star of one wavelength."""
        hcipy = self._h
        if pixels not in self._planes:
            side = pixels * STEP * 550e-9 / self._d
            plane = hcipy.make_uniform_grid([pixels, pixels], [side, side])
            self._planes[pixels] = hcipy.FraunhoferPropagator(self._grid, plane)
        path = self._path + waves * self._r2 + air
        phase = 2.0 * np.pi * path * 550.0 / nm
        front = hcipy.Wavefront(hcipy.Field(self._open * np.exp(1j * phase), self._grid), nm * 1e-9)
        power = np.asarray(self._planes[pixels](front).power.shaped)[::-1]
        return power / self._open.sum()


class _Poppy:
    """poppy's pupil, polynomials and matrix transform; hcipy's screens."""

    def __init__(self, truth: Truth) -> None:
        import hcipy
        import poppy

        self._h, self._p, self._truth = hcipy, poppy, truth
        self._d = truth.aperture_mm * 1e-3
        self._grid = hcipy.make_pupil_grid(SAMPLES, self._d)
        fine = 8 * SAMPLES
        wave = poppy.Wavefront(npix=fine, diam=self._d, wavelength=550e-9)
        shape = poppy.CircularAperture(radius=self._d / 2.0).get_transmission(wave)
        if truth.obstruction:
            shadow = poppy.SecondaryObscuration(
                secondary_radius=truth.obstruction * self._d / 2.0,
                n_supports=truth.vanes,
                support_width=0.001,
                support_angle_offset=45.0 if truth.vanes else 0.0,
            )
            shape = shape * shadow.get_transmission(wave)
        self._open = np.asarray(shape).reshape(SAMPLES, 8, SAMPLES, 8).mean(axis=(1, 3))
        place = (2.0 * np.arange(SAMPLES) + 1.0 - SAMPLES) / SAMPLES
        x, y = np.meshgrid(place, place)
        rho, theta = np.hypot(x, y), np.arctan2(y, x)
        self._path = sum(
            waves * poppy.zernike.zernike1(j, rho=rho, theta=theta, outside=0.0)
            for j, waves in truth.noll.items()
        ) + finer_path(truth, x, y)
        self._r2 = rho**2

    def air(self, seed: int) -> Array:
        """One moment of air in waves at 550 nm, its tilt taken out."""
        shares = self._open.ravel()
        flat = _moment(self._grid, shares, self._truth.seeing_arcsec, seed)
        return flat.reshape(SAMPLES, SAMPLES)

    def star(self, waves: float, air: Array | float, nm: float, pixels: int) -> Array:
        """A star of one wavelength; poppy's kernel has the other sign, hence the turned picture."""
        path = self._path + waves * self._r2 + air
        front = self._open * np.exp(2j * np.pi * path * 550.0 / nm)
        field_ = self._p.matrixDFT.matrix_dft(
            front, pixels * STEP * 550.0 / nm, pixels, centering="ADJUSTABLE"
        )
        # Rows go upwards; exp(+i) turns the picture by half a circle: up is down, left is right.
        return np.asarray(np.abs(field_) ** 2)[:, ::-1] / self._open.sum()


@lru_cache(maxsize=1)
def _screens(count: int = 600) -> Array:
    """Moments of air over an aperture of 0.15 m with r0 = 0.15 m, rad at 500 nm, by hcipy."""
    import hcipy

    grid = hcipy.make_pupil_grid(SAMPLES, 0.15)
    strength = hcipy.Cn_squared_from_fried_parameter(0.15, 500e-9)
    answer = []
    for seed in range(count):
        layer = hcipy.FiniteAtmosphericLayer(grid, strength, 25.0, seed=seed)
        answer.append(np.asarray(layer.phase_for(500e-9)).reshape(SAMPLES, SAMPLES))
    return np.array(answer, np.float32)


def _moment(grid: Any, shares: Array, seeing_arcsec: float, seed: int) -> Array:
    """Return one of the screens, turned or mirrored, for this aperture: waves at 550 nm."""
    rng = np.random.default_rng(seed)
    screen = np.rot90(_screens()[rng.integers(len(_screens()))], rng.integers(4))
    screen = screen[::-1] if rng.random() < 0.5 else screen
    # Fried 1966: seeing = 0.98 wavelength / r0 at 500 nm; phase grows as (D / r0)^(5/6).
    r0 = 0.98 * 500e-9 / (seeing_arcsec / 206264.8)
    diameter = float(np.ptp(grid.x)) * SAMPLES / (SAMPLES - 1)
    path = screen.ravel() * (diameter / r0) ** (5.0 / 6.0) * 500.0 / 550.0 / (2.0 * np.pi)
    columns = np.stack([grid.x, grid.y, np.ones(grid.size)], axis=1)
    inside = shares > 0.5
    tilt, *_ = np.linalg.lstsq(columns[inside], path[inside], rcond=None)
    return np.asarray(path - columns @ tilt)


def photographs(truth: Truth, frames: Array, number: int) -> list[Image.Image]:
    """Return the photographs of one side: one of all moments, or a burst of them.

    Settings in `truth.camera`: pixel (wavelength / diameter), size, peak, electrons, read, sky,
    gamma (0: sRGB), curve (contrast of an S curve), tilt_deg, tilt_along, fall, burst (frames).
    """
    camera = truth.camera
    rng = np.random.default_rng(truth.seed + 1000 * (number + 1))
    burst = int(camera.get("burst", 1))
    groups = [part.mean(axis=0) for part in np.array_split(frames, burst)]
    mean = frames.mean(axis=0)
    factor = camera.get("peak", 0.8) / float(mean.max())
    off = rng.uniform(-12.0, 12.0, 2)
    # Two pictures by hand stand a little differently.
    return [
        _photograph(
            group * factor, camera, off + rng.normal(0.0, 1.0 if burst > 1 else 0.0, 2), rng
        )
        for group in groups
    ]


def _photograph(light_: Array, camera: dict[str, float], off: Array, rng: Any) -> Image.Image:
    size = int(camera.get("size", 256))
    pixel = camera.get("pixel", 0.3)
    tilt, along = math.radians(camera.get("tilt_deg", 0.0)), math.radians(camera.get("along", 0.0))
    axis = np.array([math.sin(along), math.cos(along)])
    stretch = np.eye(2) + (1.0 / math.cos(tilt) - 1.0) * np.outer(axis, axis)
    matrix = stretch * (pixel / STEP)
    middle = (light_.shape[1] - 1) / 2.0
    centre = (size - 1) / 2.0 + off
    frame = np.stack(
        [
            ndimage.affine_transform(
                plane.astype(float), matrix, middle - matrix @ centre, (size, size), order=3
            )
            for plane in light_
        ]
    )
    y, x = (np.mgrid[:size, :size] - centre[:, None, None]) / (size / 2.0)
    fall = camera.get("fall", 0.0)
    frame = np.maximum(frame, 0.0) * (1.0 - fall * (0.6 * x + 0.3 * y) - fall * (x * x + y * y))
    frame += camera.get("sky", 0.01) * (1.0 + 0.4 * y)
    electrons = camera.get("electrons", 5000.0)
    frame = rng.poisson(np.maximum(frame, 0.0) * electrons) / electrons
    frame = np.clip(frame + rng.normal(0.0, camera.get("read", 0.002), frame.shape), 0.0, 1.0)
    gamma = camera.get("gamma", 0.0)
    if gamma:
        code = frame ** (1.0 / gamma)
    else:
        code = np.where(frame <= 0.0031308, 12.92 * frame, 1.055 * frame ** (1.0 / 2.4) - 0.055)
    curve = camera.get("curve", 0.0)
    code = code + curve * code * (1.0 - code) * (2.0 * code - 1.0)
    picture = np.rint(255.0 * np.clip(code, 0.0, 1.0)).astype(np.uint8)
    return Image.fromarray(np.moveaxis(picture, 0, -1))


def stored(pictures: list[Image.Image], quality: int) -> bytes:
    """Return what the phone stores: a JPEG, or a burst of JPEGs in one TIFF."""
    file = io.BytesIO()
    if len(pictures) == 1:
        pictures[0].save(file, "JPEG", quality=quality)
        return file.getvalue()
    through = []
    for picture in pictures:
        one = io.BytesIO()
        picture.save(one, "JPEG", quality=quality)
        through.append(Image.open(one).convert("RGB"))
    through[0].save(file, "TIFF", save_all=True, append_images=through[1:], compression="tiff_lzw")
    return file.getvalue()


# Telescopes whose photographs are kept for test_diagnosis_outside.py.
CASES = {
    "coma, calm": Truth(
        engine="hcipy",
        aperture_mm=150.0,
        obstruction=0.3,
        vanes=4,
        noll={7: 0.06, 8: -0.05, 11: 0.02, 16: 0.004},
        defocus=(-5.5, 6.0),
        seeing_arcsec=0.0,
        moments=1,
        camera={"pixel": 0.33, "curve": 0.1},
    ),
    "astigmatism, calm": Truth(
        engine="poppy",
        aperture_mm=114.0,
        obstruction=0.33,
        vanes=0,
        noll={5: -0.05, 6: 0.07, 9: 0.02, 16: 0.004},
        defocus=(-4.2, 4.6),
        seeing_arcsec=0.0,
        moments=1,
        camera={"pixel": 0.28, "gamma": 2.2, "tilt_deg": 5.0, "along": 40.0},
    ),
    "turned edge in air": Truth(
        engine="poppy",
        aperture_mm=114.0,
        obstruction=0.3,
        vanes=0,
        noll={8: 0.03, 6: -0.02},
        finer=("edge", 0.08, 0.0, 0.09),
        defocus=(-6.0, 5.5),
        moments=24,
        seed=3,
        camera={"pixel": 0.3, "electrons": 5000.0},
    ),
    "overcorrection in air": Truth(
        engine="poppy",
        aperture_mm=130.0,
        obstruction=0.28,
        vanes=4,
        noll={11: -0.09, 8: 0.03, 6: 0.02},
        defocus=(-6.0, 5.5),
        moments=24,
        seed=3,
        camera={"pixel": 0.3, "electrons": 3000.0},
    ),
}
