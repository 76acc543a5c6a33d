"""Images of a star in colour, at any pixel: what panels of star tests and films are made of."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview import budget
from simview.kit import Sky, Telescope
from simview.picture.startest.starlight import StarColour, coloured
from simview.telescope.focus import through_focus
from simview.telescope.opening import REFERENCE_NM, stop_for
from simview.telescope.terms import NO_EXTRAS, Extras
from simview.units import ARCSEC_PER_RADIAN

Floats = NDArray[np.float64]

# What a pixel of one plane of one colour takes, bytes. Measured.
BYTES_PER_PLANE_PIXEL: Final = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Star:
    """A star behind a telescope.

    Parameters
    ----------
    scope, extras, sky
        With all faults; see `simview.telescope.faults.apply_faults`.
    light
        Its colours.
    """

    scope: Telescope
    light: StarColour
    extras: Extras = NO_EXTRAS
    sky: Sky | None = None

    @property
    def unit_arcsec(self) -> float:
        """Wavelength / aperture at 550 nm."""
        aperture = stop_for(self.scope, extras=self.extras).aperture_mm
        return REFERENCE_NM * 1e-6 / aperture * ARCSEC_PER_RADIAN

    def stack(
        self, travel: Sequence[float] | Floats, pixel_arcsec: float, pixels: int
    ) -> NDArray[Any]:
        """Return (p, n, pixels, pixels), one plane for each position and wavelength."""
        return through_focus(
            self.scope,
            travel,
            wavelengths_nm=self.light.wavelengths_nm,
            pixel_arcsec=pixel_arcsec,
            pixels=pixels,
            sky=self.sky,
            extras=self.extras,
        )

    def images(
        self,
        travel: Sequence[float] | Floats,
        pixel_arcsec: float,
        pixels: int,
        *,
        wide_arcsec: float = math.inf,
    ) -> Floats:
        """Return (p, pixels, pixels, 3) images in X, Y, Z, the star on pixel ``pixels // 2``.

        Parameters
        ----------
        travel
            (p,) positions of the eyepiece, waves.
        pixel_arcsec, pixels
            Of the images; pixels that are too coarse for the rings are means of finer ones.
        wide_arcsec
            Beyond this width there is no light worth computing: it stays black.
        """
        shortest = float(self.light.wavelengths_nm.min())
        finest = 0.5 * self.unit_arcsec * shortest / REFERENCE_NM
        finer = math.ceil(pixel_arcsec / finest)
        finer += 1 - finer % 2  # odd: a pixel has a middle one
        inner = pixels
        if wide_arcsec < pixels * pixel_arcsec:
            inner = min(pixels, 2 * math.ceil(wide_arcsec / pixel_arcsec / 2.0) + 2)
        fine = inner * finer
        # Transformed, aired and weighed: a complex plane, its spectrum and the sum for each.
        budget.require(
            f"{len(travel)} pictures of a star in {len(self.light.wavelengths_nm)} colours on "
            f"{fine} pixels",
            BYTES_PER_PLANE_PIXEL * len(travel) * len(self.light.wavelengths_nm) * fine**2,
            remedy="a smaller picture, less defocus or a slower telescope",
        )
        # The star shall stand in the middle of its pixel.
        more = 0 if inner % 2 else finer - 1
        stack = self.stack(travel, pixel_arcsec / finer, fine + more)[..., :fine, :fine]
        xyz = coloured(stack, self.light, axis=1)
        if finer > 1:
            xyz = xyz.reshape(len(xyz), inner, finer, inner, finer, 3).sum(axis=(2, 4))
        if inner == pixels:
            return np.asarray(xyz)
        whole = np.zeros((len(xyz), pixels, pixels, 3), xyz.dtype)
        first = pixels // 2 - inner // 2
        whole[:, first : first + inner, first : first + inner] = xyz
        return whole
