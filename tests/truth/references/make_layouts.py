"""Write what an independent program's rays say of the five layouts, parts in and out of place.

Run by hand, in an environment that also has rayoptics (M. Hayford, BSD licence, 0.9.8):

    python tests/truth/references/make_layouts.py

`layouts.json` holds, for each case, the surfaces as they were handed over, the rays' beginnings,
and where rayoptics finds them on the focal plane, in which directions, after which way. What is
simview's own in it are the curves alone; intersections, reflections, refractions, decentres and
tilts are rayoptics'.
"""

import json
import math
import warnings
from dataclasses import asdict
from pathlib import Path

import numpy as np

from simview.telescope.layouts.misplaced import TILTED, layout_of
from simview.telescope.layouts.ray_wavefront import Layout, beam
from simview.telescope.layouts.surfaces import AIR, MIRROR

warnings.simplefilter("ignore")
from rayoptics.elem.profiles import EvenPolynomial  # noqa: E402
from rayoptics.elem.surface import DecenterData  # noqa: E402
from rayoptics.optical.opticalmodel import OpticalModel  # noqa: E402
from rayoptics.raytr import raytrace  # noqa: E402

HERE = Path(__file__).parent
WAVE_NM = 550.0
GLASSES = {"BK7": "N-BK7", "F2": "F2"}
SIZES = {
    "newtonian": (150.0, 750.0),
    "refractor": (90.0, 900.0),
    "cassegrain": (200.0, 2400.0),
    "schmidt-cassegrain": (203.0, 2030.0),
    "maksutov": (127.0, 1500.0),
}
# Beginnings: pupil points in radii.
POINTS = [[0.0, 0.0], [1.0, 0.0], [-0.7, 0.5], [0.0, -1.0], [0.3, 0.8], [-0.9, -0.2]]


def model(layout: Layout):
    """Build the layout in rayoptics; the first gap leads from the rays' beginnings."""
    made = OpticalModel(radius_mode=False)
    sequence = made["seq_model"]
    first = min(s.z_mm for s in layout.surfaces) - layout.aperture_mm
    sequence.gaps[0].thi = layout.surfaces[0].z_mm - first
    ends = [*(s.z_mm for s in layout.surfaces[1:]), layout.image_mm]
    for surface, onward in zip(layout.surfaces, ends, strict=True):
        row = [surface.curvature, onward - surface.z_mm]
        if surface.behind == MIRROR:
            row.append("REFL")
        elif surface.behind != AIR:
            row += [GLASSES[surface.behind], "Schott"]
        sequence.add_surface(row)
        here = sequence.ifcs[sequence.cur_surface]
        here.profile = EvenPolynomial(
            c=surface.curvature, cc=surface.conic, coefs=[0.0, *surface.powers]
        )
        right, up = surface.lean
        if any((*surface.shift_mm, right, up)):
            # Leaning about a point p before the vertex also moves the vertex; rayoptics turns
            # about the vertex, first about x (alpha), then about y (beta).
            size = math.hypot(right, up)
            assert surface.pivot_mm is None or abs(surface.pivot_mm - surface.z_mm) < 1e-9
            axis = np.array([right, up, 0.0]) / (size or 1.0) * math.sin(size)
            axis[2] = -math.cos(size)
            here.decenter = DecenterData(
                "dec and return",
                x=surface.shift_mm[0],
                y=surface.shift_mm[1],
                alpha=ALPHA * math.degrees(math.atan2(axis[1], -axis[2])),
                beta=BETA * math.degrees(math.asin(axis[0])),
            )
    sequence.set_stop(1)
    made["osp"]["wvls"].set_from_list([[WAVE_NM, 1]])
    made.update_model()
    return sequence


# Signs of rayoptics' angles for an axis that leans upwards and to the right, from its manual.
ALPHA, BETA = -1.0, 1.0


def case(name: str, layout: Layout, star: tuple[float, float]) -> dict[str, object]:
    """Return one case: surfaces, beginnings, ends."""
    rays = beam(layout, star, np.array(POINTS))
    sequence, first = model(layout), min(s.z_mm for s in layout.surfaces) - layout.aperture_mm
    ends = []
    for point, direction in zip(rays.point, rays.direction, strict=True):
        run = (first - point[2]) / direction[2]
        start = np.array([*(point + run * direction)[:2], 0.0])
        ray, _, _ = raytrace.trace(sequence, start, direction, WAVE_NM)
        media = [abs(float(sequence.rndx[k][0])) for k in range(len(ray) - 1)]
        way = sum(n * abs(segment[2]) for n, segment in zip(media, ray[:-1], strict=True))
        ends.append([*ray[-1][0][:2], *ray[-1][1], way + run])
    return {
        "name": name,
        "image_mm": layout.image_mm,
        "surfaces": [asdict(s) for s in layout.surfaces],
        "points": rays.point.tolist(),
        "directions": rays.direction.tolist(),
        "ends": ends,
    }


def main() -> None:
    """Write the file."""
    cases = []
    for name, sizes in SIZES.items():
        layout = layout_of(name, *sizes)
        cases.append(case(f"{name}: axis", layout, (0.0, 0.0)))
        cases.append(case(f"{name}: off axis", layout, (0.004, -0.003)))
        if name != "refractor":
            lean = {"lean": (0.002, 0.001)}
            cases.append(case(f"{name}: tilted", layout.with_parts(TILTED[name], **lean), (0, 0)))
        if layout.part("secondary") and name != "maksutov":
            moved = layout.with_parts(("secondary",), shift_mm=(1.5, -0.8))
            cases.append(case(f"{name}: shifted", moved, (0.001, 0.0)))
    text = json.dumps(cases, indent=1)
    (HERE / "layouts.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
