"""The fast transform against the plain sum that it replaces."""

from __future__ import annotations

import numpy as np
import pytest

from simview.telescope import fourier
from simview.telescope.phase_map import quadrants


def plain_sum(field, pixels, step):
    n = field.shape[0]
    x = np.arange(n) - (n - 1) / 2
    u = (np.arange(pixels) - pixels // 2) * step
    matrix = np.exp(-2j * np.pi * u[:, None] * x[None, :]) / np.sinc(u)[:, None]
    return np.abs(matrix @ field @ matrix.T) ** 2


def field_with(*, even_y, even_x, seed=5, n=32):
    rng = np.random.default_rng(seed)
    field = rng.normal(size=(n, n)) + 1j * rng.normal(size=(n, n))
    if even_y:
        field = field + field[::-1]
    if even_x:
        field = field + field[:, ::-1]
    return field


@pytest.mark.parametrize("even_y", [False, True])
@pytest.mark.parametrize("even_x", [False, True])
@pytest.mark.parametrize("pixels", [16, 17, 40])
@pytest.mark.parametrize(("dtype", "tolerance"), [(np.float64, 1e-13), (np.float32, 1e-6)])
def test_fast_transform_equals_the_plain_sum(even_y, even_x, pixels, dtype, tolerance):
    field = field_with(even_y=even_y, even_x=even_x)
    wanted = plain_sum(field, pixels, 0.013)
    parts = np.stack(
        [quadrants(part, even_y=even_y, even_x=even_x) for part in (field.real, field.imag)]
    )
    folded = fourier.fold(parts.astype(dtype))
    got = np.empty((pixels, pixels), dtype)
    fourier.intensity(folded, pixels, 0.013, got)
    # float32 carries 6e-8; sums of a thousand terms leave a few parts in ten million
    np.testing.assert_allclose(got, wanted, atol=tolerance * wanted.max(), rtol=0)


@pytest.mark.parametrize("even_y", [False, True])
@pytest.mark.parametrize("even_x", [False, True])
def test_real_field_needs_no_imaginary_part(even_y, even_x):
    field = field_with(even_y=even_y, even_x=even_x).real
    got = np.empty((24, 24))
    parts = quadrants(field, even_y=even_y, even_x=even_x)[None]
    fourier.intensity(fourier.fold(parts), 24, 0.02, got)
    wanted = plain_sum(field, 24, 0.02)
    np.testing.assert_allclose(got, wanted, atol=1e-13 * wanted.max(), rtol=0)


def test_scale_multiplies_the_intensity():
    field = field_with(even_y=False, even_x=False)
    parts = [quadrants(part, even_y=False, even_x=False) for part in (field.real, field.imag)]
    folded = fourier.fold(np.stack(parts))
    one, three = np.empty((16, 16)), np.empty((16, 16))
    fourier.intensity(folded, 16, 0.02, one)
    fourier.intensity(folded, 16, 0.02, three, scale=3.0)
    np.testing.assert_allclose(three, 3.0 * one, rtol=1e-12)


def test_kept_matrices_stay_below_their_size():
    fourier.kernels.clear()
    for step in np.linspace(1e-3, 2e-3, 400):
        fourier.kernel(512, 512, float(step), np.float32)
    assert 0 < fourier.kernels.bytes <= fourier.KEPT_BYTES
    fourier.kernels.clear()
