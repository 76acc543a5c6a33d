"""Filters: lines and white light through generic bands, and what a nebula gains by them."""

import numpy as np
import pytest

import simview
from simview.errors import SimviewError
from simview.eye import filters
from simview.eye.system import line_response
from simview.kit import FILTERS
from simview.power.faint import visibility_in

# CIE 1951 scotopic luminosity V'(lambda), from 380 to 640 nm in steps of 10 nm (CIE 018:2019), and
# the relative power of illuminant D65 there (ISO/CIE 11664-2). From memory.
NM = np.arange(380.0, 641.0, 10.0)
# fmt: off
RODS = np.array([
    0.0006, 0.0022, 0.0093, 0.0348, 0.0966, 0.1998, 0.3281, 0.455, 0.567, 0.676,
    0.793, 0.904, 0.982, 0.997, 0.935, 0.811, 0.650, 0.481, 0.3288, 0.2076,
    0.1212, 0.0655, 0.0332, 0.0159, 0.0074, 0.0033, 0.0015,
])
D65 = np.array([
    50.0, 54.6, 82.8, 91.5, 93.4, 86.7, 104.9, 117.0, 117.8, 114.9,
    115.9, 108.8, 109.4, 107.8, 104.8, 107.7, 104.4, 104.0, 100.0, 96.3,
    95.8, 88.7, 90.0, 89.6, 87.7, 83.3, 83.7,
])
# fmt: on
WHOLE = 10.0 * float((RODS * D65).sum())


@pytest.mark.parametrize(
    ("name", "low", "high", "top"),
    [("oxygen", 493.0, 505.0, 0.90), ("narrow-band", 482.0, 506.0, 0.92)],
)
def test_white_light_through_a_narrow_filter_is_its_part_of_the_rods_curve(name, low, high, top):
    fine = np.arange(low, high, 0.01)
    part = np.interp(fine, NM, RODS * D65).sum() * 0.01 * top
    assert filters.white_share(name) == pytest.approx(part / WHOLE, rel=0.03)


def test_each_filter_passes_the_lines_that_it_is_made_for():
    # H-beta, [O III], H-alpha: air wavelengths (Osterbrock & Ferland 2006); mercury and sodium
    # lamps' lines (NIST Atomic Spectra Database; memory).
    lines = {"hydrogen": (486.1,), "oxygen": (495.9, 500.7)}
    lines["narrow-band"] = lines["hydrogen"] + lines["oxygen"]
    for name, own in lines.items():
        for line in (486.1, 495.9, 500.7):
            assert (filters.passed(name, line) > 0.8) == (line in own)
        assert filters.passed(name, 656.3) == 0.0
    for line in (486.1, 495.9, 500.7, 656.3):
        assert filters.passed("town-light", line) > 0.8
    for lamp in (546.1, 577.0, 579.1, 568.8, 589.0, 589.6, 615.4):
        assert filters.passed("town-light", lamp) == 0.0


def test_no_filter_changes_nothing():
    assert filters.white_share("none") == pytest.approx(1.0)
    assert filters.line_share("none") == pytest.approx(1.0)


def test_lines_of_a_nebula_gain_what_their_share_says():
    # Rods' light of M 42's lines: H-beta 1.0 x 0.83, [O III] 1.1 x 0.955 + 3.3 x 0.983 (CIE 1951),
    # H-alpha hardly any; through the oxygen's filter only the oxygen, at 0.9.
    oxygen = 1.1 * 0.955 + 3.3 * 0.983
    kept = 0.9 * oxygen / (0.83 + oxygen)
    assert filters.line_share("oxygen") == pytest.approx(kept, rel=0.01)
    assert filters.gain("oxygen") > filters.gain("narrow-band") > filters.gain("town-light") > 1.0
    # What reaches the retina says the same as the thresholds do.
    for name in FILTERS:
        ratio = line_response(name)[3] / line_response("none")[3]
        assert ratio == pytest.approx(filters.gain(name), rel=1e-6)


def look(target, name):
    scope = simview.Telescope(aperture_mm=150.0, focal_length_mm=900.0, obstruction=0.25)
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=30.0),))
    eye = simview.Observer(filter=name)
    view = simview.look(kit, target, sky=simview.Sky(sky_mag_arcsec2=20.5), observer=eye)
    return visibility_in(view.path, view.eye, view.target, eye)[0], view


def test_filter_helps_nebulae_of_lines_and_no_galaxy():
    # Common practice, no source: the Veil asks for oxygen's filter; galaxies lose by any.
    plain, helped = look("veil", "none")[0], look("veil", "oxygen")[0]
    assert helped > 2.0 * plain
    assert look("m81", "oxygen")[0] < look("m81", "none")[0]


def test_stars_lose_what_the_filter_takes_of_white_light():
    plain, dim = (
        look("veil", name)[1].numbers["limiting_magnitude"] for name in ("none", "oxygen")
    )
    lost = -2.5 * np.log10(filters.white_share("oxygen"))
    # The sky darkens as well, which gives some of it back: less than half by Crumey 2014.
    assert 0.4 * lost < plain - dim < lost


def test_unknown_filter_is_refused():
    with pytest.raises(SimviewError, match="filter"):
        simview.Observer(filter="purple")
