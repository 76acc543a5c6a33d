"""Write what an independent program's rays say of a Newtonian's flat out of its place.

Run by hand, in an environment that also has rayoptics (M. Hayford, BSD licence, 0.9.8):

    python tests/truth/references/make_flat.py

`flat.json` holds, for each case, how the flat hangs, and, all found with rayoptics' own tilts,
decentres, intersections and reflections: where a star must stand whose chief ray meets the middle
of the focuser (the primary left as it was); which rays of a star on the axis of a primary set again
on the field's middle meet the flat, or are shaded by it; and the way of rays from a hole in the
focuser over the flat, the primary and the flat again. Nothing in it comes from simview.
"""

import json
import math
import warnings
from pathlib import Path

import numpy as np

warnings.simplefilter("ignore")
from rayoptics.elem.profiles import Conic  # noqa: E402
from rayoptics.elem.surface import DecenterData  # noqa: E402
from rayoptics.optical.opticalmodel import OpticalModel  # noqa: E402
from rayoptics.raytr import raytrace  # noqa: E402

HERE = Path(__file__).parent
WAVE_NM = 550.0
APERTURE, FOCAL, HIDDEN = 150.0, 750.0, 0.25
# The way from the flat to the focus: the tube's radius, 15 % more than the mirror's, and 90 mm.
REACH = 0.575 * APERTURE + 90.0
HEIGHT = FOCAL - REACH
HALF = HIDDEN * APERTURE / 2.0

# Mirror points along a side.
GRID = 61

# Tilt of the flat's holder about two axes (radians), and its place off the axis (mm): out towards
# the focuser, which is on +x, across, and towards the sky.
CASES = {
    "in place": {"lean": (0.0, 0.0), "shift": (0.0, 0.0), "along": 0.0},
    "leans out": {"lean": (0.008, 0.0), "shift": (0.0, 0.0), "along": 0.0},
    "leans across": {"lean": (0.0, 0.01), "shift": (0.0, 0.0), "along": 0.0},
    "leans between": {"lean": (-0.006, 0.007), "shift": (0.0, 0.0), "along": 0.0},
    "shifted": {"lean": (0.0, 0.0), "shift": (2.0, -3.0), "along": 0.0},
    "along": {"lean": (0.0, 0.0), "shift": (0.0, 0.0), "along": -4.0},
    "far": {"lean": (0.016, -0.02), "shift": (0.0, 0.0), "along": 0.0},
    "all": {"lean": (0.005, -0.006), "shift": (-1.5, 2.5), "along": 3.0},
}


def unit(vector):
    return np.asarray(vector, float) / np.linalg.norm(vector)


def holder(case):
    """Rows: out, across, sky of the leaning holder, by the shortest turn from the tube's axis."""
    lean = np.array([*case["lean"], 0.0])
    size = float(np.linalg.norm(lean))
    if size == 0.0:
        return np.eye(3)
    hinge = np.cross([0.0, 0.0, 1.0], lean / size)
    k = np.array([[0, -hinge[2], hinge[1]], [hinge[2], 0, -hinge[0]], [-hinge[1], hinge[0], 0]])
    turn = np.eye(3) + math.sin(size) * k + (1.0 - math.cos(size)) * (k @ k)
    return (turn @ np.eye(3)).T


def flat_of(case):
    """The flat's middle, its normal, the holder's axes."""
    axes = holder(case)
    middle = np.array([*case["shift"], HEIGHT + case["along"]])
    return middle, unit(axes[0] - axes[2]), axes


# Signs of rayoptics' angles for an axis that leans upwards and to the right, from its manual.
ALPHA, BETA = -1.0, 1.0
# From a mirror's own place to where its model's rays begin and end, mm.
BEFORE = 1000.0


class Mirror:
    """One mirror in rayoptics: it tilts, shifts, intersects and reflects.

    `frame` has as rows the axes in which it faces -z when it is in place, about `origin`; `shift`
    and `axis`, the way its face looks, say in space how it stands instead.
    """

    def __init__(self, frame, origin, shift, axis, curvature=0.0):
        self.frame, self.origin = frame, origin
        made = OpticalModel(radius_mode=False)
        self.sequence = sequence = made["seq_model"]
        x, y, z = frame @ shift
        sequence.gaps[0].thi = BEFORE + z
        sequence.add_surface([curvature, -BEFORE - z, "REFL"])
        here = sequence.ifcs[sequence.cur_surface]
        here.profile = Conic(c=curvature, cc=-1.0)
        right, up, ahead = frame @ unit(axis)
        here.decenter = DecenterData(
            "dec and return",
            x=x,
            y=y,
            alpha=ALPHA * math.degrees(math.atan2(up, -ahead)),
            beta=BETA * math.degrees(math.asin(right)),
        )
        sequence.set_stop(1)
        made["osp"]["wvls"].set_from_list([[WAVE_NM, 1]])
        made.update_model()

    def bounce(self, point, way):
        """Return where a ray meets the mirror, and its way afterwards."""
        start, toward = self.frame @ (point - self.origin), unit(self.frame @ way)
        start = start + (-BEFORE - start[2]) / toward[2] * toward
        given = np.array([start[0], start[1], 0.0])
        ray, *_ = raytrace.trace(self.sequence, given, toward, WAVE_NM)
        end, after = np.asarray(ray[-1][0]), np.asarray(ray[-1][1])
        end = np.array([end[0], end[1], -BEFORE])
        # The mirror is met where both lines meet.
        run = np.linalg.lstsq(np.c_[toward, -after], end - start, rcond=None)[0]
        there = start + run[0] * toward
        assert np.linalg.norm(there - end - run[1] * after) < 1e-8
        return self.origin + self.frame.T @ there, self.frame.T @ after


class Bench:
    """A Newtonian: the primary's vertex at 0, the sky along z, the focuser along x."""

    def __init__(self, case):
        self.middle, self.normal, self.axes = flat_of(case)
        face = unit([1.0, 0.0, -1.0])
        origin = np.array([0.0, 0.0, HEIGHT])
        across = np.array([0.0, 1.0, 0.0])
        frame = np.array([np.cross(across, -face), across, -face])
        self.flat = Mirror(frame, origin, self.middle - origin, self.normal)
        self.primaries = {}

    def at_flat(self, point, way):
        """Meet the flat: where, the way afterwards, whether within its rim."""
        there, after = self.flat.bounce(point, way)
        off = there - self.middle
        return there, after, math.hypot(off @ self.axes[0], off @ self.axes[1]) <= HALF

    def at_primary(self, point, way, axis=(0.0, 0.0, 1.0)):
        """Meet the primary, whose axis points along `axis` to the sky."""
        key = tuple(axis)
        if key not in self.primaries:
            frame = np.array([[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]])
            zero = np.zeros(3)
            self.primaries[key] = Mirror(frame, zero, zero, axis, curvature=-0.5 / FOCAL)
        return self.primaries[key].bounce(point, way)


def field_seen(bench):
    """The middle of the field seen in the flat: two rays from it, reflected, met backwards."""
    eye = np.array([REACH, 0.0, HEIGHT])
    lines = []
    for aim in (np.array([0.0, 0.3, 0.2]), np.array([0.2, -0.4, -0.3])):
        there, after, _ = bench.at_flat(eye, bench.middle + aim - eye)
        lines.append((there, after))
    (p, u), (q, v) = lines
    run = np.linalg.lstsq(np.c_[u, -v], q - p, rcond=None)[0]
    return p + run[0] * u


def star_without_setting(bench):
    """The star whose chief ray, over vertex and flat, meets the field's middle."""
    eye = np.array([REACH, 0.0, HEIGHT])

    def misses(slopes):
        star = unit([*slopes, 1.0])
        _, after = bench.at_primary(star * 500.0, -star)
        there, out, _ = bench.at_flat(np.zeros(3), after)
        spot = there + (eye[0] - there[0]) / out[0] * out
        return (spot - eye)[1:]

    slopes = np.zeros(2)
    for _ in range(8):
        here = misses(slopes)
        step = 1e-5
        jacobian = np.array([(misses(slopes + step * d) - here) / step for d in np.eye(2)]).T
        slopes = slopes - np.linalg.solve(jacobian, here)
    return slopes


def lit(bench, field):
    """Say of mirror points, row by row: l lit, d dark (the flat is missed), s shaded, or none."""
    axis = unit(field)
    node = (np.arange(GRID) + 0.5) / GRID * 2.0 - 1.0
    rows = ""
    for y in node:
        for x in node:
            if math.hypot(x, y) > 1.0:
                rows += " "
                continue
            place = np.array([x, y, 0.0]) * APERTURE / 2.0
            # Light of the star on the axis, through the vertex's plane at this place.
            there, after = bench.at_primary(place + 500.0 * axis, -axis, axis)
            _, _, met = bench.at_flat(there, after)
            # The star's light on the same line, followed upwards.
            _, _, shaded = bench.at_flat(there, axis)
            rows += "s" if shaded else "l" if met else "d"
    return rows


def over_all(bench):
    """Ways from a hole over flat, primary, flat: slopes, and where they meet each."""
    rows = []
    hole = np.array([0.9 * REACH, 0.0, HEIGHT])
    for right, up in ((0.001, 0.002), (0.02, 0.01), (-0.03, 0.02), (0.01, -0.04), (0.05, 0.05)):
        way = np.array([-1.0, right, up])
        first, down, on_flat = bench.at_flat(hole, way)
        second, back = bench.at_primary(first, down)
        third, out, again = bench.at_flat(second, back)
        rows.append(
            {
                "slopes": [right, up],
                "on_flat": bool(on_flat),
                "primary": second.tolist(),
                "again": bool(again),
                "flat": third.tolist(),
                "out": unit(out).tolist(),
            }
        )
    return rows


def main():
    found = []
    for name, case in CASES.items():
        bench = Bench(case)
        field = field_seen(bench)
        found.append(
            {
                "name": name,
                **case,
                "field": field.tolist(),
                "star_left": star_without_setting(bench).tolist(),
                "light": lit(bench, field),
                "hole": over_all(bench),
            }
        )
        print(name, field, found[-1]["star_left"], found[-1]["light"].count("d"))
    told = {"aperture_mm": APERTURE, "focal_mm": FOCAL, "obstruction": HIDDEN, "grid": GRID}
    told["cases"] = found
    (HERE / "flat.json").write_text(json.dumps(told, indent=1) + "\n", "utf-8")


if __name__ == "__main__":
    main()
