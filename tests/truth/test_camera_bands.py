"""The light that a camera's pixels answer to.

Source: the camera measured by Darrodi, Finlayson, Goodman and Mackiewicz 2015, "Reference data set
for camera spectral sensitivity estimation", JOSA A 32, 381, as the library colour-science has it;
Planck's law for the star.
"""

from __future__ import annotations

import numpy as np
import pytest

from simview.diagnosis import plates


def test_bands_are_those_of_a_measured_camera() -> None:
    import colour

    camera = next(iter(colour.MSDS_CAMERA_SENSITIVITIES.values()))
    wave = camera.wavelengths
    shape = colour.SpectralShape(wave[0], wave[-1], wave[1] - wave[0])
    star = colour.sd_blackbody(7000.0, shape).values
    for channel, told in enumerate((plates.RED, plates.GREEN, plates.BLUE)):
        light = camera.values[:, channel] * star
        mean = float((light * wave).sum() / light.sum())
        deviation = float(np.sqrt((light * (wave - mean) ** 2).sum() / light.sum()))
        assert (mean, deviation) == pytest.approx(told, abs=0.6)


def test_three_wavelengths_keep_a_bands_moments() -> None:
    """Mean, variance and fourth moment of a Gaussian: Gauss-Hermite of three points."""
    for mean, deviation in (plates.RED, plates.GREEN, plates.BLUE, plates.GREY):
        band = plates.band(mean, deviation)
        off = np.array(band.wavelengths_nm) - mean
        share = np.array(band.weights)
        moments = [float((share * off**n).sum()) for n in (0, 1, 2, 3, 4)]
        told = [1.0, 0.0, deviation**2, 0.0, 3.0 * deviation**4]
        assert moments == pytest.approx(told, abs=1e-6)
