"""The measured maps of the Moon against published places, heights, depths and albedos."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from simview.scene.moon_map import MOON_KM, face_at, height_km_at, unit_vector
from simview.scene.tables import records

Array = NDArray[np.float32]


def around(latitude: float, longitude: float, reach_km: Array, azimuth: Array) -> list[Array]:
    """Places on the unit sphere at distances and azimuths from a place."""
    up = unit_vector(latitude, longitude)[:, None, None]
    east = np.array([up[2, 0, 0], 0.0, -up[0, 0, 0]])
    east /= np.linalg.norm(east)
    north = np.cross(up[:, 0, 0], east)
    ahead = east[:, None, None] * np.sin(azimuth) + north[:, None, None] * np.cos(azimuth)
    spot = up * np.cos(reach_km / MOON_KM) + ahead * np.sin(reach_km / MOON_KM)
    return [spot[k].astype(np.float32) for k in range(3)]


AZIMUTHS = np.linspace(0.0, 2.0 * math.pi, 72, endpoint=False)[None, :]


def ring_heights(
    latitude: float, longitude: float, radii_km: NDArray[np.float64], cell_km: float = 9.0
) -> NDArray[np.float32]:
    """Mean height at each distance from a place."""
    shape = (len(radii_km), AZIMUTHS.shape[1])
    reach = np.broadcast_to(radii_km[:, None], shape)
    spots = around(latitude, longitude, reach, np.broadcast_to(AZIMUTHS, shape))
    return height_km_at(*spots, cell_km).mean(axis=1)


# Craters of the table that are no round bowls (a bay open to the north among them), or that share
# their rims with larger ones: no single ring of heights fits these. (Common descriptions.)
NOT_ROUND = {
    "hipparchus",
    "grimaldi",
    "wargentin",
    "pitatus",
    "schiller",
    "hainzel",
    "fracastorius",
}


# IAU Gazetteer of Planetary Nomenclature: places and diameters. On the measured heights the ring
# around a crater stands highest above its floor when the ring is centred on it. Within 0.3 of a
# radius, and the crest within 25 % of the published radius: rims are uneven, neighbours cut them.
def test_craters_lie_where_the_gazetteer_says() -> None:
    astray = []
    for row in records("moon_places.csv"):
        name, radius = row["name"], 0.5 * float(row["diameter_km"])
        if row["kind"] != "crater" or radius < 17.5 or name in NOT_ROUND:
            continue
        latitude, longitude = float(row["latitude_deg"]), float(row["longitude_deg"])
        radii = np.linspace(0.05, 2.0, 40) * radius
        best = (-9.0, 9.0, 9.0)
        for north in np.linspace(-0.5, 0.5, 7):
            for east in np.linspace(-0.5, 0.5, 7):
                km = radius / (MOON_KM * math.pi / 180.0)
                heights = ring_heights(
                    latitude + north * km,
                    longitude + east * km / math.cos(math.radians(latitude)),
                    radii,
                )
                rim = (radii > 0.7 * radius) & (radii < 1.4 * radius)
                depth = float(heights[rim].max() - heights[radii < 0.6 * radius].mean())
                crest = float(radii[rim][np.argmax(heights[rim])]) / radius
                best = max(best, (depth, math.hypot(north, east), crest))
        if best[1] > 0.34 or not 0.75 < best[2] < 1.27 or best[0] < 0.4:
            astray.append((name, best))
    assert astray == []


# Spot heights stated with the map of heights: floors above the sphere of 1737.4 km.
@pytest.mark.parametrize(
    ("latitude", "longitude", "metres"),
    [(17.0, 59.0, -3591.0), (51.6, -9.4, -2525.0)],
)
def test_floors_lie_as_deep_as_stated(latitude: float, longitude: float, metres: float) -> None:
    height = ring_heights(latitude, longitude, np.array([1.0, 3.0])).mean()
    assert height * 1000.0 == pytest.approx(metres, abs=40.0)


# Pike 1977, in Impact and Explosion Cratering, 489 (from memory): a fresh complex crater of
# diameter D km is 1.044 D^0.301 km deep: Copernicus 4.08, Tycho 3.98, Theophilus 4.3, Aristarchus
# 3.17, Kepler 2.96. Within 20 %: the published scatter of single craters.
@pytest.mark.parametrize("name", ["copernicus", "tycho", "theophilus", "aristarchus", "kepler"])
def test_fresh_craters_are_as_deep_as_their_size_says(name: str) -> None:
    row = next(row for row in records("moon_places.csv") if row["name"] == name)
    radius = 0.5 * float(row["diameter_km"])
    radii = np.linspace(0.1, 1.4, 60) * radius
    heights = ring_heights(float(row["latitude_deg"]), float(row["longitude_deg"]), radii)
    depth = float(heights.max() - np.sort(heights[radii < 0.6 * radius])[:5].mean())
    assert depth == pytest.approx(1.044 * (2.0 * radius) ** 0.301, rel=0.2)


def brightness(latitude: float, longitude: float, reach_km: float = 25.0) -> float:
    shape = (6, 72)
    reach = np.broadcast_to(np.linspace(0.1, 1.0, 6)[:, None] * reach_km, shape)
    spots = around(latitude, longitude, reach, np.broadcast_to(AZIMUTHS, shape))
    return float(face_at(*spots).brightness.mean())


# Normal albedos after Pohn & Wildey 1970, USGS Prof. Paper 599-E (from memory, two digits): dark
# plain of Tranquillitatis 0.092, Serenitatis' middle 0.10, Plato's floor 0.10, southern highlands
# 0.16 to 0.18. Their ratios to the highlands hold within 20 %: the map is for an incidence of
# 60 deg, theirs for full Moon.
@pytest.mark.parametrize(
    ("latitude", "longitude", "reach_km", "albedo"),
    [
        (8.3, 31.0, 40.0, 0.092),
        (27.3, 18.4, 40.0, 0.10),
        (51.6, -9.4, 25.0, 0.10),
    ],
)
def test_plains_stand_out_as_published(
    latitude: float, longitude: float, reach_km: float, albedo: float
) -> None:
    highland = brightness(-20.0, 12.0, 60.0)
    assert brightness(latitude, longitude, reach_km) / highland == pytest.approx(
        albedo / 0.165, rel=0.2
    )


# Common descriptions (no single source): Aristarchus is the brightest crater of the near side,
# nearly twice as bright as most of it.
def test_aristarchus_is_about_twice_as_bright_as_the_highlands() -> None:
    assert 1.6 < brightness(23.7, -47.4, 8.0) / brightness(-20.0, 12.0, 60.0) < 2.6


# Common descriptions since the 19th century, and McCord 1969, J. Geophys. Res. 74, 3131 (from
# memory): Tranquillitatis is bluer than Serenitatis.
def test_tranquillitatis_is_bluer_than_serenitatis() -> None:
    def hue(latitude: float, longitude: float) -> float:
        spots = around(latitude, longitude, np.full((1, 72), 40.0), AZIMUTHS)
        face = face_at(*spots)
        return float((face.blue / face.red).mean())

    assert hue(8.3, 31.0) > 1.02 * hue(27.3, 18.4)


def test_close_look_between_the_pixels_agrees_with_the_map() -> None:
    # A place on the map read with and without the smooth surface between the pixels: a few metres
    # on a plain, where both are nearly level.
    radii = np.linspace(5.0, 60.0, 20)
    coarse = ring_heights(35.0, -18.0, radii, cell_km=9.0)
    fine = ring_heights(35.0, -18.0, radii, cell_km=0.3)
    np.testing.assert_allclose(fine, coarse, atol=0.01)
