"""Photographs of one telescope as a function of everything unknown, with its slopes.

Unknown to all pictures: the wavefront, the scale, the tone curve, what the camera's tilt does.
To each picture: defocus, blur by the air, vignetting; to each of its colours: where the star
stands, how bright it is, how bright the sky.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview import transforms as fft
from simview.diagnosis.pattern import (
    SHADOW,
    Band,
    Mode,
    Pupil,
    pupil_of,
    samples_for,
    sight,
    wavelets,
)
from simview.executor.threads import spread_work
from simview.kit import Telescope

Plane = NDArray[np.float64]
Vector = NDArray[np.float64]
Array = NDArray[Any]

# Darkest light of the model, of full scale: the tone curve has no slope at nothing.
_DARKEST: Final = 1e-5

# Power that turns a camera's code values into light, about: sRGB's.
_CODE: Final = 2.2

# Pixels added around a picture before it is blurred, so that its edges do not meet.
_MARGIN: Final = 16


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """One picture, cut out and brought to the working grid.

    Parameters
    ----------
    data
        (channels, m, m) linear light, 0 to 1 of full scale, sky taken off.
    use
        (channels, m, m) True where a pixel tells something: not clipped, not hot, no star beside.
    noise
        (channels,) standard deviation of the sky's pixels.
    bands
        Light of each channel.
    """

    data: Plane
    use: NDArray[np.bool_]
    noise: Vector
    bands: tuple[Band, ...]

    @property
    def pixels(self) -> int:
        """Pixels across."""
        return int(self.data.shape[-1])

    def only(self, channel: int) -> Plate:
        """Return the picture in one colour."""
        cut = slice(channel, channel + 1)
        return replace(
            self,
            data=self.data[cut],
            use=self.use[cut],
            noise=self.noise[cut],
            bands=self.bands[cut],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknowns:
    """Which numbers are free, in order; `sigma` is how far each may stray from `centre`.

    Parameters
    ----------
    names
        Of all numbers, free or not.
    free
        (n,) bool.
    centre, sigma
        (n,) of the Gaussian that each is drawn towards; infinite for none.
    """

    names: tuple[str, ...]
    free: NDArray[np.bool_]
    centre: Vector
    sigma: Vector

    def index(self, name: str) -> int:
        """Return the place of a name."""
        return self.names.index(name)


# What is thought of each number before the pictures are seen: standard deviations. Choices,
# wide enough for all that TRIALS of telescopes for beginners have shown.
SPREADS: Final[dict[str, float]] = {
    "tone": 0.04,
    "stretch_plus": 0.008,
    "stretch_cross": 0.008,
    "scale_own": 0.02,
    "fall_x": 0.08,
    "fall_y": 0.08,
    "fall_round": 0.06,
    "bend": 0.12,
    "shadow": 0.015,
    "shadow_x": 0.03,
    "shadow_y": 0.03,
    "sky": 0.02,
    "edge": 0.5,
    "zone": 0.3,
}


def _mode_spread(mode: Mode) -> float:
    if isinstance(mode, str):
        return SPREADS[mode.partition(":")[0]]
    return 0.25 if mode <= 11 else 0.06


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Model:
    """Several pictures of one telescope.

    Parameters
    ----------
    scope
        The kit's telescope, its own wavefront set aside.
    plates
        The pictures.
    modes
        What the wavefront may hold.
    linear
        True where the file holds light and not tones: no tone curve is fitted.
    ratios
        Pixels of each photograph in one of its working grid: the photographs have one scale, their
        grids have not. Empty for ones.
    """

    scope: Telescope
    plates: tuple[Plate, ...]
    modes: tuple[Mode, ...]
    linear: bool = False
    ratios: tuple[float, ...] = ()
    lights: tuple[tuple[Any, ...], ...] = field(default=())

    def __post_init__(self) -> None:
        lights = tuple(
            tuple(wavelets(self.scope, band) for band in plate.bands) for plate in self.plates
        )
        object.__setattr__(self, "lights", lights)
        object.__setattr__(self, "ratios", self.ratios or (1.0,) * len(self.plates))

    @property
    def names(self) -> tuple[str, ...]:
        """All numbers in their order."""
        common = [f"m{k}" for k in range(len(self.modes))]
        common += ["scale", "tone", "bend", "stretch_plus", "stretch_cross", *SHADOW]
        own = []
        for p, plate in enumerate(self.plates):
            own += [f"{kind}:{p}" for kind in _OF_PICTURE]
            for c in range(len(plate.data)):
                own += [f"{kind}:{p}:{c}" for kind in ("x", "y", "light", "sky")]
        return (*common, *own)

    def unknowns(self, free: frozenset[str], start: Vector) -> Unknowns:
        """Return which numbers are free: kinds ("blur"), modes ("m3") or all of them ("modes")."""
        names = self.names
        flags, centre, sigma = [], np.zeros(len(names)), np.full(len(names), math.inf)
        for k, name in enumerate(names):
            kind, _, rest = name.partition(":")
            is_mode = kind[0] == "m" and kind[1:].isdigit()
            flags.append(kind in free or name in free or (is_mode and "modes" in free))
            if is_mode:
                sigma[k] = _mode_spread(self.modes[int(kind[1:])])
            elif kind in SPREADS:
                sigma[k] = SPREADS[kind]
            elif kind in ("round", "plus", "cross"):
                wide = start[names.index(f"blur:{rest}")]
                sigma[k] = max(1.0, (0.15 if kind == "round" else 0.05) * wide**2)
            elif kind == "scale_own" and len(self.plates) == 1:
                flags[-1] = False
        if len(self.plates) == 1:
            flags = [f and not n.startswith("scale_own") for f, n in zip(flags, names, strict=True)]
        if self.linear:
            flags[names.index("tone")] = flags[names.index("bend")] = False
        return Unknowns(names=names, free=np.array(flags), centre=centre, sigma=sigma)

    def samples(self, values: Vector) -> int:
        """Return the pupil samples that these numbers need."""
        get = dict(zip(self.names, values, strict=True))
        need = 0
        for p, plate in enumerate(self.plates):
            unit = min(w.unit_arcsec for w in self.lights[p][len(plate.data) // 2])
            half = plate.pixels / 2.0 * math.exp(get["scale"]) * self.ratios[p] / unit
            need = max(need, samples_for(get[f"defocus:{p}"], half))
        return need

    def views(
        self, values: Vector, free: NDArray[np.bool_] | None, samples: int
    ) -> list[list[tuple[Plane, Array | None]]]:
        """Return each picture's channels: the modelled tones, and their slopes if `free` is given.

        Returns
        -------
        list of list of tuple
            [picture][channel]: (m, m) and (free numbers, m, m) float32.
        """
        get = dict(zip(self.names, values, strict=True))
        shadow = tuple(round(get[name], 5) for name in SHADOW)
        pupil = pupil_of(self.scope, self.modes, samples, (shadow[0], shadow[1], shadow[2]))
        jobs = [(p, c) for p, plate in enumerate(self.plates) for c in range(len(plate.data))]

        def work(job: tuple[int, int]) -> tuple[Plane, Array | None]:
            return self._channel(get, pupil, job, free)

        done = iter(spread_work(work, jobs))
        return [[next(done) for _ in plate.data] for plate in self.plates]

    def _channel(
        self,
        get: dict[str, float],
        pupil: Pupil,
        job: tuple[int, int],
        free: NDArray[np.bool_] | None,
    ) -> tuple[Plane, Array | None]:
        p, c = job
        plate = self.plates[p]
        pixels = plate.pixels
        own = {k: get[f"{k}:{p}"] for k in _OF_PICTURE} | {
            k: get[f"{k}:{p}:{c}"] for k in ("x", "y", "light", "sky")
        }
        names = self.names
        wanted = None
        if free is not None:
            wanted = frozenset(
                names[k].partition(":")[0] for k in np.flatnonzero(free) if _concerns(names[k], job)
            )
        pixel = math.exp(get["scale"] + own["scale_own"]) * self.ratios[p]
        seen = sight(
            pupil,
            self.lights[p][c],
            modes=self.modes,
            strengths=np.array([get[f"m{k}"] for k in range(len(self.modes))]),
            defocus=own["defocus"],
            pixel_arcsec=pixel,
            pixels=pixels,
            shift=(own["x"] * pixel, own["y"] * pixel),
            wanted=None
            if wanted is None
            else wanted | ({"scale"} if "scale_own" in wanted else frozenset()),
        )
        stage = _Chain(get, own, pixels, plate.bands[c].mean_nm, pixel)
        tones, slopes = stage.through(seen.image, seen.slopes, wanted)
        if free is None or slopes is None:
            return tones, None
        order = np.flatnonzero(free)
        answer = np.zeros((len(order), pixels, pixels), np.float32)
        for row, k in enumerate(order):
            if _concerns(names[k], job):
                answer[row] = slopes[names[k].partition(":")[0]]
        return tones, answer


_OF_PICTURE: Final = (
    "defocus",
    "blur",
    "round",
    "plus",
    "cross",
    "fall_x",
    "fall_y",
    "fall_round",
    "scale_own",
)


def _concerns(name: str, job: tuple[int, int]) -> bool:
    """Return whether a number plays a part in a picture's channel."""
    parts = name.split(":")
    return all(int(part) == own for part, own in zip(parts[1:], job, strict=False))


@lru_cache(maxsize=8)
def _frequencies(pixels: int) -> tuple[int, Plane, Plane]:
    """Return the padded size, and cycles per pixel to the right and upwards."""
    size = int(fft.next_fast_len(pixels + _MARGIN, real=True))
    fx = np.fft.rfftfreq(size)[None, :]
    fy = -np.fft.fftfreq(size)[:, None]
    across, along = np.broadcast_arrays(fx.astype(np.float64), fy.astype(np.float64))
    return size, np.asarray(across, np.float64), np.asarray(along, np.float64)


class _Chain:
    """What comes after the telescope: air, tilt of the camera, vignetting, sky, tone curve."""

    def __init__(
        self,
        get: dict[str, float],
        own: dict[str, float],
        pixels: int,
        mean_nm: float,
        pixel: float,
    ) -> None:
        self._get, self._own, self._pixels, self._pixel = get, own, pixels, pixel
        self._size, fx, fy = _frequencies(pixels)
        f2 = fx * fx + fy * fy
        # (wavelength f / r0)^(5/3) with r0 ~ wavelength^(6/5): Fried 1966.
        colour = (550.0 / mean_nm) ** (1.0 / 3.0)
        self._f53 = colour * f2 ** (5.0 / 6.0)
        self._quadratic = {"round": f2, "plus": fx * fx - fy * fy, "cross": 2.0 * fx * fy}
        power = abs(own["blur"]) ** (5.0 / 3.0) * self._f53
        power = power + sum(own[kind] * plane for kind, plane in self._quadratic.items())
        box = np.sinc(fx) * np.sinc(fy)
        self._transfer = (box * np.exp(-np.maximum(power, 0.0))).astype(np.float32)
        side = (np.arange(pixels) - (pixels - 1) / 2.0) / (pixels / 2.0)
        self._x, self._y = side[None, :], -side[:, None]

    def _spectrum(self, stack: Array) -> Array:
        size = (self._size, self._size)
        return np.asarray(fft.rfft2(stack.astype(np.float32), s=size, workers=1))

    def _blurred(self, spectrum: Array) -> Array:
        size = (self._size, self._size)
        whole = fft.irfft2(spectrum * self._transfer, s=size, workers=1)
        return np.asarray(whole[..., : self._pixels, : self._pixels])

    def through(
        self, image: Plane, slopes: dict[str, Plane], wanted: frozenset[str] | None
    ) -> tuple[Plane, dict[str, Array] | None]:
        """Return the tones and their slopes."""
        own, get = self._own, self._get
        spectrum = self._spectrum(image)
        plain = self._blurred(spectrum).astype(np.float64)
        down, right = np.gradient(plain)
        up = -down
        half = self._pixels / 2.0
        across, along = self._x * half, self._y * half  # pixels from the middle
        bend = {
            "stretch_plus": across * right - along * up,
            "stretch_cross": across * up + along * right,
        }
        blurred = plain + sum(get[k] * plane for k, plane in bend.items())
        r2 = self._x**2 + self._y**2
        fall = 1.0 + own["fall_x"] * self._x + own["fall_y"] * self._y - own["fall_round"] * r2
        light = own["light"]
        linear = np.maximum(own["sky"] + light * fall * blurred, _DARKEST)
        power = math.exp(get["tone"])
        plain_tones = linear**power
        # A camera's contrast curve bends the code values, which are light to the power 1 / 2.2.
        code = np.minimum(plain_tones, 1.5) ** (1.0 / _CODE)
        swing = np.sin(2.0 * np.pi * code) / (2.0 * np.pi)
        bent = np.maximum(code - get["bend"] * swing, _DARKEST)
        tones = bent**_CODE
        if wanted is None:
            return tones, None
        by_code = _CODE * bent ** (_CODE - 1.0)
        turned = by_code * (1.0 - get["bend"] * np.cos(2.0 * np.pi * code))
        turned = turned * code / (_CODE * plain_tones)
        steep = turned * power * plain_tones / linear
        lit = steep * light * fall
        answer: dict[str, Array] = {"sky": steep, "light": steep * fall * blurred}
        if "tone" in wanted:
            answer["tone"] = turned * plain_tones * np.log(linear) * power
            answer["bend"] = -by_code * swing
        answer["fall_x"] = steep * light * self._x * blurred
        answer["fall_y"] = steep * light * self._y * blurred
        answer["fall_round"] = -steep * light * r2 * blurred
        for kind, plane in bend.items():
            answer[kind] = lit * plane
        self._add_blur(answer, spectrum, lit, wanted)
        self._add_sight(answer, slopes, lit)
        return tones, answer

    def _add_blur(
        self, answer: dict[str, Array], spectrum: Array, lit: Plane, wanted: frozenset[str]
    ) -> None:
        blur = self._own["blur"]
        names = [k for k in ("blur", "round", "plus", "cross") if k in wanted]
        if not names:
            return
        slope = 5.0 / 3.0 * abs(blur) ** (2.0 / 3.0) * (1.0 if blur >= 0.0 else -1.0)
        by = {"blur": slope * self._f53, **self._quadratic}
        planes = np.stack([-by[k].astype(np.float32) * spectrum for k in names])
        for name, plane in zip(names, self._blurred(planes), strict=True):
            answer[name] = lit * plane

    def _add_sight(self, answer: dict[str, Array], slopes: dict[str, Plane], lit: Plane) -> None:
        if not slopes:
            return
        names = list(slopes)
        stack = self._blurred(self._spectrum(np.stack([slopes[n] for n in names])))
        for name, plane in zip(names, stack, strict=True):
            per = self._pixel if name in ("x", "y") else 1.0
            answer[name] = lit * plane * per
            if name == "scale":
                answer["scale_own"] = answer[name]
