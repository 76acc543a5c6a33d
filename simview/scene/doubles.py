"""Double stars: named ones among their real neighbours, and free ones."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from simview.errors import RangeError, require_range
from simview.scene import faint_stars
from simview.scene.scene import Scene, Stars, Target
from simview.scene.sky import joined, kept, sky_scene
from simview.scene.star_catalogue import NOTE, integrated_magnitude
from simview.scene.star_colour import SUN_K, temperature_of_bv
from simview.scene.tables import records

# The catalogue's own entries of a pair lie within half its separation and this of its middle,
# arcsec; they make room for the components of the table.
_OWN_ENTRIES_ARCSEC: Final = 8.0

# A pair that moves fast may stand in the catalogue where it was in 1991: entries as bright as one
# of its stars, within this of the middle, are that star, too.
_MOVED_ARCSEC: Final = 60.0
_ALIKE_MAG: Final = 0.5
_BRIGHT_MAG: Final = 8.0


def _components(
    separation_arcsec: float,
    position_angle_deg: float,
    magnitudes: tuple[float, float],
    temperatures_k: tuple[float, float],
) -> Stars:
    """Return two stars, their middle at the centre; position angle from north through east."""
    angle = math.radians(position_angle_deg)
    x = -0.5 * separation_arcsec * math.sin(angle)
    y = 0.5 * separation_arcsec * math.cos(angle)
    return Stars(
        x_arcsec=np.array([-x, x]),
        y_arcsec=np.array([-y, y]),
        magnitude=np.array(magnitudes),
        temperature_k=np.array(temperatures_k),
    )


def pair(
    double: Sequence[float], colours_k: Sequence[float] = (SUN_K, SUN_K), title: str = ""
) -> Target:
    """Return a double star by its figures.

    Parameters
    ----------
    double
        Separation (0 to 3600 arcsec), position angle (-360 to 360 deg, north through east) and
        the V magnitudes (-2 to 20) of the two.
    colours_k
        Colour temperatures of the two, 1000 to 50000 K.
    title
        For the caption.
    """
    figures = _numbers("double", double, 4, "separation, position angle, magnitude, magnitude")
    separation = require_range("separation_arcsec", figures[0], 0.0, 3600.0, unit="arcsec")
    angle = require_range("position_angle_deg", figures[1], -360.0, 360.0, unit="deg")
    magnitudes = tuple(require_range("magnitude", m, -2.0, 20.0, unit="mag") for m in figures[2:])
    colours = _numbers("colours_k", colours_k, 2, "two temperatures in K")
    kelvin = tuple(require_range("colours_k", t, 1000.0, 50000.0, unit="K") for t in colours)
    stars = _components(separation, angle, (magnitudes[0], magnitudes[1]), (kelvin[0], kelvin[1]))

    def paint(pixel_arcsec: float, pixels: int) -> Scene:
        planes = np.zeros((3, pixels, pixels), np.float32)
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec, stars=stars)

    return Target(
        name="double",
        title=title or f"Double star, {separation:g}″, V {magnitudes[0]:g} and {magnitudes[1]:g}",
        kind="double",
        size_arcsec=max(separation, 0.1),
        paint=paint,
        magnitude=integrated_magnitude(stars.magnitude),
        contrast=1.0,
        notes=("Double star: separation, magnitudes and colours as given, no real pair.",),
        recipe={
            "name": "double",
            "double": [separation, angle, *magnitudes],
            "colours_k": list(kelvin),
            "title": title,
        },
    )


def _numbers(what: str, values: Sequence[float], count: int, meaning: str) -> list[float]:
    try:
        found = [float(value) for value in values]
    except (TypeError, ValueError):
        found = []
    if len(found) != count:
        raise RangeError(what, got=values, allowed=f"{count} numbers: {meaning}")
    return found


def _with_companions(pair_: Stars, told: str) -> Stars:
    """Return a pair with its further stars: separation:angle:magnitude:B-V from the first."""
    lots = [pair_]
    for word in filter(None, told.split(";")):
        separation, angle, magnitude, bv = (float(value) for value in word.split(":"))
        turn = math.radians(angle)
        lots.append(
            Stars(
                x_arcsec=pair_.x_arcsec[:1] - separation * math.sin(turn),
                y_arcsec=pair_.y_arcsec[:1] + separation * math.cos(turn),
                magnitude=np.array([magnitude]),
                temperature_k=temperature_of_bv(np.array([bv])),
            )
        )
    return joined(*lots)


def _neighbours(around: Stars, own: Stars, separation_arcsec: float) -> Stars:
    """Return the sky's stars without the catalogue's own entries of a double."""
    away = np.hypot(around.x_arcsec, around.y_arcsec)
    keep = away > 0.5 * separation_arcsec + _OWN_ENTRIES_ARCSEC
    for x, y, magnitude in zip(own.x_arcsec, own.y_arcsec, own.magnitude, strict=True):
        keep &= np.hypot(around.x_arcsec - x, around.y_arcsec - y) > _OWN_ENTRIES_ARCSEC
        alike = np.abs(around.magnitude - magnitude) < _ALIKE_MAG
        keep &= ~(alike & (away < _MOVED_ARCSEC) & (around.magnitude < _BRIGHT_MAG))
    return kept(around, keep)


def _moved(stars: Stars, right: float, up: float) -> Stars:
    if right == 0.0 and up == 0.0:
        return stars
    return replace(stars, x_arcsec=stars.x_arcsec + right, y_arcsec=stars.y_arcsec + up)


def _of_interest(stars: Stars, separation_arcsec: float) -> tuple[float, float]:
    """Return where a loupe is held: of two close pairs far apart on the first, else the middle."""
    if _close_pairs(stars, separation_arcsec) is None:
        return 0.0, 0.0
    return float(stars.x_arcsec[[0, 2]].mean()), float(stars.y_arcsec[[0, 2]].mean())


def _close_pairs(stars: Stars, separation_arcsec: float) -> tuple[float, float] | None:
    """Return how wide two close pairs are that stand far apart, arcsec; None for anything else."""
    if len(stars) < 4:
        return None
    first, second = (
        math.hypot(*(float(at[a] - at[b]) for at in (stars.x_arcsec, stars.y_arcsec)))
        for a, b in ((0, 2), (1, 3))
    )
    return None if first * 10.0 > separation_arcsec else (first, second)


def _title(name: str, stars: Stars, separation_arcsec: float) -> str:
    """Return a title: of two close pairs what each asks of a telescope, and the way between."""
    close = _close_pairs(stars, separation_arcsec)
    if close is None:
        # An orbit gives hundredths, which its own error swallows; below an arcsecond they count.
        told = round(separation_arcsec, 1) if separation_arcsec >= 1.0 else separation_arcsec
        return f"{name}, {told:g}″"
    each = " and ".join(f"{apart:.2g}″" for apart in close)
    return f"{name.partition(',')[0]}, pairs of {each}, {separation_arcsec:.0f}″ apart"


def _middle_deg(row: Mapping[str, str]) -> tuple[float, float]:
    """Return right ascension and declination of a pair's middle; the table's are its first star's.

    No pair of the table stands so near a pole that arcs need more than this.
    """
    half = 0.5 * float(row["separation_arcsec"]) / 3600.0
    angle = math.radians(float(row["position_angle_deg"]))
    dec_deg = float(row["dec_deg"]) + half * math.cos(angle)
    ra_deg = float(row["ra_deg"]) + half * math.sin(angle) / math.cos(math.radians(dec_deg))
    return ra_deg % 360.0, dec_deg


def named(name: str) -> Target:
    """Return a double star of the table by its own name, among its real neighbours."""
    row = next(row for row in records("doubles.csv") if row["name"] == name)
    separation, angle = float(row["separation_arcsec"]), float(row["position_angle_deg"])
    magnitudes = (float(row["magnitude_a"]), float(row["magnitude_b"]))
    kelvin = temperature_of_bv([float(row["bv_a"]), float(row["bv_b"])])
    two = _components(separation, angle, magnitudes, (float(kelvin[0]), float(kelvin[1])))
    stars = _with_companions(two, row["companions"])
    ra_deg, dec_deg = _middle_deg(row)
    from simview.scene.ephemeris import declination_of_date

    def paint(
        pixel_arcsec: float, pixels: int, at_arcsec: tuple[float, float] = (0.0, 0.0)
    ) -> Scene:
        right, up = at_arcsec
        middle = (
            (ra_deg - right / 3600.0 / math.cos(math.radians(dec_deg))) % 360.0,
            dec_deg + up / 3600.0,
        )
        sky = sky_scene(middle, pixel_arcsec, pixels)
        around = _moved(sky.stars, right, up)
        shown = joined(stars, _neighbours(around, stars, separation))
        return replace(sky, stars=_moved(shown, -right, -up))

    return Target(
        name=name,
        title=_title(row["title"], stars, separation),
        kind="double",
        size_arcsec=separation,
        paint=paint,
        paint_at=paint,
        interest_arcsec=_of_interest(stars, separation),
        magnitude=integrated_magnitude(stars.magnitude),
        contrast=1.0,
        declination_deg=declination_of_date(ra_deg, dec_deg),
        notes=(
            f"Double star: figures published, epoch {row['epoch']} ({row['source']}).",
            NOTE,
            faint_stars.NOTE,
        ),
        recipe={"name": name},
    )
