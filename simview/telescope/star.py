"""A star as it looks through a telescope, with its figures."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from simview.errors import require_choice, require_range
from simview.executor.threads import one_blas_thread
from simview.kit import Sky, Telescope
from simview.record import require_type
from simview.telescope import quality
from simview.telescope.exposure import ENGINES, Engine, exposure
from simview.telescope.spread import checked_waves, moment, on_pixels, shares_of
from simview.telescope.stop import stop_for
from simview.telescope.terms import NO_EXTRAS, Extras


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class PointSpread:
    """A star as it looks.

    Parameters
    ----------
    image
        (pixels, pixels) float64, the star on pixel ``pixels // 2``; sums to the fraction of the
        light through the pupil that the grid catches.
    pixel_arcsec
        Side of a pixel.
    wavelengths_nm, weights
        The colours in it and their shares, which sum to 1.
    scope, defocus_waves, sky, extras
        What it was computed for.
    """

    image: NDArray[np.float64]
    pixel_arcsec: float
    wavelengths_nm: tuple[float, ...]
    weights: tuple[float, ...]
    scope: Telescope
    defocus_waves: float = 0.0
    sky: Sky | None = None
    extras: Extras = NO_EXTRAS

    def __repr__(self) -> str:
        pixels, side = len(self.image), self.pixel_arcsec
        return (
            f"<PointSpread: {pixels} x {pixels} pixels of {side:.4g} arcsec, "
            f"{self.scope.working_aperture_mm:.4g} mm, {self.image.sum():.1%} of the light>"
        )

    def __array__(self, dtype: Any = None, copy: bool | None = None) -> NDArray[Any]:
        """Return the image, so that ``numpy.asarray(star)`` is its array."""
        return np.array(self.image, dtype=dtype, copy=copy)

    def _repr_png_(self) -> bytes:
        """Return the star as notebooks show it: amplitude in grey, so that the rings are seen."""
        from PIL.Image import fromarray

        amplitude = np.sqrt(np.maximum(self.image, 0.0) / max(float(self.image.max()), 1e-300))
        file = io.BytesIO()
        fromarray(np.rint(255.0 * amplitude).astype(np.uint8)).save(file, "PNG")
        return file.getvalue()

    @property
    def strehl(self) -> float:
        """Peak against the same pupil's without aberration, colour error and air, 0 to 1.

        Found on a finer grid than the image's own; see `simview.telescope.quality.strehl`.
        """
        return quality.strehl(
            self.scope,
            wavelengths_nm=self.wavelengths_nm,
            weights=self.weights,
            defocus_waves=self.defocus_waves,
            sky=self.sky,
            extras=self.extras,
        )

    def encircled(self, radius_arcsec: float) -> float:
        """Return the fraction of all the light inside a circle around the star's true place.

        Parameters
        ----------
        radius_arcsec
            0 up to the edge of the grid.

        Raises
        ------
        RangeError
            When the circle leaves the grid.
        """
        return quality.encircled(self, radius_arcsec)


@one_blas_thread()
def point_spread(  # noqa: PLR0913 (the settings of one exposure)
    scope: Telescope,
    *,
    pixel_arcsec: float = 0.05,
    pixels: int = 512,
    wavelengths_nm: Sequence[float] = (550.0,),
    weights: Sequence[float] | None = None,
    defocus_waves: float = 0.0,
    sky: Sky | None = None,
    precise: bool = False,
    engine: Engine = "native",
    extras: Extras = NO_EXTRAS,
) -> PointSpread:
    """Return a star's image in one or several colours.

    Parameters
    ----------
    scope
        The telescope.
    pixel_arcsec
        Width of a pixel on the sky, 0.00001 to 36000 arcsec.
    pixels
        Side of the square image, 2 to 4096; the star stands on pixel ``pixels // 2``.
    wavelengths_nm
        Colours of the light, 350 to 1000 nm each.
    weights
        Share of each wavelength in the light, not negative, not all zero; None for equal
        shares. They are scaled to sum to 1.
    sky
        The air before the telescope: its seeing, as a "long" or "short" exposure or one
        "moment" (drawn with the sky's seed). Refraction and extinction are not in it. None for
        no air.
    defocus_waves
        Defocus peak to valley at 550 nm, -60 to 60; negative is inside focus.
    precise
        True computes in double precision throughout; False is within 2e-6 of the peak of that.
    engine
        "native", or "poppy" for a second, independent one.
    extras
        What is wrong with the telescope beyond its wavefront, from `simview.telescope.faults`.

    Returns
    -------
    PointSpread
        ``image`` and its figures; ``numpy.asarray`` of it is the image.

    Raises
    ------
    SimviewError
        When a value is out of range or the pattern cannot be sampled.

    Examples
    --------
    >>> import simview
    >>> scope = simview.Telescope(aperture_mm=100, focal_length_mm=1000)
    >>> star = simview.point_spread(scope, pixel_arcsec=0.2, pixels=128)
    >>> star.image.shape, round(star.strehl, 3)
    ((128, 128), 1.0)

    Checked by: tests/truth/test_airy.py, tests/truth/test_strehl.py
    """
    require_type("scope", scope, Telescope, "a Telescope, such as a kit's: kit.telescope")
    waves = checked_waves(wavelengths_nm, pixel_arcsec, pixels)
    require_choice("engine", engine, ENGINES)
    require_range("defocus_waves", defocus_waves, -60.0, 60.0, unit="waves")
    shares = shares_of(weights, len(waves))
    stop = stop_for(scope, extras=extras)
    screen = moment(sky, stop.aperture_mm)
    how: dict[str, Any] = {"screen_nm": screen, "precise": precise, "engine": engine}
    taken = exposure(scope, stop, waves, defocus_waves, extras=extras, **how)
    stack = on_pixels(taken, pixel_arcsec, int(pixels), sky)
    image = np.tensordot(shares.astype(stack.dtype), stack, axes=1)
    return PointSpread(
        image=image.astype(np.float64, copy=False),
        pixel_arcsec=float(pixel_arcsec),
        wavelengths_nm=tuple(waves.tolist()),
        weights=tuple(shares.tolist()),
        scope=scope,
        defocus_waves=float(defocus_waves),
        sky=sky,
        extras=extras,
    )
