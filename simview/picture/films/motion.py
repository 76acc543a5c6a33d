"""What moves in a film: the air over the telescope, and the mount below it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.air.flow import Flow, coherence_seconds, start
from simview.air.moments import EYE_SECONDS
from simview.air.seeing import fried_r0_m
from simview.air.wind import LAYERS, Layer
from simview.errors import RangeError, SimviewError, require_range
from simview.kit import Mount, Sky
from simview.telescope.mount import shake_rms_arcsec
from simview.telescope.mount_motion import path_arcsec
from simview.telescope.pupil import axis
from simview.units import ARCSEC_PER_RADIAN

Floats = NDArray[np.float64]

# Frames of one film. A choice: two minutes at 15 a second.
MOST_FRAMES: Final = 1800

# Farthest out of focus that a film goes, waves.
MOST_FOCUS: Final = 20.0

# Moments in one frame: past some tens a frame is a long exposure.
MOST_MOMENTS: Final = 32

# Samples across the screens of air.
SCREEN: Final = 256

# Layers of air that one film may have.
MOST_LAYERS: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """How long a film is, and what moves in it.

    Parameters
    ----------
    sky
        Its seeing, altitude, outer scale and seed count.
    mount
        What shakes.
    frames
        How many, 1 to 1800.
    frames_per_second
        As shown, 1 to 60.
    slow
        How many times slower than life, 0.1 to 1000.
    moments
        Instants of which each frame is the mean, 1 to 32, spread over the eye's own time.
    layers
        Of air.
    touched_s
        How long before the first frame the mount was touched, s; infinite for never.
    drift_arcsec_s
        How fast the object drifts to the west, in the middle in the first frame; 0 for followed.
    focus_waves
        From so far inside focus to so far outside and back, once in the film; 0 stays in focus.

    Raises
    ------
    SimviewError
        For a value out of range.
    """

    sky: Sky
    mount: Mount = field(default_factory=Mount)
    frames: int = 64
    frames_per_second: float = 15.0
    slow: float = 1.0
    moments: int = 1
    layers: tuple[Layer, ...] = LAYERS
    touched_s: float = math.inf
    drift_arcsec_s: float = 0.0
    focus_waves: float = 0.0

    def __post_init__(self) -> None:
        whole = isinstance(self.frames, int) and not isinstance(self.frames, bool)
        if not whole or not 1 <= self.frames <= MOST_FRAMES:
            raise RangeError("--frames", got=self.frames, allowed=f"1 to {MOST_FRAMES}")
        require_range("--fps", self.frames_per_second, 1.0, 60.0, unit="1/s")
        require_range("--slow", self.slow, 0.1, 1000.0, unit="times")
        whole = isinstance(self.moments, int) and not isinstance(self.moments, bool)
        if not whole or not 1 <= self.moments <= MOST_MOMENTS:
            raise RangeError("--moments", got=self.moments, allowed=f"1 to {MOST_MOMENTS}")
        if not 1 <= len(self.layers) <= MOST_LAYERS:
            raise SimviewError(
                "--layer", got=f"{len(self.layers)} layers", allowed=f"1 to {MOST_LAYERS}"
            )
        if self.touched_s != math.inf:
            require_range("--touched", self.touched_s, 0.0, 3600.0, unit="s")
        require_range("--focus", self.focus_waves, 0.0, MOST_FOCUS, unit="waves")

    @property
    def rate(self) -> float:
        """Frames for each second of life."""
        return self.frames_per_second * self.slow

    @property
    def boils(self) -> bool:
        """Whether there is air that moves."""
        return self.sky.air != "none" and self.sky.seeing_arcsec > 0.0

    def times(self, frame: int) -> Floats:
        """Return (moments,) the instants of life in a frame, s: spread evenly over the eye's time.

        That time is the eye's own whatever the pace of the film, so that the frames of a slowed
        film overlap.
        """
        inside = (np.arange(self.moments) + 0.5) / self.moments
        return np.asarray((frame + 0.5) / self.rate + EYE_SECONDS * (inside - 0.5))

    def air(self, aperture_mm: float) -> Flow | None:
        """Return the air over an aperture, None where there is none."""
        if not self.boils:
            return None
        rng = np.random.default_rng([self.sky.seed, 1])
        return start(SCREEN, aperture_mm, self.sky, rng, self.layers)

    def path(self) -> Floats:
        """Return (frames, 2) where the image stands, arcsec to the right and upwards.

        West is to the right, as with the naked eye and north up.
        """
        rng = np.random.default_rng([self.sky.seed, 2])
        shaken = path_arcsec(
            self.mount,
            self.frames,
            rng,
            frames_per_second=self.rate,
            touched_s=self.touched_s,
        )
        drift = self.drift_arcsec_s * np.arange(self.frames) / self.rate
        return np.asarray(shaken + drift[:, None] * np.array([1.0, 0.0]))

    def travel_waves(self, frame: int) -> float:
        """Return how far out of focus a frame is: from inside to outside and back."""
        return -self.focus_waves * math.cos(2.0 * math.pi * frame / self.frames)

    def figures(self, aperture_mm: float) -> dict[str, Any]:
        """Return what moves, in numbers."""
        sky = self.sky
        r0_mm = 1e3 * fried_r0_m(sky.seeing_arcsec, 500.0, sky.altitude_deg)
        boils = self.boils
        return {
            "frames": self.frames,
            "frames_per_second": self.frames_per_second,
            "seconds_of_life": self.frames / self.rate,
            "seeing_arcsec": sky.seeing_arcsec if boils else 0.0,
            "fried_r0_mm": r0_mm if boils else math.inf,
            "aperture_over_r0": aperture_mm / r0_mm if boils else 0.0,
            "coherence_ms": 1e3 * coherence_seconds(sky, layers=self.layers) if boils else math.inf,
            "shake_rms_arcsec": shake_rms_arcsec(self.mount),
        }

    def recipe(self) -> dict[str, Any]:
        """Return what makes the same motion again; sky and mount travel elsewhere."""
        return {
            "frames": self.frames,
            "frames_per_second": self.frames_per_second,
            "slow": self.slow,
            "moments": self.moments,
            "layers": [
                [
                    layer.share,
                    layer.wind_m_s,
                    layer.direction_deg,
                    None if math.isinf(layer.boil_s) else layer.boil_s,
                ]
                for layer in self.layers
            ],
            "touched_s": None if math.isinf(self.touched_s) else self.touched_s,
            "drift_arcsec_s": self.drift_arcsec_s,
            "focus_waves": self.focus_waves,
        }

    def says(self) -> str:
        """Return air, mount and pace in a few words."""
        parts = [f"seeing {self.sky.seeing_arcsec:g}″" if self.boils else "no air"]
        if not math.isinf(self.touched_s):
            parts.append("mount touched")
        if self.drift_arcsec_s:
            parts.append("nothing follows the sky")
        if self.focus_waves:
            parts.append(f"{self.focus_waves:g} waves inside to outside focus")
        if self.slow != 1.0:
            parts.append(
                f"{self.slow:g}× slowed" if self.slow > 1 else f"{1 / self.slow:g}× faster"
            )
        return ", ".join(parts)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shaken:
    """Air over an aperture on a mount: what stands before the telescope in each frame.

    Parameters
    ----------
    motion
        What moves.
    aperture_mm
        Of the telescope.
    air
        None where nothing boils.
    path
        (frames, 2) where the image stands, arcsec.
    """

    motion: Motion
    aperture_mm: float
    air: Flow | None
    path: Floats

    @staticmethod
    def over(motion: Motion, aperture_mm: float) -> Shaken:
        """Set the air and the mount up."""
        return Shaken(
            motion=motion,
            aperture_mm=aperture_mm,
            air=motion.air(aperture_mm),
            path=motion.path(),
        )

    def moved_px(self, frame: int, pixel_arcsec: float) -> tuple[int, int]:
        """Return by how many whole pixels the image is moved to the right and upwards."""
        right, up = np.rint(self.path[frame] / pixel_arcsec)
        return int(right), int(up)

    def screens_nm(self, frame: int, pixel_arcsec: float) -> list[Floats]:
        """Return the path errors of all moments of a frame, with the rest of the image's motion.

        Returns
        -------
        list of (SCREEN, SCREEN) nm
            One for each moment; one without air.
        """
        whole = np.array(self.moved_px(frame, pixel_arcsec)) * pixel_arcsec
        tilt = tilt_nm(self.path[frame] - whole, self.aperture_mm)
        if self.air is None:
            return [tilt]
        return [self.air.screen_nm(float(t)) + tilt for t in self.motion.times(frame)]


def tilt_nm(offset_arcsec: Floats, aperture_mm: float) -> Floats:
    """Return the path error over an aperture that moves a star by an offset (right, up).

    Returns
    -------
    (SCREEN, SCREEN) nm.
    """
    own = axis(SCREEN)
    x, y = offset_arcsec / ARCSEC_PER_RADIAN * aperture_mm / 2.0 * 1e6
    return np.asarray(x * own[None, :] - y * own[:, None])


def mean(stacks: Iterable[NDArray[Any]]) -> NDArray[Any]:
    """Return the mean of stacks, one of which is held at a time."""
    total, count = None, 0
    for stack in stacks:
        total = stack if total is None else total + stack
        count += 1
    assert total is not None
    return total if count == 1 else np.asarray(total / total.dtype.type(count))
