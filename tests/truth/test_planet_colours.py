"""The planets' colours against published colour indices, through passbands and observer."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from simview.scene.painting import sunlight
from simview.scene.planet_colours import AGAINST_SUNLIGHT, INDICES
from simview.scene.scene import Target
from simview.scene.targets import target

Array = NDArray[np.float64]
GRID = np.arange(360.0, 901.0, 5.0)
# IEC 61966-2-1: CIE XYZ to linear sRGB.
TO_RGB = np.array(
    [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]]
)

# Bessell 1990, PASP 102, 1181: passbands of B, V, Rc every 10 nm from the first wavelength on
# (memory).
BANDS = {
    "B": (
        360,
        "0 30 134 567 920 978 1000 978 935 853 740 640 536 424 325 235 150 95 43 9 0",
    ),
    "V": (
        470,
        "0 30 163 458 780 967 1000 973 898 792 684 574 461 359 270 197 135 81 45 25 17 13 9 0",
    ),
    "R": (
        550,
        "0 230 740 910 980 1000 980 960 930 900 860 810 780 720 670 610 560 510 460 400 350 308 "
        "266 224 182 140 118 96 74 52 30 24 18 12 6 0",
    ),
}

# Methane's bands in the albedos of Uranus and Neptune by wavelength, after Karkoschka 1994, Icarus
# 111, 174 (memory).
METHANE = {
    "uranus": {
        360: 0.50, 380: 0.55, 400: 0.56, 450: 0.57, 475: 0.56, 500: 0.56, 525: 0.54, 535: 0.50,
        543: 0.42, 552: 0.50, 560: 0.50, 576: 0.38, 590: 0.43, 600: 0.35, 610: 0.24, 619: 0.15,
        635: 0.30, 645: 0.33, 655: 0.27, 667: 0.18, 680: 0.28, 690: 0.25, 702: 0.13, 712: 0.09,
        727: 0.03, 745: 0.11, 760: 0.16, 780: 0.05, 800: 0.04, 830: 0.12, 850: 0.04, 900: 0.02,
    },
    "neptune": {
        360: 0.58, 380: 0.60, 400: 0.60, 450: 0.58, 475: 0.57, 500: 0.55, 525: 0.51, 535: 0.47,
        543: 0.38, 552: 0.45, 560: 0.45, 576: 0.33, 590: 0.38, 600: 0.30, 610: 0.20, 619: 0.12,
        635: 0.25, 645: 0.27, 655: 0.22, 667: 0.14, 680: 0.22, 690: 0.19, 702: 0.10, 712: 0.07,
        727: 0.02, 745: 0.08, 760: 0.12, 780: 0.035, 800: 0.03, 830: 0.09, 850: 0.03, 900: 0.015,
    },
}  # fmt: skip


def solar() -> Array:
    """Sunlight as a black body of the IAU's nominal 5772 K."""
    return np.asarray(1.0 / (GRID**5 * (np.exp(1.4388e7 / (GRID * 5772.0)) - 1.0)))


def in_bands(albedo: Array) -> tuple[float, float]:
    """B-V and V-Rc of sunlight reflected so; the Sun's are 0.653 and 0.352."""
    flux = {}
    for name, (first, passes) in BANDS.items():
        passed = [float(word) for word in passes.split()]
        at = first + 10.0 * np.arange(len(passed))
        band = np.interp(GRID, at, passed, left=0.0, right=0.0) * GRID * solar()
        flux[name] = (band * albedo).sum() / band.sum()
    return (
        0.653 - 2.5 * np.log10(flux["B"] / flux["V"]),
        0.352 - 2.5 * np.log10(flux["V"] / flux["R"]),
    )


def albedo_of(name: str) -> Array:
    """The albedo that is a parabola in its logarithm, times methane, and has the indices."""
    from scipy.optimize import fsolve

    bands = METHANE.get(name, {400: 1.0, 900: 1.0})
    base = np.interp(GRID, list(bands), list(bands.values()))
    x = (GRID - 550.0) / 100.0

    def shaped(p: Array) -> Array:
        return np.asarray(base * np.exp(p[0] * x + p[1] * x**2))

    def off(p: Array) -> Array:
        return np.asarray(in_bands(shaped(p))) - np.asarray(INDICES[name])

    return shaped(fsolve(off, np.zeros(2)))


@pytest.mark.parametrize("name", sorted(INDICES))
def test_colour_against_sunlight_has_the_published_indices(name: str) -> None:
    colour = pytest.importorskip("colour")
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    seen = (GRID >= 380.0) & (GRID <= 780.0)
    xyz = np.array([observer[w] for w in GRID[seen]])
    light = (solar()[seen] @ xyz, (solar() * albedo_of(name))[seen] @ xyz)
    rgb = (TO_RGB @ light[1]) / (TO_RGB @ light[0]) / (light[1][1] / light[0][1])
    assert AGAINST_SUNLIGHT[name] == pytest.approx(rgb, abs=0.01)


# Without its bent albedo Uranus' methane alone must come near to its indices: the shape is right.
@pytest.mark.parametrize("name", ["uranus", "neptune"])
def test_methane_alone_explains_most_of_the_far_giants_colour(name: str) -> None:
    bands = METHANE[name]
    blue, red = in_bands(np.interp(GRID, list(bands), list(bands.values())))
    assert (blue, red) == pytest.approx(INDICES[name], abs=0.15)


# Karkoschka 1998, Icarus 133, 134: full-disc albedo of July 1995, the rings edge-on, through the
# CIE 1931 observer in steps of 1 nm, adapted from the Sun's white (Bradford): 8-bit sRGB where a
# white surface has 255. Found by others, from the published table.
SATURN_CODES = (197, 185, 156)


def linear(code: Array) -> Array:
    """IEC 61966-2-1."""
    x = np.asarray(code, float) / 255.0
    return np.where(x <= 0.04045, x / 12.92, ((x + 0.055) / 1.055) ** 2.4)


def test_globe_of_saturn_has_the_colour_of_its_published_spectrum() -> None:
    light = linear(np.array(SATURN_CODES))
    light /= light @ [0.2126, 0.7152, 0.0722]
    assert AGAINST_SUNLIGHT["saturn"] == pytest.approx(light, abs=0.006)


# Schmude 2001 to 2006, Georgia Journal of Science: B-V of the whole 1.02, 1.05 and 1.05 with the
# rings open by 24, 22 and 18 deg, each to 0.05 at most. An albedo that is a parabola in its
# logarithm with that B-V and with V-Rc between the globe's and the Sun's.
def test_saturn_with_open_rings_is_as_yellow_as_measured() -> None:
    colour = pytest.importorskip("colour")
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    seen = (GRID >= 380.0) & (GRID <= 780.0)
    xyz = np.array([observer[w] for w in GRID[seen]])
    blues = []
    for b_v in (0.97, 1.10):
        light = (solar()[seen] @ xyz, (solar() * with_indices(b_v, 0.46))[seen] @ xyz)
        rgb = (TO_RGB @ light[1]) / (TO_RGB @ light[0]) / (light[1][1] / light[0][1])
        blues.append(rgb[2])
    shown = target("saturn", tilt_deg=22.0)
    planes = shown.scene(pixel_arcsec=0.25, pixels=240).planes.sum(axis=(1, 2), dtype=float)
    found = planes / sunlight() / (planes @ [0.2126, 0.7152, 0.0722])
    assert blues[1] < found[2] < blues[0]


def with_indices(b_v: float, v_r: float) -> Array:
    """The albedo that is a parabola in its logarithm and has these indices."""
    from scipy.optimize import fsolve

    x = (GRID - 550.0) / 100.0

    def off(p: Array) -> Array:
        return np.asarray(in_bands(np.exp(p[0] * x + p[1] * x**2))) - np.array([b_v, v_r])

    p = fsolve(off, np.zeros(2))
    return np.asarray(np.exp(p[0] * x + p[1] * x**2))


@pytest.mark.parametrize("name", sorted(INDICES))
def test_drawn_disc_has_the_colour_on_the_whole(name: str) -> None:
    assert_drawn(target(name), name)


def test_drawn_globe_of_saturn_has_its_colour_with_the_rings_edge_on() -> None:
    assert_drawn(target("saturn", tilt_deg=0.0), "saturn")


def assert_drawn(shown: Target, name: str) -> None:
    """Hold the whole of a drawing to its colour against sunlight."""
    pixel = 1.3 * shown.size_arcsec / 240
    planes = shown.scene(pixel_arcsec=pixel, pixels=240).planes.sum(axis=(1, 2), dtype=float)
    found = planes / sunlight()
    found /= planes @ [0.2126, 0.7152, 0.0722]
    assert found == pytest.approx(AGAINST_SUNLIGHT[name], rel=0.02)
