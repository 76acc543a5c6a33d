"""Saturn: banded globe, rings with the Cassini Division and Encke gap, shadows both ways.

Ring radii are published; brightness and optical depth follow published means, the fine ringlets
are drawn from a seed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.memory import remembered
from simview.scene.aspect import flattening
from simview.scene.globe import Face, Globe, Values, face, minnaert
from simview.scene.noise import cloudy
from simview.scene.planet_colours import AGAINST_SUNLIGHT
from simview.scene.sampling import Draw
from simview.scene.spectrum import LUMINANCE_WEIGHTS

# Ring edges, km from the centre. Source: French et al. 2017, Icarus 290, 14 (inner C, C/B, B/
# Cassini, Cassini/A, outer A); Encke gap 133 584 +- 161 km.
EDGES_KM: Final = (74658.0, 92000.0, 117580.0, 122170.0, 136775.0)
ENCKE_KM: Final = (133_423.0, 133_745.0)

EQUATOR_KM: Final = 60268.0

# Reflectance I/F against the globe's centre and optical depth at those radii (10^3 km):
# shape after Cuzzi et al. 1984, in Planetary Rings, and Dones, Cuzzi & Showalter 1993, Icarus
# 105, 184 (memory); B ring brighter than the globe, A about two thirds of B.
_PROFILE: Final = (
    # radius, brightness, optical depth
    (74.6, 0.05, 0.05),
    (80.0, 0.06, 0.08),
    (86.0, 0.08, 0.11),
    (91.7, 0.12, 0.14),
    (92.2, 0.62, 1.0),
    (97.0, 0.74, 1.1),
    (99.5, 0.80, 1.6),
    (104.5, 0.96, 2.2),
    (110.0, 1.04, 2.6),
    (116.5, 1.06, 2.2),
    (117.5, 1.00, 1.8),
    (117.65, 0.04, 0.03),
    (119.0, 0.09, 0.10),
    (120.5, 0.10, 0.10),
    (122.0, 0.13, 0.14),
    (122.35, 0.74, 0.8),
    (125.0, 0.70, 0.6),
    (130.0, 0.64, 0.5),
    (136.0, 0.58, 0.5),
    (136.7, 0.55, 0.5),
)

# The rings' colour against sunlight, luminance 1: B-V 0.99, V-Rc 0.44, a shade paler than the
# globe. Whole Saturn is as yellow with its rings open (B-V 1.05 at 18 and 22 deg: Schmude 2005 and
# 2006, Georgia Journal of Science) as its globe alone, so they are no white; at 439 nm they reflect
# 0.73 of what they do at 555 nm (Cuzzi et al. 2002, Icarus 158, 199; memory).
_RING_COLOUR: Final = (1.122, 0.992, 0.720)

# Globe bands by planetographic latitude: reflectance in linear sRGB. Latitudes after Sanchez-Lavega
# 2000, JGR 105 (memory); contrast plausible: the belts 15 to
# 25 % darker than the zones beside them, before limb and air. The equatorial zone is the globe's
# brightest part and yet darker than ring B: observers set the outer third of that to 8.0 and find 7
# for the zone, 4 to 5 for the belts (Benton 2005, Saturn and How to Observe It).
_BANDS: Final = (
    (-90.0, (0.50, 0.47, 0.37)),
    (-70.0, (0.57, 0.53, 0.41)),
    (-55.0, (0.66, 0.605, 0.45)),
    (-47.0, (0.69, 0.63, 0.47)),
    (-40.0, (0.75, 0.685, 0.51)),
    (-33.0, (0.71, 0.64, 0.46)),
    (-26.0, (0.78, 0.70, 0.51)),
    (-21.0, (0.66, 0.57, 0.385)),
    (-14.0, (0.66, 0.57, 0.385)),
    (-10.0, (0.75, 0.67, 0.49)),
    (-6.0, (0.83, 0.765, 0.60)),
    (0.0, (0.85, 0.79, 0.63)),
    (6.0, (0.83, 0.765, 0.60)),
    (10.0, (0.74, 0.665, 0.485)),
    (14.0, (0.65, 0.56, 0.375)),
    (21.0, (0.65, 0.56, 0.375)),
    (26.0, (0.77, 0.69, 0.505)),
    (33.0, (0.70, 0.63, 0.45)),
    (40.0, (0.74, 0.675, 0.50)),
    (47.0, (0.67, 0.61, 0.45)),
    (58.0, (0.64, 0.59, 0.44)),
    (70.0, (0.55, 0.515, 0.40)),
    (80.0, (0.49, 0.465, 0.375)),
    (90.0, (0.44, 0.425, 0.36)),
)

# Limb darkening, Minnaert's exponent in red, green, blue (plausible; less in the blue).
_LIMB: Final = (0.92, 0.90, 0.83)

# Brightness 1 of the ring profile against a globe reflectance of 1. A choice: ring B stands to the
# equatorial zone as observers have it, 8 to 7, and to the globe's middle as near opposition (1.3);
# by the total of Mallama & Hilton 2018 at 20 deg the rings are drawn with 1.4 times their light
# away from it, 1.1 times at opposition. The whole has the published magnitude.
_LEVEL: Final = 0.80

# Brightness of the side that the Sun does not light, against the lit one. Plausible, no source.
_DARK_SIDE: Final = 0.08

# Magnitude of globe and rings at 1 au: V = -8.914 - 1.825 s + 0.026 a - 0.378 s exp(-2.25 a),
# s the sine of the opening and a the phase in degrees; of the globe alone -8.95. Source: Mallama &
# Hilton 2018, eq. 10 and 11.
_TOTAL: Final = (-8.914, -1.825)
_SURGE: Final = (-0.378, -2.25)
_GLOBE: Final = -8.95

# How finely the rings are tabulated along the radius.
_STEPS: Final = 4096


def ring_surge(phase_deg: float, tilt_deg: float) -> float:
    """Return how many times brighter the rings are for their opposition surge, 1 to about 1.3.

    All of what the published surge adds to the whole is the rings'; Franklin & Cook 1965, AJ 70,
    704, find some 0.3 mag (memory).

    Checked by: tests/unit/scene/test_saturn_shows.py
    """
    opening = max(abs(math.sin(math.radians(tilt_deg))), 0.1)
    whole = 10.0 ** (-0.4 * (_TOTAL[0] + _TOTAL[1] * opening - _GLOBE))
    surge = _SURGE[0] * opening * math.exp(_SURGE[1] * abs(phase_deg))
    return float(1.0 + whole * (10.0 ** (-0.4 * surge) - 1.0) / (whole - 1.0))


@remembered(1)
def ring_profile() -> NDArray[np.float32]:
    """Return (_STEPS, 2) brightness and optical depth from the inner C to the outer A edge."""
    radius = np.linspace(EDGES_KM[0], EDGES_KM[-1], _STEPS) / 1000.0
    table = np.array(_PROFILE)
    bright, depth = (np.interp(radius, table[:, 0], table[:, k]) for k in (1, 2))
    rng = np.random.default_rng(9)
    long = cloudy((1, _STEPS), rng, longest=8.0, finest=0.3, stretch=0.02)[0]
    fine = cloudy((1, _STEPS), rng, longest=8.0, finest=0.3, stretch=0.12)[0]
    in_b = (radius > EDGES_KM[1] / 1e3) & (radius < EDGES_KM[2] / 1e3)
    amount = np.where(in_b, 0.055, 0.025)
    bright *= 1.0 + amount * long + 0.5 * amount * fine
    gap = (radius > ENCKE_KM[0] / 1e3) & (radius < ENCKE_KM[1] / 1e3)
    bright[gap], depth[gap] = 0.0, 0.0
    both = np.stack([bright, depth], axis=-1).astype(np.float32)
    both.setflags(write=False)
    return both


@remembered(1)
def _running() -> NDArray[np.float32]:
    """Return (_STEPS + 1, 2) running sums of the profile, from which area means are read."""
    total = np.cumsum(ring_profile(), axis=0, dtype=np.float64)
    return np.vstack([np.zeros((1, 2)), total]).astype(np.float32)


def _ring_at(radius_km: Values, half_km: Values | np.float32) -> tuple[Values, Values]:
    """Return brightness and optical depth, means over radii within `half_km`; 0 off the rings."""
    span = (EDGES_KM[-1] - EDGES_KM[0]) / _STEPS
    middle = (radius_km - np.float32(EDGES_KM[0])) / np.float32(span)
    half = np.maximum(half_km / np.float32(span), np.float32(0.5))
    # Both sums go together as one complex number: twos side by side take numpy long.
    total = _running().view(np.complex64)[:, 0]

    def up_to(place: Values) -> NDArray[np.complex64]:
        held = np.clip(place, np.float32(0.0), np.float32(_STEPS))
        whole = np.minimum(held.astype(np.intp), _STEPS - 1)
        share = held - whole.astype(np.float32)
        low = total.take(whole)
        return np.asarray(low + (total.take(whole + 1) - low) * share)

    mean = (up_to(middle + half) - up_to(middle - half)) / (np.float32(2.0) * half)
    return mean.real, mean.imag


def _bands(latitude_deg: Values) -> Values:
    """Return the globe's reflectance (3, ...) by latitude, smooth between the table's rows."""
    table = np.array([(lat, *rgb) for lat, rgb in _BANDS])
    fine = np.linspace(-90.0, 90.0, 1801)
    kernel = np.exp(-((np.arange(-60, 61) / 26.0) ** 2))
    kernel /= kernel.sum()
    rng = np.random.default_rng(4)
    ripple = 0.012 * cloudy((1, 1801), rng, longest=8.0, finest=1.0, stretch=0.08)[0]
    planes = []
    for channel in range(3):
        profile = np.interp(fine, table[:, 0], table[:, 1 + channel])
        soft = np.convolve(np.pad(profile, 60, mode="edge"), kernel, mode="valid")
        planes.append(np.interp(latitude_deg, fine, soft * (1.0 + ripple)))
    return np.asarray(planes, np.float32)


def draw_saturn(globe: Globe, light: NDArray[np.float32]) -> Callable[[float], Draw]:
    """Return the drawing of globe and rings.

    Parameters
    ----------
    globe
        Its tilt is the ring opening as seen from here.
    light
        (3,) colour of sunlight.
    """
    km = EQUATOR_KM / globe.radius
    sun = globe.sun()
    opened = abs(math.sin(math.radians(globe.tilt_deg))) > 2e-3

    def at(cell_arcsec: float) -> Draw:
        def draw(x: Values, y: Values) -> Values:
            seen = face(globe, x, y, cell_arcsec)
            planes = _globe_planes(seen, globe, sun, (km, cell_arcsec)) * light[:, None, None]
            if opened:
                _add_rings(planes, seen, globe, (x, y, cell_arcsec), light)
            return planes

        return draw

    return at


def _globe_planes(
    seen: Face, globe: Globe, sun: tuple[float, float, float], scale: tuple[float, float]
) -> Values:
    """Return the globe alone (3, ny, nx), dimmed where the rings' shadow falls.

    `scale` is km per arcsec and the points' spacing in arcsec.
    """
    km, cell = scale
    planes = _bands(np.degrees(seen.latitude(globe.squash))) * _globe_tint()[:, None, None]
    shade = seen.cover
    if abs(sun[2]) > 2e-3:
        toward = -seen.z / np.float32(sun[2])
        reach = np.hypot(seen.x + toward * sun[0], seen.y + toward * sun[1])
        half = np.float32(0.5 * cell * km / abs(sun[2]))
        depth = _ring_at(np.asarray(reach * km, np.float32), half)[1]
        through = np.exp(-depth / abs(sun[2]))
        shade = shade * np.where(toward > 0.0, through, 1.0)
    planes *= minnaert(seen.lit, seen.seen, _LIMB)
    planes *= shade
    return planes


@remembered(1)
def _globe_tint() -> NDArray[np.float32]:
    """Return (3,) what gives the drawn globe its published colour, and leaves it its light.

    Found with the rings edge-on, as they were when its colour was measured.
    """
    whole, cell = Globe(diameter_arcsec=20.0, flattening=flattening("saturn")), 0.1
    along = (np.arange(210, dtype=np.float32) - np.float32(104.5)) * np.float32(cell)
    seen = face(whole, along[None, :], along[:, None], cell)
    planes = _bands(np.degrees(seen.latitude(whole.squash)))
    planes *= minnaert(seen.lit, seen.seen, _LIMB) * seen.cover
    drawn = planes.sum(axis=(1, 2), dtype=np.float64)
    drawn /= drawn @ LUMINANCE_WEIGHTS
    return np.asarray(np.array(AGAINST_SUNLIGHT["saturn"]) / drawn, np.float32)


def _add_rings(
    planes: Values,
    seen: Face,
    globe: Globe,
    grid: tuple[Values, Values, float],
    light: NDArray[np.float32],
) -> None:
    """Lay the rings over (near half) and behind (far half) the globe, in place.

    `grid` is x, y and the points' spacing in arcsec.
    """
    x, y, cell = grid
    sin, cos = math.sin(math.radians(globe.tilt_deg)), math.cos(math.radians(globe.tilt_deg))
    km = EQUATOR_KM / globe.radius
    right, up = globe.turned(x, y)
    away = -up / np.float32(sin)
    reach = np.maximum(np.hypot(right, away), np.float32(1e-3))
    half = np.float32(0.5 * cell * km) * (np.abs(right) + np.abs(away / np.float32(sin))) / reach
    bright, depth = _ring_at(reach * np.float32(km), half)
    lit = ring_surge(globe.phase_deg, globe.tilt_deg) if globe.sun()[2] * sin > 0.0 else _DARK_SIDE
    bright = bright * np.float32(lit)
    bright = bright * _outside_shadow(away, np.broadcast_to(right, away.shape), globe, cell)
    in_front = away * np.float32(cos) > 0.0
    covered = np.where(in_front, np.float32(0.0), seen.cover)
    under = np.where(in_front, np.exp(-depth / abs(sin)), np.float32(1.0))
    for k in range(3):
        planes[k] *= under
        planes[k] += bright * (1.0 - covered) * np.float32(light[k] * _RING_COLOUR[k] * _LEVEL)


def _outside_shadow(x: Values, y: Values, globe: Globe, cell_arcsec: float) -> Values:
    """Return 1 where the Sun sees a point (x, y, 0) of the ring plane, 0 in the globe's shadow.

    In space stretched so that the globe is a sphere, the shadow is a cylinder; its edge is
    softened over the points' spacing.
    """
    sx, sy, sz = globe.sun()
    quad = sx**2 + sy**2 + globe.squash**2 * sz**2
    along = x * np.float32(sx) + y * np.float32(sy)
    aside = np.sqrt(np.maximum(x**2 + y**2 - along**2 / np.float32(quad), 0.0))
    open_sky = np.clip(0.5 + (aside - globe.radius) / (2.0 * cell_arcsec), 0.0, 1.0)
    return np.where(along < 0.0, open_sky, 1.0).astype(np.float32)
