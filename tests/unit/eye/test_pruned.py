"""Transforms without empty rows, against numpy's whole ones."""

import numpy as np
import pytest

from simview.eye.pruned import fast_length, lit_box, rows_of, spectrum_of

PLANES = np.random.default_rng(4).random((2, 11, 14)).astype(np.float32)


def test_spectrum_is_that_of_planes_filled_up_with_zeros():
    got = spectrum_of(PLANES, (18, 20))
    assert got.dtype == np.complex64
    np.testing.assert_allclose(got, np.fft.rfft2(PLANES, s=(18, 20)), atol=2e-5)


def test_low_frequencies_are_those_of_the_whole_in_its_own_order():
    got = spectrum_of(PLANES, (18, 20), 4)
    whole = np.fft.rfft2(PLANES, s=(18, 20))
    rows = [0, 1, 2, 3, -3, -2, -1]
    np.testing.assert_allclose(got, whole[:, rows, :4], atol=2e-5)


def test_rows_are_those_of_the_whole_inverse():
    spectrum = np.fft.rfft2(PLANES, s=(18, 20))
    whole = np.fft.irfft2(spectrum, s=(18, 20))
    got = rows_of(spectrum.astype(np.complex64), 20, slice(3, 9))
    np.testing.assert_allclose(got, whole[:, 3:9], atol=2e-6)


def test_frequencies_that_are_left_out_count_as_none():
    spectrum = np.fft.rfft2(PLANES, s=(18, 20))
    spectrum[..., 5:] = 0.0
    whole = np.fft.irfft2(spectrum, s=(18, 20))
    np.testing.assert_allclose(rows_of(spectrum[..., :5].copy(), 20), whole, atol=1e-6)


@pytest.mark.parametrize(("least", "got"), [(7.2, 8), (97, 100), (121, 125)])
def test_length_is_a_product_of_two_three_and_five(least, got):
    assert fast_length(least) == got


def test_box_holds_all_light_of_all_planes_and_no_more():
    planes = np.zeros((2, 9, 12), np.float32)
    assert lit_box(planes) == (slice(0, 0), slice(0, 0))
    planes[0, 3, 7], planes[1, 5, 2] = 1.0, -1.0
    assert lit_box(planes) == (slice(3, 6), slice(2, 8))
