"""Exact skew rays against an independent program.

rayoptics 0.9.8 (M. Hayford, BSD licence) with the glass makers' data of opticalglass: its own
surface intersection (iterative) and refraction, its own indices. Two layouts with cemented glass
and one with an inner field stop, rays across the pupil and out of the plane of the field. What it
computed is kept in `references/`, beside the script that asked it. Tolerance: 1e-6 relative as the
design asks; what is left (1e-12) is rounding.
"""

import json
from pathlib import Path

import numpy as np
import pytest

from simview.eyepiece.bundle import setup
from simview.eyepiece.lensfile import lens
from simview.eyepiece.trace import Rays, trace
from simview.glass import index

REFERENCES = Path(__file__).parent / "references"
RAYS = json.loads((REFERENCES / "rays.json").read_text("utf-8"))
INDICES = json.loads((REFERENCES / "indices.json").read_text("utf-8"))


@pytest.mark.parametrize("design", ["plossl", "huygens", "orthoscopic"])
def test_skew_rays_agree_with_an_independent_program(design):
    layout, theirs = lens(design, 25.0), RAYS[design]
    ours = [[s.curvature, s.thickness_mm, s.glass] for s in layout.surfaces]
    assert ours == theirs["layout"], "the layout has changed: run references/make_references.py"
    place = setup(layout, focal_ratio=5.0, objective_mm=1000.0, wavelengths_nm=RAYS["lines_nm"])
    (x, y, z), (dx, dy, dz) = np.array(theirs["at"]), np.array(theirs["to"])
    traced = trace(place.optics, Rays(x=x, y=y, z=z, dx=dx, dy=dy, dz=dz))
    assert traced.passed.all()
    vertex = sum(surface.thickness_mm for surface in layout.surfaces[:-1])
    found = np.array([traced.rays.x, traced.rays.y, traced.rays.z - vertex])
    heading = np.array([traced.rays.dx, traced.rays.dy, traced.rays.dz])
    # Rounding only: both programs are exact.
    np.testing.assert_allclose(found, theirs["place_mm"], atol=1e-9)
    np.testing.assert_allclose(heading, theirs["heading"], atol=1e-10)
    np.testing.assert_allclose(traced.path_mm, theirs["path_mm"], atol=1e-6)


@pytest.mark.parametrize("glass", INDICES)
def test_glass_of_the_layouts_agrees_with_the_makers_catalogue(glass):
    for nm, theirs in INDICES[glass]:
        # The data sheets give six figures; both hold the same constants.
        assert index(glass, nm) == pytest.approx(theirs, abs=1e-7)
