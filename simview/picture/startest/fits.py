"""A star test as a FITS file: the point spread, the images through focus, the wavefront.

Rows run upwards in FITS: images are turned over when written, so that viewers show them as the
sheet does. Source of the keywords: FITS Standard 4.0 (Pence et al. 2010, A&A 524, A42, and IAU FITS
Working Group 2018); APTDIA and FOCALLEN are common practice.
"""

from __future__ import annotations

import io
import warnings
from datetime import UTC, datetime
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview import __version__
from simview.picture import captions
from simview.picture.startest.patterns import StarTest
from simview.picture.startest.star_figures import figures_of
from simview.telescope.faults import Afflicted
from simview.telescope.focus import through_focus
from simview.telescope.opening import REFERENCE_NM, stop_for
from simview.telescope.quality import wavefront_map
from simview.units import ARCSEC_PER_RADIAN

# Pixel of the point spread in wavelength (550 nm) / aperture, pixels across, and most pixels
# across of an image through focus.
PIXEL: Final = 0.25
PIXELS: Final = 256
_MOST: Final = 512

# Samples of the wavefront.
_WAVEFRONT: Final = 256

Floats = NDArray[np.float64]


def fits_bytes(test: StarTest) -> bytes:
    """Return a FITS file of a star test.

    Its primary image is the star in focus in the light asked for, wavelengths weighted as an eye
    weighs them; the extension FOCUS holds the images through focus, WAVEFRNT the path error.

    Raises
    ------
    SimviewError
        Where a fault does not go with the telescope, or cannot be sampled.

    Notes
    -----
    Checked by: tests/unit/picture/test_star_fits.py (read back, and checked by astropy)
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        from astropy.io import fits

    found = test.afflicted()
    unit = REFERENCE_NM * 1e-6 / stop_for(test.scope).aperture_mm * ARCSEC_PER_RADIAN
    pixel = PIXEL * unit
    star = fits.PrimaryHDU(_image(test, found, (0.0,), pixel, PIXELS)[0])
    _describe(star.header, test, found)
    _axes(star.header, pixel, PIXELS)
    star.header["BUNIT"] = ("", "share of all light in a pixel")

    across = 1.25 * 2.0 * (4.0 * test.travel_waves + 5.0) / PIXEL
    pixels = int(min(max(np.ceil(across / 2.0) * 2.0, PIXELS), _MOST))
    wider = pixel * max(1.0, across / pixels)
    cube = fits.ImageHDU(_image(test, found, test.travel(), wider, pixels), name="FOCUS")
    _axes(cube.header, wider, pixels)
    _travel_axis(cube.header, test)

    path = wavefront_map(found.scope, samples=_WAVEFRONT, extras=found.extras)
    error = fits.ImageHDU(path[::-1].astype(np.float32), name="WAVEFRNT")
    error.header["BUNIT"] = ("", f"waves at {REFERENCE_NM:g} nm; NaN where no light passes")
    for axis in (1, 2):
        error.header[f"CRPIX{axis}"] = (_WAVEFRONT + 1) / 2.0
        error.header[f"CRVAL{axis}"] = 0.0
        error.header[f"CDELT{axis}"] = 2.0 / _WAVEFRONT
        error.header[f"CTYPE{axis}"] = ("PUPIL" + "XY"[axis - 1], "in radii of the aperture")
    stream = io.BytesIO()
    fits.HDUList([star, cube, error]).writeto(stream, output_verify="exception")
    return stream.getvalue()


def _image(
    test: StarTest, found: Afflicted, travel: Any, pixel_arcsec: float, pixels: int
) -> NDArray[np.float32]:
    """Return (p, ny, nx) star images, rows upwards, one position at a time to spare memory."""
    light = test.light()
    shares = light.shares.astype(np.float32)
    images = [
        np.tensordot(
            shares,
            through_focus(
                found.scope,
                (waves,),
                wavelengths_nm=light.wavelengths_nm,
                pixel_arcsec=pixel_arcsec,
                pixels=pixels,
                sky=found.sky,
                extras=found.extras,
            )[0],
            axes=1,
        )
        for waves in travel
    ]
    return np.asarray(np.stack(images)[:, ::-1], np.float32)


def _axes(header: Any, pixel_arcsec: float, pixels: int) -> None:
    """Write the two image axes: offsets on the sky, the star on its true place."""
    # The star stands on row n // 2 from the top: row n - n // 2 from below, counted from 1.
    for axis, middle in ((1, pixels // 2 + 1), (2, pixels - pixels // 2)):
        header[f"CTYPE{axis}"] = ("OFFSET-" + "XY"[axis - 1], "to the right, upwards")
        header[f"CUNIT{axis}"] = "arcsec"
        header[f"CRPIX{axis}"] = float(middle)
        header[f"CRVAL{axis}"] = 0.0
        header[f"CDELT{axis}"] = pixel_arcsec


def _travel_axis(header: Any, test: StarTest) -> None:
    mm = test.travel_mm()
    header["CTYPE3"] = ("TRAVEL", "of the eyepiece, negative inside focus")
    header["CUNIT3"] = "mm"
    header["CRPIX3"] = 1.0
    header["CRVAL3"] = float(mm[0])
    header["CDELT3"] = float(mm[1] - mm[0])
    header["WAVEMM"] = (float(mm[0] / test.travel()[0]), "[mm] travel for one wave of defocus")
    header["BUNIT"] = ("", "share of all light in a pixel")


def _describe(header: Any, test: StarTest, found: Afflicted) -> None:
    """Write what was computed, and its figures."""
    scope, light = found.scope, test.light()
    figures = figures_of(scope, extras=found.extras, sky=found.sky)
    header["ORIGIN"] = "simview"
    header["CREATOR"] = f"simview {__version__}"
    header["DATE"] = (datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S"), "UTC, when written")
    header["OBJECT"] = "star, computed"
    header["TELESCOP"] = _ascii(captions.instrument(test.kit))
    header["APTDIA"] = (scope.aperture_mm, "[mm] aperture")
    header["FOCALLEN"] = (scope.focal_length_mm, "[mm] focal length")
    header["OBSTRUCT"] = (scope.obstruction, "secondary against aperture, diameters")
    header["LIGHT"] = (_ascii(test.colour), "white, a filter, or nm")
    header["NWAVES"] = (len(light.wavelengths_nm), "wavelengths in the image")
    for k, (nm, share) in enumerate(zip(light.wavelengths_nm, light.shares, strict=True)):
        header[f"WAVE{k}"] = (float(nm), "[nm]")
        header[f"WEIGHT{k}"] = (float(share), "share of the luminance")
    header["STREHL"] = (figures.strehl, "at 550 nm")
    header["STREHLW"] = (figures.strehl_white, "in white light")
    header["RMSWAVES"] = (figures.rms_waves, "RMS wavefront error, waves at 550 nm")
    header["PVWAVES"] = (figures.pv_waves, "peak to valley, waves at 550 nm")
    header["ENCIRC"] = (figures.encircled_airy, "light in the perfect Airy disc, 550 nm")
    for k, fault in enumerate(test.faults):
        header[f"FAULT{k}"] = _ascii(str(fault))
    header["COMMENT"] = "Computed, not observed. Sums to the share of light that the image holds."


def _ascii(words: str) -> str:
    """Return words as FITS headers take them."""
    plain = words.replace("×", "x").replace("″", "arcsec").replace("′", "arcmin")
    return plain.encode("ascii", "replace").decode("ascii")[:60]
