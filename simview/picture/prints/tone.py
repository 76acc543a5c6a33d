"""From light on the retina to a print: 8-bit sRGB under a sheet's one adaptation.

Surfaces pass through the rods' and cones' curves of `response`; stars are printed apart: each
star's light is first multiplied by a factor <= 1 (`star_factors`), then its image is added in
proportion. Up to white a brighter star is no broader; one that glares is white in its middle, and
grows by the skirts of its image and by the light that the eye scatters around it.

Source: IEC 61966-2-1 (sRGB).
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview import srgb
from simview.executor.threads import spread_work
from simview.eye.glare import close_by
from simview.eye.reference import of_troland
from simview.memory import remembered
from simview.picture.prints import chroma, dither, fine, patches, whites
from simview.picture.prints.adapting import adapt, adaptation, levels
from simview.picture.prints.choices import (
    BLUE_PURE,
    COLOUR_KEPT,
    COLOUR_KEPT_BY_DAY,
    HUE_FROM_TD,
    HUE_WHOLE_TD,
    PAIR_COLOUR_KEPT,
    PAIR_GREY,
    PURE,
    STAR_COLOUR_KEPT,
    STAR_GREY,
    STAR_SKIRTS,
    XYZ_TO_RGB,
)
from simview.picture.prints.hue import colourfulness, hue_light, hue_noise, unsaturated, waking
from simview.picture.prints.printable import Printable
from simview.picture.prints.response import (
    Adaptation,
    Floats,
    Levels,
    Planes,
    Reader,
    cone_print,
    rod_print,
    star_cores,
)
from simview.picture.prints.star_factors import star_factors

__all__ = [
    "XYZ_TO_RGB",
    "Adaptation",
    "Levels",
    "Reader",
    "adapt",
    "adaptation",
    "develop",
    "encode",
    "levels",
    "shoulder",
    "star_cores",
    "star_factors",
]

# A star that prints this many times white scatters light that shows: a hundredth of its spot's own
# 0.1 deg away (CIE 146).
GLARES: Final = 1.5

# Star light that prints less than this, white = 1, is left out: a tenth of what blue noise hides.
_UNLIT: Final = 1e-5
# How sharply stars' light ends at white. Choice; an even number.
_ROUNDED: Final = 12


# Pictures of fewer pixels are printed by one thread. A choice.
_FEW_PIXELS: Final = 50_000


def develop(retina: Printable, adaptation: Adaptation) -> NDArray[np.uint8]:
    """Print a view.

    Returns
    -------
    (ny, nx, 3) uint8 sRGB.
    """
    ny, nx = retina.extended.shape[1:]
    out = np.empty((ny, nx, 3), np.uint8)
    sizes = patches.sizes(retina, adaptation)
    tables = _tables(adaptation, sized=sizes is not None)
    lens = retina.lit_white is not None
    hue = chroma.seen(retina.extended, retina.pixels_per_degree, retina.hues, lens=lens)
    faded = fine.kept(retina, adaptation)
    pooled = _pooled(retina, adaptation)
    points = _glaring(retina, adaptation) if retina.points.any() else None
    star_eye = _eye(retina.white, adaptation)
    eye = star_eye if retina.lit_white is None else _eye(retina.lit_white, adaptation)
    room = _room(adaptation, eye)
    star_hue = None
    if points is not None:
        # Stars' own images: skirts as bright as printed would lend colour to faint neighbours.
        star_hue = chroma.hue(
            retina.points, retina.pixels_per_degree, of_stars=True, apart_arcmin=retina.apart_arcmin
        )
    # Pieces small enough to stay in the processor's cache while they pass all steps.
    rows = max(1, 32768 // max(nx, 1))

    def piece(top: int) -> None:
        part = slice(top, min(top + rows, ny))
        surface, stars = retina.extended[:, part], None
        surface = surface if faded is None else surface * faded[part]
        scotopic = surface[3]
        surface = surface if hue is None else hue.recolour(surface, top)
        if points is not None:
            stars = points[:, part]
            stars = stars if star_hue is None else star_hue.recolour(stars, top)
        patch = None if sizes is None else sizes[part]
        lit, glare = (None if plane is None else plane[part] for plane in (pooled, retina.around))
        surfaces = _Rows(surface, scotopic, stars, patch, lit, glare)
        shades = _print_rows(surfaces, tables, (eye, star_eye), room)
        for channel, shade in enumerate(shades):
            out[part, :, channel] = encode(shade, top=top, channel=channel)

    if ny * nx < _FEW_PIXELS:
        for top in range(0, ny, rows):
            piece(top)
    else:
        spread_work(piece, range(0, ny, rows))
    return out


def _pooled(retina: Printable, adaptation: Adaptation) -> Planes | None:
    """Return the light that hue goes by: by night that of as wide a surrounding as hue is seen in.

    Else a small disc, whose edge the eye's optics soften, would be grey around a coloured middle.
    """
    if adaptation.dark == 0.0:
        return None
    wide = 4.0 * chroma.BLUE_SIGMA_ARCMIN / 60.0
    return patches.mean_disc(retina.extended[1], wide, retina.pixels_per_degree)


def _glaring(retina: Printable, adaptation: Adaptation) -> Planes:
    """Return the stars with what they scatter in the eye, where any is bright enough to glare."""
    points, beyond, scale = retina.points, retina.beyond, adaptation.star_scale_td
    if retina.around is not None:
        return _with_skirts(points.copy(), beyond, scale)
    whole = points if beyond is None else points + beyond
    if float(whole[1].max()) < GLARES * scale:
        return whole
    shown = close_by(
        whole,
        retina.pixels_per_degree,
        retina.age_years,
        filled=True,
        pupil_mm=retina.beam_mm,
        out=None if beyond is None else whole,  # made here, and of no more use
    )
    shown /= np.float32(retina.dot_gain)
    shown += points
    return _with_skirts(shown, beyond, scale)


def _with_skirts(shown: Planes, beyond: Planes | None, scale: float) -> Planes:
    """Return stars with what bright ones have beyond their own images, as far as it prints."""
    if beyond is not None:
        held = 1.0 + np.maximum(beyond[1], 0.0) / np.float32(STAR_SKIRTS * scale)
        for place, plane in enumerate(beyond):
            shown[place] += plane / held
    return shown


def _eye(white: tuple[float, float, float] | None, adaptation: Adaptation) -> Floats:
    """Return the matrix from XYZ on the retina to XYZ as the eye adapted to a white has it."""
    if white is None or adaptation.dark >= 1.0:
        return np.eye(3)
    awake = float(of_troland(adaptation.white_td))
    return whites.adapting(white, (1.0 - adaptation.dark) * whites.degree(awake))


# Most of its strongest channel that a view's most vivid surface prints with, display white = 1:
# where the shoulder has hardly begun. Choice.
_VIVID_TOP: Final = 0.92


def _room(adaptation: Adaptation, eye: Floats) -> float:
    """Return what a view's surfaces are multiplied by, at most 1, so that vivid ones keep detail.

    A display's red ends before its white does: an orange disc as light as a white one would lose
    its dark areas there.

    Checked by: tests/unit/picture/test_toning.py
    """
    if adaptation.vivid is None or adaptation.dark >= 1.0:
        return 1.0
    light = np.array(adaptation.vivid)
    kept = _most_colour(adaptation) * float(
        colourfulness(light[1]) * unsaturated(light[1], adaptation)
    )
    strongest = float((_paler(kept, eye) @ light).max()) / light[1]
    printed = float(cone_print(light[1], adaptation)) * strongest
    return min(1.0, _VIVID_TOP / printed) if printed > 0.0 else 1.0


def _most_colour(adaptation: Adaptation) -> float:
    """Return the share of its colour that a surface keeps at most."""
    return COLOUR_KEPT_BY_DAY + adaptation.dark * (COLOUR_KEPT - COLOUR_KEPT_BY_DAY)


class _Tables(NamedTuple):
    """Tables by light; where patches are told apart by size, those of all sizes in a row."""

    cones: Planes  # print of the light that cones take, by troland of Y
    rods: Planes  # print of the light that rods take, by scotopic troland
    hue: Planes  # logarithm of light over that at which hue begins, by troland of Y
    noise: Planes  # of how much more of it pale hues need, by troland of Y
    kept: Planes  # share of its colour that dazzling light keeps, by troland of Y
    star: float  # print per troland of points
    star_grey: float  # print of a star's light at which it keeps half of its colour
    star_colour: float  # share of its colour that a star keeps at most
    colour: float  # share of its colour that any surface keeps at most
    day: float  # 1 beside bright objects, 0 on a sheet of the night


class _Rows(NamedTuple):
    """Some rows of a view: what `_print_rows` prints."""

    surface: Planes
    scotopic: Planes
    points: Planes | None
    sizes: Planes | None  # which patch each place belongs to, see `patches`
    pooled: Planes | None  # light that hue goes by, where that is not its own
    glare: Planes | None  # print of the light around bright stars


# Tables are indexed by the upper bits of a float32: exponent and 9 bits of mantissa, from 2^-24
# to 2^24 troland; a step is 0.2 %, well below one step of 8 bits.
_SHIFT: Final = 23 - 9
_FIRST: Final = (127 - 24) << 9
_COUNT: Final = 48 << 9


@lru_cache(maxsize=1)
def _table_light() -> Floats:
    index = (np.arange(_COUNT, dtype=np.int32) + _FIRST) << _SHIFT
    middle = index + (1 << (_SHIFT - 1))
    return np.asarray(middle.view(np.float32), float)


@lru_cache(maxsize=1)
def _table_hue() -> tuple[Planes, Planes]:
    light = _table_light()
    return hue_light(light).astype(np.float32), hue_noise(light).astype(np.float32)


@remembered(16)
def _tables(adaptation: Adaptation, *, sized: bool) -> _Tables:
    if not sized:
        return _tables_of(adaptation)
    each = [_tables_of(replace(adaptation, patch_deg=size)) for size in patches.SIZES_DEG]
    cones, rods = (
        np.concatenate(column)
        for column in zip(*((one.cones, one.rods) for one in each), strict=True)
    )
    return each[0]._replace(cones=cones, rods=rods)


def _tables_of(adaptation: Adaptation) -> _Tables:
    light = _table_light()
    cones = cone_print(light, adaptation)
    kept = unsaturated(light, adaptation)
    rods = rod_print(light, adaptation)
    hue, noise = _table_hue()
    # The first step stands for all light below it, none included.
    cones[0] = rods[0] = 0.0
    return _Tables(
        cones=cones.astype(np.float32),
        rods=rods.astype(np.float32),
        hue=hue,
        noise=noise,
        kept=kept.astype(np.float32),
        star=1.0 / adaptation.star_scale_td,
        star_grey=PAIR_GREY if adaptation.pairs else STAR_GREY,
        star_colour=PAIR_COLOUR_KEPT if adaptation.pairs else STAR_COLOUR_KEPT,
        colour=_most_colour(adaptation),
        day=1.0 - adaptation.dark,
    )


def _place(light: Planes) -> NDArray[np.int32]:
    """Return where in the tables each value of light stands."""
    bits: NDArray[np.int32] = np.ascontiguousarray(light, np.float32).view(np.int32)
    index = bits >> _SHIFT
    index -= _FIRST
    np.clip(index, 0, _COUNT - 1, out=index)
    return index


def _take(table: Planes, place: NDArray[np.int32], sizes: Planes | None) -> Planes:
    """Return a table's values: between two sizes of patch, as the place lies between them."""
    if sizes is None:
        return table.take(place)
    low = np.minimum(sizes.astype(np.int32), len(patches.SIZES_DEG) - 2)
    at = np.asarray(place + low * _COUNT, np.int32)
    found = table.take(at)
    found += (sizes - low) * (table.take(at + np.int32(_COUNT)) - found)
    return np.asarray(found)


def _print_rows(
    rows: _Rows, tables: _Tables, eyes: tuple[Floats, Floats], room: float
) -> list[Planes]:
    """Return the three channels of some rows, linear print luminance; `eyes`: surfaces, stars."""
    eye, star_eye = eyes
    surface, points, sizes = rows.surface, rows.points, rows.sizes
    luminous, scotopic = surface[1], rows.scotopic
    place = _place(luminous)
    awake, day = None, np.float32(tables.day)
    if tables.day > 0.0:
        awake = _awake(tables.hue.take(place))
        # On sheets of the night rods tell of nebulae, and their hue is the cones' as elsewhere.
        scotopic = scotopic + day * awake * (np.float32(WHITE_SCOTOPIC) * luminous - scotopic)
    grey = _take(tables.cones, place, sizes)
    rods = _take(tables.rods, _place(scotopic), sizes)
    grey += rods
    if room < 1.0:
        grey *= np.float32(room)
    hued = grey
    if awake is not None:
        hued = grey - np.float32(room) * day * (np.float32(1.0) - awake**_GLOW_HUE) * rods
    pure = whites.purity(surface, BLUE_PURE, PURE)
    kept = tables.kept.take(place)
    if rows.pooled is not None:
        place = _place(rows.pooled)
    hued = hued * kept * waking(tables.hue.take(place), tables.noise.take(place), pure)
    grey -= hued
    hued /= np.maximum(luminous, np.float32(1e-12))
    shades = []
    for row in _paler(tables.colour, eye):
        shade = _mix(surface, row)
        shade *= hued
        shade += grey
        shades.append(shade)
    if points is not None:
        _add_stars(shades, points, (tables.star, tables.star_grey, tables.star_colour), star_eye)
    if rows.glare is not None:
        # Where it is white already there is nothing to add.
        shades = [s + rows.glare * np.maximum(np.float32(1.0) - s, np.float32(0.0)) for s in shades]
    return shades


# Scotopic over photopic troland of sunlight. Source: a black body of 5778 K through CIE V and V'
# (1700 and 683 lm/W) has 2.25; through 40 years' lens and the air some 2.05.
WHITE_SCOTOPIC: Final = 2.05

# The hue of what rods answer beside a bright object goes with this power of how far cones are awake
# in it: observers see violet around Venus in an achromat, a trace of it around Jupiter. Choice.
_GLOW_HUE: Final = 8


def _awake(hue_light: Planes) -> Planes:
    """Return how far cones see what rods answer to beside a bright object, 0 to 1.

    A lens's violet haze is of 20 times the use to rods; where cones are awake they tell how bright
    it is, and its hue.
    """
    whole = np.float32(np.log(HUE_WHOLE_TD / HUE_FROM_TD))
    return np.asarray(np.clip(hue_light / whole, np.float32(0.0), np.float32(1.0)))


def _paler(kept: float, eye: Floats) -> Planes:
    """Return the matrix to linear sRGB that keeps this share of colour, and all of the light."""
    light = np.array([0.0, 1.0, 0.0])
    return np.asarray(kept * XYZ_TO_RGB @ eye + (1.0 - kept) * light, np.float32)


def _mix(planes: Planes, row: Planes) -> Planes:
    mixed = np.multiply(planes[0], row[0])
    mixed += row[1] * planes[1]
    mixed += row[2] * planes[2]
    return np.asarray(mixed)


def _add_stars(
    shades: list[Planes], points: Planes, printing: tuple[float, float, float], eye: Floats
) -> None:
    """Add the stars' print: in proportion to light up to white, colour fading with it.

    `printing`: print per troland, the print at which half of a star's colour is left, and the share
    of it that is left at most.
    """
    scale, grey, most = printing
    lit = np.flatnonzero(points[1] > np.float32(_UNLIT / scale))
    if not len(lit):
        return
    points = points.reshape(len(points), -1)[:, lit]
    printed = points[1] * np.float32(scale)
    kept = np.float32(most) * printed / (printed + np.float32(grey))
    colours = []
    for row in (XYZ_TO_RGB @ eye).astype(np.float32):
        colour = _mix(points, np.float32(scale) * row)
        colour -= printed
        colour *= kept
        colour += printed
        colours.append(colour)
    # A glaring star's middle ends where its strongest colour does: its hue stays.
    strongest = np.maximum(np.maximum(colours[0], colours[1]), colours[2])
    held = (1.0 + strongest**_ROUNDED) ** np.float32(-1.0 / _ROUNDED)
    for shade, colour in zip(shades, colours, strict=True):
        shade.reshape(-1)[lit] += held * colour


@lru_cache(maxsize=12)
def _noise(channel: int, nx: int) -> Planes:
    """Return the rows of blue noise for a channel of pictures so wide."""
    rolled = np.roll(dither.tile(), 29 * channel, axis=1)
    return np.ascontiguousarray(np.tile(rolled, (1, nx // dither.SIDE + 1))[:, :nx])


# Steps of the last table for each unit of print luminance, and the largest it holds. Just noticed
# differences of a dark sky's print are some 1e-4.
_CODE_STEPS: Final = 65536
_CODE_TOP: Final = 3


@remembered(1)
def _codes() -> Planes:
    # Light is cut down to whole steps, so a step stands for its middle; no light stays none.
    light = (np.arange(_CODE_STEPS * _CODE_TOP) + 0.5) / _CODE_STEPS
    light[0] = 0.0
    return np.asarray(255.0 * srgb.coded(shoulder(light)), np.float32)


def shoulder(light: Floats, knee: float = 0.88) -> Floats:
    """Bend light above the knee smoothly towards, never onto, display white."""
    over = np.maximum(light - knee, 0.0) / (1.0 - knee)
    return np.asarray(np.where(light > knee, knee + (1.0 - knee) * (1.0 - np.exp(-over)), light))


def encode(light: Planes, *, top: int = 0, channel: int = 0) -> NDArray[np.uint8]:
    """Turn print luminance of one channel into 8 bits, steps hidden by blue noise.

    Parameters
    ----------
    light
        (ny, nx) linear, display white = 1.
    top, channel
        Row of the first row in the whole picture; channels see shifted patterns.
    """
    scaled = light * np.float32(_CODE_STEPS)
    index = np.clip(scaled, 0.0, _CODE_STEPS * _CODE_TOP - 1, out=scaled).astype(np.int32)
    code = _codes().take(index)
    ny, nx = light.shape
    rows = (np.arange(top, top + ny) + 23 * channel) % dither.SIDE
    code += _noise(channel, nx)[rows]
    # Truncation after noise in [0, 1) rounds evenly; 255 cannot pass since noise stays below 1.
    return np.minimum(code, 255.0, out=code).astype(np.uint8)
