"""How bright a galaxy's disc is at its published radius, for the tests."""

import math

from simview.scene.galaxies import Galaxy


def edge_b_mag_arcsec2(galaxy: Galaxy) -> float:
    """Return the B surface brightness of an exponential disc of its light at its radius.

    A disc of scale h, axis ratio q and magnitude m has m + 2.5 log(2 pi q h^2) + 1.0857 R / h.
    """
    disc = galaxy.magnitude + galaxy.bv - 2.5 * math.log10(1.0 - galaxy.bulge)
    middle = disc + 2.5 * math.log10(2.0 * math.pi * galaxy.flat * galaxy.scale_arcsec**2)
    return middle + 2.5 / math.log(10.0) * galaxy.radius_arcsec / galaxy.scale_arcsec
