"""A telescope as a poppy optical system, and poppy as the second engine.

poppy's transform kernel is exp(+i), ours exp(-i): the same picture comes out when the pupil is
handed over turned by 180 degrees. poppy loads only when a function here is called.
"""

from __future__ import annotations

import warnings
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from simview.errors import require_range
from simview.kit import Telescope
from simview.telescope.exposure import Setting, exposure
from simview.telescope.opening import (
    REFERENCE_NM,
    Opening,
    opening,
    stop_for,
)
from simview.units import ARCSEC_PER_RADIAN

if TYPE_CHECKING:
    import poppy


def to_poppy(
    scope: Telescope,
    *,
    wavelength_nm: float = 550.0,
    samples: int = 256,
    defocus_waves: float = 0.0,
    pixel_arcsec: float = 0.05,
    pixels: int = 257,
) -> poppy.OpticalSystem:
    """Return the telescope as a `poppy.OpticalSystem`: grey pupil, wavefront, detector.

    Parameters
    ----------
    wavelength_nm
        The colour whose focus error the system carries (a lens has one, a mirror has none).
    samples
        Even number of pupil samples across the diameter.
    defocus_waves
        Eyepiece travel in waves at 550 nm over the full circle.
    pixel_arcsec, pixels
        The detector; with an odd number of pixels the star stands on the middle one.

    Returns
    -------
    poppy.OpticalSystem
        Turned by 180 degrees against our maps, for poppy's sign of the exponent.

    Notes
    -----
    Checked by: tests/truth/test_poppy_agrees.py
    """
    require_range("wavelength_nm", wavelength_nm, 350.0, 1000.0, unit="nm")
    taken = exposure(scope, stop_for(scope), np.array([wavelength_nm]), defocus_waves)
    front = opening(taken.stop, scope.wavefront, samples)
    return _system(taken, front, 0, pixel_arcsec, pixels)


def _system(
    taken: Setting, front: Opening, k: int, pixel_arcsec: float, pixels: int
) -> poppy.OpticalSystem:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # poppy warns about its own optional speed-ups
        import poppy
        from astropy import units

    wave_nm, aperture_m = float(taken.waves[k]), taken.stop.aperture_mm * 1e-3
    ratio, defocus = REFERENCE_NM / wave_nm, float(taken.colour[k])
    path = front.path * ratio + defocus * front.r2
    if front.x is not None and front.y is not None:
        right, up = taken.tilt()[k]
        path = path + right * front.x + up * front.y
    amplitude = front.whole(front.amplitude * front.damping(ratio, defocus))
    path_m = front.whole(path) * wave_nm * 1e-9
    system = poppy.OpticalSystem(oversample=1, pupil_diameter=aperture_m)
    system.add_pupil(
        poppy.ArrayOpticalElement(
            transmission=np.ascontiguousarray(amplitude[::-1, ::-1]),
            opd=np.ascontiguousarray(path_m[::-1, ::-1]),
            pixelscale=aperture_m / front.samples * units.m / units.pixel,
            name="telescope",
        )
    )
    system.add_detector(pixelscale=pixel_arcsec, fov_pixels=pixels)
    return system


def poppy_stack(
    taken: Setting, front: Opening, pixel_arcsec: float, pixels: int
) -> NDArray[np.float64]:
    """Return (n, pixels, pixels) float64 point spreads computed by poppy, one a wavelength.

    poppy takes each sample for a point; as in the native engine the grey sample's own damping
    (sinc squared along each axis) is divided out, and the light through the pupil is 1.
    """
    odd = pixels + 1 - pixels % 2
    stack = np.empty((len(taken.waves), pixels, pixels))
    for k, wave in enumerate(taken.waves):
        system = _system(taken, front, k, pixel_arcsec, odd)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            # poppy sets the sum of the squared amplitudes to one; a grey sample passes light in
            # proportion to its open fraction.
            image: Any = system.calc_psf(wavelength=wave * 1e-9, normalize="first")[0].data
        damped = front.amplitude * front.damping(REFERENCE_NM / wave, float(taken.colour[k]))
        light = float((front.whole(damped) ** 2).sum()) / front.light
        place = (np.arange(pixels) - pixels // 2) * pixel_arcsec / ARCSEC_PER_RADIAN
        damp = np.sinc(place * taken.stop.aperture_mm / (wave * 1e-6) / front.samples) ** 2
        stack[k] = image[:pixels, :pixels] * light / (damp[:, None] * damp[None, :])
    return stack
