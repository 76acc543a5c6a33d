"""A lens drawn to scale: glass, field stop, the eye's place, and rays that were traced."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import ImageDraw

from simview.eyepiece.bundle import LINE_C_NM, LINE_D_NM, LINE_F_NM, Setup, start
from simview.eyepiece.lens import AIR, Surface
from simview.eyepiece.lensfigures import EyepieceFigures, stop_plane_mm
from simview.eyepiece.trace import Rays, trace
from simview.glass import index
from simview.picture.drawing.canvas import Canvas
from simview.picture.drawing.palette import GOOD, INK, LINE, SOFT, Colour
from simview.picture.drawing.sheet import SMALL, Area

Floats = NDArray[np.float64]

# Fill of crown and flint, told apart by their shade; flints have an Abbe number below 50 (the usual
# border of the glass catalogues).
CROWN: Final[Colour] = (34, 52, 70)
FLINT: Final[Colour] = (50, 52, 88)
_FLINT_ABBE: Final = 50.0

# Places on the objective's height of the rays that are drawn.
_RAYS: Final = (-1.0, -0.5, 0.0, 0.5, 1.0)

# Lengths of the bars that stand for the field stop and the iris, parts of the focal length.
_STOP_BAR: Final = 0.12
_EYE_BAR: Final = 0.22

# Points on a drawn arc.
_ARC: Final = 41


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """From mm on the lens to pixels on the sheet."""

    left_px: float
    middle_px: float
    first_mm: float
    pixels_per_mm: float

    def at(self, z_mm: float, y_mm: float) -> tuple[float, float]:
        """Return the pixel of a place on the axis and a height above it."""
        return (
            self.left_px + (z_mm - self.first_mm) * self.pixels_per_mm,
            self.middle_px - y_mm * self.pixels_per_mm,
        )


def draw_lens(canvas: Canvas, area: Area, figures: EyepieceFigures) -> None:
    """Draw the lens with light of the middle and of the edge of the field into an area."""
    place = figures.place
    room = Area(
        left=area.left,
        top=area.top,
        right=area.right,
        bottom=area.bottom - canvas.px(SMALL + 10),  # for the words under the bars
    )
    plot = _plot(room, figures)
    for number, corners in enumerate(_elements(place)):
        _fill(canvas, plot, corners, _shade(place, number))
    start_mm, end_mm = plot.first_mm, plot.first_mm + area.width / plot.pixels_per_mm
    for height, colour in ((0.0, SOFT), (float(figures.height_mm[-1]), GOOD)):
        for path in traced_paths(figures, height, start_mm, end_mm):
            points = [plot.at(z, y) for z, y in path]
            canvas.stroke(points, max(1.0, 1.6 * canvas.unit), colour)
    _draw_stop(canvas, plot, figures)
    _draw_eye(canvas, plot, figures)


def traced_paths(
    figures: EyepieceFigures, height_mm: float, first_mm: float, last_mm: float
) -> list[list[tuple[float, float]]]:
    """Return rays in the plane of the drawing as lines of (z, y) in mm, main wavelength."""
    place = figures.place
    begin = start(place, height_mm, 0.0, np.array(_RAYS))
    traced = trace(place.main, begin, record=True)
    points = traced.points
    assert points is not None
    paths = []
    for k in range(len(_RAYS)):
        before = _reach(begin, k, min(first_mm, float(points[0, 2, 0, k])))
        inside = [(float(p[2, 0, k]), float(p[1, 0, k])) for p in points]
        behind = _reach(traced.rays, k, last_mm)
        paths.append([before, *inside, behind])
    return paths


def _reach(rays: Rays, k: int, z_mm: float) -> tuple[float, float]:
    y = rays.at_plane(z_mm)[1]
    return z_mm, float(y[0, k])


def _plot(area: Area, figures: EyepieceFigures) -> Plot:
    """Scale the drawing so that lens, stop, focus and eye fit."""
    place = figures.place
    last = float(place.main.vertex_mm[-1])
    focal = figures.focal_length_mm
    bars = figures.field_stop_mm + 2.0 * _STOP_BAR * focal
    iris = figures.exit_pupil_mm + 2.0 * _EYE_BAR * focal
    tallest = 1.04 * max(bars, iris, *(s.clear_mm for s in place.lens.surfaces))
    first = min(0.0, place.focus_mm, stop_plane_mm(place)) - 0.35 * focal
    end = max(last, place.eye_mm) + 0.45 * focal
    scale = min(area.width / (end - first), area.height / tallest)
    spare = area.width / scale - (end - first)
    return Plot(
        left_px=area.left,
        middle_px=(area.top + area.bottom) / 2.0,
        first_mm=first - spare / 2.0,
        pixels_per_mm=scale,
    )


def _elements(place: Setup) -> list[list[tuple[float, float]]]:
    """Return the outline of each piece of glass in mm, from its first surface on."""
    outlines = []
    vertices = place.main.vertex_mm
    surfaces = place.lens.surfaces
    for k, surface in enumerate(surfaces[:-1]):
        if surface.glass == AIR:
            continue
        front = _arc(surface, float(vertices[k]))
        back = _arc(surfaces[k + 1], float(vertices[k + 1]))
        rim = max(surface.clear_mm, surfaces[k + 1].clear_mm) / 2.0
        corners = [(front[-1][0], rim), (back[-1][0], rim)]
        below = [(back[0][0], -rim), (front[0][0], -rim)]
        outlines.append([*front, *corners, *reversed(back), *below])
    return outlines


def _arc(surface: Surface, vertex_mm: float) -> list[tuple[float, float]]:
    y = np.linspace(-0.5, 0.5, _ARC) * surface.clear_mm
    c = surface.curvature
    sag = c * y * y / (1.0 + np.sqrt(np.maximum(1.0 - (c * y) ** 2, 0.0)))
    return [(vertex_mm + float(s), float(h)) for s, h in zip(sag, y, strict=True)]


def _shade(place: Setup, number: int) -> Colour:
    glass = [s.glass for s in place.lens.surfaces if s.glass != AIR][number]
    n_d, n_f, n_c = (index(glass, line) for line in (LINE_D_NM, LINE_F_NM, LINE_C_NM))
    return FLINT if (n_d - 1.0) / (n_f - n_c) < _FLINT_ABBE else CROWN


def _fill(canvas: Canvas, plot: Plot, corners: list[tuple[float, float]], colour: Colour) -> None:
    points = [plot.at(z, y) for z, y in corners]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    box = (min(xs) - 2, min(ys) - 2, max(xs) + 2, max(ys) + 2)

    def paint(draw: ImageDraw.ImageDraw, at: Callable[[float, float], tuple[float, float]]) -> None:
        draw.polygon([at(*p) for p in points], fill=255)

    canvas.shape(box, colour, paint)
    canvas.stroke([*points, points[0]], max(1.0, 1.2 * canvas.unit), LINE)


def _draw_stop(canvas: Canvas, plot: Plot, figures: EyepieceFigures) -> None:
    """Draw the ring that bounds the field as two bars, with its name."""
    plane, radius = stop_plane_mm(figures.place), figures.field_stop_mm / 2.0
    length = _STOP_BAR * figures.focal_length_mm
    width = max(3.0, 5.0 * canvas.unit)
    for side in (1.0, -1.0):
        ends = [plot.at(plane, side * radius), plot.at(plane, side * (radius + length))]
        canvas.stroke(ends, width, INK)
    x, y = plot.at(plane, -(radius + length))
    base = y + canvas.px(SMALL + 4)
    canvas.write((x, base), "field stop", canvas.px(SMALL), colour=SOFT, align="middle")


def _draw_eye(canvas: Canvas, plot: Plot, figures: EyepieceFigures) -> None:
    """Draw where the eye's pupil belongs: an iris around the exit pupil."""
    plane, radius = figures.place.eye_mm, figures.exit_pupil_mm / 2.0
    gap = max(radius, 0.03 * figures.focal_length_mm)
    length = _EYE_BAR * figures.focal_length_mm
    for side in (1.0, -1.0):
        ends = [plot.at(plane, side * gap), plot.at(plane, side * (gap + length))]
        canvas.stroke(ends, max(3.0, 5.0 * canvas.unit), INK)
    x, y = plot.at(plane, -(gap + length))
    base = y + canvas.px(SMALL + 4)
    canvas.write((x, base), "eye", canvas.px(SMALL), colour=SOFT, align="middle")
