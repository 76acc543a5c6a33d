"""The Moon as a target: the whole disc at any phase, or a close patch of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.banded import block_means
from simview.errors import RangeError, require_choice, require_range
from simview.memory import remembered
from simview.scene.brightness import MOON_MEAN_ARCSEC, moon_magnitude
from simview.scene.ephemeris import KM_PER_AU, Sight, moment_notes, sight
from simview.scene.moon_light import MoonFrame, coloured, face_of, glow, shine
from simview.scene.moon_map import HEIGHT_KM, MOON_KM, Face, fetch, unit_vector
from simview.scene.moon_names import lit_places, names_in
from simview.scene.noise import Values
from simview.scene.painting import collected, mean_luminance_cd_m2, sunlight
from simview.scene.scene import Scene, Target
from simview.scene.tables import records
from simview.units import illuminance_lux

# Finest detail of the ground, arcsec.
_DETAIL_ARCSEC: Final = 0.25

# Largest grid on which the ground is built, points a side: a close-up on a sheet, with what its
# blur reaches beyond it, still has two points a pixel. With one, peaks and rims are hit or missed.
_MOST_POINTS: Final = 1420

# Most points a pixel and axis.
_FINE: Final = 3

# Pixels wider than this, arcsec, take two points an axis up to such a grid: sampled once the cusps
# of a crescent are beads, and its limb is stepped.
_COARSE_ARCSEC: Final = 1.0
_MOST_TWICE: Final = 1900

# Kinds of places that are shown with much ground around them.
_SMALL: Final = ("crater", "mountain")

# How far beyond the terminator a peak may stand in sunlight, deg: of 9.5 km, acos(R / (R + h)),
# higher than any ground of the near side's map.
_DIP_DEG: Final = 6.0

# Ground that may throw shadows in from outside the picture, km, and the most points for it: a peak
# of 3 km under a Sun 3 deg high reaches 57 km.
_MARGIN_KM: Final = 60.0
_MOST_MARGIN: Final = 160

# The Earth as the Moon sees it: V at 1 au from both by phase angle in deg, and the mean distance.
# Source: Mallama & Hilton 2018, Astron. Comput. 25, 10: -3.99 - 1.060e-3 a + 2.054e-4 a^2.
_EARTH_MAG: Final = (-3.99, -1.060e-3, 2.054e-4)
_EARTH_AU: Final = 384_400.0 / KM_PER_AU

# What ground sends back towards the light, of what a white matt surface would: the Moon's
# geometric albedo in V. Source: NASA's planetary fact sheets (visual geometric albedo 0.12).
_GEOMETRIC_ALBEDO: Final = 0.12

# Mean brightness of the near side on the map's scale, as a full Moon weighs it: measured on the
# map, so that the geometric albedo is that of the whole disc.
_MEAN_FACE: Final = 0.80


# How far into the lit side from the terminator a small field points, and how far from the disc's
# middle at the most: shares of the radius. Choices.
_LIT_SHARE: Final = 0.15
_MOST_ASIDE: Final = 0.9

# Below this phase there are no shadows to look at, deg. A choice.
FULL_DEG: Final = 10.0

# Earthlight against sunlight in the primaries, before the ground reddens it: the Earth's oceans and
# air make it bluer (B-V about 0.2 below the Sun's: Earth 0.47, Allen, from memory).
_EARTHLIGHT: Final = np.array([0.93, 1.0, 1.16], np.float32)


@remembered(16)
def _scale(frame: MoonFrame) -> float:
    """Return cd/m2 for a brightness of 1, from one drawing of the whole disc."""
    cell = frame.diameter_arcsec / 400.0
    axis = (np.arange(404, dtype=np.float32) - 201.5) * np.float32(cell)
    rows, columns = _lit(frame, axis, -axis, cell)
    planes = shine(frame, axis[None, columns], -axis[rows, None], cell)
    planes = planes * sunlight()[:, None, None]
    return illuminance_lux(_magnitude(frame)) / collected(planes, cell)


@dataclass(frozen=True, slots=True)
class _Wanted:
    """Has ready what each painting of this Moon wants: the maps, and how bright it is on them."""

    frame: MoonFrame

    def __call__(self) -> None:
        fetch()
        _scale(self.frame)


def _magnitude(frame: MoonFrame) -> float:
    """Return the Moon's V as it stands, the Sun over its own longitude."""
    right, _, ahead = frame.matrix().T @ np.array(frame.sun())
    return moon_magnitude(
        frame.phase_deg,
        frame.diameter_arcsec,
        sun_longitude_deg=math.degrees(math.atan2(right, ahead)),
        libration_deg=frame.libration_deg,
    )


def earthshine_cd_m2(phase_deg: float) -> float:
    """Return the luminance of the Moon's night side, mean over the disc, lit by the Earth.

    Parameters
    ----------
    phase_deg
        Angle Sun - Moon - Earth, 0 to 180; the Earth's phase angle is the rest to 180.

    Notes
    -----
    We stand where the light comes from, so the ground shines with its geometric albedo all over.
    Checked by: tests/truth/test_moon_light.py
    """
    angle = 180.0 - phase_deg
    level, slope, bend = _EARTH_MAG
    magnitude = level + slope * angle + bend * angle**2 + 5.0 * math.log10(_EARTH_AU)
    return _GEOMETRIC_ALBEDO * illuminance_lux(magnitude) / math.pi


def _paint(
    frame: MoonFrame, middle: tuple[float, float], pixel_arcsec: float, pixels: int
) -> Scene:
    """Draw `pixels` square around a point of the picture, each pixel a mean over its area."""
    axis = np.arange(pixels, dtype=np.float64) - pixels // 2
    x, y = axis * pixel_arcsec + middle[0], middle[1] - axis * pixel_arcsec
    planes = np.zeros((3, pixels, pixels), np.float32)
    columns, rows = (_stretch(np.abs(v) < frame.radius + pixel_arcsec) for v in (x, y))
    x, y, disc = x[columns], y[rows], planes[:, rows, columns]
    if disc.size:
        radius = np.float32(frame.radius)
        right, up = x.astype(np.float32) / radius, y.astype(np.float32) / radius
        face = face_of(frame, right[None, :], up[:, None])
        disc += _earthshine(face, frame, x, y, pixel_arcsec)
        rows, columns = _lit(frame, x, y, pixel_arcsec)
        day = _drawn(frame, x[columns], y[rows], pixel_arcsec)
        light = coloured(day, face.red[rows, columns], face.blue[rows, columns])
        light *= (sunlight() * np.float32(_scale(frame)))[:, None, None]
        disc[:, rows, columns] += light
    return Scene(planes=planes, pixel_arcsec=pixel_arcsec)


def _lit(frame: MoonFrame, x: Values, y: Values, pixel_arcsec: float) -> tuple[slice, slice]:
    """Return the rows and columns of the disc between which any ground may be in sunlight."""
    some = [np.append(np.arange(0, len(v) - 1, 8), len(v) - 1) for v in (y, x)]
    right, up = x[some[1]][None, :] / frame.radius, y[some[0]][:, None] / frame.radius
    square = right**2 + up**2
    sun = frame.sun()
    high = right * sun[0] + up * sun[1] + np.sqrt(np.maximum(1.0 - square, 0.0)) * sun[2]
    # As much beyond the limb as the next of these points may lie.
    near = (1.0 + 12.0 * pixel_arcsec / frame.radius) ** 2
    day = (high > -math.sin(math.radians(_DIP_DEG))) & (square < near)
    rows, columns = (_between(v, day.any(axis=1 - axis)) for axis, v in enumerate(some))
    return rows, columns


def _stretch(wanted: NDArray[np.bool_]) -> slice:
    """Return the stretch from the first to the last that is wanted."""
    found = np.flatnonzero(wanted)
    return slice(int(found[0]), int(found[-1]) + 1) if len(found) else slice(0, 0)


def _between(places: NDArray[np.intp], day: NDArray[np.bool_]) -> slice:
    """Return the stretch between places where it is day, with those next to it."""
    found = _stretch(day)
    if found.start == found.stop:
        return found
    first, last = max(found.start - 1, 0), min(found.stop, len(places) - 1)
    return slice(int(places[first]), int(places[last]) + 1)


def _drawn(frame: MoonFrame, x: Values, y: Values, pixel_arcsec: float) -> Values:
    """Return the sunlit ground's green (ny, nx) by `glow`, each pixel a mean over its area.

    Its hue, which the map has smoothed over 7 arcsec, is as well taken from a pixel's middle.
    """
    if not len(x) or not len(y):
        return np.zeros((len(y), len(x)), np.float32)
    most = max(len(x), len(y))
    fine = max(1, min(_FINE, math.ceil(pixel_arcsec / _DETAIL_ARCSEC), _MOST_POINTS // most))
    if pixel_arcsec > _COARSE_ARCSEC and 2 * most <= _MOST_TWICE:
        fine = max(fine, 2)
    inside = (np.arange(fine) + 0.5) / fine - 0.5
    cell = pixel_arcsec / fine
    # A margin, so that what stands just outside still throws its shadow in.
    cell_km = cell / frame.radius * MOON_KM
    wide = max(2, min(_MOST_MARGIN, math.ceil(_MARGIN_KM / cell_km)))
    fx = _widened((x[:, None] + inside * pixel_arcsec).ravel(), cell, wide)
    fy = _widened((y[:, None] - inside * pixel_arcsec).ravel(), -cell, wide)
    drawn = glow(frame, fx[None, :], fy[:, None], cell)[wide:-wide, wide:-wide]
    return block_means(drawn, fine)


def _widened(axis: np.ndarray[Any, Any], step: float, count: int) -> Values:
    before = axis[0] - step * np.arange(count, 0, -1)
    after = axis[-1] + step * np.arange(1, count + 1)
    return np.concatenate([before, axis, after]).astype(np.float32)


def _earthshine(face: Face, frame: MoonFrame, x: Values, y: Values, pixel_arcsec: float) -> Values:
    """Return the night side's light, cd/m2 (3, ny, nx), its plains as dark as by day."""
    away = np.sqrt(x[None, :] ** 2 + y[:, None] ** 2)
    cover = np.clip(0.5 - (away - frame.radius) / pixel_arcsec, 0.0, 1.0).astype(np.float32)
    level = np.float32(earthshine_cd_m2(frame.phase_deg) / _MEAN_FACE)
    return (
        coloured(level * face.brightness * cover, face.red, face.blue) * _EARTHLIGHT[:, None, None]
    )


def _frame(
    phase_deg: float, waxing: bool, diameter_arcsec: float, seed: int
) -> tuple[MoonFrame, dict[str, Any]]:
    phase = require_range("phase_deg", phase_deg, 0.0, 165.0, unit="deg")
    size = require_range("diameter_arcsec", diameter_arcsec, 1700.0, 2050.0, unit="arcsec")
    number = int(require_range("seed", seed, 0, 2**32 - 1))
    frame = MoonFrame(
        diameter_arcsec=size,
        phase_deg=phase,
        sun_angle_deg=270.0 if waxing else 90.0,
        seed=number,
    )
    options = {
        "phase_deg": phase,
        "waxing": bool(waxing),
        "diameter_arcsec": size,
        "seed": number,
    }
    return frame, options


def _frame_at(seen: Sight, seed: int) -> MoonFrame:
    """Return how the Moon stands at a moment."""
    if seen.phase_deg > 168.0:
        raise RangeError(
            "date",
            got=seen.utc,
            allowed="a day when the Moon is not almost in front of the Sun",
            remedy="never look there with any instrument",
        )
    return MoonFrame(
        diameter_arcsec=seen.diameter_arcsec,
        phase_deg=seen.phase_deg,
        sun_angle_deg=seen.sun_angle_deg,
        libration_deg=(seen.tilt_deg, (seen.meridian_deg + 180.0) % 360.0 - 180.0),
        axis_deg=seen.pole_angle_deg,
        seed=int(require_range("seed", seed, 0, 2**32 - 1)),
    )


_INVENTED: Final = "; small craters and three rilles sharpened, finer detail invented;"
_NOTES: Final = (
    f"Moon: ground measured from orbit, to 2 km (1.1″){_INVENTED} "
    "light by phase: Kieffer & Stone 2005.",
)

# The same for a view that shows finer detail than was measured.
_OUTDONE: Final = "; this view is finer: craters and rilles sharpened, finer detail invented;"


def note_before(note: str, finest_arcsec: float | None) -> str:
    """Return a note on the Moon's ground for a view that shows detail so fine, arcsec."""
    measured = HEIGHT_KM / MOON_KM * 0.5 * MOON_MEAN_ARCSEC
    outdone = finest_arcsec is not None and finest_arcsec < measured
    return note.replace(_INVENTED, _OUTDONE) if outdone else note


def moon(  # noqa: PLR0913, PLR0917 - one word for each thing that may be set
    phase_deg: float | None = None,
    waxing: bool | None = None,
    diameter_arcsec: float | None = None,
    seed: int = 3,
    date: str | None = None,
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
    labels: bool = False,
) -> Target:
    """Return the whole Moon.

    Parameters
    ----------
    phase_deg
        Angle Sun - Moon - Earth: 0 full, 90 half, 165 a thin crescent; 82 unless given.
    waxing
        True: lit on the right (west), evening; False: morning.
    diameter_arcsec
        1700 to 2050 arcsec; the mean, 1864.6, unless given.
    seed
        Which invented small craters.
    date, latitude_deg, longitude_deg
        Moment (see `simview.scene.moment.moment`) and place, instead of phase and size: with
        the libration and turn of that hour.
    labels
        True writes the names of its largest lit places upon it.
    """
    written: dict[str, Any] = {"labels": True} if labels else {}
    if date is not None:
        for word, value in (("phase_deg", phase_deg), ("diameter_arcsec", diameter_arcsec)):
            if value is not None:
                raise RangeError(word, got=value, allowed="without a date", remedy="leave one out")
        seen = sight("moon", date, latitude_deg=latitude_deg, longitude_deg=longitude_deg)
        place = {"latitude_deg": latitude_deg, "longitude_deg": longitude_deg}
        told = {word: value for word, value in place.items() if value is not None}
        return _whole(_frame_at(seen, seed), {"date": date, **told, "seed": seed, **written}, seen)
    frame, options = _frame(
        82.0 if phase_deg is None else phase_deg,
        True if waxing is None else bool(waxing),
        MOON_MEAN_ARCSEC if diameter_arcsec is None else diameter_arcsec,
        seed,
    )
    return _whole(frame, {**options, **written}, None)


def _whole(frame: MoonFrame, options: dict[str, Any], seen: Sight | None) -> Target:
    magnitude = _magnitude(frame)
    lit = 0.5 * (1.0 + math.cos(math.radians(frame.phase_deg)))
    waxing = math.sin(math.radians(frame.sun_angle_deg)) < 0.0

    def paint(
        pixel_arcsec: float, pixels: int, at_arcsec: tuple[float, float] = (0.0, 0.0)
    ) -> Scene:
        return _paint(frame, at_arcsec, pixel_arcsec, pixels)

    return Target(
        name="moon",
        title=f"Moon, {_phase_word(frame.phase_deg, waxing)}",
        kind="moon",
        size_arcsec=frame.diameter_arcsec,
        paint=paint,
        magnitude=magnitude,
        luminance_cd_m2=mean_luminance_cd_m2(magnitude, math.pi * frame.radius**2 * lit),
        contrast=0.4,
        declination_deg=seen.dec_deg if seen else 0.0,
        notes=(*_NOTES, *moment_notes(seen)),
        recipe={"name": "moon", **options},
        altitude_deg=seen.altitude_deg if seen else None,
        interest_arcsec=_on_the_terminator(frame),
        aim_arcsec=_beside_the_terminator(frame),
        places=lit_places(frame),
        paint_at=paint,
        phase_deg=frame.phase_deg,
        fetch=_Wanted(frame),
        labels=names_in(frame, (0.0, 0.0), frame.diameter_arcsec) if "labels" in options else (),
    )


def _on_the_terminator(frame: MoonFrame) -> tuple[float, float]:
    """Return the middle of the terminator, where shadows are long; of a full Moon its middle."""
    if frame.phase_deg < FULL_DEG:
        return 0.0, 0.0
    # Towards the Sun of a crescent, away from it before the full Moon; not right on the limb.
    reach = -min(max(math.cos(math.radians(frame.phase_deg)), -0.92), 0.92) * frame.radius
    angle = math.radians(frame.sun_angle_deg)
    # Position angles run from north through east, which is left.
    return -reach * math.sin(angle), reach * math.cos(angle)


def _beside_the_terminator(frame: MoonFrame) -> tuple[float, float]:
    """Return where an observer points a small field: near the terminator, with lit ground in it."""
    x, y = _on_the_terminator(frame)
    if frame.phase_deg < FULL_DEG:
        return x, y
    angle = math.radians(frame.sun_angle_deg)
    inwards = _LIT_SHARE * frame.radius
    x, y = x - inwards * math.sin(angle), y + inwards * math.cos(angle)
    shrink = min(1.0, _MOST_ASIDE * frame.radius / math.hypot(x, y))
    return x * shrink, y * shrink


def _phase_word(phase_deg: float, waxing: bool) -> str:
    lit = round(50.0 * (1.0 + math.cos(math.radians(phase_deg))))
    way = "waxing" if waxing else "waning"
    return f"{lit} % lit" if lit >= 99 else f"{lit} % lit, {way}"


def patch(
    place: str,
    sun_altitude_deg: float = 14.0,
    waxing: bool = True,
    diameter_arcsec: float = MOON_MEAN_ARCSEC,
    seed: int = 3,
    labels: bool = False,
) -> Target:
    """Return a close patch of the Moon around a named place, with the Sun low over it.

    Parameters
    ----------
    place
        A name of the table: "copernicus", "mare-crisium", "rupes-recta".
    sun_altitude_deg
        How high the Sun stands there, 2 to 60 deg (less where its latitude does not allow it).
    waxing
        True: morning there, light from the right.
    diameter_arcsec, seed, labels
        As for `moon`.
    """
    rows = {row["name"]: row for row in records("moon_places.csv")}
    require_choice("place", place, rows)
    altitude = require_range("sun_altitude_deg", sun_altitude_deg, 2.0, 60.0, unit="deg")
    row = rows[place]
    latitude, longitude = float(row["latitude_deg"]), float(row["longitude_deg"])
    phase = _phase_for(latitude, longitude, altitude, waxing)
    frame, options = _frame(phase, waxing, diameter_arcsec, seed)
    spot = unit_vector(latitude, longitude) * frame.radius
    middle = (float(spot[0]), float(spot[1]))
    across = float(row["diameter_km"]) / MOON_KM * frame.radius
    # A crater wants the ground around it; a sea or a mountain range fills the picture by itself.
    wide = max(3.0 * across, 90.0) if row["kind"] in _SMALL else 1.3 * across

    def paint(pixel_arcsec: float, pixels: int) -> Scene:
        return _paint(frame, middle, pixel_arcsec, pixels)

    total = _magnitude(frame)
    lit = 0.5 * (1.0 + math.cos(math.radians(frame.phase_deg)))
    mean = mean_luminance_cd_m2(total, math.pi * frame.radius**2 * max(lit, 0.02))
    return Target(
        name=place,
        title=f"{place.replace('-', ' ').title()} on the Moon, {across:.0f}″",
        kind="moon",
        size_arcsec=min(wide, frame.diameter_arcsec),
        paint=paint,
        magnitude=None,
        luminance_cd_m2=mean * min(1.0, math.sin(math.radians(altitude)) * 2.0),
        contrast=0.4,
        notes=_NOTES,
        fetch=_Wanted(frame),
        recipe={
            "name": "crater",
            "place": place,
            "sun_altitude_deg": altitude,
            "waxing": options["waxing"],
            "diameter_arcsec": options["diameter_arcsec"],
            "seed": options["seed"],
            **({"labels": True} if labels else {}),
        },
        labels=names_in(frame, middle, min(wide, frame.diameter_arcsec)) if labels else (),
    )


def _phase_for(latitude: float, longitude: float, altitude: float, waxing: bool) -> float:
    """Return the phase at which the Sun stands that high over a place; Sun over the equator."""
    highest = 90.0 - abs(latitude)
    height = min(altitude, highest - 1.0)
    hour = math.degrees(
        math.acos(math.sin(math.radians(height)) / math.cos(math.radians(latitude)))
    )
    sub_solar = longitude + hour if waxing else longitude - hour
    return min(165.0, max(1.0, sub_solar if waxing else -sub_solar))
