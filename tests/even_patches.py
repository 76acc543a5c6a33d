"""An even round patch of light as a target, for the tests of what is seen of a glow."""

import numpy as np

from simview.scene.scene import Scene, Target
from simview.units import luminance_cd_m2


def patch(mag_arcsec2, arcmin):
    def paint(pixel_arcsec, pixels):
        y, x = np.mgrid[:pixels, :pixels] - pixels // 2
        disc = np.hypot(x, y) * pixel_arcsec < 30.0 * arcmin
        planes = np.tile(disc * luminance_cd_m2(mag_arcsec2), (3, 1, 1)).astype(np.float32)
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec)

    return Target(
        name="patch",
        title="Patch",
        kind="deep-sky",
        size_arcsec=60.0 * arcmin,
        paint=paint,
        luminance_cd_m2=luminance_cd_m2(mag_arcsec2),
    )
