"""The wavefront's colours: even steps of lightness, told apart by colour-blind readers."""

from __future__ import annotations

import numpy as np
import pytest

from simview.picture.drawing.palette import GROUND
from simview.picture.startest.wavemap import full_scale, quarter_step, shades, wave_map

# Distance in CIE L*a*b* 1976 of which 2.3 is just noticeable.
NOTICED = 2.3


def lab(colours):
    import colour

    linear = colour.cctf_decoding(np.asarray(colours) / 255.0, function="sRGB")
    return colour.XYZ_to_Lab(linear @ colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ.T)


def test_scale_grows_lighter_to_both_ends_at_the_same_pace():
    part = np.linspace(0.0, 1.0, 21)
    early, late = lab(shades(part))[:, 0], lab(shades(-part))[:, 0]
    assert (np.diff(early) > 0.5).all()
    assert (np.diff(late) > 0.5).all()
    # The same size of error is as light on either side, within four steps of just noticeable.
    assert np.abs(early - late).max() < 4 * NOTICED


@pytest.mark.parametrize("deficiency", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_early_and_late_stay_apart_for_colour_blind_readers(deficiency):
    # Matrices of Machado, Oliveira & Fernandes 2009 at full severity, from an independent library.
    import colour
    from colour.blindness import CVD_MATRICES_MACHADO2010

    matrix = CVD_MATRICES_MACHADO2010[deficiency][1.0]
    for part in (0.3, 0.5, 0.75):
        code = shades(np.array([part, -part])) / 255.0
        seen = np.clip(colour.cctf_decoding(code, function="sRGB") @ matrix.T, 0.0, 1.0)
        xyz = seen @ colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ.T
        early, late = colour.XYZ_to_Lab(xyz)
        assert np.linalg.norm(early - late) > 6 * NOTICED


def test_colours_are_those_of_oklab():
    import colour

    # The scale's middle and its two ends, computed by an independent library.
    for part, oklab in (
        (0.0, (0.25, 0, 0)),
        (1.0, (0.93, 0.005, 0.095)),
        (-1.0, (0.93, -0.04, -0.035)),
    ):
        linear = colour.XYZ_to_RGB(
            colour.Oklab_to_XYZ(np.array(oklab)), "sRGB", apply_cctf_encoding=False
        )
        wanted = colour.cctf_encoding(np.clip(linear, 0.0, 1.0), function="sRGB") * 255.0
        assert np.abs(shades(np.array(part)).astype(float) - wanted).max() <= 1.5


def test_closed_places_are_the_sheets_ground_and_flat_is_dark():
    waves = np.zeros((64, 64))
    waves[:32] = np.nan
    picture = wave_map(waves, 0.25, 64)
    assert (picture[:28] == GROUND).all()
    assert picture[40:].max() < 60


def test_lines_run_where_the_error_passes_a_quarter_wave():
    ramp = np.tile(np.linspace(-0.99, 0.99, 400), (400, 1))
    picture = wave_map(ramp, 1.0, 400).astype(float).mean(axis=(0, 2))
    smooth = shades(np.linspace(-0.99, 0.99, 400)).astype(float).mean(axis=1)
    line = np.flatnonzero(picture - smooth > 20.0)
    found = np.linspace(-0.99, 0.99, 400)[line]
    wanted = np.array([-0.75, -0.5, -0.25, 0.25, 0.5, 0.75])
    assert np.abs(found[:, None] - wanted).min(axis=1).max() < 0.012
    assert np.abs(wanted[:, None] - found).min(axis=1).max() < 0.012


def test_scale_is_never_finer_than_a_quarter_wave():
    assert full_scale(np.array([[0.01, np.nan]])) == 0.25
    assert full_scale(np.array([[-0.6, 0.2]])) == 1.0
    assert quarter_step(1.0) == 0.25
    assert quarter_step(10.0) == 2.0
