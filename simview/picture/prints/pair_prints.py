"""Double stars on the retina as they are printed: gaps that are not seen bridged, all glare."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eye.aided import aid_of
from simview.eye.around import around_stars, image_px, spikes_seen
from simview.eye.retina import Exposure, Retina
from simview.eye.starimage import star_image, star_width
from simview.eye.system import FWHM_PER_SIGMA
from simview.eyepiece.orientation import orient
from simview.picture.prints import chroma, star_factors
from simview.picture.prints.response import Adaptation
from simview.power.drawing_pairs import (
    BETWEEN,
    NOTCH,
    UNNOTICED,
    UNSPLIT_RATIO,
    bridge,
    drawn_out,
)
from simview.power.multiple import judged_pairs
from simview.scene.scene import Stars
from simview.scene.sky import joined
from simview.scene.star_colour import rgb_of_temperature
from simview.telescope.stop import stop_for
from simview.view import View

Floats = NDArray[np.float64]
Planes = NDArray[np.float32]


# Print of stars' light, white = 1, below which it is none: a tenth of what `tone` leaves out.
_UNLIT: Final = 1e-6


def retina(
    view: View,
    exposure: Exposure,
    light: tuple[Floats, Floats],
    adaptation: Adaptation,
    *,
    star_px: float = 0.0,
) -> Retina:
    """Return the image on the retina with each star's light multiplied by its factor.

    What is said of pairs holds on sheets of nothing else.

    Parameters
    ----------
    view
        What it is of.
    exposure
        As an eye that looks at it has it.
    light
        (N,) factors and cores of its stars, as in `Exposure.retina`.
    adaptation
        Of the view.
    star_px
        Width of faint stars' dots in the picture, which tells how large that is for its reader; 0
        where nobody knows: then it is taken for as large as life.
    """
    if not adaptation.pairs:
        least = _UNLIT * adaptation.star_scale_td
        return exposure.retina(*light, least_td=least)
    factors, cores = light
    stars, factors, cores = _bridged(view, exposure, factors, cores)
    own = replace(exposure, scene=replace(exposure.scene, stars=stars)).retina(factors, cores)
    around = around_pair(view, exposure, adaptation, star_px=star_px)
    points, beyond = own.points, own.beyond
    single = _single(view, exposure)
    for companion, arcmin in single:
        points = _through_haze(companion, arcmin, points, exposure)
    for companion in _companions(view, exposure):
        points = _looked_at(companion, points, exposure)
        beyond = None if beyond is None else _looked_at(companion, beyond, exposure)
    turned = orient(around[None], exposure.orientation)[0]
    return replace(
        own,
        around=turned,
        points=points,
        beyond=beyond,
        apart_arcmin=min((arcmin for _, arcmin in single), default=None),
    )


def around_pair(
    view: View, exposure: Exposure, adaptation: Adaptation, *, star_px: float = 0.0
) -> Planes:
    """Return (n, n) how bright the light around stars prints, not yet turned; see `retina`."""
    alive, beam = exposure.pixels_per_degree, view.beam
    reader = adaptation.display.pixels_per_degree(star_px) if star_px else alive
    shares = star_factors.halo_shares(exposure.star_spots(), alive / reader)
    stop = stop_for(view.path.scope, beam.aperture_mm, beam.obstruction)
    if not stop.shape.vanes:
        return star_factors.glare_print(around_stars(exposure, shares)[0], adaptation)
    # Of all that the eye scatters: its own glare is before the spikes, whoever is to make it.
    glare, whole = around_stars(exposure, shares, 1.0)
    width = star_width(star_image(view.path, _REACH_ARCSEC), beam.aperture_mm)
    seen = spikes_seen(
        exposure,
        stop,
        aid_of(view.path, view.eye, view.observer),
        troland_per_cd_m2=view.path.troland_per_cd_m2(),
        behind_td=exposure.extended[1] + whole,
        width_arcsec=width,
        shown=lambda times: star_factors.spike_shown(times, adaptation),
    )
    widths = (image_px(exposure, width) / reader, width * beam.power / 3600.0)
    spikes = star_factors.spike_print(seen, adaptation, widths)
    return star_factors.glare_print(glare, adaptation) + spikes


# How far a star's image is followed for its width, arcsec.
_REACH_ARCSEC: Final = 30.0


def _companions(view: View, exposure: Exposure) -> list[Stars]:
    """Return each fainter star of a pair that lies outside the brighter one's own middle."""
    stars, found = exposure.scene.stars, []
    for pair, split in judged_pairs(view.path, view.eye, view.observer, view.target):
        wide = split.apparent_arcmin > 0.5 * chroma.BLUE_BLIND_ARCMIN[0]
        if wide and split.verdict == "split" and max(pair.places) < len(stars):
            found.append(stars.picked(np.arange(len(stars)) == pair.places[1]))
    return found


# How much of a companion's distance from the brighter star its disc takes, half-width: its own hue
# is whole up to the first, none from the second. Choices.
_DISC_SHARES: Final = (0.3, 0.5)


def _single(view: View, exposure: Exposure) -> list[tuple[Stars, float]]:
    """Return each fainter star of a pair that is split, and how far away it stands, arcmin."""
    stars, found = exposure.scene.stars, []
    for pair, split in judged_pairs(view.path, view.eye, view.observer, view.target):
        if split.verdict == "split" and max(pair.places) < len(stars):
            one = stars.picked(np.arange(len(stars)) == pair.places[1])
            found.append((one, split.apparent_arcmin))
    return found


def _through_haze(star: Stars, arcmin: float, light: Planes, exposure: Exposure) -> Planes:
    """Return stars' light with the hue on a companion's disc that all of its own light has.

    The brighter star's haze lies over it. An eye tells a disc from the haze around it, and hues by
    what lies beside them (simultaneous contrast: Chevreul 1839, De la loi du contraste simultané
    des couleurs; memory): companions of orange stars are reported white, bluish or greenish. So far
    as hues so far apart do not melt together (`chroma.apart`), none of the haze's is in it: a
    choice, for nobody has measured how much an eye leaves.
    """
    away = _away_px(star, light, exposure) * (60.0 / exposure.pixels_per_degree / arcmin)
    whole, none = _DISC_SHARES
    share = chroma.apart(arcmin) * np.clip((none - away) / (none - whole), 0.0, 1.0)
    turned = orient(np.asarray(share, np.float32)[None], exposure.orientation)[0]
    tint = rgb_of_temperature(star.temperature_k)[0]
    x, y, z = exposure.lens[:3].sum(axis=(2, 3)) @ tint
    answer = light.copy()
    for channel, own in ((0, x / y), (2, z / y)):
        answer[channel] += turned * (np.float32(own) * light[1] - light[channel])
    return answer


def _away_px(star: Stars, light: Planes, exposure: Exposure) -> Floats:
    """Return how far each pixel, not yet turned, lies from a star."""
    n, pixel = light.shape[-1], exposure.scene.pixel_arcsec
    along = np.arange(n) - n // 2
    right = (along - star.x_arcsec[0] / pixel)[None, :]
    down = (along + star.y_arcsec[0] / pixel)[:, None]
    return np.asarray(np.hypot(right, down))


def _looked_at(star: Stars, light: Planes, exposure: Exposure) -> Planes:
    """Return stars' light with its blue as an eye has it that looks at one of them.

    The violet that a lens spreads from a bright star over its companion falls, when that is looked
    at, where there are no blue cones, as `chroma.fixated` has it for each star's own light.
    """
    blind = chroma.blind(_away_px(star, light, exposure), exposure.pixels_per_degree)
    whole = exposure.lens[1:3].sum(axis=(2, 3)) @ rgb_of_temperature(star.temperature_k)[0]
    turned = orient(blind[None], exposure.orientation)[0]
    return chroma.with_blue(light, turned, float(whole[1] / whole[0]))


def _bridged(
    view: View, exposure: Exposure, factors: Floats, cores: Floats
) -> tuple[Stars, Floats, Floats]:
    """Return the stars with those that bridge gaps which are not seen, and what prints them."""
    stars, nerves = exposure.scene.stars, view.points_path.acuity_arcsec / 60.0 / FWHM_PER_SIGMA
    lots, shares = [stars], [factors]
    printed = exposure.star_spots() * factors * cores
    for pair, split in judged_pairs(view.path, view.eye, view.observer, view.target):
        if split.verdict != "elongated" or max(pair.places) >= len(stars):
            continue
        first, second = pair.places
        image = star_image(view.path, 3.0 * pair.separation_arcsec, nerves_arcmin=nerves)
        ratio = float(printed[second] / max(printed[first], 1e-12))
        share = 10.0 ** (-0.4 * UNSPLIT_RATIO * abs(pair.magnitudes[1] - pair.magnitudes[0]))
        if ratio > share:
            factors = factors.copy()
            factors[second] *= share / ratio
            shares[0], ratio = factors, share
        notched = split.grade == "notched"
        found = bridge(
            image,
            view.beam.aperture_mm,
            pair.separation_arcsec,
            ratio,
            leaves=NOTCH if notched else UNNOTICED,
        )
        between = [] if found is None else [(found[0] / pair.separation_arcsec, found[1])]
        if split.grade == "elongated":
            more = drawn_out(image, pair.separation_arcsec, ratio, found)
            between += zip(BETWEEN, more, strict=bool(more))
            # No brighter at the companion's own place for that.
            away = [pair.separation_arcsec * (1.0 - part) for part, _ in between]
            added = sum(
                light * image(np.array(r)) for r, (_, light) in zip(away, between, strict=True)
            )
            factors = factors.copy()
            factors[second] *= float(image(np.array(0.0)) / (image(np.array(0.0)) + added))
            shares[0] = factors
        for part, light in between:
            lots.append(_part_way(stars, pair.places, part))
            shares.append(light * factors[[second]] * cores[[second]])
    bridges = np.ones(len(lots) - 1)
    return joined(*lots), np.concatenate(shares), np.concatenate([cores, bridges])


def _part_way(stars: Stars, places: tuple[int, int], part: float) -> Stars:
    """Return the second of two stars, moved to a part of the way from the first."""
    first, second = places
    return replace(
        stars.picked(np.arange(len(stars)) == second),
        x_arcsec=stars.x_arcsec[[first]] * (1.0 - part) + stars.x_arcsec[[second]] * part,
        y_arcsec=stars.y_arcsec[[first]] * (1.0 - part) + stars.y_arcsec[[second]] * part,
    )
