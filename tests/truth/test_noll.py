"""Zernike polynomials in Noll's order and normalisation.

Source: Noll 1976, JOSA 66, 207, table I; independent: prysm.polynomials.
"""

from __future__ import annotations

import numpy as np
import prysm.polynomials
import pytest
from zernike_basis import zernike_of

from simview.telescope.wavefront import noll_to_nm, zernike

TABLE_I = {
    1: (0, 0), 2: (1, 1), 3: (1, -1), 4: (2, 0), 5: (2, -2), 6: (2, 2), 7: (3, -1), 8: (3, 1),
    9: (3, -3), 10: (3, 3), 11: (4, 0), 12: (4, 2), 13: (4, -2), 14: (4, 4), 15: (4, -4),
    16: (5, 1), 17: (5, -1), 18: (5, 3), 19: (5, -3), 20: (5, 5), 21: (5, -5), 22: (6, 0),
}  # fmt: skip


@pytest.mark.parametrize(("index", "pair"), TABLE_I.items())
def test_index_follows_nolls_table(index, pair):
    assert noll_to_nm(index) == pair


def test_index_agrees_with_another_library_up_to_200():
    for index in range(1, 201):
        assert noll_to_nm(index) == tuple(prysm.polynomials.noll_to_nm(index))


@pytest.mark.parametrize("index", [2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 22, 37, 105, 200])
def test_polynomial_is_another_librarys(index):
    rng = np.random.default_rng(index)
    r, t = np.sqrt(rng.uniform(size=300)), rng.uniform(0.0, 2.0 * np.pi, size=300)
    x, y = r * np.cos(t), r * np.sin(t)
    theirs = zernike_of(index, x, y)
    # large alternating coefficients: 1e-9 of rounding at order 18
    np.testing.assert_allclose(zernike(index, x, y), theirs, atol=1e-8)


def test_polynomials_are_orthonormal_over_the_disc():
    node, weight = np.polynomial.legendre.leggauss(24)
    r = np.sqrt((node[:, None] + 1.0) / 2.0)
    t = np.arange(64)[None, :] * 2.0 * np.pi / 64
    maps = np.stack([zernike(j, r * np.cos(t), r * np.sin(t)) for j in range(1, 38)])
    products = np.einsum("art,brt,r->ab", maps, maps, weight) / 2.0 / 64
    np.testing.assert_allclose(products, np.eye(37), atol=1e-12)
