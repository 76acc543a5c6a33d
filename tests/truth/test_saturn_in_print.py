"""Saturn as it is printed, against rings computed here from published figures and formulas.

Sources: ring edges: French et al. 2017, Icarus 290, 14; their light: Cuzzi et al. 1984, in
Planetary Rings (memory); a clear aperture's transfer: Goodman, Introduction to Fourier Optics; air
of a short exposure: Fried 1966, J. Opt. Soc. Am. 56, 1372; what observers make of its parts, on a
scale of 10: Benton 2005, Saturn and How to Observe It (outer ring B 8.0, equatorial zone 7, belts
4 to 5; memory).
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

import simview
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.picture.views.single import single_geometry

Array = NDArray[np.float64]
RADIAN = 206265.0
# Thousand km: from, to, light.
RINGS = (
    (74.7, 92.0, 0.07),
    (92.0, 99.5, 0.72),
    (99.5, 104.5, 0.90),
    (104.5, 117.58, 1.04),
    (117.58, 122.17, 0.10),
    (122.17, 129.0, 0.70),
    (129.0, 136.78, 0.61),
)
SIN_TILT = math.sin(math.radians(20.0))
SPOTS = {"b": (100.0, 117.0), "division": (117.6, 122.2), "a": (122.6, 128.0)}


def seen(aperture_mm: float, air: str) -> simview.View:
    """Saturn at 200 times, high up, so that the air spreads no colours."""
    scope = simview.Telescope(
        aperture_mm=aperture_mm, focal_length_mm=1200.0, objective="mirror", obstruction=0.0
    )
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=6.0),))
    sky = simview.Sky(seeing_arcsec=2.0, altitude_deg=85.0, air=air)
    return simview.look(kit, simview.target("saturn"), power=200.0, sky=sky)


@cache
def printed(aperture_mm: float, air: str) -> tuple[Array, float]:
    """The loupe of a sheet, linear sRGB as the reader's eye gets it, and its arcsec a pixel."""
    view = seen(aperture_mm, air)
    wide = view.target.size_arcsec * view.beam.power / 3600.0
    plan = single_geometry((1920, 1080), view.beam.apparent_field_deg, disc_deg=wide)
    scale = plan.loupe_pixels_per_degree
    codes = develop_all([Wanted(view=view, pixels_per_degree=scale, pixels=plan.loupe_px)])
    # Turned by 180 degrees in a mirror.
    code = np.asarray(codes.panels[0], float)[::-1, ::-1] / 255.0
    light = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    return light, 3600.0 / (scale * view.beam.power)


def along_axis(light: Array, pixel: float, size: float) -> dict[str, float]:
    """Brightest of rings B and A and darkest of the division on the ansae, means of both sides."""
    middle = light.shape[0] // 2
    row = light[middle - 1 : middle + 2].mean(axis=0)
    away = np.abs(np.arange(len(row)) - middle) * pixel * 136.775 / (0.5 * size)
    found = {}
    for name, (low, high) in SPOTS.items():
        part = (away > low) & (away < high)
        sides = [row[part & (np.sign(np.arange(len(row)) - middle) == side)] for side in (-1, 1)]
        picked = [float(np.min(s) if name == "division" else np.max(s)) for s in sides]
        found[name] = sum(picked) / 2.0
    return found


def dip_of(spots: dict[str, float]) -> float:
    """How far the light falls in the division against the dimmer ring."""
    return 1.0 - spots["division"] / min(spots["a"], spots["b"])


def computed_dip(aperture_mm: float, size: float, r0_mm: float | None) -> float:
    """The dip of rings on a plane, blurred by an aperture and by short-exposure air at 550 nm."""
    pixel, count = 0.06, 1024
    along = (np.arange(count) - count // 2) * pixel
    km = np.hypot(along[None, :], along[:, None] / SIN_TILT) * 136.775 / (0.5 * size)
    rings = np.zeros((count, count))
    for low, high, light in RINGS:
        # Softened over a pixel, as means over pixels are.
        edge = 0.5 * pixel * 136.775 / (0.5 * size)
        rings += light * np.clip((km - low) / edge, 0, 1) * np.clip((high - km) / edge, 0, 1)
    f = np.hypot(*np.meshgrid(np.fft.fftfreq(count, pixel), np.fft.fftfreq(count, pixel)))
    cut = aperture_mm / (550e-6 * RADIAN)
    nu = np.minimum(f / cut, 1.0)
    passed = 2.0 / math.pi * (np.arccos(nu) - nu * np.sqrt(1.0 - nu**2))
    if r0_mm is not None:
        base = f * RADIAN * 550e-6
        tilt = 1.0 - (np.minimum(base / aperture_mm, 1.0)) ** (1.0 / 3.0)
        passed = passed * np.exp(-3.44 * (base / r0_mm) ** (5.0 / 3.0) * tilt)
    blurred = np.fft.ifft2(np.fft.fft2(rings) * passed).real
    return dip_of(along_axis(blurred, pixel, size))


def printed_dip(aperture_mm: float, air: str) -> float:
    light, pixel = printed(aperture_mm, air)
    size = seen(aperture_mm, air).target.size_arcsec
    return dip_of(along_axis(light @ [0.2126, 0.7152, 0.0722], pixel, size))


# The eye's own blur and the print's curve take some: within a quarter, and 0.03.
@pytest.mark.parametrize("aperture_mm", [100.0, 150.0, 200.0])
def test_division_is_printed_as_deep_as_a_perfect_telescope_shows_it(aperture_mm: float) -> None:
    expected = computed_dip(aperture_mm, seen(aperture_mm, "none").target.size_arcsec, None)
    assert printed_dip(aperture_mm, "none") == pytest.approx(expected, rel=0.25, abs=0.03)


# Fried's parameter for 2 arcsec at 500 nm: 0.98 lambda / FWHM, with wavelength to the power 1.2.
@pytest.mark.parametrize("aperture_mm", [150.0, 200.0])
def test_division_is_printed_as_deep_as_short_exposures_leave_it(aperture_mm: float) -> None:
    r0_mm = 0.98 * 500e-6 * RADIAN / 2.0 * 1.1**1.2 * math.sin(math.radians(85.0)) ** 0.6
    expected = computed_dip(aperture_mm, seen(aperture_mm, "short").target.size_arcsec, r0_mm)
    assert printed_dip(aperture_mm, "short") == pytest.approx(expected, rel=0.3, abs=0.03)


def test_division_shows_in_the_best_moments_and_no_less_for_more_aperture() -> None:
    dips = [printed_dip(aperture, "best") for aperture in (100.0, 150.0, 200.0, 300.0)]
    assert dips[0] > 0.03
    assert dips[1] > 0.10
    assert dips[2] > 0.95 * dips[1]
    assert dips[3] > 0.95 * dips[1]


def test_rings_and_globe_print_in_the_order_that_observers_report() -> None:
    light, pixel = printed(200.0, "best")
    bright = light @ [0.2126, 0.7152, 0.0722]
    size = seen(200.0, "best").target.size_arcsec
    spots = along_axis(bright, pixel, size)
    middle = bright.shape[0] // 2
    globe = 0.5 * size * 60.268 / 136.775 / pixel
    rows, columns = np.indices(bright.shape) - middle
    # Without the strip where the near rings pass before it.
    disc = (np.hypot(rows / 0.92, columns) < 0.8 * globe) & (rows < 0.05 * globe)
    belts_and_zones = bright[disc]
    assert spots["b"] > 1.1 * belts_and_zones.max()
    assert 0.55 < spots["a"] / spots["b"] < 0.75
    gap = np.abs(columns[middle]) * pixel * 136.775 / (0.5 * size)
    assert bright[middle][(gap > 66.0) & (gap < 86.0)].min() < 0.14 * spots["b"]


# Pale butter yellow: the hue of the published spectrum (42 deg), neither apricot (below 36) nor
# mustard (above 52), and pale.
@pytest.mark.parametrize("aperture_mm", [100.0, 200.0])
def test_globe_prints_pale_yellow(aperture_mm: float) -> None:
    import colorsys

    light, pixel = printed(aperture_mm, "best")
    middle, reach = light.shape[0] // 2, round(3.0 / pixel)
    part = light[middle - reach : middle, middle - reach : middle + reach].mean(axis=(0, 1))
    code = np.where(part <= 0.0031308, 12.92 * part, 1.055 * part ** (1 / 2.4) - 0.055)
    hue, strength, _ = colorsys.rgb_to_hsv(*(float(c) for c in code))
    assert 36.0 < 360.0 * hue < 52.0
    assert 0.1 < strength < 0.3
