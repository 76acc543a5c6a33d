"""The pattern behind a central obstruction.

Sources: Born & Wolf, Principles of Optics, section 8.6.2; Schroeder, Astronomical Optics, ch. 10
(his encircled energies 0.764 for 0.2, 0.584 for 0.4, 0.479 for 0.5, from memory). The numbers
here are computed from the closed form A = [2J1(v)/v - e^2 2J1(ev)/(ev)] / (1 - e^2).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import j1

import simview
from simview.telescope.spread import spread_stack
from simview.units import ARCSEC_PER_RADIAN

UNIT = 550e-6 / 100.0 * ARCSEC_PER_RADIAN
# obstruction: first zero, light inside it, height of the first bright ring
TABLE = {
    0.25: (1.1416, 0.7258, 0.03803),
    0.33: (1.0977, 0.6543, 0.05397),
    0.50: (1.0009, 0.4786, 0.09634),
}


def scope(obstruction, **more):
    return simview.Telescope(
        aperture_mm=100.0, focal_length_mm=1000.0, obstruction=obstruction, **more
    )


@pytest.mark.parametrize("obstruction", TABLE)
def test_first_ring_and_the_light_inside_it(obstruction):
    zero, inside, ring = TABLE[obstruction]
    star = simview.point_spread(
        scope(obstruction), pixel_arcsec=UNIT / 40, pixels=512, precise=True
    )
    peak = math.pi / 4.0 * (1.0 - obstruction**2) / 40**2
    row = star.image[256, 256:] / peak
    middle = int(np.argmin(row[:60]))
    around = np.arange(middle - 2, middle + 3)
    fit = np.polynomial.Polynomial.fit(around / 40, row[around], 4)
    roots = [root.real for root in fit.deriv().roots() if abs(root.imag) < 1e-9]
    found = [root for root in roots if abs(root - zero) < 0.05]
    # 5e-4 all round: four printed digits
    assert found[0] == pytest.approx(zero, abs=5e-4)
    assert row[middle : 2 * middle].max() == pytest.approx(ring, abs=5e-4)
    assert star.encircled(zero * UNIT) == pytest.approx(inside, abs=5e-4)


@pytest.mark.parametrize("obstruction", [0.2, 0.33, 0.6])
def test_whole_pattern_follows_the_closed_form(obstruction):
    pixels, pixel = 256, 0.12
    plane = spread_stack(
        scope(obstruction), wavelengths_nm=[550.0], pixel_arcsec=pixel, pixels=pixels, precise=True
    )[0]
    place = (np.arange(pixels) - pixels // 2) * pixel / UNIT
    v = np.pi * np.hypot(place[None, :], place[:, None])
    v[pixels // 2, pixels // 2] = 1e-6
    jinc = 2.0 * j1(v) / v - obstruction * 2.0 * j1(obstruction * v) / v
    wanted = (jinc / (1.0 - obstruction**2)) ** 2
    peak = math.pi / 4.0 * (1.0 - obstruction**2) * (pixel / UNIT) ** 2
    # grey edges of 256 samples: 1e-6 of the peak; the inner circle has fewer samples across
    np.testing.assert_allclose(plane / peak, wanted, atol=3e-6, rtol=0)


@pytest.mark.parametrize("obstruction", [0.2, 0.5])
def test_pattern_converges_when_samples_double(obstruction, monkeypatch):
    """Grey edges: the error falls at least threefold each time the samples double."""
    from simview.telescope import exposure

    pixels, pixel = 128, 0.2
    place = (np.arange(pixels) - pixels // 2) * pixel / UNIT
    v = np.pi * np.hypot(place[None, :], place[:, None])
    v[pixels // 2, pixels // 2] = 1e-6
    jinc = 2.0 * j1(v) / v - obstruction * 2.0 * j1(obstruction * v) / v
    wanted = (jinc / (1.0 - obstruction**2)) ** 2
    peak = math.pi / 4.0 * (1.0 - obstruction**2) * (pixel / UNIT) ** 2
    errors = []
    for samples in (128, 256, 512, 1024):
        monkeypatch.setattr(exposure, "samples_for", lambda *_, n=samples: n)
        plane = spread_stack(
            scope(obstruction),
            wavelengths_nm=[550.0],
            pixel_arcsec=pixel,
            pixels=pixels,
            precise=True,
        )[0]
        errors.append(np.abs(plane / peak - wanted).max())
    assert all(errors[k] > 3.0 * errors[k + 1] for k in range(3)), errors
    assert errors[1] < 2e-6


def test_starlight_peak_falls_with_the_square_of_the_open_area():
    # same star, light per pixel at the peak in units of what falls on the full circle
    open_peak = simview.point_spread(scope(0.0)).image[256, 256]
    for obstruction in (0.2, 0.5):
        star = simview.point_spread(scope(obstruction)).image[256, 256]
        through = 1.0 - obstruction**2  # the image is in units of the light through the pupil
        assert star * through / open_peak == pytest.approx(through**2, rel=1e-5)


def test_vanes_put_spikes_across_themselves():
    """Babinet: the field is the ring's less the vanes'; both have closed forms on the axis.

    A vane is a strip from the secondary to the rim (its rounded end is neglected: its area is
    1e-5 of the pupil's). Four vanes stand up, down, left and right.
    """
    e, w = 0.3, 0.02
    plane = spread_stack(
        scope(e, vanes=4, vane_mm=100.0 * w),
        wavelengths_nm=[550.0],
        pixel_arcsec=UNIT / 4,
        pixels=256,
        precise=True,
    )[0]
    u = np.arange(1, 128) / 4
    v = np.pi * u
    ring = np.pi / 4.0 * (2.0 * j1(v) / v - e**2 * 2.0 * j1(e * v) / (e * v))
    upright = (1.0 - e) * w * np.sinc(w * u)
    lying = w * (np.sin(np.pi * u) - np.sin(np.pi * e * u)) / (np.pi * u)
    open_area = np.pi / 4.0 * (1.0 - e**2) - 2.0 * w * (1.0 - e)
    wanted = ((ring - upright - lying) / open_area) ** 2
    peak = plane[128, 128]
    for row in (plane[128, 129:255], plane[129:255, 128]):
        np.testing.assert_allclose(row / peak, wanted[: len(row)], atol=2e-5)
    # far out the spike stands high above the directions between the vanes
    diagonal = np.diagonal(plane)[128 + 80 : 128 + 100].mean()
    assert plane[128, 128 + 113 : 128 + 127].mean() > 10.0 * diagonal
