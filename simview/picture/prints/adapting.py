"""Setting a sheet's adaptation: how bright its views are, and what that makes of its print."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from simview.banded import block_means
from simview.picture.prints.choices import (
    ABOVE_MOST,
    BRIGHT_TD,
    GLOW_ENOUGH,
    GLOW_GROUND,
    GLOW_LEFT,
    GLOW_LIT,
    GLOW_PRINT,
    GLOW_SHARE,
    GLOW_VEILED,
    GLOW_WHITE_TD,
    INSIDE_STOP,
    LEAST_WHITE_TD,
    LIT,
    MURKY,
    NIGHT_PRINT,
    NO_NIGHT,
    PAIR_DIM_POWER,
    PAIR_KNEE,
    PAIR_POWER,
    PAIR_SKY_GROWTH,
    PAIR_TOP_POWER,
    PAIR_TOP_RANGE,
    PAIR_WHITE_TD,
    POOL_DEG,
    ROD_LIMIT_TD,
    SKY_BESIDE_LIGHT,
    SKY_BESIDE_POWER,
    SKY_GROWTH,
    SKY_PRINT,
    SKY_PRINT_RANGE,
    SKY_TD,
    SPOTS,
    STAR_OVER_SKY,
    THIN_BEAM_POWER,
    UNLIT_LEAST,
    UNLIT_MOST,
    USUAL_BEAM_MM,
    WHITE_STAR,
    XYZ_TO_RGB,
)
from simview.picture.prints.response import (
    Adaptation,
    Floats,
    Levels,
    Light,
    Planes,
    Reader,
    dazzles,
    least_star,
)
from simview.quantiles import quantile


def levels(light: Light, *, stop_px: float | None = None, surfaces: bool = True) -> Levels:
    """Measure how bright a view is, its stars left out.

    The brightest surface is the largest mean over 4 arcmin of apparent angle, about what an eye
    resolves in dim light, but what is brighter than nine tenths of all lit ground may pass it: an
    eye adapts to the Moon, and not to Aristarchus. The background is the darker quarter, without
    what lies outside a field stop, where there is no light. Where the stop's radius is given, that
    and its soft edge, which fills much of a small picture, are left out by their place: the eye's
    own glare lies there. Without `surfaces` only what is lit and the background are measured.

    Checked by: tests/unit/picture/test_toning.py
    """
    luminous, scotopic = light.extended[1], light.extended[3]
    block = max(1, min(round(light.pixels_per_degree * 4.0 / 60.0), *luminous.shape))
    ny, nx = (n // block * block for n in luminous.shape)
    means = block_means(light.extended[slice(3) if surfaces else slice(1, 2), :ny, :nx], block)
    luminances = means[len(means) // 2]
    step = max(1, min(luminous.shape) // 200)
    white = _white(luminances.ravel())
    seen = _sampled(luminous, step)
    if stop_px is None:
        dim, rods = _unlit(seen, _sampled(scotopic, step), white)
    else:
        inside = _inside(luminous.shape, INSIDE_STOP * stop_px, step)
        dim, rods = luminous.take(inside), scotopic.take(inside)
    found = Levels(
        extent_deg=max(luminous.shape) / light.pixels_per_degree,
        white_td=white,
        background_td=float(quantile(dim.ravel(), 0.25)),
        background_scotopic_td=float(quantile(rods.ravel(), 0.25)),
        lit=float((seen > LIT * white).mean()),
    )
    if not surfaces:
        return found
    x, y, z = _vivid(means.reshape(3, -1), white)
    return found._replace(
        vivid_td=y, vivid_x=x / y, vivid_z=z / y, pooled_td=_pooled(luminances, light, block)
    )


def _vivid(means: Planes, white_td: float) -> tuple[float, float, float]:
    """Return XYZ of the reddest, greenest or bluest light up to white: (3, N) means over blocks.

    It comes to the display's end first.
    """
    strongest = (XYZ_TO_RGB.astype(np.float32) @ means).max(axis=0)
    strongest *= means[1] <= white_td
    x, y, z = (max(float(v), 1e-6) for v in means[:, int(strongest.argmax())])
    return x, y, z


def _unlit(luminous: Planes, scotopic: Planes, white_td: float) -> tuple[Planes, Planes]:
    """Return a view's light; where lit ground fills all but a corner of it, that of the corner.

    Else a gibbous Moon that overflows the field would be its own background, and its night side,
    for which no sky would be left, black. A bright nebula that fills the field is no lit ground.
    """
    if white_td < LEAST_WHITE_TD:
        return luminous, scotopic
    dark = luminous < white_td / GLOW_GROUND
    share = float(dark.mean()) if luminous.shape == scotopic.shape else 1.0
    if not UNLIT_LEAST < share < UNLIT_MOST:
        return luminous, scotopic
    return luminous[dark], scotopic[dark]


def _white(means: Floats) -> float:
    """Return the light that prints white: that of all but the brightest spots of lit ground."""
    brightest = float(means.max(initial=0.0))
    if brightest <= 0.0:
        return 0.0
    lit = means[means > LIT * brightest]
    ninth, most = quantile(lit, 0.9), quantile(lit, 0.98)
    return min(max(min(float(most), ABOVE_MOST * float(ninth)), SPOTS * brightest), brightest)


def _pair_top(brightest_td: float) -> float:
    """Return the print of a pair's brighter star: the more of its disc is white the more light."""
    low, high = PAIR_TOP_RANGE
    times = brightest_td / PAIR_WHITE_TD
    power = PAIR_TOP_POWER if times > 1.0 else PAIR_DIM_POWER
    return float(np.clip(times**power, low, high))


def _knee(white_star: float, top: float) -> float:
    """Return the print of a star five magnitudes above the faintest, on sheets of pairs."""
    return float(np.clip(top * (white_star / WHITE_STAR) ** -PAIR_POWER, PAIR_KNEE, top))


def _sampled(plane: Planes, step: int) -> Planes:
    """Return every so many pixels of a plane, those without light left out where others have some.

    Light that was convolved leaves rounding errors where there is none: a millionth of the mean.
    """
    some = plane[::step, ::step]
    lit = some[some > 1e-6 * some.mean()]
    return lit if lit.size else some


@lru_cache(maxsize=4)
def _inside(shape: tuple[int, ...], radius_px: float, step: int) -> NDArray[np.intp]:
    """Return every so many of the pixels, counted through, within a distance of the middle."""
    down, right = (np.arange(n) - (n - 1) / 2.0 for n in shape)
    inside = (down * down)[:, None] + right * right <= max(radius_px, 1.0) ** 2
    return np.flatnonzero(inside)[::step]


def _pooled(means: Floats, light: Light, block: int) -> float:
    """Return the largest mean over a square of `POOL_DEG`; a smaller picture's own mean."""
    side = max(1, round(POOL_DEG * light.pixels_per_degree / block))
    rows, columns = min(side, means.shape[0]), min(side, means.shape[1])
    total = np.zeros((means.shape[0] + 1, means.shape[1] + 1))
    np.cumsum(np.cumsum(means, axis=0, dtype=float), axis=1, out=total[1:, 1:])
    boxes = total[rows:, columns:] - total[:-rows, columns:]
    boxes -= total[rows:, :-columns] - total[:-rows, :-columns]
    return float(boxes.max() / (rows * columns))


def adaptation(
    lights: Iterable[Light],
    *,
    star_peaks_td: Iterable[float] | Floats = (),
    reader: Reader | None = None,
) -> Adaptation:
    """Set one adaptation for a sheet.

    Parameters
    ----------
    lights
        Every view of the sheet.
    star_peaks_td
        Troland (Y) in the middle of each star's image, of all panels together.
    reader
        What is just visible at the eyepiece and on the display.

    Returns
    -------
    Adaptation
        Depends on the set of views, not on their order.
    """
    return adapt([levels(light) for light in lights], star_peaks_td=star_peaks_td, reader=reader)


def adapt(
    views: list[Levels],
    *,
    star_peaks_td: Iterable[float] | Floats = (),
    reader: Reader | None = None,
) -> Adaptation:
    """Set one adaptation from views already measured; see `adaptation`."""
    if not views:
        raise ValueError("an adaptation needs at least one view")
    reader = reader or Reader()
    sky = _background(views)
    brightest = max(view.white_td for view in views)
    night = 1.0 / (1.0 + (sky.background_scotopic_td / ROD_LIMIT_TD) ** 4)
    sky_td = max(night * sky.background_td, 1e-6)
    # A surface hardly brighter than a night sky is no bright object: leave it where skies print.
    least_white = max(300.0 * sky_td, LEAST_WHITE_TD)
    surpasses = brightest / (300.0 * sky_td)
    # A dim object alone on its sheet is dim beside the bright ones that anybody remembers.
    own = max(brightest, least_white)
    thin = _dimmed(reader.beam_mm) ** _over(brightest / LEAST_WHITE_TD)
    white = max(own * thin, min(BRIGHT_TD, MURKY * brightest))
    # However bright it is: ground this far below the brightest surface is that surface's glare.
    veiled = GLOW_VEILED ** ((1.0 - sky.sky_clear) * sky.veil_even) * own
    glows = max(own, min(veiled, GLOW_ENOUGH * GLOW_WHITE_TD)) / GLOW_WHITE_TD
    left = GLOW_LEFT + (1.0 - GLOW_LEFT) / (1.0 + (sky.lit / GLOW_LIT) ** 4)
    half = GLOW_SHARE * own * left
    # An even veil fills the field; a halo that the reader's own eye makes is not printed.
    left *= sky.veil_even + (1.0 - sky.veil_even) * dazzles(own)
    beside = brightest / (GLOW_GROUND * max(sky.background_td, 1e-6))
    dark = night / (1.0 + surpasses**2) if surpasses < NO_NIGHT else 0.0
    own_sky = sky.sky_own * sky.background_scotopic_td
    rod_half, rod_top, sky_print = _rods(
        (sky.background_scotopic_td, own_sky), night, surpasses, dark, pairs=reader.pairs
    )
    peaks = np.asarray(list(star_peaks_td), dtype=float)
    faintest = reader.faintest_td or STAR_OVER_SKY * max(sky.background_td, 1e-5)
    least = float(least_star(np.asarray(sky_print), reader.display))
    brightest_star = float(peaks.max(initial=0.0))
    white_star = max(brightest_star / faintest, WHITE_STAR) if reader.pairs else WHITE_STAR
    top = _pair_top(brightest_star) if reader.pairs else 1.0
    return Adaptation(
        dark=dark,
        sky_td=max(sky.background_td, 1e-6),
        sky_scotopic_td=max(sky.background_scotopic_td, 1e-6),
        sky_print=sky_print,
        threshold_factor=reader.threshold_factor,
        display=reader.display,
        white_td=white,
        least_white_td=least_white,
        rod_half_td=rod_half,
        rod_top=rod_top,
        glow_half_td=half,
        glow_top=GLOW_PRINT * _over(beside**2) * _over(glows) * left,
        star_td=faintest,
        star_print=least,
        star_white=white_star,
        star_top=top,
        star_knee=_knee(white_star, top) if reader.pairs else None,
        surfaces=brightest > 3.0 * sky_td,
        stars=bool(peaks.size and peaks.max() > faintest),
    )


def _dimmed(beam_mm: float) -> float:
    """Return how many times brighter what stands beside a bright disc in so thin a beam."""
    wanting = (USUAL_BEAM_MM / max(beam_mm, 0.01)) ** 2
    return float(np.clip(wanting**THIN_BEAM_POWER, 1.0, MURKY))


def _over(times: float) -> float:
    """Return how far something is above 1: 0 to 1, a half at 1."""
    return times**2 / (1.0 + times**2)


def _background(views: list[Levels]) -> Levels:
    """Return the view with the brightest background that is still a night sky.

    Close-ups show the object's own glow where a wide view shows sky: they are not asked.
    """
    widest = max(v.extent_deg for v in views)
    wide = [v for v in views if v.extent_deg >= 0.5 * widest]
    dark = [v for v in wide if v.background_scotopic_td < ROD_LIMIT_TD]
    if dark:
        return max(dark, key=lambda v: v.background_scotopic_td)
    return min(wide, key=lambda v: v.background_scotopic_td)


def _rods(
    sky_td: tuple[float, float], night: float, surpasses: float, dark: float, *, pairs: bool
) -> tuple[float, float, float]:
    """Return the rods' half-saturation in scotopic troland, their full answer, the sky's print.

    Parameters
    ----------
    sky_td
        Scotopic troland of the background, and of the sky's own light in it.
    night
        1 for a night sky, 0 for daylight.
    surpasses
        The brightest surface against 300 times the sky.
    dark
        1 for a sheet of the night, 0 for one with bright surfaces.
    pairs
        Whether nothing but double stars is looked at.
    """
    background, own = (max(light, 1e-6) for light in sky_td)
    # Beside a bright object the background is mostly that object's own glare: it prints no
    # lighter for being brighter.
    power = PAIR_SKY_GROWTH if pairs else SKY_GROWTH
    growth = (background / SKY_TD) ** (power / (1.0 + surpasses))
    growth *= max(1.0, surpasses) ** SKY_BESIDE_LIGHT
    growth *= min(own / SKY_TD, 1.0) ** (SKY_BESIDE_POWER * surpasses / (1.0 + surpasses))
    plain = SKY_PRINT * (NIGHT_PRINT / SKY_PRINT) ** dark
    sky_print = float(np.clip(plain * growth, *SKY_PRINT_RANGE))
    # With a bright object in view rods saturate just above the sky; alone with the night they
    # reach far above it, so that a nebula keeps its shades.
    reach = 1.0 + 19.0 / (1.0 + surpasses)
    return reach * background, sky_print * (1.0 + reach) * night, sky_print
