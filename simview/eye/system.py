"""The light path as one transfer: what telescope, air, mount and eye do together.

Given a beam and a sampling, this gathers what each room has to say and hands it to the retina.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.air import extinction, refraction, stopping
from simview.eye import filters
from simview.eye.colour import EFFICACY_LM_PER_W, response
from simview.eye.kernels import (
    REACH_BLUR,
    Grid,
    Planes,
    blended,
    choose_grid,
    kernels_of,
    mixed,
    spectral_weights,
)
from simview.eye.optics import aberration_transfer, star_transfer
from simview.eye.pruned import Spectrum
from simview.eyepiece.beam import Beam
from simview.kit import Filter, Mount, Sky, Telescope
from simview.memory import Memory
from simview.scene.spectrum import NEBULA_LINES, band_centres_nm, primaries
from simview.telescope import overlap
from simview.telescope.exposure import Engine
from simview.telescope.mount import shake_rms_arcsec, shake_transfer
from simview.telescope.spread import moment, spread_stack

# Wavelengths in a view: ten bands of 27 nm. Checked by: tests/unit/eye/test_system.py
BANDS: Final = 10

# Wavelength at which the image of a nebula's line light is computed, nm.
LINES_NM: Final = 499.0

# A disc's diameter as a width beside those of Gaussians: one of equal variance, 2.355 / 4.
FAULT_WIDTH: Final = 0.59

# Radius at the eye that holds 99 % of what its own optics spread, at a wide pupil; it shrinks with
# this power of the pupil. From the transfer in simview.eye.optics: 17' at 7 mm, 10' at 5 mm, 5' at
# 3.3 mm. Checked by: tests/unit/test_glide.py, which holds a whole planet's light to it.
SKIRT_ARCSEC: Final = 17.0 * 60.0
SKIRT_PUPIL_MM: Final = 7.0
SKIRT_POWER: Final = 1.6

# Fine pixels across from which the telescope's transfer at low frequencies is quicker found without
# its point spread.
_MANY_FINE: Final = 400

# Frequencies up to which what air and telescope pass is kept for other powers (3 MB), and bytes of
# it. Choices: a close-up on a sheet of 1920 x 1080 through 50 mm has 13,000.
_MOST_SHARED: Final = 32_000
_shared: Final[Memory[Spectrum]] = Memory(6_000_000, lambda held: held.nbytes)

# Full width at half maximum of a Gaussian, in standard deviations: 2 sqrt(2 ln 2).
FWHM_PER_SIGMA: Final = 2.0 * math.sqrt(2.0 * math.log(2.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class LightPath:
    """Everything between the object and the retina, before a sampling is chosen.

    Parameters
    ----------
    scope
        The objective; the naked eye is one of the eye's own aperture.
    beam
        First-order figures of the view.
    acuity_arcsec
        Full width of the blur that receptors and nerves add, at the eye.
    fault_arcsec
        Diameter on the sky of the blur by the observer's own faults, which are already on the
        objective's wavefront.
    filter
        Before the eyepiece; what it takes of white light is in the beam's transmission.
    points
        Whether it is a star's image that counts: the eye's faults shift its light, too.
    """

    scope: Telescope
    beam: Beam
    sky: Sky
    mount: Mount
    acuity_arcsec: float = 0.0
    fault_arcsec: float = 0.0
    engine: Engine = "native"
    filter: Filter = "none"
    points: bool = False

    def troland_per_cd_m2(self) -> float:
        """Return retinal illuminance for a luminance of 1 cd/m2 at the top of the telescope."""
        area = math.pi / 4.0 * self.beam.used_pupil_mm**2 * (1.0 - self.beam.obstruction**2)
        return area * self.beam.transmission

    def blur_arcsec(self) -> float:
        """Return about how much air, mount and eye widen a point on the sky, arcsec."""
        return math.hypot(
            self.sky.seeing_arcsec if self.sky.air != "none" else 0.0,
            shake_rms_arcsec(self.mount) * FWHM_PER_SIGMA,
            (self.acuity_arcsec + 60.0) / self.beam.power,
            FAULT_WIDTH * self.fault_arcsec,
        )

    def grid(self, pixel_arcsec: float) -> Grid:
        """Choose the kernel's sampling for a picture of this pixel."""
        pupil = self.beam.used_pupil_mm / SKIRT_PUPIL_MM
        skirt = SKIRT_ARCSEC * pupil**SKIRT_POWER / self.beam.power
        blur = max(self.blur_arcsec(), skirt / REACH_BLUR)
        return choose_grid(pixel_arcsec, self.beam.aperture_mm, blur)

    def spreads(self, grid: Grid, wavelengths_nm: NDArray[np.float64]) -> NDArray[np.floating]:
        """Return the telescope's point spreads on the fine grid, with a moment's air if any."""
        return spread_stack(
            self.scope,
            wavelengths_nm=wavelengths_nm,
            pixel_arcsec=grid.fine_arcsec,
            pixels=grid.fine_size,
            aperture_mm=self.beam.aperture_mm,
            obstruction=self.beam.obstruction,
            screen_nm=moment(self.sky, self.beam.aperture_mm),
            engine=self.engine,
        )

    def factors(self, grid: Grid, wavelengths_nm: NDArray[np.float64]) -> list[NDArray[np.float32]]:
        """Return what air, mount and eye do at each frequency, one array a wavelength."""
        common = self._common(grid)
        return [air * common for air in self._airs(grid, wavelengths_nm)]

    def _airs(self, grid: Grid, wavelengths_nm: NDArray[np.float64]) -> list[NDArray[np.float32]]:
        """Return what the air does at each frequency, one array a wavelength."""
        frequency = np.hypot(*grid.upper()).astype(np.float32)
        airs = (
            stopping.transfer(
                self.sky,
                wavelength_nm=float(wavelength),
                frequency=frequency,
                aperture_mm=self.beam.aperture_mm,
                obstruction=self.beam.obstruction,
            )
            for wavelength in wavelengths_nm
        )
        return [grid.mirrored(air) for air in airs]

    def _common(self, grid: Grid) -> NDArray[np.float32]:
        """Return what mount and eye do at each frequency, the same at every wavelength."""
        fx, fy = grid.upper()
        frequency = np.hypot(fx, fy).astype(np.float32)
        common = self.eye_factor(frequency) * shake_transfer(self.mount, fx, fy)
        return grid.mirrored(np.asarray(common, np.float32))

    def eye_factor(self, frequency: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return what the eye's optics and nerves do at sky frequencies in cycles/arcsec."""
        at_the_eye = frequency / self.beam.power
        passed = star_transfer if self.points else aberration_transfer
        optics = passed(at_the_eye * 3600.0, self.beam.used_pupil_mm)
        sigma = self.acuity_arcsec / FWHM_PER_SIGMA
        return np.asarray(optics * np.exp(-2.0 * (np.pi * sigma * at_the_eye) ** 2))

    def weights(self, wavelengths_nm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return (4, 3, n) troland of channel for one cd/m2 of primary above the air."""
        return self._shares_passed(wavelengths_nm) * self.troland_per_cd_m2()

    def _shares_passed(self, wavelengths_nm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return `weights` for a beam that gives 1 troland for 1 cd/m2."""
        through_filter = filters.curve(self.filter) / filters.white_share(self.filter)
        light = spectral_weights(primaries() * through_filter, response(), len(wavelengths_nm))
        through = extinction.transmission(self.sky, wavelengths_nm)
        return np.asarray(light * through)

    def line_kernel(self, grid: Grid) -> Planes:
        """Return (4, 1, size, size): the image on the retina of a point of a nebula's line light.

        For one cd/m2 of white light of the same V magnitude. Lines near 500 nm lie on the V band's
        blue flank and give cones about a third of that light's luminance, but rods, which such
        light suits best, as much as it does.

        Checked by: tests/truth/test_nebula_colour.py
        """
        middle = np.array([LINES_NM])
        channels = line_response(self.filter) * self.troland_per_cd_m2()
        through = extinction.transmission(self.sky, middle)
        grid = grid.passing(self.eye_factor)
        passed = self._passed(grid, middle, (channels * through[0])[:, None, None])
        return kernels_of(passed * self._common(grid), grid)

    def shares(self, count: int) -> NDArray[np.float64]:
        """Return (4, count) how much of a white surface's light each channel has in each band."""
        return np.asarray(spectral_weights(primaries(), response(), count).sum(axis=1))

    def kernels(self, grid: Grid) -> Planes:
        """Return (4, 3, size, size): the image on the retina of a point of each primary."""
        return self.passed_for((self,), grid).kernels(self)

    def passed_for(self, paths: Sequence[LightPath], grid: Grid) -> Passed:
        """Return what reaches the eye, on paths that differ from this one in their eye alone."""
        sharpest = replace(self, acuity_arcsec=min(path.acuity_arcsec for path in paths))
        grid = grid.passing(sharpest.eye_factor)
        return Passed(grid, self._white_passed(grid, band_centres_nm(BANDS)))

    def _white_passed(self, grid: Grid, wavelengths_nm: NDArray[np.float64]) -> Spectrum:
        """Return what air and telescope pass of each primary, for 1 troland of a cd/m2.

        Close-ups of one patch at several powers differ in their eye alone, and share this.
        """

        def make() -> Spectrum:
            made = self._passed(grid, wavelengths_nm, self._shares_passed(wavelengths_nm))
            made.setflags(write=False)
            return made

        fx, fy = grid.frequencies()
        if fx.size * fy.size > _MOST_SHARED:
            return make()
        # Powers are figures with rounding errors, and so are what follows from them.
        sizes = (self.beam.aperture_mm, self.beam.obstruction, grid.pixel_arcsec)
        rounded = tuple(float(f"{size:.9g}") for size in sizes)
        given = (self.scope, self.sky, self.filter, self.engine, tuple(wavelengths_nm))
        key = (given, rounded, replace(grid, pixel_arcsec=1.0))
        return _shared.get(key, make)

    def _passed(
        self, grid: Grid, wavelengths_nm: NDArray[np.float64], weights: NDArray[np.float64]
    ) -> Spectrum:
        """Return what air and telescope pass, mixed for each channel and primary."""
        airs = self._airs(grid, wavelengths_nm)
        shift = refraction.dispersion_arcsec(self.sky, wavelengths_nm)
        if not self._low(grid):
            found = self.spreads(grid, wavelengths_nm)
            return mixed(found, airs, weights, grid, shift_arcsec=shift)
        axes = fx, fy = grid.frequencies()
        pixel = np.sinc(fx * grid.fine_arcsec) * np.sinc(fy * grid.fine_arcsec)
        passed = overlap.transfers(
            self.scope,
            wavelengths_nm=wavelengths_nm,
            frequencies=axes,
            aperture_mm=self.beam.aperture_mm,
            obstruction=self.beam.obstruction,
        )
        factors = [air * pixel.astype(np.float32) for air in airs]
        return blended(passed, factors, weights, grid, shift_arcsec=shift)

    def _low(self, grid: Grid) -> bool:
        """Return whether the eye passes low frequencies only, of a spread over many fine pixels.

        Then the telescope's transfer is found at these without its point spread.
        """
        if grid.kept is None or grid.fine_size < _MANY_FINE or self.engine != "native":
            return False
        highest = overlap.FARTHEST * overlap.cut_off(self.beam.aperture_mm)
        return self.sky.air != "moment" and float(grid.frequencies()[0].max()) <= highest


class Passed(NamedTuple):
    """What air and telescope pass of each primary, for 1 troland of a cd/m2, on a grid."""

    grid: Grid
    white: Spectrum

    def kernels(self, path: LightPath) -> Planes:
        """Return the kernels of a path with this air and telescope."""
        eye = path._common(self.grid) * np.float32(path.troland_per_cd_m2())
        return kernels_of(self.white * eye, self.grid)


@cache
def line_response(filter_: Filter = "none") -> NDArray[np.float64]:
    """Return X, Y, Z and V' in cd/m2 of a nebula's lines: for rods, one cd/m2 of white.

    Behind a filter: over the share of white light that it passes.

    Published magnitudes of nebulae are mostly visual: made by the rods of observers. V magnitudes
    say nearly the same: of the blue-green lines Bessell's V band passes 0.34, 0.65 and 0.79, the
    eye's cones 0.18, 0.28 and 0.33, the rods 0.83, 0.95 and 0.98; white light of the same V has 3
    times as much for cones and, within 20 %, as much for rods.

    Source: CIE 1931 and 1951 observers; lines of `simview.scene.spectrum.NEBULA_LINES`.
    Checked by: tests/truth/test_nebula_colour.py
    """
    grid = np.linspace(380.0, 780.0, response().shape[1])
    channels, rods = np.zeros(4), 0.0
    for wavelength, energy in NEBULA_LINES:
        at = np.array([np.interp(wavelength, grid, row) for row in response()])
        channels += energy * EFFICACY_LM_PER_W * at * filters.passed(filter_, wavelength)
        rods += energy * float(EFFICACY_LM_PER_W[3] * at[3])
    white = spectral_weights(primaries(), response(), 1)[3].sum()
    channels *= white / rods / filters.white_share(filter_)
    channels.setflags(write=False)
    return channels
