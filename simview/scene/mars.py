"""Mars' map: classical dark areas at their places, polar caps by the season."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from simview.memory import remembered
from simview.scene.noise import Values, cloudy
from simview.scene.tables import records

HEIGHT: Final = 720
WIDTH: Final = 1440

# Reflectance of bright dust and of dark ground in linear sRGB. Source: bright about 0.25 to 0.33
# and dark about 0.10 to 0.15 in the red, both nearly alike in the blue, after Bell et al. 1999,
# Icarus 138, 25 (memory); the darkest named places lie at the dark end of his range, dust at its
# bright end.
_DUST: Final = (0.330, 0.178, 0.072)
_DARK: Final = (0.100, 0.078, 0.055)
_ICE: Final = (0.78, 0.74, 0.68)
_HAZE: Final = (0.40, 0.36, 0.36)


@remembered(4)
def surface_map(season_deg: float, seed: int = 8) -> Values:
    """Return the map (HEIGHT, WIDTH, 3), row 0 at the north, longitude growing eastwards.

    Parameters
    ----------
    season_deg
        Areocentric longitude of the Sun, 0 at northern spring.
    seed
        Which fine detail.
    """
    rng = np.random.default_rng(seed)
    latitude = 90.0 - (np.arange(HEIGHT, dtype=np.float32)[:, None] + 0.5) * (180.0 / HEIGHT)
    longitude = (np.arange(WIDTH, dtype=np.float32)[None, :] + 0.5) * (360.0 / WIDTH)
    warp = [
        cloudy((HEIGHT, WIDTH), rng, longest=70.0, finest=4.0, stretch=1.4, slope=1.8)
        for _ in range(2)
    ]
    shade = _shade(latitude + 2.6 * warp[0], longitude + 3.4 * warp[1])
    mottle = cloudy((HEIGHT, WIDTH), rng, longest=40.0, finest=2.5, stretch=1.6, slope=1.3)
    shade = shade * (1.0 + 0.035 * mottle)
    bright = np.clip((shade - 0.4) / 0.6, 0.0, None)[..., None]
    dark, dust = np.array(_DARK, np.float32), np.array(_DUST, np.float32)
    colours = dark + (dust - dark) * bright
    picture: Values = colours.astype(np.float32, copy=False)
    _add_caps(picture, latitude + _cap_outline(rng, longitude), season_deg)
    picture.setflags(write=False)
    return picture


def _shade(latitude: Values, longitude: Values) -> Values:
    """Return the ground's shade, 1 for dust: ellipses, darkest where they overlap.

    Latitude and longitude are those of the undisturbed ground; each ellipse looks only at the
    rows and columns that it can reach.
    """
    dark = np.zeros((HEIGHT, WIDTH), np.float32)
    light = np.zeros_like(dark)
    for row in records("mars_features.csv"):
        up, across = float(row["half_north_deg"]), float(row["half_east_deg"])
        middle = float(row["latitude_deg"]), float(row["longitude_deg"])
        reach = 1.5 * up + 9.0
        rows = slice(
            max(0, int((90.0 - middle[0] - reach) * HEIGHT / 180.0)),
            min(HEIGHT, int((90.0 - middle[0] + reach) * HEIGHT / 180.0) + 1),
        )
        wide = min(180.0, 1.5 * across + 12.0)
        columns = np.arange(
            int((middle[1] - wide) * WIDTH / 360.0), int((middle[1] + wide) * WIDTH / 360.0)
        )
        here = (rows, columns % WIDTH)
        north = (latitude[here] - middle[0]) / np.float32(up)
        east = ((longitude[here] - middle[1] + 180.0) % 360.0 - 180.0) / np.float32(across)
        share = np.exp(-((north**2 + east**2) ** 2))
        shade = np.float32(row["shade"])
        if shade < 1.0:
            dark[here] = np.maximum(dark[here], (1.0 - shade) * share)
        else:
            light[here] += (shade - 1.0) * share
    return np.asarray(1.0 - dark + light * (1.0 - dark), np.float32)


def _cap_outline(rng: np.random.Generator, longitude: Values) -> Values:
    """Return by how many degrees the caps' edges stray, along the longitude."""
    total = np.zeros_like(longitude)
    for lobes in range(1, 9):
        turn = rng.uniform(0.0, 2.0 * math.pi)
        total += rng.uniform(0.4, 1.3) / lobes * np.cos(lobes * np.radians(longitude) + turn)
    return total


def cap_edges_deg(season_deg: float) -> tuple[float, float]:
    """Return the latitude to which each polar cap reaches: north, south.

    Each cap is widest near the end of its winter (about 60 deg) and shrinks to 82 deg in the
    north, 86 deg in the south by late summer. Source: James et al. 1992, in Mars, ch. 27 (memory).
    """
    north = 71.0 - 11.0 * math.cos(math.radians(season_deg - 330.0))
    south = 72.0 - 14.0 * math.cos(math.radians(season_deg - 165.0))
    return north, south


def _add_caps(picture: Values, latitude: Values, season_deg: float) -> None:
    north, south = cap_edges_deg(season_deg)
    # A hood of cloud lies over the pole that has autumn or winter.
    winter_north = max(0.0, -math.sin(math.radians(season_deg)))
    winter_south = max(0.0, math.sin(math.radians(season_deg)))
    for height, edge, winter in ((latitude, north, winter_north), (-latitude, south, winter_south)):
        collar = np.exp(-(((height - edge + 3.5) / 3.0) ** 2)) * (1.0 - winter)
        picture *= (1.0 - 0.35 * collar)[..., None]
        cap = 0.5 + 0.5 * np.tanh((height - edge) / 0.9)
        hood = winter * (0.5 + 0.5 * np.tanh((height - edge + 4.0) / 6.0))
        picture += ((1.0 - 0.75 * winter) * cap)[..., None] * (np.array(_ICE) - picture)
        picture += (0.7 * hood)[..., None] * (np.array(_HAZE) - picture)
