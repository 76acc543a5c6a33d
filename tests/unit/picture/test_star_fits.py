"""The FITS file of a star test: as the standard wants it, and with the sheet's own images."""

from __future__ import annotations

import io
import warnings

import numpy as np
import pytest

import simview
from simview.picture.startest.fits import PIXEL, PIXELS, fits_bytes
from simview.picture.startest.patterns import StarTest
from simview.telescope.faults import parse

SCOPE = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.25)
TEST = StarTest(
    kit=simview.Kit(name="Würfel 150×750", telescope=SCOPE),
    faults=(parse("coma=0.5@90"),),
    colour="550",
    travel_waves=2.0,
    positions=5,
)


@pytest.fixture(scope="module")
def units():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        from astropy.io import fits

        with fits.open(io.BytesIO(fits_bytes(TEST))) as found:
            found.verify("exception")
            yield [(hdu.header, np.array(hdu.data)) for hdu in found]


def test_file_has_star_stack_and_wavefront(units) -> None:
    assert [header.get("EXTNAME") for header, _ in units] == [None, "FOCUS", "WAVEFRNT"]
    assert units[0][1].shape == (PIXELS, PIXELS)
    assert units[1][1].shape == (5, PIXELS, PIXELS)


def test_rows_run_upwards_and_the_star_stands_on_the_reference_pixel(units) -> None:
    header, star = units[0]
    row, column = np.unravel_index(star.argmax(), star.shape)
    # Coma's core leans away from its flare, which points up: within a wavelength / aperture.
    assert abs(column + 1 - header["CRPIX1"]) <= 1
    assert -4 <= row + 1 - header["CRPIX2"] <= 0
    flare = star[int(header["CRPIX2"]) + 3 : int(header["CRPIX2"]) + 20].sum()
    behind = star[int(header["CRPIX2"]) - 30 : int(header["CRPIX2"]) - 13].sum()
    assert flare > 3.0 * behind


def test_pixels_and_light_are_told(units) -> None:
    header, star = units[0]
    # A quarter of 550 nm / 150 mm: 0.1891 arcsec.
    assert header["CDELT1"] == pytest.approx(550e-6 / 150.0 * 206264.806 * PIXEL, rel=1e-6)
    assert header["CUNIT1"] == "arcsec"
    assert 0.9 < star.sum() < 1.0
    assert (header["APTDIA"], header["FOCALLEN"]) == (150.0, 750.0)
    assert header["FAULT0"] == "coma=0.5@90"
    assert header["STREHL"] == pytest.approx(0.72, abs=0.05)
    assert header["WAVE0"] == 550.0


def test_travel_axis_is_in_millimetres(units) -> None:
    header, stack = units[1]
    # f/5: 0.11 mm a wave (8 F^2 wavelength).
    assert header["CRVAL3"] == pytest.approx(-0.22, abs=1e-6)
    assert header["CDELT3"] == pytest.approx(0.11, abs=1e-6)
    assert header["CUNIT3"] == "mm"
    assert stack[2].max() > 3.0 * stack[0].max()


def test_wavefront_is_none_where_no_light_passes(units) -> None:
    _, path = units[2]
    assert np.isnan(path[0, 0])
    assert np.isnan(path[128, 128])
    open_part = np.pi / 4.0 * (1.0 - 0.25**2)
    assert np.isfinite(path).mean() == pytest.approx(open_part, rel=0.01)
    assert np.nanmax(path) - np.nanmin(path) == pytest.approx(0.5, abs=0.02)
    # The flare points up, where the surface is too high at the rim.
    assert np.nanmean(path[250:]) > 0.1


def test_header_is_plain_ascii(units) -> None:
    assert units[0][0]["TELESCOP"].isascii()
