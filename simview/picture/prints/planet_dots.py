"""A planet's moons in print: small sharp dots, however coarse the print of its field is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from simview.eye.kernels import width_px
from simview.eye.retina import Exposure
from simview.picture.prints.choices import DISC_STAR_POWER, FINER_DOT
from simview.picture.prints.response import Adaptation
from simview.picture.prints.wanted import Wanted
from simview.view import View


def finer(panel: Wanted) -> Wanted:
    """Return a panel as it is printed: a planet's with finer dots for the stars in its field.

    Beside a disc of twenty pixels dots of the usual width are themselves discs.
    """
    if not _beside_a_disc(panel.view):
        return panel
    return replace(panel, star_px=FINER_DOT * panel.star_px, reader_px=panel.star_px)


def brighter(own: Adaptation, view: View, exposure: Exposure, usual_px: float) -> Adaptation:
    """Return the adaptation by which a planet's finer dots print: as much brighter as finer.

    A star that is just seen keeps its light, on a smaller area. Those beside a disc all gain alike,
    until the brightest prints as the disc does: it has no more head room.

    Parameters
    ----------
    own
        Of a view.
    exposure
        As it was exposed, with dots as fine as they are.
    usual_px
        The width of dots elsewhere.

    Notes
    -----
    Checked by: tests/unit/picture/test_planet_dots.py
    """
    if not _beside_a_disc(view) or not len(exposure.scene.stars):
        return own
    times = _times_finer(exposure, usual_px)
    gain = times**DISC_STAR_POWER
    if own.disc_td:
        brightest = float(exposure.star_spots().max())
        gain = min(gain, max(own.disc_td / brightest, 1.0) ** DISC_STAR_POWER)
    return replace(own, dot_times=times, beside_times=gain)


def _beside_a_disc(view: View) -> bool:
    """Return whether stars stand beside a planet that is always a disc, none that may be a dot."""
    return view.target.kind == "planet" and view.target.dot is None


def _times_finer(exposure: Exposure, usual_px: float) -> float:
    """Return how many times smaller a star's image is in print than with dots of usual width."""
    sharp = exposure.sharp
    image = width_px(exposure.star_lens if sharp is None else sharp.lens)
    dot = 0.0 if sharp is None else sharp.dot_px
    if image >= usual_px:
        return 1.0
    return (usual_px**2 + image**2) / (dot**2 + image**2)


def on_pixels(exposure: Exposure, own: Adaptation) -> Exposure:
    """Return an exposure with its stars in the middles of pixels, where they are finer dots.

    Shared among pixels as it falls, one of two equal moons would print at half of the other. A disc
    that is smaller than a dot is one.
    """
    sharp = exposure.sharp
    if own.dot_times == 1.0 or sharp is None:
        return exposure
    stars, pixel = exposure.scene.stars, exposure.scene.pixel_arcsec
    radius = stars.radius_arcsec
    if radius is not None:
        radius = np.where(2.0 * radius < sharp.dot_px * pixel, 0.0, radius)
    placed = replace(
        stars,
        radius_arcsec=radius,
        x_arcsec=pixel * np.rint(stars.x_arcsec / pixel),
        y_arcsec=pixel * np.rint(stars.y_arcsec / pixel),
    )
    return replace(exposure, scene=replace(exposure.scene, stars=placed))
