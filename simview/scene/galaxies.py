"""Galaxies: bulge and disc of published size, tilt and light; arms and dust drawn."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.memory import remembered
from simview.scene.clusters import seed_of
from simview.scene.noise import Values, cloudy, lookup
from simview.scene.painting import Drawing
from simview.scene.sampling import Draw, fallen
from simview.scene.star_colour import rgb_of_temperature, temperature_of_bv

NOTE: Final = (
    "Galaxy: light, size, tilt, colour published (de Vaucouleurs et al. 1991); arms and dust drawn."
)

# Fewest scale lengths of an exponential disc in its 25 mag/arcsec2 radius. Source: Freeman 1970,
# ApJ 160, 811: central 21.65 B mag/arcsec2, so R25 = 3.09 scale lengths.
_SCALES_IN_R25: Final = 3.09

# Surface brightness at the published radius, B mag/arcsec2 (de Vaucouleurs et al. 1991).
_EDGE_B: Final = 25.0

# Discs whose own scale length is published, arcmin: they are brighter inside and smaller than the
# mean disc of their R25. Source: M 33: Guidoni, Messi & Natali 1981, A&A 96, 215, in B; M 81:
# Kent 1987, AJ 93, 816 (memory).
_SCALES_ARCMIN: Final = {"triangulum": 9.6, "m81": 3.1}

# A galaxy with more of its light in its bulge has no disc to speak of.
_NO_DISC: Final = 0.95

# Sersic's b for n = 4 (de Vaucouleurs' law), 2 and 1. Source: Ciotti & Bertin 1999, A&A 352, 447.
_B: Final = {4: 7.669, 2: 3.672, 1: 1.678}

# Arms weaker than those of a two-armed spiral seen from above, as shares of them: M 31's blend
# along the line of sight, and observers report of it none but a cut-off edge with a lane or two on
# its north-western side; M 33's and M 81's are hinted at in large telescopes (common descriptions).
_ARMS: Final = {"andromeda": 0.15, "triangulum": 0.25, "m81": 0.3, "whirlpool": 0.7}

# Discs flatter than their galaxy's published outline, which is that of its halo or bulge: M 104's
# is tilted by 84 deg (Rubin et al. 1985, ApJ 289, 81), M 82's by some 80 deg (both from memory);
# with some thickness.
_DISC_FLAT: Final = {"sombrero": 0.16, "m82": 0.25}

# Lanes of dust of a steep spiral: semi-major axis in radii of 25 mag/arcsec2, half-width in the
# same, and share of light taken: dust rings of 30 and 47 arcmin (Arp 1964, ApJ 139, 1045; memory).
# Seen against what shines behind them on the near side only; flatter than the disc's own outline.
_LANES: Final = ((0.32, 0.030, 0.42), (0.50, 0.045, 0.34))
_LANES_FLAT: Final = 0.24

# Edge-on galaxies whose lane lies on the other side of their middle: towards the position angle
# less 90 deg. NGC 4565's is north-east of it (common descriptions).
_LANE_SIDE: Final = {"ngc-4565": -1.0}

# Dark cuts across a galaxy and bright knots in its middle, drawn after common descriptions: place
# along the long axis and half-width, arcsec; tilt to the short axis, deg; what is added to its
# light, in that. M 82 is cut in two beside its middle, its north-eastern part the brighter one.
_CUTS: Final = {
    "m82": ((-11.0, 8.0, 35.0, -0.70), (48.0, 9.0, -25.0, -0.55), (-62.0, 9.0, 20.0, -0.40)),
}
_KNOTS: Final = {"m82": ((14.0, 10.0, 0.7), (-36.0, 11.0, 0.5), (74.0, 12.0, 0.5))}

# Side of the texture, pixels; it spans eight scale lengths and repeats.
_TILE: Final = 512

# Spacing of points that draws a steep spiral smoothly, in pixels of its texture: a quarter of its
# lanes' half-width across. Choice.
_SMOOTH: Final = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Galaxy:
    """A galaxy of the table.

    Parameters
    ----------
    radius_arcsec
        Semi-major axis at 25 mag/arcsec2.
    flat
        Minor over major axis.
    angle_deg
        Position angle of the major axis.
    bulge
        Share of the light in the bulge.
    bulge_arcsec
        Its effective radius.
    form
        0 smooth, 2 spiral, 4 edge-on with a dust lane, 5 irregular, 6 elliptical with a dust band,
        7 steep spiral with dust lanes on its near side.
    """

    name: str
    magnitude: float
    radius_arcsec: float
    flat: float
    angle_deg: float
    bv: float
    bulge: float
    bulge_arcsec: float
    form: int

    @classmethod
    def of(cls, row: Mapping[str, str]) -> Galaxy:
        """Return the galaxy of a table's row."""
        major = float(row["major_arcmin"])
        return cls(
            name=row["name"],
            magnitude=float(row["magnitude"]),
            radius_arcsec=30.0 * major,
            flat=float(row["minor_arcmin"]) / major,
            angle_deg=float(row["angle_deg"]),
            bv=float(row["bv"]),
            bulge=float(row["first"]),
            bulge_arcsec=60.0 * float(row["second"]),
            form=int(row["third"]),
        )

    @property
    def disc_flat(self) -> float:
        """Minor over major axis of the disc alone."""
        return _DISC_FLAT.get(self.name, self.flat)

    @property
    def scale_arcsec(self) -> float:
        """Scale length of the disc."""
        if self.name in _SCALES_ARCMIN:
            return 60.0 * _SCALES_ARCMIN[self.name]
        return self.radius_arcsec / self._scales_in_radius()

    def _scales_in_radius(self) -> float:
        """Return how many scale lengths the disc's published radius has.

        A disc that has more light than Freeman's within its radius is brighter in its middle and
        falls more steeply, so that at the radius it has the surface brightness that defines it:
        edge-on discs, and bright ones like that of M 82.
        """
        if self.bulge > _NO_DISC:
            return _SCALES_IN_R25
        disc = self.magnitude + self.bv - 2.5 * math.log10(1.0 - self.bulge)
        scales = _SCALES_IN_R25
        for _ in range(60):
            area = 2.0 * math.pi * self.flat * (self.radius_arcsec / scales) ** 2
            fall = _EDGE_B - (disc + 2.5 * math.log10(area))
            scales = max(_SCALES_IN_R25, 0.5 * (scales + fall * 0.4 * math.log(10.0)))
        return scales

    @property
    def smooth_arcsec(self) -> float:
        """How far apart points may lie by which it is drawn outside its middle; 0 is not known.

        A steep spiral, whose arms are faint, is drawn so within 0.2 %; the arms and knots of others
        would come out 1 to 2 % off in places.
        """
        return _SMOOTH * self.scale_arcsec * 8.0 / _TILE if self.form == 7 else 0.0

    @property
    def reach_arcsec(self) -> float:
        """How far it is drawn from its middle."""
        return max(2.4 * self.radius_arcsec, 6.0 * self.bulge_arcsec if self.bulge > 0.9 else 0.0)


def sersic(radius: Values, effective: float, index: int) -> Values:
    """Return a Sersic profile with a total light of 1 per arcsec2 unit, circular.

    Source: Sersic 1968; normalisation from Ciotti & Bertin 1999.
    Checked by: tests/truth/test_galaxies.py
    """
    b = _B[index]
    total = 2.0 * math.pi * index * math.gamma(2 * index) * b ** (-2 * index) * effective**2
    return np.asarray(np.exp(-b * (radius / effective) ** (1.0 / index)) / total, np.float32)


@remembered(8)
def _texture(name: str) -> Values:
    """Return a galaxy's own texture (_TILE + 2, _TILE, 2): knots and broad warps."""
    rng = np.random.default_rng(seed_of(name))
    knots = cloudy((_TILE, _TILE), rng, longest=20.0, finest=3.0, slope=1.5)
    warps = cloudy((_TILE, _TILE), rng, longest=110.0, finest=14.0, slope=2.0)
    tile = np.stack([knots, warps], axis=-1)
    return np.concatenate([tile, tile[:2]], axis=0)


def _texture_at(galaxy: Galaxy, along: Values, across: Values) -> tuple[Values, Values]:
    per_scale = np.float32(_TILE / 8.0 / galaxy.scale_arcsec)
    row = (across * per_scale + 0.37 * _TILE) % np.float32(_TILE)
    found = lookup(_texture(galaxy.name), row, along * per_scale + np.float32(0.71 * _TILE))
    return found[..., 0], found[..., 1]


def galaxy_drawing(galaxy: Galaxy) -> Drawing:
    """Return the drawing of a galaxy around its own middle; total light about 1."""
    colours = _colours(galaxy)

    def at(cell_arcsec: float) -> Draw:
        def draw(x: Values, y: Values) -> Values:
            along, across = _turned(galaxy, x, y)
            # A point stands for its cell: soften the cusp over it.
            soft = np.float32((0.35 * cell_arcsec) ** 2)
            round_ = max(galaxy.flat, 0.55) if galaxy.bulge < 0.9 else galaxy.flat
            reach = np.sqrt(along**2 + (across / np.float32(round_)) ** 2 + soft)
            bulge = sersic(reach, galaxy.bulge_arcsec, _bulge_index(galaxy))
            bulge = bulge * np.float32(galaxy.bulge / round_)
            disc = _disc(galaxy, along, across)
            bulge, disc = _dust(galaxy, along, across, (bulge, disc))
            edge = _faded(np.sqrt(along**2 + across**2) / np.float32(galaxy.reach_arcsec))
            bulge, disc = bulge * edge, disc * edge
            return np.stack([bulge * a + disc * b for a, b in zip(*colours, strict=True)])

        return draw

    return at


def _bulge_index(galaxy: Galaxy) -> int:
    """Return Sersic's n of a bulge: the smaller it is, the less it is peaked.

    Source: Andredakis, Peletier & Balcells 1995, MNRAS 275, 874: 4 in early types, 1 in late ones
    (memory).
    """
    if galaxy.bulge > 0.25:
        return 4
    return 2 if galaxy.bulge > 0.02 else 1


def _faded(share: Values) -> Values:
    """Return 1 inside, falling smoothly to 0 over the outer quarter of what is drawn."""
    held = np.clip((1.0 - share) * 4.0, 0.0, 1.0)
    return np.asarray(held * held * (3.0 - 2.0 * held), np.float32)


def _colours(galaxy: Galaxy) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return bulge's and disc's colour; together they have the galaxy's B-V."""
    share = galaxy.bulge
    apart = 0.25 if 0.02 < share < 0.9 else 0.0
    bulge, disc = galaxy.bv + apart * (1.0 - share), galaxy.bv - apart * share
    rgb = rgb_of_temperature(temperature_of_bv([bulge, disc])).astype(np.float32)
    return rgb[0], rgb[1]


def _turned(galaxy: Galaxy, x: Values, y: Values) -> tuple[Values, Values]:
    """Return places along the major axis (towards its position angle) and across it."""
    angle = math.radians(galaxy.angle_deg)
    sin, cos = np.float32(math.sin(angle)), np.float32(math.cos(angle))
    return y * cos - x * sin, x * cos + y * sin


def _disc(galaxy: Galaxy, along: Values, across: Values) -> Values:
    """Return the disc's light: exponential, with arms or patches."""
    scale, share = galaxy.scale_arcsec, 1.0 - galaxy.bulge
    flat = galaxy.disc_flat
    if share < 0.01:
        return np.zeros(np.broadcast(along, across).shape, np.float32)
    face_on = across / np.float32(flat)
    reach = np.sqrt(along**2 + face_on**2) / np.float32(scale)
    level = share / (2.0 * math.pi * scale**2 * flat)
    light = np.float32(level) * np.exp(-reach)
    if galaxy.form == 0:
        return light
    knots, warps = _texture_at(galaxy, along, face_on)
    if galaxy.form == 5:
        return np.asarray(_cut(galaxy, along, across) * light * np.exp(0.32 * warps + 0.20 * knots))
    if galaxy.form == 4:
        return np.asarray(light * np.clip(1.0 + 0.18 * knots, 0.2, None))
    turn = np.arctan2(face_on, along)
    wound = np.log(np.maximum(reach, np.float32(0.08))) / np.float32(math.tan(_pitch(galaxy)))
    arms = np.cos(2.0 * (turn - wound) + 0.42 * warps)
    grown = np.clip((reach - 0.25) / 0.9, 0.0, 1.0)
    grown = grown * np.float32(_ARMS.get(galaxy.name, 1.0))
    ripple = 1.0 + grown * (0.52 * arms + 0.20 * (2.0 * arms**2 - 1.0) * arms)
    patchy = 1.0 + grown * (0.12 + 0.10 * arms) * knots
    return np.asarray(light * np.clip(ripple * patchy, 0.08, None))


def _cut(galaxy: Galaxy, along: Values, across: Values) -> Values:
    """Return what cuts and knots multiply the light by."""
    factor = np.ones(np.broadcast(along, across).shape, np.float32)
    for place, half, tilt_deg, change in _CUTS.get(galaxy.name, ()):
        off = along - np.float32(place) - across * np.float32(math.tan(math.radians(tilt_deg)))
        factor *= 1.0 + np.float32(change) * np.exp(-((off / np.float32(half)) ** 2))
    for place, half, change in _KNOTS.get(galaxy.name, ()):
        reach = np.hypot(along - np.float32(place), across) / np.float32(half)
        factor *= 1.0 + np.float32(change) * np.exp(-(reach**2))
    return factor


def _pitch(galaxy: Galaxy) -> float:
    """Return the arms' pitch angle in radians: tight with a large bulge (Kennicutt 1981, AJ 86)."""
    return math.radians(22.0 - 32.0 * min(galaxy.bulge, 0.4))


def _near_side(
    galaxy: Galaxy, along: Values, across: Values, light: tuple[Values, Values]
) -> tuple[Values, Values]:
    """Return bulge and disc dimmed by rings of dust where these lie before them."""
    unit = np.float32(1.0 / galaxy.radius_arcsec)
    rise = across * np.float32(unit / _LANES_FLAT)
    reach = np.sqrt((along * unit) ** 2 + rise**2)
    near = np.clip(0.15 + 1.1 * rise / np.maximum(reach, np.float32(1e-3)), 0.0, 1.0)
    through = np.ones_like(reach)
    for radius, half, taken in _LANES:
        through *= 1.0 - taken * near * fallen(((reach - radius) / half) ** 2)
    bulge, disc = light
    return bulge * through.astype(np.float32), disc * through.astype(np.float32)


def _dust(
    galaxy: Galaxy, along: Values, across: Values, light: tuple[Values, Values]
) -> tuple[Values, Values]:
    """Return bulge and disc dimmed by lanes of dust."""
    bulge, disc = light
    if galaxy.form == 7:
        return _near_side(galaxy, along, across, light)
    if galaxy.form not in (4, 6):
        return bulge, disc
    knots, warps = _texture_at(galaxy, along, across / np.float32(galaxy.flat))
    if galaxy.form == 4:
        half = 0.10 * galaxy.radius_arcsec * max(galaxy.flat, 0.14)
        shift = -0.6 * half if galaxy.bulge < 0.5 else -2.0 * half
        shift *= _LANE_SIDE.get(galaxy.name, 1.0)
        ends = np.exp(-((along / np.float32(0.72 * galaxy.radius_arcsec)) ** 4))
        bent = across - np.float32(shift) * (1.0 - 0.25 * (along / galaxy.radius_arcsec) ** 2)
        lane = ends * np.exp(-((bent / np.float32(half)) ** 2)) * (0.78 + 0.10 * knots)
    else:
        # The band crosses at a steep angle to the long axis.
        angle = math.radians(85.0)
        u = along * math.cos(angle) + across * math.sin(angle)
        v = across * math.cos(angle) - along * math.sin(angle)
        half = 0.055 * galaxy.radius_arcsec
        bent = v + 0.55 * half * warps
        lane = np.exp(-((u / (0.55 * galaxy.radius_arcsec)) ** 4))
        lane = lane * np.exp(-((bent / half) ** 2)) * np.clip(0.85 + 0.15 * knots, 0.0, 1.0)
    through = np.clip(1.0 - lane, 0.03, 1.0).astype(np.float32)
    return bulge * through, disc * through
