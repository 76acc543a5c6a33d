"""Refractive indices and the colour of simple objectives.

Sources: Schott data sheets (N-BK7, F2), through opticalglass; Malitson 1963, Applied Optics 2,
1103 and Li 1980, J. Phys. Chem. Ref. Data 9, 161 (calcium fluoride, through hcipy); Kingslake,
Lens Design Fundamentals (thin doublet); CIE 1931 y-bar through colour-science.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from colour_reference import STORED

import simview
from simview import glass
from simview.telescope.colour_focus import luminosity

# By hcipy's own compilation; made by references/make_stars.py.
FLUORIDE = json.loads((Path(__file__).parent / "references/hcipy.json").read_text("utf-8"))[
    "fluoride"
]

# By opticalglass 1.1 from the makers' catalogues; made by references/make_references.py.
CATALOGUE = {
    name: dict(rows)
    for name, rows in json.loads(
        (Path(__file__).parent / "references/indices.json").read_text("utf-8")
    ).items()
}

LINES = {"h": 404.6561, "g": 435.8343, "F": 486.1327, "e": 546.0740, "d": 587.5618, "C": 656.2725}


def lens(kind, focal_length_mm=1000.0, aperture_mm=100.0):
    return simview.Telescope(
        aperture_mm=aperture_mm, focal_length_mm=focal_length_mm, objective=kind
    )


@pytest.mark.parametrize(("name", "n_d"), [("BK7", 1.516800), ("F2", 1.620040)])
def test_index_at_the_d_line_is_the_catalogues(name, n_d):
    assert glass.index(name, LINES["d"]) == pytest.approx(n_d, abs=2e-6)


@pytest.mark.parametrize("name", ["BK7", "F2"])
def test_index_is_opticalglass_at_every_line(name):
    for line in LINES.values():
        assert glass.index(name, line) == pytest.approx(CATALOGUE[name][line], abs=1e-8)


def test_calcium_fluoride_agrees_with_another_compilation():
    for line in LINES.values():
        # Li's and Malitson's fits differ by a few 1e-5 over all of the visible
        assert glass.index("CaF2", line) == pytest.approx(FLUORIDE[str(line)], abs=6e-5)
    # Malitson's table: n = 1.43388 at 587.6 nm and Abbe number 95.0 (from memory)
    assert glass.index("CaF2", LINES["d"]) == pytest.approx(1.4338, abs=1e-4)
    spread = glass.index("CaF2", LINES["F"]) - glass.index("CaF2", LINES["C"])
    assert (glass.index("CaF2", LINES["d"]) - 1.0) / spread == pytest.approx(95.0, abs=0.3)


def test_achromat_unites_f_and_c_at_1787th_of_the_focal_length():
    scope = lens("achromat")
    shift_f, shift_c = scope.focus_shift_mm(LINES["F"]), scope.focus_shift_mm(LINES["C"])
    assert shift_f == pytest.approx(shift_c, abs=1e-6)
    assert shift_f == pytest.approx(1000.0 / 1787.0, rel=0.005)
    against_d = shift_f - scope.focus_shift_mm(LINES["d"])
    assert against_d == pytest.approx(1000.0 / 2002.0, rel=0.005)  # the trade's "f / 2000"
    assert scope.focus_shift_mm(LINES["e"]) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("nm", "ppm"),
    [(400, 5095), (420, 3292), (435.8343, 2286), (460, 1240), (500, 331), (540, 15), (560, -8),
     (600, 121), (660, 596), (700, 1033)],
)  # fmt: skip
def test_achromat_follows_the_thin_lens_table(nm, ppm):
    # our own evaluation of the thin-lens equations with the catalogue's coefficients, rounded
    # to whole ppm
    assert lens("achromat").focus_shift_mm(nm) * 1e3 == pytest.approx(ppm, abs=0.6)


def test_achromat_is_the_sum_of_its_lenses():
    """Against a direct sum with opticalglass indices, no line of our own code in it."""
    pair = CATALOGUE["BK7"], CATALOGUE["F2"]
    at_e = [g[LINES["e"]] - 1.0 for g in pair]
    colour_of = [g[LINES["F"]] - g[LINES["C"]] for g in pair]
    abbe = [n / c for n, c in zip(at_e, colour_of, strict=True)]
    powers = abbe[0] / (abbe[0] - abbe[1]), -abbe[1] / (abbe[0] - abbe[1])
    assert powers == pytest.approx((2.3166, -1.3166), abs=1e-3)
    for nm in (420.0, 480.0, 620.0, 690.0):
        total = sum(p / n * (g[nm] - 1.0) for p, n, g in zip(powers, at_e, pair, strict=True))
        shift = lens("achromat").focus_shift_mm(nm)
        assert shift == pytest.approx(1000.0 / total - 1000.0, abs=1e-4)


def focus_behind(curvatures: tuple[float, float, float], nm: float) -> float:
    """Trace a ray near the axis through a cemented doublet of 12 and 8 mm; catalogue indices."""
    crown, flint = CATALOGUE["BK7"][nm], CATALOGUE["F2"][nm]
    height, slope, before = 1.0, 0.0, 1.0
    passes = zip(curvatures, (crown, flint, 1.0), (12.0, 8.0, 0.0), strict=True)
    for curvature, after, thick in passes:
        # Snell's law for small angles: n' u' = n u - y c (n' - n).
        slope = (before * slope - height * curvature * (after - before)) / after
        height, before = height + slope * thick, after
    return -height / slope


def test_secondary_spectrum_is_that_of_rays_through_a_thick_doublet():
    """Lenses as they are made: an even crown, the last surface ground until F and C unite."""
    from scipy.optimize import fsolve

    def off(found: np.ndarray) -> tuple[float, float]:
        made = found[0] / 1e3, -found[0] / 1e3, found[1] / 1e3
        behind = {line: focus_behind(made, LINES[line]) for line in "eFC"}
        return behind["e"] - 1000.0, behind["F"] - behind["C"]

    bend, last = fsolve(off, np.array([2.23, -0.12])) / 1e3
    made = bend, -bend, last
    assert off(np.array([bend, last]) * 1e3) == pytest.approx((0.0, 0.0), abs=1e-6)
    at_e = focus_behind(made, LINES["e"])
    for line in ("F", "C", "g", "h"):
        traced = focus_behind(made, LINES[line]) - at_e
        assert lens("achromat").focus_shift_mm(LINES[line]) == pytest.approx(traced, rel=0.04)


def test_singlet_spreads_its_colours_by_the_abbe_number():
    scope = lens("singlet")
    spread = scope.focus_shift_mm(LINES["C"]) - scope.focus_shift_mm(LINES["F"])
    # f / V_d = f / 64.17; the exact thin lens is 1 % below
    assert spread == pytest.approx(1000.0 / 64.17, rel=0.01)
    assert spread == pytest.approx(15.49, abs=0.07)


def test_apochromat_keeps_a_sixth_of_the_achromats_colour_or_less():
    for line in ("g", "F", "C"):
        better = abs(lens("apochromat").focus_shift_mm(LINES[line]))
        assert 0.0 < better < abs(lens("achromat").focus_shift_mm(LINES[line])) / 6.0


def test_mirror_has_no_colour():
    assert lens("mirror").focus_shift_mm(420.0) == 0.0


@pytest.mark.parametrize(
    ("aperture", "ratio", "blue", "red", "violet"),
    [(60, 15, 0.576, 0.426, 2.62), (100, 10, 1.44, 1.07, 6.56), (80, 5, 2.30, 1.71, 10.5),
     (150, 8, 2.70, 2.00, 12.3)],
)  # fmt: skip
def test_colour_error_in_waves_against_the_green(aperture, ratio, blue, red, violet):
    from simview.units import waves_of_defocus

    scope = lens("achromat", aperture * ratio, aperture)
    for line, waves in (("F", blue), ("C", red), ("g", violet)):
        shift = scope.focus_shift_mm(LINES[line])
        got = waves_of_defocus(shift, ratio, LINES[line])
        assert got == pytest.approx(waves, rel=0.005)  # three printed digits


def test_luminosity_follows_the_cie_table():
    table = STORED["tables"]
    waves = np.arange(400.0, 701.0, 5.0)
    wanted = np.interp(waves, table["nm"], np.array(table["observer"])[:, 1])
    # Wyman, Sloan and Shirley state 0.0123 as the largest error of their fit of y-bar
    np.testing.assert_allclose(luminosity(waves), wanted, atol=0.013)
