"""What lies behind the house: meadow, a wood, hills one behind the other, the sky. All invented.

Its skyline is drawn in metres at the house's distance, so that a picture looks alike at any
distance; how pale the haze makes it follows from how far away each part is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from simview.memory import remembered
from simview.scene.haze import Planes, left
from simview.scene.noise import Values, cloudy, lookup

# Light of the sky at the horizon and well above it, linear sRGB against a white wall in sunshine,
# a little blue. Common practice, no source.
HORIZON: Final = np.array([0.360, 0.395, 0.445], np.float32)
_ABOVE: Final = np.array([0.095, 0.205, 0.50], np.float32)

# Height above the horizon at which the sky is halfway from the one to the other, rad.
_HALFWAY: Final = 0.045

# One pixel of the clouds' texture at the horizon, rad, and how far behind it their plane ends,
# rad. Choices.
_CLOUD_NODE: Final = 0.0004
_CLOUD_FOOT: Final = 0.05

# Pixels a side of a tile of texture.
_TILE: Final = 512

# Pixels of grass a metre at the house's foot. A choice.
_GRASS_PER_M: Final = 20.0

# Height of the horizon against the sign, m at the house's distance.
_EYE_M: Final = -1.55


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ridge:
    """One line of hills or trees: its distance, its height, its colour (linear)."""

    further_m: float
    height_m: float
    wave_m: float
    rough_m: float
    colour: tuple[float, float, float]
    seed: int


_RIDGES: Final = (
    _Ridge(
        further_m=13000.0,
        height_m=1.35,
        wave_m=14.0,
        rough_m=0.02,
        colour=(0.06, 0.09, 0.08),
        seed=1,
    ),
    _Ridge(
        further_m=4500.0,
        height_m=0.75,
        wave_m=9.0,
        rough_m=0.03,
        colour=(0.07, 0.11, 0.06),
        seed=2,
    ),
    _Ridge(
        further_m=700.0,
        height_m=0.30,
        wave_m=3.0,
        rough_m=0.16,
        colour=(0.042, 0.080, 0.026),
        seed=4,
    ),
)

# Nodes of a skyline's noise, and how far apart those of the rough part are, m.
_NODES: Final = 8192
_NODE_M: Final = 0.03


@remembered(4)
def _line(seed: int) -> Values:
    """Return waves 256 nodes long and crowns of trees as noise that joins itself."""
    rng = np.random.default_rng(seed)
    slow = cloudy((2, _NODES), rng, longest=256.0, finest=60.0, slope=2.5)[0]
    fast = cloudy((2, _NODES), rng, longest=40.0, finest=3.0, slope=1.1)[0]
    return np.stack([slow / slow.std(), fast / fast.std()])


def _skyline(x_m: Values, ridge: _Ridge) -> Values:
    """Return the ridge's height above the horizon at each place, m."""
    slow, fast = _line(ridge.seed)
    nodes = np.arange(_NODES)
    waves = np.interp(x_m / ridge.wave_m * 256.0, nodes, slow, period=_NODES)
    # Crowns are round above and meet in sharp gaps.
    crowns = 0.8 - np.abs(np.interp(x_m / _NODE_M, nodes, fast, period=_NODES))
    return np.asarray(ridge.height_m * (1.0 + 0.38 * waves) + ridge.rough_m * crowns)


@remembered(1)
def _texture() -> Values:
    """Return a tile of three textures: plaster, grass, clouds."""
    make = [
        cloudy((_TILE, _TILE), np.random.default_rng(3), longest=40.0, finest=2.4, slope=0.9),
        cloudy((_TILE, _TILE), np.random.default_rng(4), longest=12.0, finest=2.2, slope=0.6),
        cloudy(
            (_TILE, _TILE),
            np.random.default_rng(10),
            longest=70.0,
            finest=2.4,
            stretch=1.3,
            slope=1.55,
        ),
    ]
    tile = np.stack(make, axis=-1)
    return np.concatenate([tile, tile[:2]], axis=0)


def texture(which: int, columns: Values, rows: Values) -> Values:
    """Return (ny, nx) of a texture at places in the tile's pixels, (nx,) or (ny, nx) columns."""
    shape = (len(rows), columns.shape[-1])
    down = np.broadcast_to((rows % _TILE).astype(np.float32)[:, None], shape)
    along = np.broadcast_to(columns.astype(np.float32), shape)
    return lookup(_texture()[..., which : which + 1], down, along)[..., 0]


def _receding(x: Values, away: Values, density: float, flatness: float) -> tuple[Values, Values]:
    """Return a texture's places on a plane that runs to the horizon.

    Seen in perspective as a pattern that stays as it is but shrinks towards the horizon.

    Parameters
    ----------
    away
        (ny,) above 0: how far above or below the horizon a row lies.
    density
        Pixels of the tile a unit of x where `away` is 1.
    flatness
        How many times wider than high things on the plane look.
    """
    return density * x[None, :] / away[:, None], flatness * density * np.log(away)


def _seen(pixels: Values | float) -> Values:
    """Return how much of a texture is left where a pixel of the picture holds so many of it."""
    return np.asarray(1.0 / (1.0 + (np.asarray(pixels) / 1.5) ** 2), np.float32)


def behind(
    x_m: Values, y_m: Values, *, ground_m: float, distance_m: float, visibility_km: float
) -> Planes:
    """Return the landscape as it is seen, linear sRGB against a white wall.

    Parameters
    ----------
    x_m, y_m
        (nx,) and (ny,) middles of columns and rows, m at the house's distance.
    ground_m
        Height of the meadow at the house's wall.
    """
    pixel = abs(float(x_m[1] - x_m[0]))
    planes = _sky(x_m, y_m, distance_m)
    above = (y_m - _EYE_M)[:, None]
    for ridge in _RIDGES:
        kept = left(distance_m + ridge.further_m, visibility_km)
        share = np.clip((_skyline(x_m, ridge)[None, :] - above) / pixel + 0.5, 0.0, 1.0)
        _lay(
            planes, share.astype(np.float32), kept * np.array(ridge.colour) + HORIZON * (1.0 - kept)
        )
    share = np.clip(-above / pixel + 0.5, 0.0, 1.0).astype(np.float32)
    rows = np.flatnonzero(share[:, 0])
    if len(rows):
        part = slice(int(rows[0]), int(rows[-1]) + 1)
        green = _meadow(x_m, y_m[part], ground_m, distance_m, visibility_km)
        planes[:, part] += (green - planes[:, part]) * share[part]
    return planes


def _lay(planes: Planes, share: Planes, colour: Values) -> None:
    """Lay one colour over planes by its share, only where there is any."""
    rows = np.flatnonzero(share.any(axis=1))
    if len(rows) == 0:
        return
    part = slice(int(rows[0]), int(rows[-1]) + 1)
    planes[:, part] += (colour.astype(np.float32)[:, None, None] - planes[:, part]) * share[part]


def _sky(x_m: Values, y_m: Values, distance_m: float) -> Planes:
    """Return the sky: pale at the horizon, bluer above, with clouds; it changes with the angle."""
    height = np.clip((y_m - _EYE_M) / distance_m, 0.0, None)
    up = (height / (height + _HALFWAY)).astype(np.float32)
    clear = HORIZON[:, None] + (_ABOVE - HORIZON)[:, None] * up
    angle = x_m / distance_m
    places = _receding(angle, height + _CLOUD_FOOT, _CLOUD_FOOT / _CLOUD_NODE, 3.0)
    fine = abs(float(angle[1] - angle[0])) * _CLOUD_FOOT / _CLOUD_NODE / (height + _CLOUD_FOOT)
    cloud = texture(2, places[0] + 37.0, places[1] + 150.0) * _seen(fine)[:, None]
    cover = np.clip(0.42 * cloud + 0.02, 0.0, 1.0)
    cover *= np.clip(height / 0.035, 0.0, 1.0)[:, None].astype(np.float32)
    white = np.array([0.70, 0.72, 0.75], np.float32)[:, None, None]
    shown = np.repeat(clear[:, :, None], len(x_m), axis=2)
    shown += (white - shown) * (cover * (2.0 - cover) * 0.85)
    return np.asarray(shown, np.float32)


def _meadow(
    x_m: Values, y_m: Values, ground_m: float, distance_m: float, visibility_km: float
) -> Planes:
    """Return the meadow: ever further and paler from the house's foot up to the horizon."""
    down = np.maximum(_EYE_M - y_m, 1e-3)
    away = (_EYE_M - ground_m) / down
    density = _GRASS_PER_M * (_EYE_M - ground_m)
    columns, rows = _receding(x_m, down, density, 4.0)
    fine = abs(float(x_m[1] - x_m[0])) * _GRASS_PER_M * away
    grain = texture(1, columns, rows) * _seen(fine)[:, None]
    patches = texture(0, 0.2 * columns, 0.2 * rows) * _seen(0.2 * fine)[:, None]
    green = np.array([0.115, 0.185, 0.045], np.float32)[:, None, None]
    lit = green * (1.0 + 0.16 * grain + 0.14 * patches)
    # Haze changes slowly: a few distances are enough, in those of the house.
    further = np.minimum(away, 12.0)
    steps = np.geomspace(max(float(further.min()), 1e-3), float(further.max()) * 1.001, 48)
    kept = np.stack([left(distance_m * float(step), visibility_km) for step in steps])
    share = kept[np.searchsorted(steps, further).clip(0, len(kept) - 1)].T[:, :, None]
    return np.asarray(lit * share + HORIZON[:, None, None] * (1.0 - share), np.float32)
