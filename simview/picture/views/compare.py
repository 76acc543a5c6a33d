"""Side by side: several kits or eyepieces on one object, all at one apparent scale.

Where the object is small in its views, each view has a close-up: the same patch of sky, cut out of
every view and printed at one size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL.Image import Image

from simview.errors import RangeError
from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Align, Canvas
from simview.picture.drawing.palette import LINE, SOFT, WARN
from simview.picture.drawing.sheet import SheetText
from simview.picture.drawing.tongue import say
from simview.picture.views import abreast
from simview.picture.views.compare_layout import (
    BESIDE_GAP,
    GUTTER,
    HEAD,
    PAIR_GAP,
    STRIP,
    TABLE_GAP,
    TABLE_MOST,
    CompareGeometry,
    compare_geometry,
    spare_px,
)
from simview.power.words import ground
from simview.scene.scene import TargetKind

__all__ = ["CompareGeometry", "CompareItem", "compare_geometry", "draw_compare"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareItem:
    """One view of a comparison.

    Parameters
    ----------
    power
        Times.
    name
        The kit: "114 mm tabletop reflector".
    label
        The eyepiece, or anything else that tells views apart.
    seen
        (n, n, 3) sRGB of the whole field, n from the geometry.
    rows
        Figures: (name, value).
    empty
        True where the power is empty magnification.
    patch
        (m, m, 3) sRGB of the object's patch, m from the geometry; None without close-ups.
    heading
        Written large instead of the power, where a panel is no look through a telescope.
    """

    power: float
    name: str
    label: str
    seen: NDArray[np.uint8]
    rows: tuple[tuple[str, str], ...] = ()
    empty: bool = False
    patch: NDArray[np.uint8] | None = None
    heading: str = ""


def draw_compare(
    geometry: CompareGeometry,
    words: SheetText,
    items: Sequence[CompareItem],
    *,
    patch_arcsec: float = 0.0,
    kind: TargetKind = "planet",
) -> Image:
    """Draw a comparison.

    Parameters
    ----------
    patch_arcsec
        True angle across every close-up, where there are any.
    kind
        What stands in the views.

    Raises
    ------
    SimviewError
        Where a picture has not the size that the geometry asks for.
    """
    if len(items) != len(geometry.fields_deg):
        raise RangeError(
            "items", got=len(items), allowed=f"{len(geometry.fields_deg)}, as in the geometry"
        )
    for item, side in zip(items, geometry.seen_px, strict=True):
        sheet.check_view(item.seen, side, "seen")
        if geometry.patch_px:
            none = np.zeros((0, 0, 3), np.uint8)
            sheet.check_view(none if item.patch is None else item.patch, geometry.patch_px, "patch")
    canvas = Canvas(geometry.size)
    sheet.draw_words(canvas, words, pixels_per_degree=geometry.pixels_per_degree)
    if geometry.across is not None:
        lines = [
            _line(item, diameter)
            for item, diameter in zip(items, geometry.diameters_px, strict=True)
        ]
        what = ground(kind)
        abreast.draw(canvas, geometry.across, lines, patch_arcsec=patch_arcsec, what=what)
        return canvas.image
    area = sheet.content_area(geometry.size)
    pitch = tuple(side + GUTTER * canvas.unit for side in geometry.cell_px)
    place = {"stacked": _draw_stacked, "beside": _draw_beside}.get(geometry.way, _draw_with_patch)
    top = area.top + 0.35 * spare_px(geometry, max(len(item.rows) for item in items))
    for index, item in enumerate(items):
        line, column = divmod(index, geometry.columns)
        corner = (area.left + column * pitch[0], top + line * pitch[1])
        place(canvas, geometry, item, geometry.diameters_px[index], corner)
    if geometry.patch_px:
        top += _patch_heading_px(canvas, geometry)
        where = (
            say("right of each view")
            if geometry.way == "pairs"
            else say("cut from each view above")
        )
        what = ground(kind)
        sheet.draw_patch_heading(
            canvas, geometry.patch_px, patch_arcsec, top, where=where, what=what
        )
    return canvas.image


def _line(item: CompareItem, diameter_px: float) -> abreast.Line:
    assert item.patch is not None
    return abreast.Line(
        seen=item.seen,
        diameter_px=diameter_px,
        patch=item.patch,
        power=item.heading or text.times(item.power),
        label=item.label,
        name=item.name,
        colour=WARN if item.empty else LINE,
        empty=item.empty,
        rows=item.rows,
    )


def _patch_heading_px(canvas: Canvas, geometry: CompareGeometry) -> float:
    """Return where the heading of the close-ups begins, from the top of the cells."""
    largest = max(geometry.diameters_px)
    return canvas.px(HEAD) + max(largest, geometry.patch_px if geometry.way == "pairs" else 0.0)


def _draw_with_patch(
    canvas: Canvas,
    geometry: CompareGeometry,
    item: CompareItem,
    diameter: float,
    corner: tuple[float, float],
) -> None:
    """Draw one cell with its close-up: words, view, patch, figures."""
    width, side = geometry.cell_px[0], geometry.patch_px
    largest = max(geometry.diameters_px)
    _draw_names(canvas, item, (corner[0] + width / 2.0, corner[1]), width)
    top, below = corner[1] + canvas.px(HEAD), corner[1] + _patch_heading_px(canvas, geometry)
    below += canvas.px(STRIP)
    table = min(width, TABLE_MOST * canvas.unit)
    if geometry.way == "pairs":
        gap = canvas.px(PAIR_GAP)
        x = corner[0] + (width - largest - gap - side) / 2.0
        centre, patch = (x + largest / 2.0, top + largest / 2.0), (x + largest + gap, top)
        figures = (corner[0] + (width - table) / 2.0, below)
    else:
        centre = (corner[0] + width / 2.0, top + largest / 2.0)
        gap = canvas.px(BESIDE_GAP)
        if geometry.way == "rows":
            patch = (corner[0] + (width - side) / 2.0, below)
            figures = (corner[0] + (width - table) / 2.0, below + side + canvas.px(TABLE_GAP))
        else:
            table = min(width - side - gap, canvas.px(TABLE_MOST))
            patch = (corner[0] + (width - side - gap - table) / 2.0, below)
            figures = (patch[0] + side + gap, below)
    panel.place_field(canvas, item.seen, diameter, centre)
    if item.patch is not None:
        _draw_patch(canvas, item.patch, patch, empty=item.empty)
    sheet.draw_rows(canvas, item.rows, figures, table, canvas.px(sheet.BODY))


def _draw_patch(
    canvas: Canvas, patch: NDArray[np.uint8], corner: tuple[float, float], *, empty: bool
) -> None:
    x, y = (round(c) for c in corner)
    canvas.paste(patch, (x, y))
    ends = (x, y, x + patch.shape[1], y + patch.shape[0])
    panel.draw_frame(canvas, ends, canvas.px(3), WARN if empty else LINE, dashed=empty)


def _draw_stacked(
    canvas: Canvas,
    geometry: CompareGeometry,
    item: CompareItem,
    diameter: float,
    corner: tuple[float, float],
) -> None:
    """Draw one cell with its words above the view and its figures below."""
    width = geometry.cell_px[0]
    centre, largest = corner[0] + width / 2.0, max(geometry.diameters_px)
    _draw_names(canvas, item, (centre, corner[1]), width)
    top = corner[1] + canvas.px(HEAD)
    panel.place_field(canvas, item.seen, diameter, (centre, top + largest / 2.0))
    table = min(width, TABLE_MOST * canvas.unit)
    place = (centre - table / 2.0, top + largest + canvas.px(TABLE_GAP))
    sheet.draw_rows(canvas, item.rows, place, table, canvas.px(sheet.BODY))


def _draw_beside(
    canvas: Canvas,
    geometry: CompareGeometry,
    item: CompareItem,
    diameter: float,
    corner: tuple[float, float],
) -> None:
    """Draw one cell with all its words to the right of the view."""
    width, height = geometry.cell_px
    largest = max(geometry.diameters_px)
    ring = panel.ring_px(largest)
    centre = (corner[0] + largest / 2.0 + ring, corner[1] + height / 2.0)
    panel.place_field(canvas, item.seen, diameter, centre)
    x = corner[0] + largest + 2.0 * ring + BESIDE_GAP * canvas.unit
    room = min(corner[0] + width - x, TABLE_MOST * canvas.unit)
    size = canvas.px(25)
    lines = text.wrap(item.name, room, size, "bold")
    lines = [*lines[:2], text.cut(" ".join(lines[2:]), room, size, "bold")][: len(lines)]
    body = canvas.px(sheet.BODY)
    tall = len(lines) * text.line_px(size) + canvas.px(116) + len(item.rows) * sheet.ROW_STEP * body
    y = centre[1] - tall / 2.0
    for line in lines:
        y += text.line_px(size)
        canvas.write((x, y - 0.3 * size), line, size, weight="bold")
    _draw_power(canvas, item, (x, y + canvas.px(52)), "left")
    label = (x, y + canvas.px(84))
    canvas.write_within(label, item.label, room, (sheet.SMALL, sheet.LEAST), colour=SOFT)
    sheet.draw_rows(canvas, item.rows, (x, y + canvas.px(104)), room, body)


def _draw_names(canvas: Canvas, item: CompareItem, place: tuple[float, float], room: float) -> None:
    """Write kit, power and label above a view, centred; a long name on two lines."""
    x, top = place
    size = canvas.px(26)
    lines = text.wrap(item.name, room, size, "bold")
    if len(lines) > 1:
        size = canvas.px(sheet.SMALL)
        lines = text.wrap(item.name, room, size, "bold")
        lines = [lines[0], text.cut(" ".join(lines[1:]), room, size, "bold")][: len(lines)]
    for index, line in enumerate(reversed(lines)):
        base = top + canvas.px(40 if len(lines) > 1 else 34) - index * text.line_px(size)
        canvas.write((x, base), line, size, weight="bold", align="middle")
    _draw_power(canvas, item, (x, top + canvas.px(92)), "middle")
    label = (x, top + canvas.px(122))
    canvas.write_within(
        label, item.label, room, (sheet.SMALL, sheet.LEAST), colour=SOFT, align="middle"
    )


def _draw_power(
    canvas: Canvas, item: CompareItem, place: tuple[float, float], align: Align
) -> None:
    """Write the power, large; with mark and word where it is empty."""
    size, small, radius = canvas.px(sheet.POWER), canvas.px(sheet.SMALL), canvas.px(13)
    power, gap = item.heading or text.times(item.power), canvas.px(11)
    length = text.width_px(power, size, "bold")
    more = (
        2 * (gap + radius) + gap + text.width_px(say("empty"), small, "bold") if item.empty else 0.0
    )
    x, base = place
    if align == "middle":
        x -= (length + more) / 2.0
    canvas.write((x, base), power, size, weight="bold")
    if item.empty:
        middle = base - 0.36 * size
        panel.draw_empty_mark(canvas, x + length + gap + radius, middle, radius)
        words = (x + length + 2 * (gap + radius), middle + 0.36 * small)
        canvas.write(words, say("empty"), small, colour=WARN, weight="bold")
