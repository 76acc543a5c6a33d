"""Nebulae: published magnitudes and sizes; shapes built of soft pieces and drawn texture."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.memory import remembered
from simview.scene.clusters import seed_of
from simview.scene.noise import Values, cloudy, lookup
from simview.scene.painting import Drawing
from simview.scene.sampling import Draw, fallen
from simview.scene.scene import Stars
from simview.scene.spectrum import LINES_RGB
from simview.scene.star_colour import rgb_of_temperature
from simview.scene.tables import DATA

NOTE: Final = "Nebula: light and size published; shape drawn after common descriptions."

# Linear sRGB of luminance 1 for the light of nebulae. The lines at 486 and 501 nm lie outside the
# gamut: the nearest blue-green stands for them; the line at 656 nm is pure red.
COLOURS: Final[dict[str, tuple[float, float, float]]] = {
    "oxygen": LINES_RGB,
    "hydrogen": (4.6, 0.02, 0.07),
    "white": (1.06, 0.98, 0.98),
}

# Side of the texture tile, pixels.
_TILE: Final = 512


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One soft piece of a nebula; lengths in arcsec.

    Parameters
    ----------
    shape
        "blob", "ring", "bar", "fan" or "dark" (a blob that takes light away).
    east, north
        Its middle from the nebula's.
    half
        Half-lengths along and across `angle_deg`.
    weight
        Brightness in its middle against the others, or what a dark piece takes away (0 to 1).
    sharp
        Steepness of its edge: 1 soft, 4 hard.
    ragged
        How much the texture frays its edge, 0 to 1.
    """

    shape: str
    east: float
    north: float
    half: tuple[float, float]
    angle_deg: float
    weight: float
    sharp: float
    ragged: float

    @property
    def reach(self) -> float:
        """Half-lengths within which all but a two-hundredth of its brightness lies."""
        if self.shape == "dark":
            return 0.0
        return 1.5 if self.shape in ("ring", "bar") else 5.3 ** (0.5 / self.sharp)


@dataclass(frozen=True, slots=True, kw_only=True)
class Nebula:
    """A nebula of the table with its shape.

    Parameters
    ----------
    red
        Share of its visible light (by luminance) in the red line of hydrogen.
    base
        Colour of the rest: "oxygen", "white", or a temperature in K.
    grain
        Contrast of the texture, 0 to 1.
    texture_arcsec
        Length of the texture's broad features.
    star
        V magnitude of its central star, or None.
    angle_deg, stretch
        Position angle of the long axis, and how much all is drawn longer along and across it.
    """

    name: str
    magnitude: float
    reach_arcsec: float
    pieces: tuple[Piece, ...]
    red: float
    base: str
    grain: float
    texture_arcsec: float
    angle_deg: float
    star: float | None = None
    stretch: tuple[float, float] = (1.0, 1.0)

    @classmethod
    def of(cls, row: Mapping[str, str]) -> Nebula:
        """Return the nebula of a table's row."""
        shape = _shapes()[row["name"]]
        pieces = tuple(_piece(told) for told in shape["piece"])
        major = 60.0 * float(row["major_arcmin"])
        reach = max(math.hypot(p.east, p.north) + p.reach * max(p.half) for p in pieces)
        nebula = cls(
            name=row["name"],
            magnitude=float(row["magnitude"]),
            reach_arcsec=max(reach, 0.6 * major),
            pieces=pieces,
            red=float(shape.get("red", 0.06)),
            base=str(shape.get("base", "oxygen")),
            grain=float(shape.get("grain", 0.5)),
            texture_arcsec=60.0 * float(shape.get("texture_arcmin", row["major_arcmin"])) / 4.0,
            angle_deg=float(row["angle_deg"]),
            star=None if "star" not in shape else float(shape["star"]),
        )
        if row["kind"] != "planetary":
            return nebula
        return _sized(nebula, (major, 60.0 * float(row["minor_arcmin"])))


# Colour temperature of a planetary nebula's central star, K: the hottest of the table of colours.
_CENTRAL_K: Final = 50000.0


def central_star(nebula: Nebula) -> Stars:
    """Return the star in a nebula's middle; none where none is told."""
    if nebula.star is None:
        return Stars.none()
    return Stars(
        x_arcsec=np.zeros(1),
        y_arcsec=np.zeros(1),
        magnitude=np.array([nebula.star]),
        temperature_k=np.array([_CENTRAL_K]),
    )


# A planetary nebula's published diameter is that of the isophote at a tenth of its peak. Source:
# Tylenda et al. 2003, A&A 405, 627. Of diffuse nebulae no isophote is agreed on.
_EDGE: Final = 0.1


def _sized(nebula: Nebula, published: tuple[float, float]) -> Nebula:
    """Return the nebula stretched so that its edge is as long and as wide as published, arcsec.

    The edge is that of the smooth shape; the texture, which is not stretched, frays it.
    """
    drawn = _extents(smooth(nebula))
    along, across = published[0] / drawn[0], published[1] / drawn[1]
    return replace(
        nebula,
        stretch=(along, across),
        reach_arcsec=nebula.reach_arcsec * max(along, across, 1.0),
    )


def smooth(nebula: Nebula) -> Nebula:
    """Return the nebula without texture."""
    pieces = tuple(replace(piece, ragged=0.0) for piece in nebula.pieces)
    return replace(nebula, grain=0.0, pieces=pieces)


def _extents(nebula: Nebula) -> tuple[float, float]:
    """Return how far a tenth of the peak's brightness reaches along and across, arcsec."""
    axis = np.linspace(-nebula.reach_arcsec, nebula.reach_arcsec, 401, dtype=np.float32)
    along, across = axis[None, :], axis[:, None]
    x, y = _sky(nebula.angle_deg, along, across)
    light = nebula_drawing(nebula)(float(axis[1] - axis[0]))(x, y).sum(axis=0)
    level = _EDGE * light.max()
    return _extent(axis, light.max(axis=0), level), _extent(axis, light.max(axis=1), level)


def _extent(axis: Values, profile: Values, level: float) -> float:
    """Return how far apart a profile crosses a level for the first and for the last time."""
    above = np.flatnonzero(profile >= level)
    ends = [
        np.interp(level, profile[[out, into]], axis[[out, into]])
        for out, into in ((above[0] - 1, above[0]), (above[-1] + 1, above[-1]))
    ]
    return float(ends[1] - ends[0])


def _sky(angle_deg: float, along: Values, across: Values) -> tuple[Values, Values]:
    """Return right and up of places along a position angle and across it, or the way back."""
    sin = np.float32(math.sin(math.radians(angle_deg)))
    cos = np.float32(math.cos(math.radians(angle_deg)))
    return across * cos - along * sin, along * cos + across * sin


def _shrunk(nebula: Nebula, x: Values, y: Values) -> tuple[Values, Values]:
    """Return where in its unstretched shape a place of the picture lies."""
    if nebula.stretch == (1.0, 1.0):
        return x, y
    along, across = _sky(nebula.angle_deg, x, y)
    longer, wider = (np.float32(each) for each in nebula.stretch)
    return _sky(nebula.angle_deg, along / longer, across / wider)


@remembered(1)
def _shapes() -> dict[str, Any]:
    return tomllib.loads((DATA / "nebulae.toml").read_text(encoding="utf-8"))


def _piece(told: Mapping[str, Any]) -> Piece:
    east, north = told.get("at", (0.0, 0.0))
    half = told["half"]
    return Piece(
        shape=told.get("shape", "blob"),
        east=60.0 * float(east),
        north=60.0 * float(north),
        half=(60.0 * float(half[0]), 60.0 * float(half[1])),
        angle_deg=float(told.get("angle", 0.0)),
        weight=float(told.get("weight", 1.0)),
        sharp=float(told.get("sharp", 1.5)),
        ragged=float(told.get("ragged", 0.3)),
    )


@remembered(8)
def _texture(name: str) -> Values:
    """Return wisps and two warps, (_TILE + 2, _TILE, 3)."""
    rng = np.random.default_rng(seed_of(name))
    shape = (_TILE, _TILE)
    fields = [
        cloudy(shape, rng, longest=150.0, finest=2.4, slope=1.55),
        cloudy(shape, rng, longest=120.0, finest=5.0, slope=1.9),
        cloudy(shape, rng, longest=120.0, finest=5.0, slope=1.9),
    ]
    tile = np.stack(fields, axis=-1)
    return np.concatenate([tile, tile[:2]], axis=0)


def nebula_colour(nebula: Nebula, camera: bool = False) -> NDArray[np.float32]:
    """Return linear sRGB of luminance 1 (for a camera, with the red line as strong as it is).

    Prints of photographs show the line at 656 nm, 2.86 times as strong as that at 486 nm
    (Osterbrock & Ferland 2006, case B), by its strength, not by the 7 % of the eye's peak there.
    """
    if shines_in_lines(nebula) and not camera:
        return np.array(LINES_RGB, np.float32)
    red = min(0.6, nebula.red * 2.86) if camera else nebula.red
    if nebula.base in COLOURS:
        base = np.array(COLOURS[nebula.base])
    else:
        base = rgb_of_temperature(float(nebula.base))
    return (red * np.array(COLOURS["hydrogen"]) + (1.0 - red) * base).astype(np.float32)


def shines_in_lines(nebula: Nebula) -> bool:
    """Tell whether a nebula's light is that of glowing gas, not of dust in the light of stars."""
    return nebula.base == "oxygen"


def nebula_drawing(nebula: Nebula, camera: bool = False) -> Drawing:
    """Return the drawing of a nebula around its own middle, in relative light."""
    colour = nebula_colour(nebula, camera)

    def at(cell_arcsec: float) -> Draw:
        def draw(x: Values, y: Values) -> Values:
            wisps, east_warp, north_warp = _texture_at(nebula, x, y)
            x, y = _shrunk(nebula, x, y)
            light = np.zeros(wisps.shape, np.float32)
            through = np.ones(wisps.shape, np.float32)
            for piece in nebula.pieces:
                shift = piece.ragged * 0.30 * min(piece.half)
                shown = _shown(
                    piece, -x - piece.east + shift * east_warp, y - piece.north + shift * north_warp
                )
                if piece.shape == "dark":
                    through *= 1.0 - piece.weight * shown
                else:
                    light += piece.weight * shown
            grain = np.exp(nebula.grain * 0.55 * wisps - 0.5 * (nebula.grain * 0.55) ** 2)
            light *= through * grain
            return light[None] * colour[:, None, None]

        return draw

    return at


def _texture_at(nebula: Nebula, x: Values, y: Values) -> tuple[Values, Values, Values]:
    per_pixel = np.float32(_TILE / 4.0 / nebula.texture_arcsec)
    row = np.broadcast_to(
        (-y * per_pixel + 0.4 * _TILE) % np.float32(_TILE), (y.shape[0], x.shape[1])
    )
    column = np.broadcast_to(x * per_pixel + np.float32(0.3 * _TILE), row.shape)
    found = lookup(_texture(nebula.name), row, column)
    return found[..., 0], found[..., 1], found[..., 2]


def _shown(piece: Piece, east: Values, north: Values) -> Values:
    """Return a piece's light, 1 in its middle (on its crest for a ring)."""
    angle = math.radians(piece.angle_deg)
    sin, cos = np.float32(math.sin(angle)), np.float32(math.cos(angle))
    along = (north * cos + east * sin) / np.float32(piece.half[0])
    across = (east * cos - north * sin) / np.float32(piece.half[1])
    square = along * along + across * across
    sharp = np.float32(piece.sharp)
    if piece.shape == "ring":
        # Crest at 0.8 of the half-lengths; `sharp` narrows it.
        return fallen(((np.sqrt(square) - 0.8) * np.float32(1.6) * sharp) ** 2)
    if piece.shape == "bar":
        return fallen((along * along) ** 2 + np.abs(across) ** (2.0 * sharp))
    if piece.shape == "fan":
        # Opens towards `angle`: bright at its tip, fading outwards.
        open_ = 1.0 / (1.0 + np.exp(np.minimum((0.8 * np.abs(across) - along) * 7.0, 60.0)))
        return np.asarray(open_ * fallen(square ** (0.5 * sharp)))
    return fallen(square**sharp)
