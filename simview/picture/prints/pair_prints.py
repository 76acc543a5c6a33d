"""Double stars on the retina as they are printed: gaps that are not seen bridged, all glare."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from simview.eye.around import around_stars
from simview.eye.retina import Exposure, Retina
from simview.eye.starimage import star_image
from simview.eye.system import FWHM_PER_SIGMA
from simview.eyepiece.orientation import orient
from simview.power.drawing_pairs import NOTCH, UNNOTICED, UNSPLIT_RATIO, bridge, is_notched
from simview.power.multiple import judged_pairs
from simview.scene.scene import Stars
from simview.scene.sky import joined
from simview.telescope.stop import stop_for
from simview.view import View

Floats = NDArray[np.float64]


def retina(view: View, exposure: Exposure, factors: Floats, cores: Floats) -> Retina:
    """Return the image on the retina with each star's light multiplied by its factor.

    Parameters
    ----------
    view
        What it is of.
    exposure
        As an eye that looks at it has it.
    factors, cores
        (N,) of its stars, as in `Exposure.retina`.
    """
    stars, factors, cores = _bridged(view, exposure, factors, cores)
    own = replace(exposure, scene=replace(exposure.scene, stars=stars)).retina(factors, cores)
    beam = view.beam
    stop = stop_for(view.path.scope, beam.aperture_mm, beam.obstruction)
    around = around_stars(exposure, stop=stop)
    return replace(own, around=orient(around[None], exposure.orientation)[0])


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
        found = bridge(
            image,
            view.beam.aperture_mm,
            pair.separation_arcsec,
            ratio,
            leaves=NOTCH if is_notched(split) else UNNOTICED,
        )
        if found is None:
            continue
        part = found[0] / pair.separation_arcsec
        lots.append(
            replace(
                stars.picked(np.arange(len(stars)) == second),
                x_arcsec=stars.x_arcsec[[first]] * (1.0 - part) + stars.x_arcsec[[second]] * part,
                y_arcsec=stars.y_arcsec[[first]] * (1.0 - part) + stars.y_arcsec[[second]] * part,
            )
        )
        shares.append(found[1] * factors[[second]] * cores[[second]])
    bridges = np.ones(len(lots) - 1)
    return joined(*lots), np.concatenate(shares), np.concatenate([cores, bridges])
