"""The spectrum of Jupiter's drawn clouds against the measured one.

Source: Barrado-Izagirre, Perez-Hoyos & Sanchez-Lavega 2009, "Brightness power spectral
distribution and waves in Jupiter's upper cloud and hazes", Icarus 202, 181 (abstract): brightness
along parallels between 42 deg south and 32 deg north, at 430 and 950 nm: power falls as wavenumber
to the -1.3 +- 0.4 up to 80 waves around the planet, to the -2.5 +- 0.7 beyond. Choi & Showman 2011,
Icarus 216, 597 (abstract): near -5/3 and -3.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from simview.scene import jupiter

PER_DEGREE = jupiter.HEIGHT / 180.0
LUMINANCE = (0.2126, 0.7152, 0.0722)


def power(seed: int) -> np.ndarray:
    """Mean power at each number of waves around the planet, over its parallels, each made even."""
    rows = slice(round((90.0 - 32.0) * PER_DEGREE), round((90.0 + 42.0) * PER_DEGREE))
    light = np.asarray(jupiter.cloud_map(seed)[rows] @ np.array(LUMINANCE), float)
    light /= light.mean(axis=1, keepdims=True)
    found = np.abs(np.fft.rfft(light, axis=1)) ** 2
    found /= found[:, 1:].sum(axis=1, keepdims=True)
    return found.mean(axis=0)


def slope(spectrum: np.ndarray, low: int, high: int) -> float:
    """Slope of power between two wavenumbers, each octave's part of them counting alike."""
    edges = np.geomspace(low, high, 9).astype(int)
    wave = np.arange(len(spectrum))
    middle = [wave[a:b].mean() for a, b in itertools.pairwise(edges)]
    mean = [spectrum[a:b].mean() for a, b in itertools.pairwise(edges)]
    return float(np.polyfit(np.log(middle), np.log(mean), 1)[0])


@pytest.mark.parametrize("seed", [5, 1, 23])
def test_clouds_along_parallels_have_the_measured_spectrum(seed: int) -> None:
    spectrum = power(seed)
    assert slope(spectrum, 4, 80) == pytest.approx(-1.3, abs=0.4)
    # Up to 300 waves: 0.5 arcsec a wave, all that an amateur's telescope shows.
    assert slope(spectrum, 80, 300) == pytest.approx(-2.5, abs=0.7)
