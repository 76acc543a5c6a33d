"""The light that a camera's pixels answer to.

Source: the camera measured by Darrodi, Finlayson, Goodman and Mackiewicz 2015, "Reference data set
for camera spectral sensitivity estimation", JOSA A 32, 381, as the library colour-science has it;
Planck's law for the star.
"""

from __future__ import annotations

import numpy as np
import pytest
from colour_reference import STORED

from simview.diagnosis import plates


def test_bands_are_those_of_a_measured_camera() -> None:
    ours = (plates.RED, plates.GREEN, plates.BLUE)
    for measured, told in zip(STORED["camera"], ours, strict=True):
        assert measured == pytest.approx(told, abs=0.6)


def test_three_wavelengths_keep_a_bands_moments() -> None:
    """Mean, variance and fourth moment of a Gaussian: Gauss-Hermite of three points."""
    for mean, deviation in (plates.RED, plates.GREEN, plates.BLUE, plates.GREY):
        band = plates.band(mean, deviation)
        off = np.array(band.wavelengths_nm) - mean
        share = np.array(band.weights)
        moments = [float((share * off**n).sum()) for n in (0, 1, 2, 3, 4)]
        told = [1.0, 0.0, deviation**2, 0.0, 3.0 * deviation**4]
        assert moments == pytest.approx(told, abs=1e-6)
