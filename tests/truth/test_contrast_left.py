"""Contrast left at parts of the aperture's limit, against closed forms."""

from __future__ import annotations

import math

import pytest

import simview
from simview.telescope.contrast_transfer import PARTS, contrast


def scope(**more: object) -> simview.Telescope:
    return simview.Telescope(aperture_mm=150.0, focal_length_mm=900.0, **more)


def test_perfect_circle_passes_the_contrast_of_the_closed_form() -> None:
    # Goodman, Introduction to Fourier Optics, section 6.3:
    # (2 / pi) (acos v - v sqrt(1 - v^2)). At a half: 0.3910.
    found = contrast(scope()).at_parts
    for part, value in zip(PARTS, found, strict=True):
        closed = 2.0 / math.pi * (math.acos(part) - part * math.sqrt(1.0 - part * part))
        assert value == pytest.approx(closed, abs=3e-4)


def test_limit_is_aperture_over_wavelength() -> None:
    # 150 mm / 550 nm in cycles per radian, 206264.8 arcsec in a radian.
    assert contrast(scope()).limit_per_arcsec == pytest.approx(
        150.0 / 550e-6 / 206264.806, rel=1e-6
    )


def test_quarter_wave_of_defocus_keeps_what_hopkins_integral_gives() -> None:
    # Hopkins 1955, Proc. R. Soc. A 231, 91: the transfer function of a defocused circle is
    #   (4 / pi a) integral over the common area of cos(a x); here by a plain sum over that area.
    import numpy as np

    found = contrast(scope(), defocus_waves=0.25).at_parts
    for part, value in zip(PARTS, found, strict=True):
        x = np.linspace(-1.0, 1.0, 4001)[None, :]
        y = np.linspace(0.0, 1.0, 2001)[:, None]
        common = ((np.abs(x) + part) ** 2 + y**2 <= 1.0).astype(float)
        # Two pupils `2 part` radii apart: their difference in path is 4 W part x waves.
        wave = np.cos(2.0 * math.pi * 4.0 * 0.25 * part * x)
        area = 2.0 * (x[0, 1] - x[0, 0]) * (y[1, 0] - y[0, 0])
        assert value == pytest.approx(float((common * wave).sum()) * area / math.pi, abs=2e-3)


def test_every_error_of_the_wavefront_takes_contrast_of_middling_detail() -> None:
    perfect = contrast(scope()).at_parts[1]
    for fault in ("spherical", "coma", "astigmatism", "trefoil", "defocus"):
        values = [
            contrast(scope(wavefront=simview.Wavefront(**{fault: w}))).at_parts[1]
            for w in (0.15, 0.3)
        ]
        assert perfect > values[0] > values[1]
