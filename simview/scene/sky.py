"""The night sky of a frame: all stars, clusters, galaxies and nebulae that lie in it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.memory import remembered
from simview.scene.clusters import Globular, flattened, globular_stars
from simview.scene.faint_stars import faint_stars_in, reachable_v
from simview.scene.galaxies import Galaxy, galaxy_drawing
from simview.scene.nebulae import Nebula, central_star, nebula_drawing, shines_in_lines
from simview.scene.noise import Values
from simview.scene.open_clusters import OpenCluster, faint_members
from simview.scene.painting import Drawing, collected, luminance
from simview.scene.sampling import Draw, with_cusp
from simview.scene.scene import Crowd, Scene, Stars
from simview.scene.star_catalogue import half_width_arcsec, project, separation_deg, stars_in
from simview.scene.star_colour import rgb_of_temperature
from simview.scene.tables import records
from simview.units import illuminance_lux

Places = NDArray[np.float64]

# Where all of them stand.
TABLE: Final = "deep_sky.csv"

# Colour temperature of a globular cluster's unresolved light, K: B-V about 0.75 (Harris 1996).
_GLOBULAR_K: Final = 5400.0


# Pixels across an object from which its whole light is found.
_ACROSS: Final = 140

# The haze of an open cluster ends at this many radii: lists' diameters are where clusters stop
# standing out from the field, and none has a rim. Choice.
_BEYOND: Final = 1.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Glow:
    """An extended object, ready to be laid into a frame.

    Parameters
    ----------
    drawing
        In relative light, around its own middle.
    reach_arcsec, detail_arcsec, smooth_arcsec
        How far and how finely it is drawn, and how finely at least outside its middle.
    scale
        cd/m2 for a relative light of 1.
    """

    drawing: Drawing
    reach_arcsec: float
    detail_arcsec: float
    scale: float
    smooth_arcsec: float = 0.0


def row_of(name: str) -> Mapping[str, str]:
    """Return the table's row of a name."""
    return next(row for row in records(TABLE) if row["name"] == name)


@remembered(64)
def glow_of(name: str, camera: bool = False) -> Glow | None:
    """Return an object's extended light; None for an open cluster."""
    row = row_of(name)
    if camera:
        plain = glow_of(name)
        if plain is None or row["kind"] not in ("nebula", "planetary"):
            return plain
        return replace(plain, drawing=nebula_drawing(Nebula.of(row), camera=True))
    kind, light = row["kind"], illuminance_lux(float(row["magnitude"]))
    smooth = 0.0
    if kind == "open":
        return None
    if kind == "globular":
        cluster = Globular.of(row)
        drawing, reach = _globular_drawing(cluster), cluster.edge_arcsec
        detail = max(0.25 * cluster.core_arcsec, 0.5)
        light *= globular_stars(cluster)[1]
    elif kind == "galaxy":
        galaxy = Galaxy.of(row)
        drawing, reach = galaxy_drawing(galaxy), galaxy.reach_arcsec
        detail = max(min(galaxy.bulge_arcsec / 6.0, galaxy.radius_arcsec / 60.0), 0.5)
        smooth = galaxy.smooth_arcsec
    else:
        nebula = Nebula.of(row)
        light -= float(illuminance_lux(central_star(nebula).magnitude).sum())
        drawing, reach = nebula_drawing(nebula), nebula.reach_arcsec
        detail = min(min(piece.half) for piece in nebula.pieces) / 3.0
    scale = light / _whole(drawing, reach, detail)
    return Glow(
        drawing=drawing,
        reach_arcsec=reach,
        detail_arcsec=detail,
        scale=scale,
        smooth_arcsec=smooth,
    )


@remembered(64)
def crowd_of(name: str) -> Glow | None:
    """Return the smooth light of a cluster's stars, one lux of it; None for what is no cluster."""
    row = row_of(name)
    if row["kind"] == "globular":
        cluster = Globular.of(row)
        drawing, reach, core = _globular_drawing(cluster), cluster.edge_arcsec, cluster.core_arcsec
    elif row["kind"] == "open":
        spread = OpenCluster.of(row)
        if not spread.count:
            return None
        reach, core = _BEYOND * spread.edge_arcsec, spread.core_arcsec
        drawing = _open_drawing(core, reach)
    else:
        return None
    detail = max(0.25 * core, 0.5)
    return Glow(
        drawing=drawing,
        reach_arcsec=reach,
        detail_arcsec=detail,
        scale=1.0 / _whole(drawing, reach, detail),
    )


def _whole(drawing: Drawing, reach_arcsec: float, detail_arcsec: float) -> float:
    """Return all the light of a drawing, as it would be collected.

    From few pixels, their middle ones finer than a picture's: within 0.3 % of what 800 across
    give for all galaxies of the table, 0.1 % for its clusters and planetary nebulae, 0.6 % for its
    other nebulae.
    """
    pixel = 2.0 * reach_arcsec / _ACROSS
    fine = 0.5 * detail_arcsec
    pixels = _ACROSS + 4
    plain = with_cusp(
        drawing, pixel_arcsec=pixel, pixels=pixels, reach_arcsec=reach_arcsec, detail_arcsec=fine
    )
    return float(collected(plain, pixel))


def _open_drawing(core_arcsec: float, edge_arcsec: float) -> Drawing:
    """Return the smooth light of an open cluster's members, gently down to nothing at an edge."""

    def at(_: float) -> Draw:
        def draw(x: Values, y: Values) -> Values:
            square = np.float32(1.0 / core_arcsec**2)
            rim = np.float32(1.0 / (1.0 + edge_arcsec**2 / core_arcsec**2))
            away = x**2 + y**2
            here = np.maximum(1.0 / (1.0 + away * square) - rim, np.float32(0.0))
            here *= np.maximum(1.0 - (away / np.float32(edge_arcsec**2)) ** 2, 0.0)
            return np.repeat(here[None], 3, axis=0)

        return draw

    return at


def _globular_drawing(cluster: Globular) -> Drawing:
    colour = rgb_of_temperature(_GLOBULAR_K).astype(np.float32)[:, None, None]

    def at(cell_arcsec: float) -> Draw:
        def draw(x: Values, y: Values) -> Values:
            soft = np.float32((0.35 * cell_arcsec) ** 2)
            u, v = flattened(cluster, x, y, back=True)
            return cluster.glow(np.sqrt(u**2 + v**2 + soft))[None] * colour

        return draw

    return at


@lru_cache(maxsize=1)
def _places() -> tuple[tuple[str, ...], Places, Places, Places]:
    rows = records(TABLE)
    names = tuple(row["name"] for row in rows)
    ra, dec, size = (
        np.array([float(row[key]) for row in rows]) for key in ("ra_deg", "dec_deg", "major_arcmin")
    )
    return names, ra, dec, size


def objects_near(centre: tuple[float, float], radius_deg: float) -> list[str]:
    """Return the names of the table's objects that reach into a circle."""
    names, ra, dec, size = _places()
    near = separation_deg(ra, dec, centre) <= radius_deg + size / 60.0
    return [names[k] for k in np.flatnonzero(near)]


def joined(*lists: Stars) -> Stars:
    """Return all stars of several lists in one."""
    return Stars(
        x_arcsec=np.concatenate([s.x_arcsec for s in lists]),
        y_arcsec=np.concatenate([s.y_arcsec for s in lists]),
        magnitude=np.concatenate([s.magnitude for s in lists]),
        temperature_k=np.concatenate([s.temperature_k for s in lists]),
    )


def kept(stars: Stars, keep: NDArray[np.bool_]) -> Stars:
    """Return the stars that a mask picks."""
    return stars.picked(keep)


def moved(stars: Stars, x_arcsec: float, y_arcsec: float) -> Stars:
    """Return the stars shifted."""
    return Stars(
        x_arcsec=stars.x_arcsec + x_arcsec,
        y_arcsec=stars.y_arcsec + y_arcsec,
        magnitude=stars.magnitude,
        temperature_k=stars.temperature_k,
    )


def members(name: str) -> Stars:
    """Return what stars belong to an object of the table beside the catalogue's, around its middle.

    A cluster's are invented; a planetary nebula has its central star.
    """
    row = row_of(name)
    if row["kind"] == "globular":
        return globular_stars(Globular.of(row))[0]
    if row["kind"] == "open":
        return faint_members(OpenCluster.of(row))
    if row["kind"] == "planetary":
        return central_star(Nebula.of(row))
    return Stars.none()


def _apart(stars: Stars, where: tuple[float, float], radius_arcsec: float) -> Stars:
    away = np.hypot(stars.x_arcsec - where[0], stars.y_arcsec - where[1])
    return kept(stars, away > radius_arcsec)


def sky_scene(
    centre: tuple[float, float], pixel_arcsec: float, pixels: int, *, camera: bool = False
) -> Scene:
    """Return the night sky of a square frame around a place (J2000 deg)."""
    half = half_width_arcsec(pixel_arcsec, pixels)
    radius = math.degrees(math.atan(math.sqrt(2.0) * half * math.pi / 648000.0))
    planes = np.zeros((3, pixels, pixels), np.float32)
    lots = [
        stars_in(*centre, half_width_arcsec=half),
        faint_stars_in(*centre, half_width_arcsec=half),
    ]
    bound: list[tuple[Stars, Values | None]] = []
    lines: Values | None = None
    for name in objects_near(centre, radius):
        row = row_of(name)
        x, y, front = project(
            np.array([float(row["ra_deg"])]), np.array([float(row["dec_deg"])]), centre
        )
        if not front[0]:
            continue
        where = (float(x[0]), float(y[0]))
        crowd = crowd_of(name)
        glow = crowd or glow_of(name, camera)
        lit = None if glow is None else _laid(glow, pixel_arcsec, pixels, where)
        own = moved(members(name), *where)
        if row["kind"] == "globular":
            # The survey caught some of its giants and blends: the cluster has its own.
            core = 60.0 * float(row["major_arcmin"]) / 6.0
            lots = [_apart(lot, where, core) for lot in lots]
            assert lit is not None
            planes += np.float32(_unresolved_lux(name)) * lit
        elif crowd is None and lit is not None:
            planes += lit
            if not camera and _gaseous(row):
                lines = (0.0 if lines is None else lines) + luminance(lit)
        if crowd is None:
            own = kept(own, (np.abs(own.x_arcsec) <= half) & (np.abs(own.y_arcsec) <= half))
            lit = None
        bound.append((own, lit))
    stars = joined(*lots, *(own for own, _ in bound))
    return Scene(
        planes=planes,
        pixel_arcsec=pixel_arcsec,
        stars=stars,
        crowds=tuple(_crowds(sum(len(lot) for lot in lots), bound)),
        lines=lines,
        field=(centre, reachable_v(centre, half)),
    )


def _gaseous(row: Mapping[str, str]) -> bool:
    return row["kind"] in ("nebula", "planetary") and shines_in_lines(Nebula.of(row))


def _laid(glow: Glow, pixel_arcsec: float, pixels: int, where: tuple[float, float]) -> Values:
    return np.float32(glow.scale) * with_cusp(
        glow.drawing,
        pixel_arcsec=pixel_arcsec,
        pixels=pixels,
        reach_arcsec=glow.reach_arcsec,
        detail_arcsec=glow.detail_arcsec,
        smooth_arcsec=glow.smooth_arcsec,
        centre_arcsec=where,
    )


def _unresolved_lux(name: str) -> float:
    """Return the light of a globular that is in none of its single stars."""
    row = row_of(name)
    left = globular_stars(Globular.of(row))[1]
    return left * float(illuminance_lux(float(row["magnitude"])))


def _crowds(first: int, bound: Iterable[tuple[Stars, Values | None]]) -> Iterator[Crowd]:
    """Give the clusters among a frame's objects, whose stars stand from `first` on in its list."""
    for own, lit in bound:
        if lit is not None and len(own):
            yield Crowd(first=first, count=len(own), shape=luminance(lit).astype(np.float32))
        first += len(own)
