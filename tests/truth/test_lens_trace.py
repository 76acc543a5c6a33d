"""Exact skew rays against an independent program.

rayoptics 0.9 (M. Hayford, BSD licence) with the glass makers' data of opticalglass: its own surface
intersection (iterative) and refraction, its own indices. Two layouts, one with cemented glass
and one with an inner field stop, rays across the pupil and out of the plane of the field.
Tolerance: 1e-6 relative as the design asks; what is left (1e-12) is rounding.
"""

import warnings

import numpy as np
import pytest

from simview.eyepiece.bundle import height_for, setup, start
from simview.eyepiece.lens import Lens
from simview.eyepiece.lensfile import lens
from simview.eyepiece.trace import Rays, Traced, trace
from simview.glass import index

MAKERS = {"BK7": "N-BK7,Schott", "F2": "F2,Schott", "SF2": "SF2,Schott", "SK16": "N-SK16,Schott"}
LINES_NM = [486.1327, 587.5618, 656.2725]


def independent_model(layout: Lens):
    """Build the layout in the independent program, an air space of 10 mm before and behind."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from rayoptics.optical.opticalmodel import OpticalModel

        model = OpticalModel(radius_mode=True)
        sequence = model["seq_model"]
        sequence.gaps[0].thi = 10.0
        for surface in layout.surfaces:
            row = [surface.radius_mm if surface.curvature else 0.0, surface.thickness_mm]
            if surface is layout.surfaces[-1]:
                row[1] = 10.0
            if surface.glass != "air":
                row += MAKERS[surface.glass].split(",")
            sequence.add_surface(row)
        sequence.set_stop(1)
        model["osp"]["wvls"].set_from_list([[line, 1] for line in LINES_NM])
        model.update_model()
    return sequence


def compare(layout: Lens, begin: Rays, traced: Traced) -> tuple[float, float, float]:
    """Return the largest differences in place (mm), direction and path (mm) over all rays."""
    from rayoptics.raytr import raytrace

    sequence = independent_model(layout)
    worst = np.zeros(3)
    shape = traced.fate.shape
    at = [np.broadcast_to(p, shape) for p in (begin.x, begin.y, begin.z)]
    to = [np.broadcast_to(p, shape) for p in (begin.dx, begin.dy, begin.dz)]
    for spot in np.ndindex(shape):
        point = np.array([p[spot] for p in at])
        direction = np.array([p[spot] for p in to])
        point += (-10.0 - point[2]) / direction[2] * direction
        ray, _, _ = raytrace.trace(
            sequence, np.array([point[0], point[1], 0.0]), direction, LINES_NM[spot[0]]
        )
        last = ray[-2]
        vertex = sum(surface.thickness_mm for surface in layout.surfaces[:-1])
        ours = np.array([traced.rays.x[spot], traced.rays.y[spot], traced.rays.z[spot] - vertex])
        heading = np.array([traced.rays.dx[spot], traced.rays.dy[spot], traced.rays.dz[spot]])
        media = [1.0, *(sequence.rndx[k][spot[0]] for k in range(1, len(layout.surfaces)))]
        path = sum(n * segment[2] for n, segment in zip(media, ray[:-2], strict=True))
        first = np.array([p[spot] for p in at])
        path += np.linalg.norm(first - point)
        worst = np.maximum(
            worst,
            [
                np.abs(ours - last[0]).max(),
                np.abs(heading - last[1]).max(),
                abs(path - traced.path_mm[spot]),
            ],
        )
    return worst[0], worst[1], worst[2]


@pytest.mark.parametrize("design", ["plossl", "huygens", "orthoscopic"])
def test_skew_rays_agree_with_an_independent_program(design):
    layout = lens(design, 25.0)
    place = setup(layout, focal_ratio=5.0, objective_mm=1000.0, wavelengths_nm=LINES_NM)
    edge = np.radians(layout.apparent_field_deg / 2.0)
    heights = height_for(place, edge * np.array([0.0, 0.6, 1.0]))
    across = np.array([0.0, 0.7, -0.5, 0.0, 0.3])
    along = np.array([0.0, 0.6, -0.4, 1.0, -0.9])
    begin = start(place, heights[:, None], across, along)
    traced = trace(place.optics, begin)
    assert traced.passed.all()
    offset, turned, path = compare(layout, begin, traced)
    assert offset < 1e-6 * layout.surfaces[0].clear_mm
    assert turned < 1e-6
    assert path < 1e-6 * 1000.0
    # Rounding only: both programs are exact.
    assert offset < 1e-9
    assert turned < 1e-10


@pytest.mark.parametrize(
    ("glass", "maker"), [*MAKERS.items(), ("SF5", "SF5,Schott"), ("BAK2", "N-BAK2,Schott")]
)
def test_glass_of_the_layouts_agrees_with_the_makers_catalogue(glass, maker):
    from opticalglass.glassfactory import create_glass

    catalogue = create_glass(*maker.split(","))
    for line in LINES_NM:
        # The data sheets give six figures; both hold the same constants.
        assert index(glass, line) == pytest.approx(catalogue.rindex(line), abs=1e-7)
