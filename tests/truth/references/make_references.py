"""Write what independent programs compute, so that the tests need not install them.

Run by hand, in an environment that also has rayoptics (M. Hayford, BSD licence, 0.9.8) and
opticalglass (the same author, 1.1), which bring a desktop toolkit of 700 MB with them:

    python tests/truth/references/make_references.py

`rays.json`: exact skew rays through eyepieces, by rayoptics' own surface intersection and
refraction, with the glass makers' own constants. `indices.json`: refractive indices from the
makers' catalogues as opticalglass holds them. Nothing of simview's own computing is in either, but
the layouts and the rays' beginnings, which are written down beside the answers.
"""

import json
import warnings
from pathlib import Path

import numpy as np

from simview.eyepiece.bundle import height_for, setup, start
from simview.eyepiece.lens import Lens
from simview.eyepiece.lensfile import lens

warnings.simplefilter("ignore")
from opticalglass.glassfactory import create_glass  # noqa: E402
from rayoptics.optical.opticalmodel import OpticalModel  # noqa: E402
from rayoptics.raytr import raytrace  # noqa: E402

HERE = Path(__file__).parent
MAKERS = {
    "BK7": "N-BK7",
    "F2": "F2",
    "SF2": "SF2",
    "SK16": "N-SK16",
    "SF5": "SF5",
    "BAK2": "N-BAK2",
}
LINES_NM = [486.1327, 587.5618, 656.2725]
# Lines h, g, F, e, d, C, and four wavelengths between.
INDEX_NM = [404.6561, 435.8343, 486.1327, 546.0740, 587.5618, 656.2725, 420.0, 480.0, 620.0, 690.0]
BEFORE_MM = 10.0


def model(layout: Lens):
    """Build the layout in rayoptics, an air space of 10 mm before and behind."""
    made = OpticalModel(radius_mode=True)
    sequence = made["seq_model"]
    sequence.gaps[0].thi = BEFORE_MM
    for surface in layout.surfaces:
        row = [surface.radius_mm if surface.curvature else 0.0, surface.thickness_mm]
        if surface is layout.surfaces[-1]:
            row[1] = BEFORE_MM
        if surface.glass != "air":
            row += [MAKERS[surface.glass], "Schott"]
        sequence.add_surface(row)
    sequence.set_stop(1)
    made["osp"]["wvls"].set_from_list([[line, 1] for line in LINES_NM])
    made.update_model()
    return sequence


def rays(design: str) -> dict[str, object]:
    """Return a layout, rays before it, and where rayoptics finds them on the last surface."""
    layout = lens(design, 25.0)
    place = setup(layout, focal_ratio=5.0, objective_mm=1000.0, wavelengths_nm=LINES_NM)
    edge = np.radians(layout.apparent_field_deg / 2.0)
    heights = height_for(place, edge * np.array([0.0, 0.6, 1.0]))
    across = np.array([0.0, 0.7, -0.5, 0.0, 0.3])
    along = np.array([0.0, 0.6, -0.4, 1.0, -0.9])
    begin = start(place, heights[:, None], across, along)
    shape = (len(LINES_NM), 3, 5)
    at = np.array([np.broadcast_to(p, shape) for p in (begin.x, begin.y, begin.z)])
    to = np.array([np.broadcast_to(p, shape) for p in (begin.dx, begin.dy, begin.dz)])
    sequence = model(layout)
    places, headings, paths = np.empty_like(at), np.empty_like(at), np.empty(shape)
    for spot in np.ndindex(shape):
        first, direction = at[(slice(None), *spot)], to[(slice(None), *spot)]
        point = first + (-BEFORE_MM - first[2]) / direction[2] * direction
        ray, _, _ = raytrace.trace(
            sequence, np.array([point[0], point[1], 0.0]), direction, LINES_NM[spot[0]]
        )
        places[(slice(None), *spot)], headings[(slice(None), *spot)] = ray[-2][0], ray[-2][1]
        media = [1.0, *(sequence.rndx[k][spot[0]] for k in range(1, len(layout.surfaces)))]
        path = sum(n * segment[2] for n, segment in zip(media, ray[:-2], strict=True))
        paths[spot] = path + np.linalg.norm(first - point)
    rows = [[s.curvature, s.thickness_mm, s.glass] for s in layout.surfaces]
    return {
        "layout": rows,
        "at": at.tolist(),
        "to": to.tolist(),
        "place_mm": places.tolist(),
        "heading": headings.tolist(),
        "path_mm": paths.tolist(),
    }


def main() -> None:
    """Write both files."""
    found = {design: rays(design) for design in ("plossl", "huygens", "orthoscopic")}
    indices = {
        glass: [[nm, float(create_glass(maker, "Schott").rindex(nm))] for nm in INDEX_NM]
        for glass, maker in MAKERS.items()
    }
    (HERE / "rays.json").write_text(json.dumps({"lines_nm": LINES_NM, **found}), "utf-8")
    (HERE / "indices.json").write_text(json.dumps(indices), "utf-8")


if __name__ == "__main__":
    main()
