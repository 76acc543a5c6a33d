"""Products that leave zeros out are the products."""

from __future__ import annotations

import numpy as np
import pytest

from simview.banded import Band, across, block_means, down, running_means


def smoothing(rows: int, columns: int, reach: int) -> np.ndarray:
    """A matrix that holds random numbers within `reach` of its slanted line."""
    rng = np.random.default_rng(7)
    line = np.arange(rows)[:, None] * columns / rows
    near = np.abs(line - np.arange(columns)) <= reach
    return (rng.normal(size=(rows, columns)) * near).astype(np.float32)


@pytest.mark.parametrize(("rows", "columns"), [(20, 31), (100, 100), (333, 57), (65, 700)])
def test_products_are_those_with_the_whole_matrix(rows: int, columns: int) -> None:
    rng = np.random.default_rng(1)
    matrix = smoothing(rows, columns, 6)
    tall = rng.normal(size=(2, columns, 9)).astype(np.float32)
    whole = matrix.astype(float) @ tall
    # Single precision: some ten products of about 1 each.
    assert np.abs(down(matrix, tall) - whole).max() < 1e-5
    turned = across(np.ascontiguousarray(tall.swapaxes(1, 2)), matrix)
    assert turned.dtype == np.float32
    assert np.abs(turned - whole.swapaxes(1, 2)).max() < 1e-5


def test_rows_without_numbers_give_nothing() -> None:
    matrix = np.zeros((80, 50), np.float32)
    matrix[70, 3] = 2.0
    wanted = np.zeros((80, 4))
    wanted[70] = 2.0
    assert np.array_equal(down(matrix, np.ones((50, 4), np.float32)), wanted)


@pytest.mark.parametrize("side", [1, 2, 3, 7, 12, 30])
def test_means_over_blocks_are_those_of_each_block(side: int) -> None:
    rng = np.random.default_rng(3)
    planes = rng.random((2, 3, 4 * side, 5 * side)).astype(np.float32)
    found = block_means(planes, side)
    assert found.shape == (2, 3, 4, 5)
    assert found.dtype == np.float32
    for row, column in np.ndindex(4, 5):
        block = planes[..., row * side : (row + 1) * side, column * side : (column + 1) * side]
        # Single precision: up to 900 numbers of about a half.
        np.testing.assert_allclose(
            found[..., row, column], block.mean(axis=(-2, -1), dtype=float), rtol=2e-6
        )


@pytest.mark.parametrize("count", [1, 5, 40, 200])
@pytest.mark.parametrize("reach", [0, 1, 7, 60])
def test_running_means_are_sums_over_a_line_that_goes_on_as_it_ends(count: int, reach: int) -> None:
    rng = np.random.default_rng(5)
    taps, line = rng.random(2 * reach + 1), rng.random((count, 3)).astype(np.float32)
    long = np.pad(line.astype(float), ((reach, reach), (0, 0)), mode="edge")
    wanted = [np.convolve(column, taps[::-1], mode="valid") for column in long.T]
    np.testing.assert_allclose(down(running_means(taps, count), line).T, wanted, rtol=1e-5)


def test_band_that_is_kept_gives_what_its_matrix_does() -> None:
    matrix = smoothing(100, 90, 6)
    planes = np.random.default_rng(2).random((2, 90, 70)).astype(np.float32)
    assert np.array_equal(down(Band(matrix), planes), down(matrix, planes))
    turned = planes.swapaxes(1, 2)
    assert np.array_equal(across(turned, Band(matrix)), across(turned, matrix))
