"""What shines: the records that leave the scene room.

A `Target` knows what to draw; drawn at a sampling it becomes a `Scene`.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from dataclasses import field as filled
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

TargetKind = Literal["planet", "moon", "double", "stars", "deep-sky", "chart", "photo", "daytime"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stars:
    """Points of light, N of them.

    Parameters
    ----------
    x_arcsec, y_arcsec
        (N,) offsets from the centre of the scene; x grows to the right (west), y grows
        upwards (north).
    magnitude
        (N,) V magnitudes outside the air.
    temperature_k
        (N,) colour temperature, 1000 to 50000 K.
    radius_arcsec
        (N,) of those that are small discs, 0 for points; None where all are points.
    """

    x_arcsec: NDArray[np.float64]
    y_arcsec: NDArray[np.float64]
    magnitude: NDArray[np.float64]
    temperature_k: NDArray[np.float64]
    radius_arcsec: NDArray[np.float64] | None = None

    def __len__(self) -> int:
        return len(self.magnitude)

    def picked(self, which: NDArray[np.bool_]) -> Stars:
        """Return those of the stars for which `which` (N,) is true."""
        return Stars(
            x_arcsec=self.x_arcsec[which],
            y_arcsec=self.y_arcsec[which],
            magnitude=self.magnitude[which],
            temperature_k=self.temperature_k[which],
            radius_arcsec=None if self.radius_arcsec is None else self.radius_arcsec[which],
        )

    def any_within(self, half_arcsec: float) -> bool:
        """Return whether any star lies in the square that reaches so far from the middle."""
        away = np.maximum(np.abs(self.x_arcsec), np.abs(self.y_arcsec))
        return bool(np.any(away < half_arcsec))

    @classmethod
    def none(cls) -> Stars:
        """Return an empty list of stars."""
        empty = np.zeros(0)
        return cls(x_arcsec=empty, y_arcsec=empty, magnitude=empty, temperature_k=empty)


@dataclass(frozen=True, slots=True, kw_only=True)
class Crowd:
    """Stars of a scene that belong together: those of them that are not seen shine as a haze.

    Parameters
    ----------
    first, count
        Which of the scene's stars they are.
    shape
        (ny, nx) float32, as the scene's planes: luminance in cd/m2 of their haze for one lux.
    """

    first: int
    count: int
    shape: NDArray[np.float32]

    @property
    def members(self) -> slice:
        """Where they stand in the list of stars."""
        return slice(self.first, self.first + self.count)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """Luminance outside the air at one sampling.

    Parameters
    ----------
    planes
        (3, ny, nx) float32, linear sRGB primaries in cd/m2: white of luminance L has L in all
        three; luminance is 0.2126 R + 0.7152 G + 0.0722 B. Each pixel holds the mean over its
        area. Row 0 is at the top (north), column 0 at the left (east), centre pixel n // 2.
        The sky's own glow is not in it.
    pixel_arcsec
        Side of a pixel on the sky.
    stars
        Points of light, added to the planes.
    crowds
        Which of the stars are members of clusters.
    lines
        (ny, nx) the part of the planes that nebulae send in lines, luminance of white light of
        the same V magnitude; on the planes `simview.scene.spectrum.LINES_RGB` stands for it. None
        where there is none.
    field
        The frame's place on the sky, J2000 deg, and the V down to which its stars are in the list;
        None for what is no frame of the sky.
    """

    planes: NDArray[np.float32]
    pixel_arcsec: float
    stars: Stars = filled(default_factory=Stars.none)
    crowds: tuple[Crowd, ...] = ()
    lines: NDArray[np.float32] | None = None
    field: tuple[tuple[float, float], float] | None = None

    def middle(self, pixels: int) -> Scene:
        """Return its middle, `pixels` square, about the same centre; all stars stay in the list."""
        ny, nx = self.planes.shape[1:]
        top, left = ny // 2 - pixels // 2, nx // 2 - pixels // 2
        rows, columns = slice(top, top + pixels), slice(left, left + pixels)
        crowds = tuple(replace(c, shape=c.shape[rows, columns]) for c in self.crowds)
        lines = None if self.lines is None else self.lines[rows, columns]
        return replace(self, planes=self.planes[:, rows, columns], crowds=crowds, lines=lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelPath:
    """The air between an object on the ground and the telescope.

    Parameters
    ----------
    distance_m
        Length of the path.
    visibility_km
        Meteorological visibility; the haze is in the painted scene already.
    cn2
        Structure constant of the refractive index, m^(-2/3), even along the path; 0 for still air.
    clear
        Paints the same object without haze.
    says
        A sentence on haze and shimmer for the caption.
    """

    distance_m: float
    visibility_km: float
    cn2: float
    clear: Callable[[float, int], Scene]
    says: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """The name of a place in a target, right and up of the target's middle."""

    words: str
    x_arcsec: float
    y_arcsec: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Satellite:
    """A moon beside its planet, right and up of the target's middle, and its V magnitude."""

    name: str
    x_arcsec: float
    y_arcsec: float
    magnitude: float


# A disc up to so many of the spots that a star's light fills for the eye is a star to it; beyond
# the second it is a disc, and between them some of both. Choices: observers tell Uranus (3.8
# arcsec) from a star at about 100 times, Neptune (2.3 arcsec) at 150 to 200.
DOT_SPOTS: Final = (1.0, 1.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dot:
    """A small disc as a star.

    Parameters
    ----------
    diameter_arcsec
        Of the disc.
    magnitude
        V.
    temperature_k
        Of its colour.
    """

    diameter_arcsec: float
    magnitude: float
    temperature_k: float

    def share(self, spot_arcsec: float) -> float:
        """Return the part of its light that looks like a star's, 1 down to 0.

        Checked by: tests/unit/scene/test_small_discs.py
        """
        first, last = DOT_SPOTS
        beyond = (self.diameter_arcsec / spot_arcsec - first) / (last - first)
        return 0.5 + 0.5 * math.cos(math.pi * min(max(beyond, 0.0), 1.0))

    def drawn(self, scene: Scene, spot_arcsec: float) -> Scene:
        """Return a scene that holds the disc alone, so much of it a star in its middle."""
        share = self.share(spot_arcsec)
        if share <= 0.0:
            return scene
        star = Stars(
            x_arcsec=np.zeros(1),
            y_arcsec=np.zeros(1),
            magnitude=np.array([self.magnitude - 2.5 * math.log10(share)]),
            temperature_k=np.array([self.temperature_k]),
        )
        return replace(scene, planes=scene.planes * np.float32(1.0 - share), stars=star)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Target:
    """Something to look at, before it is drawn at a sampling.

    Parameters
    ----------
    name
        The word on the command line: "jupiter".
    title
        For a caption: "Jupiter, 46.9 arcsec".
    kind
        The sort of object.
    size_arcsec
        Its own extent: a planet's (with rings) or cluster's diameter, a double's separation,
        a chart's width.
    paint
        Draws it: ``paint(pixel_arcsec, pixels)`` gives a square Scene centred on it.
    magnitude
        Integrated V, or None.
    luminance_cd_m2
        Mean over its surface outside the air, or None for points.
    contrast
        Michelson contrast of its typical fine detail, 0 to 1.
    declination_deg
        For drift and the horizon; 0 where unknown.
    notes
        Sentences for the caption: what is real data, what is drawn from published figures,
        what is invented.
    recipe
        What rebuilds it: keyword arguments of `simview.scene.target`.
    by_day
        True for a terrestrial scene: no star field, bright surround.
    altitude_deg
        Apparent altitude at the date and place asked for, negative below the horizon; None
        where no date was given.
    level
        The air before an object on the ground; None for one in the sky, or for a chart that is
        looked at as if it were there.
    interest_arcsec
        Where in it a loupe shows most, right and up of its middle: the Moon's terminator.
    paint_at
        Draws it around another place: ``paint_at(pixel_arcsec, pixels, (x, y))``; needed where
        `interest_arcsec` is not its middle.
    aim_arcsec
        Where an observer points a field that does not hold all of it; None: at its middle.
    aimed_arcsec
        How far its middle has been moved there; see `simview.scene.aiming`.
    places
        Names by which to tell where that is.
    labels
        Names to be written upon it.
    dot
        What it is where it is too small to show as a disc; None for what never is.
    phase_deg
        Angle Sun - object - Earth of the Moon, 0 when full; None where it plays no part.
    shadows
        Moons whose shadows lie on it: name and diameter, arcsec.
    moons
        Those that stand beside it, as it is drawn.
    fetch
        Reads what its painting is going to want, such as maps; may be done beside other work.
    """

    name: str
    title: str
    kind: TargetKind
    size_arcsec: float
    paint: Callable[[float, int], Scene]
    magnitude: float | None = None
    luminance_cd_m2: float | None = None
    contrast: float = 0.3
    declination_deg: float = 0.0
    notes: tuple[str, ...] = ()
    recipe: Mapping[str, Any] = filled(default_factory=dict)
    by_day: bool = False
    altitude_deg: float | None = None
    level: LevelPath | None = None
    interest_arcsec: tuple[float, float] = (0.0, 0.0)
    paint_at: Callable[[float, int, tuple[float, float]], Scene] | None = None
    aim_arcsec: tuple[float, float] | None = None
    aimed_arcsec: tuple[float, float] = (0.0, 0.0)
    places: tuple[Label, ...] = ()
    labels: tuple[Label, ...] = ()
    dot: Dot | None = None
    phase_deg: float | None = None
    shadows: tuple[tuple[str, float], ...] = ()
    moons: tuple[Satellite, ...] = ()
    fetch: Callable[[], None] | None = None

    def __repr__(self) -> str:
        return f"<Target {self.name}: {self.title}>"

    @property
    def by_several(self) -> bool:
        """Whether several threads may paint it at once; see `by_several`."""
        return by_several(self.paint) and (self.paint_at is None or by_several(self.paint_at))

    @property
    def remembers(self) -> bool:
        """Whether what was painted once is at hand for others who want the same sampling."""
        return isinstance(self.paint, _Remembering)

    def scene(
        self, *, pixel_arcsec: float, pixels: int, at_arcsec: tuple[float, float] = (0.0, 0.0)
    ) -> Scene:
        """Draw the target: `pixels` square at `pixel_arcsec`, centred on pixel n // 2.

        `at_arcsec` is the place that stands in the middle, right and up of the target's own.
        """
        if at_arcsec == (0.0, 0.0) or self.paint_at is None:
            return self.paint(pixel_arcsec, pixels)
        return self.paint_at(pixel_arcsec, pixels, at_arcsec)

    def remembering(self) -> Target:
        """Return the same target, which paints each sampling once and cuts smaller ones from it.

        Panels of one sheet often want the same pixel and nearly the same size.
        """
        aside = self.paint_at and _Remembering(self.paint_at)
        return replace(self, paint=_Remembering(self.paint), paint_at=aside)


def by_several(paint: Callable[..., Scene]) -> bool:
    """Return whether several threads may call what paints a target at once.

    What a caller wrote himself may keep to one; the program's own says that it allows it.
    """
    return bool(getattr(paint, "by_several", False))


# Samplings of one target that are remembered: those of a sheet's panels, and not of a whole drag.
_SAMPLINGS: Final = 4


class _Sampling:
    """What was painted at one sampling, and who may paint it."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.scene: Scene | None = None


class _Remembering:
    """Paints each sampling once and keeps the latest few, which are not pickled with it.

    Threads that want the same sampling at once wait for the first of them.
    """

    def __init__(self, paint: Callable[..., Scene]) -> None:
        self._paint = paint
        self._lock = threading.Lock()
        self._painted: dict[tuple[float, ...], _Sampling] = {}

    @property
    def by_several(self) -> bool:
        """Whether several threads may paint at once."""
        return by_several(self._paint)

    def __call__(self, pixel_arcsec: float, pixels: int, *at: tuple[float, float]) -> Scene:
        key = tuple(float(f"{value:.9g}") for value in (pixel_arcsec, *(v for p in at for v in p)))
        held = self._held(key)
        with held.lock:
            have = held.scene
            if have is None or have.planes.shape[1] < pixels:
                have = held.scene = self._paint(pixel_arcsec, pixels, *at)
        return have.middle(pixels)

    def _held(self, key: tuple[float, ...]) -> _Sampling:
        """Return what is held under a key, which becomes the last to be forgotten."""
        with self._lock:
            held = self._painted.pop(key) if key in self._painted else _Sampling()
            self._painted[key] = held
            while len(self._painted) > _SAMPLINGS:
                self._painted.pop(next(iter(self._painted)))
        return held

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self._paint,)
