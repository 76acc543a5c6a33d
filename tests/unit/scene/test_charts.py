"""Charts: exact area means, sizes, contrast."""

from __future__ import annotations

import numpy as np
import pytest

from simview.scene.targets import target


def test_bars_keep_their_ink_whatever_the_sampling() -> None:
    chart = target("bars", period_arcsec=2.0, contrast=0.9)
    size = chart.size_arcsec
    sums = [
        chart.scene(pixel_arcsec=size / n, pixels=n + 8).planes[1].astype(float).sum()
        * (size / n) ** 2
        - 2500.0 * ((n + 8) / n * size) ** 2
        for n in (64, 250, 900)
    ]
    # The missing light is the ink: exact at every sampling.
    np.testing.assert_allclose(sums, sums[-1], rtol=1e-4)


def test_bars_have_the_contrast_and_period_asked_for() -> None:
    chart = target("bars", period_arcsec=2.0, contrast=0.5)
    pixel = 0.02
    plane = chart.scene(pixel_arcsec=pixel, pixels=2048).planes[1]
    light, dark = plane.max(), plane.min()
    assert (light - dark) / (light + dark) == pytest.approx(0.5, abs=1e-4)
    # The middle turn's first group has a period of 2 x 2^(1/4) arcsec: its three upright bars.
    period = 2.0 * 2.0**0.25
    hole = 3.0 * period
    row = 1024 - round(1.5 * hole / pixel)
    start = 1024 + round((-0.5 * hole - 1.5 * period - 1.4 * period) / pixel)
    line = plane[row, start : start + round(2.7 * period / pixel)] < 0.5 * (light + dark)
    edges = np.flatnonzero(np.diff(line.astype(int)) == 1)
    assert len(edges) == 3
    np.testing.assert_allclose(np.diff(edges) * pixel, period, atol=2 * pixel)


def test_siemens_star_is_half_ink_inside_and_paper_outside() -> None:
    chart = target("siemens", width_arcmin=1.0, spokes=36, contrast=1.0)
    plane = chart.scene(pixel_arcsec=0.2, pixels=400).planes[1].astype(float) / 2500.0
    axis = (np.arange(400) - 200) * 0.2
    r = np.hypot(axis[None, :], axis[:, None])
    assert plane[r < 29.0].mean() == pytest.approx(0.5, abs=2e-3)
    assert plane[r > 31.0].min() == 1.0
    # Where the spokes are finer than a pixel the mean remains.
    assert np.abs(plane[r < 0.5] - 0.5).max() < 0.05


def test_siemens_star_has_the_number_of_spokes_asked_for() -> None:
    chart = target("siemens", width_arcmin=1.0, spokes=24, contrast=1.0)
    plane = chart.scene(pixel_arcsec=0.05, pixels=1400).planes[1]
    angle = np.linspace(0.0, 2.0 * np.pi, 7200, endpoint=False)
    ring = plane[
        np.rint(700 - 25.0 / 0.05 * np.sin(angle)).astype(int),
        np.rint(700 + 25.0 / 0.05 * np.cos(angle)).astype(int),
    ]
    dark = ring < 0.5 * ring.max()
    assert (dark & ~np.roll(dark, 1)).sum() == 24
