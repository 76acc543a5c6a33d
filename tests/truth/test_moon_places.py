"""The Moon as it stands on a night, its shadows and its light, against independent sources."""

from __future__ import annotations

import math
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import skyfield_data
from numpy.typing import NDArray
from skyfield.api import Loader

from simview.scene.ephemeris import sight
from simview.scene.moment import moment
from simview.scene.moon import _frame_at
from simview.scene.moon_light import MoonFrame, face_of, shine
from simview.scene.moon_map import MOON_KM, unit_vector
from simview.scene.tables import records
from simview.scene.targets import target

Vector = NDArray[np.float64]

# Twenty craters all over the near side: latitude and east longitude in deg, as an atlas has them
# (IAU Gazetteer; from memory).
CRATERS = {
    "plato": (51.6, -9.4),
    "aristoteles": (50.2, 17.4),
    "endymion": (53.6, 56.5),
    "pythagoras": (63.5, -63.0),
    "archimedes": (29.7, -4.0),
    "posidonius": (31.8, 29.9),
    "aristarchus": (23.7, -47.4),
    "eratosthenes": (14.5, -11.3),
    "copernicus": (9.6, -20.1),
    "kepler": (8.1, -38.0),
    "grimaldi": (-5.2, -68.6),
    "ptolemaeus": (-9.2, -1.9),
    "langrenus": (-8.9, 60.9),
    "theophilus": (-11.4, 26.4),
    "gassendi": (-17.5, -40.0),
    "petavius": (-25.3, 60.4),
    "tycho": (-43.3, -11.4),
    "clavius": (-58.4, -14.4),
    "maginus": (-50.0, -6.2),
    "schickard": (-44.4, -54.6),
}


@lru_cache(maxsize=1)
def jpl() -> tuple[Any, Any]:
    load = Loader(str(Path(skyfield_data.__file__).parent / "data"))
    return load("de421.bsp"), load.timescale(builtin=True)


# The Moon's pole and prime meridian, deg, in days and centuries from J2000, and the angles of their
# periodic terms. Source: Archinal et al. 2018, table 2 (from memory).
ANGLES = (
    (125.045, -0.0529921),
    (250.089, -0.1059842),
    (260.008, 13.0120009),
    (176.625, 13.3407154),
    (357.529, 0.9856003),
    (311.589, 26.4057084),
    (134.963, 13.0649930),
    (276.617, 0.3287146),
    (34.226, 1.7484877),
    (15.134, -0.1589763),
    (119.743, 0.0036096),
    (239.961, 0.1643573),
    (25.053, 12.9590088),
)
POLE_RA = (-3.8787, -0.1204, 0.0700, -0.0172, 0.0, 0.0072, 0.0, 0.0, 0.0, -0.0052, 0.0, 0.0, 0.0043)
POLE_DEC = (
    1.5419,
    0.0239,
    -0.0278,
    0.0068,
    0.0,
    -0.0029,
    0.0009,
    0.0,
    0.0,
    0.0008,
    0.0,
    0.0,
    -0.0009,
)
SPIN = (3.5610, 0.1208, -0.0642, 0.0158, 0.0252, -0.0066, -0.0047, -0.0046, 0.0028, 0.0052, 0.0040)
SPIN += (0.0019, -0.0044)


def axes(days: float) -> NDArray[np.float64]:
    """Return the Moon's axes as rows, J2000: to the middle of its face, its east, its north."""
    angles = [math.radians(start + rate * days) for start, rate in ANGLES]
    century = days / 36525.0
    ra = (
        269.9949
        + 0.0031 * century
        + sum(k * math.sin(a) for k, a in zip(POLE_RA, angles, strict=True))
    )
    dec = (
        66.5392
        + 0.0130 * century
        + sum(k * math.cos(a) for k, a in zip(POLE_DEC, angles, strict=True))
    )
    spin = 38.3213 + 13.17635815 * days - 1.4e-12 * days**2
    spin += sum(k * math.sin(a) for k, a in zip(SPIN, angles, strict=True))
    ra, dec, spin = (math.radians(v) for v in (ra, dec, spin))
    pole = np.array([math.cos(dec) * math.cos(ra), math.cos(dec) * math.sin(ra), math.sin(dec)])
    node = np.array([-math.sin(ra), math.cos(ra), 0.0])
    ahead = math.cos(spin) * node + math.sin(spin) * np.cross(pole, node)
    return np.array([ahead, np.cross(pole, ahead), pole])


def seen_from_earth(date: str) -> dict[str, tuple[float, float]]:
    """Where the craters stand, arcsec west and north of the Moon's middle, by JPL and the IAU."""
    kernel, scale = jpl()
    time = scale.from_datetime(moment(date))
    middle = kernel["earth"].at(time).observe(kernel["moon"]).position.km
    turned = axes(time.tdb - 2451545.0)
    away = float(np.linalg.norm(middle))
    ahead = middle / away
    east = np.cross([0.0, 0.0, 1.0], ahead)
    east /= np.linalg.norm(east)
    north = np.cross(ahead, east)
    found = {}
    for name, (lat, lon) in CRATERS.items():
        b, el = math.radians(lat), math.radians(lon)
        own = np.array([math.cos(b) * math.cos(el), math.cos(b) * math.sin(el), math.sin(b)])
        spot = middle + MOON_KM * own @ turned
        reach = spot @ ahead
        found[name] = (-spot @ east / reach * 206265.0, spot @ north / reach * 206265.0)
    return found


# Nights of large librations and turns. Four arcsec, a five-hundredth of the disc: ours has the Moon
# seen from far off, where the near side of its globe is not larger than its limb (2 arcsec).
@pytest.mark.parametrize("date", ["2026-11-25T21:00", "2027-03-14T20:00", "2028-07-29T23:00"])
def test_twenty_craters_stand_where_jpl_and_the_iau_have_them(date: str) -> None:
    frame = _frame_at(sight("moon", date), 3)
    turn = frame.matrix()
    rows = {row["name"]: row for row in records("moon_places.csv")}
    for name, there in seen_from_earth(date).items():
        place = CRATERS[name]
        if name in rows:
            place = (float(rows[name]["latitude_deg"]), float(rows[name]["longitude_deg"]))
            assert place == pytest.approx(CRATERS[name], abs=0.8)
        here = (turn @ unit_vector(*CRATERS[name]))[:2] * frame.radius
        assert math.dist(here, there) < 4.0, name


# Handbooks measure a crater's depth by its shadow: from the rim to the shadow's tip, times the
# tangent of the Sun's height there. Published depths, rim to floor: Copernicus 3.8 km, Theophilus
# 4.4 km, Eratosthenes 3.6 km (common tables; from memory). A quarter: rims are uneven, floors rise
# to the wall.
@pytest.mark.parametrize(
    ("name", "sun_deg", "depth_km"),
    [("copernicus", 9.0, 3.8), ("theophilus", 11.0, 4.4), ("eratosthenes", 13.0, 3.6)],
)
def test_depth_by_the_shadow_is_the_published_one(
    name: str, sun_deg: float, depth_km: float
) -> None:
    moon = target("crater", place=name, sun_altitude_deg=sun_deg)
    row = next(row for row in records("moon_places.csv") if row["name"] == name)
    pixel, pixels = 0.6, 400
    plane = moon.scene(pixel_arcsec=pixel, pixels=pixels).planes[1].astype(float)
    # A step to the right is longer on the ground, by the place's slant.
    km = pixel / 932.3 * MOON_KM / math.cos(math.radians(float(row["longitude_deg"])))
    radius = 0.5 * float(row["diameter_km"])
    rim = round(radius / km)
    depths = []
    for k in range(-12, 13):
        # From the middle to the eastern wall, which throws its shadow to the left.
        line = plane[pixels // 2 + k, pixels // 2 : pixels // 2 + rim]
        floor = np.median(plane[pixels // 2 + k, pixels // 2 - rim // 3 : pixels // 2])
        dark = np.flatnonzero(line < 0.35 * floor)
        # What lies further in, past lit ground, are the central peaks' own shadows.
        breaks = np.flatnonzero(np.diff(dark) > 4)
        tip = dark[breaks[-1] + 1 if len(breaks) else 0] * km if len(dark) else radius
        height = math.radians(sun_deg) + tip / MOON_KM
        depths.append((radius - tip) * math.tan(height))
    assert np.median(depths) == pytest.approx(depth_km, rel=0.25)


# Minnaert 1961, in Planets and Satellites, 213; Hapke 1963, J. Geophys. Res. 68, 4571 (memory):
# the full Moon is as bright at its limb as in its middle, ground of one kind compared; a matt white
# globe would have fallen to 0.4 of its middle at 0.92 of the radius.
def test_full_moon_is_not_darker_towards_its_limb() -> None:
    frame = MoonFrame(diameter_arcsec=1864.6, phase_deg=1.6)
    cell = 8.0
    axis = (np.arange(240, dtype=np.float32) - 119.5) * np.float32(cell)
    light = shine(frame, axis[None, :], -axis[:, None], cell, detail=False)[1]
    right, up = axis[None, :] / np.float32(932.3), -axis[:, None] / np.float32(932.3)
    ground = face_of(frame, right, up).brightness
    away = np.hypot(right, up)
    middle, limb = ((away > low) & (away < high) for low, high in ((0.0, 0.4), (0.88, 0.95)))
    ratio = (light / np.maximum(ground, 0.1))[limb].mean() / (light / np.maximum(ground, 0.1))[
        middle
    ].mean()
    assert 0.9 < ratio < 1.1
