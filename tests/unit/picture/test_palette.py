"""The colours: read from afar, and told apart by colour-blind readers."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from simview.picture.drawing import palette


@pytest.mark.parametrize(
    ("first", "second", "ratio"),
    [
        # The ends of WCAG's scale, and its best-known border case: #767676 on white, the
        # lightest grey that passes 4.5.
        ((0, 0, 0), (255, 255, 255), 21.0),
        ((12, 34, 56), (12, 34, 56), 1.0),
        ((118, 118, 118), (255, 255, 255), 4.54),
    ],
)
def test_contrast_is_that_of_wcag(first, second, ratio):
    assert palette.contrast(first, second) == pytest.approx(ratio, abs=0.005)
    assert palette.contrast(second, first) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize("name", ["INK", "SOFT", "GOOD", "WARN"])
def test_words_pass_wcag_aaa_on_the_ground(name):
    # 7 : 1 is level AAA for text of any size; AA asks for 4.5.
    assert palette.contrast(getattr(palette, name), palette.GROUND) >= 7.0


@pytest.mark.parametrize("name", ["LINE"])
def test_frames_pass_wcag_aa_for_graphics(name):
    # WCAG 2.1, 1.4.11: 3 : 1 for parts of graphics.
    assert palette.contrast(getattr(palette, name), palette.GROUND) >= 3.0


def test_field_edge_is_seen_but_stays_quiet():
    assert 1.8 <= palette.contrast(palette.RING, palette.GROUND) <= 3.5


@pytest.mark.parametrize("deficiency", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_accents_stay_apart_for_colour_blind_readers(deficiency):
    # Matrices of Machado, Oliveira & Fernandes 2009 at full severity, from an independent
    # library; distance in CIE L*a*b* 1976, where 2.3 is just noticeable: six times that.
    import colour
    from colour.blindness import CVD_MATRICES_MACHADO2010

    matrix = CVD_MATRICES_MACHADO2010[deficiency][1.0]
    lab = {}
    for name in ("GOOD", "WARN", "SOFT"):
        code = np.array(getattr(palette, name)) / 255.0
        seen = np.clip(matrix @ colour.cctf_decoding(code, function="sRGB"), 0.0, 1.0)
        xyz = colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ @ seen
        lab[name] = colour.XYZ_to_Lab(xyz)
    distances = {
        (first, second): float(np.linalg.norm(lab[first] - lab[second]))
        for first, second in combinations(lab, 2)
    }
    assert min(distances.values()) > 14.0, distances
