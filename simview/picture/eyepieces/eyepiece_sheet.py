"""The sheet of one eyepiece: its glass with traced light, its spots, the field as seen, figures."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

import numpy as np
from PIL.Image import Image

from simview import budget
from simview.errors import ChoiceError
from simview.eyepiece.field_edge import edge_profile
from simview.eyepiece.lens import Lens
from simview.eyepiece.lensfigures import EyepieceFigures, eyepiece_figures
from simview.eyepiece.lensfile import lens_table, parse_lens
from simview.kit import Kit
from simview.kitfile import kit_text, parse_kit
from simview.picture import captions
from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas, Size, check_lying, unit_of
from simview.picture.drawing.palette import GOOD, INK, LINE, SOFT, WARN, Colour
from simview.picture.drawing.sheet import Area, SheetText
from simview.picture.eyepieces.lens_drawing import draw_lens
from simview.picture.eyepieces.views import colour_weights, field_view, spot_view
from simview.picture.recipe import WHERE, reading
from simview.picture.views.compose import FOOTER, Sheet

# What a pixel of the sheet takes while its spots and its field are computed, bytes. Measured at
# 3840x2160 and 7680x4320.
_BYTES_PER_PIXEL: Final = 38

# Parts of the field's radius whose spots are shown.
SPOT_PARTS: Final = (0.0, 0.5, 0.7, 0.85, 1.0)

# Widths that a spot's panel may have at the eye, arcmin.
_SPOT_WIDTHS: Final = (5.0, 10.0, 20.0, 40.0, 60.0, 90.0, 120.0, 180.0, 300.0)

# Columns in units: drawing and spots; the field; the table.
_LEFT: Final = 850
_MIDDLE: Final = 500
_GAP: Final = 44

# Heights in units: of a heading, and of the drawing.
_HEADING: Final = 40
_DRAWING: Final = 330

# Blur that a sharp eye just notices, arcmin: the usual resolution of 20/20 sight.
NOTICED_ARCMIN: Final = 1.0


def eyepiece(
    kit: Kit,
    layout: Lens,
    *,
    apparent_field_deg: float | None = None,
    size: Size = (1920, 1080),
) -> Sheet:
    """Show what an eyepiece does behind a kit's telescope.

    Parameters
    ----------
    layout
        In mm, see simview.eyepiece.lensfile.
    apparent_field_deg
        Full diameter; None takes the layout's own.

    Raises
    ------
    SimviewError
        For a kit without a telescope, or a layout that does not pass the light.
    """
    check_lying(size)
    figures, power = traced(kit, layout, apparent_field_deg)
    words = SheetText(
        title=f"{figures.lens.title}, {figures.focal_length_mm:.3g} mm",
        subtitle=f"Traced through its glass, behind {captions.instrument(kit)}: "
        f"light of f/{figures.focal_ratio:.3g}, {text.times(power)}",
        caption=_caption(figures),
        footer=FOOTER,
    )
    return Sheet(
        image=draw(figures, power, words, size),
        figures=numbers(figures, power),
        recipe=recipe_of(kit, layout, apparent_field_deg, size),
    )


def traced(
    kit: Kit, layout: Lens, apparent_field_deg: float | None
) -> tuple[EyepieceFigures, float]:
    """Return what an eyepiece does behind a kit's telescope, and its power.

    Raises
    ------
    SimviewError
        As `eyepiece`.
    """
    scope = kit.telescope
    if scope is None:
        raise ChoiceError(
            "kit", got=captions.instrument(kit), allowed="a telescope", remedy="name another kit"
        )
    figures = eyepiece_figures(
        layout,
        None,
        scope.focal_length_mm / scope.working_aperture_mm,
        scope.focal_length_mm,
        apparent_field_deg=apparent_field_deg,
    )
    return figures, scope.focal_length_mm / figures.focal_length_mm


def recipe_of(
    kit: Kit, layout: Lens, apparent_field_deg: float | None, size: Size
) -> dict[str, Any]:
    """Return what makes it again."""
    return {
        "command": "eyepiece",
        "kits": [kit_text(kit)],
        "lens": lens_table(layout),
        "name": layout.name,
        "apparent_field_deg": apparent_field_deg,
        "size": list(size),
    }


def again(given: Mapping[str, Any], *, size: Size | None = None) -> Sheet:
    """Make the sheet again from its recipe.

    Raises
    ------
    SimviewError
        Where the recipe is broken.
    """
    told = read(given)
    return eyepiece(**{**told, "size": size or told["size"]})


def read(recipe: Mapping[str, Any]) -> dict[str, Any]:
    """Read a recipe: what `eyepiece` takes, by name.

    Raises
    ------
    SimviewError
        Where something is missing from it or is not what it should be.
    """
    with reading():
        table, name = dict(recipe["lens"]), str(recipe["name"])
        (words,) = recipe["kits"]
        field = recipe["apparent_field_deg"]
        width, height = (int(side) for side in recipe["size"])
    return {
        "kit": parse_kit(str(words), where=WHERE).kit,
        "layout": parse_lens(table, name=name, where=WHERE),
        "apparent_field_deg": field,
        "size": (width, height),
    }


def numbers(figures: EyepieceFigures, power: float) -> dict[str, Any]:
    """Return the figures for JSON: single ones, and rows over the field."""
    rows = [
        {
            "angle_deg": float(figures.angle_deg[k]),
            "blur_arcmin": float(figures.blur_arcmin[k]),
            "refocused_blur_arcmin": float(figures.refocused_blur_arcmin[k]),
            "tangential_d": float(figures.tangential_d[k]),
            "sagittal_d": float(figures.sagittal_d[k]),
            "lateral_colour_arcmin": float(figures.lateral_colour_arcmin[k]),
            "distortion": float(figures.distortion[k]),
            "pupil_shift_mm": float(figures.pupil_shift_mm[k]),
            "vignetting": float(figures.vignetting[k]),
        }
        for k in range(0, len(figures.angle_deg), 4)
    ]
    objective = figures.objective_mm
    return {
        "design": figures.lens.name,
        "focal_length_mm": figures.focal_length_mm,
        "focal_ratio": figures.focal_ratio,
        "power": power,
        "exit_pupil_mm": figures.exit_pupil_mm,
        "eye_relief_mm": figures.eye_relief_mm,
        "apparent_field_deg": figures.apparent_field_deg,
        "true_field_arcmin": math.degrees(2.0 * math.atan(figures.image_field_mm / 2 / objective))
        * 60.0,
        "field_stop_mm": figures.field_stop_mm,
        "longitudinal_colour_d": figures.longitudinal_colour_d,
        "spherical_waves": figures.spherical_waves,
        "transmission_bare": figures.transmission_bare,
        "transmission_coated": figures.transmission_coated,
        "field": rows,
    }


def draw(figures: EyepieceFigures, power: float, words: SheetText, size: Size) -> Image:
    """Lay the sheet out and draw it."""
    budget.require(
        f"an eyepiece's sheet of {size[0]}x{size[1]} pixels",
        size[0] * size[1] * _BYTES_PER_PIXEL,
        remedy="a smaller --size",
    )
    canvas = Canvas(size)
    sheet.draw_words(canvas, words)
    area, unit = sheet.content_area(size), unit_of(size)
    # Wider sheets leave the columns as they are and share the rest out as space.
    spare = max(0.0, area.width - (1920 - 2 * sheet.MARGIN) * unit) / 2.0
    left = Area(left=area.left, top=area.top, right=area.left + _LEFT * unit, bottom=area.bottom)
    start = left.right + _GAP * unit + spare
    middle = Area(left=start, top=area.top, right=start + _MIDDLE * unit, bottom=area.bottom)
    right = Area(
        left=middle.right + _GAP * unit + spare, top=area.top, right=area.right, bottom=area.bottom
    )
    _draw_glass(canvas, left, figures)
    _draw_spots(canvas, left, figures)
    _draw_field(canvas, middle, figures)
    _draw_chart(canvas, middle, figures)
    _draw_table(canvas, right, figures, power)
    return canvas.image


def _heading(canvas: Canvas, area: Area, top: float, words: str) -> None:
    place = (area.left, top + canvas.px(sheet.HEADING))
    canvas.write_within(place, words, area.width, (sheet.HEADING, 17), weight="bold")


def _draw_glass(canvas: Canvas, area: Area, figures: EyepieceFigures) -> None:
    _heading(canvas, area, area.top, "Light from the telescope (left) to the eye (right)")
    top = area.top + canvas.px(_HEADING)
    inside = Area(left=area.left, top=top, right=area.right, bottom=area.top + canvas.px(_DRAWING))
    draw_lens(canvas, inside, figures)
    base = inside.bottom + canvas.px(24)
    x = area.left
    for words, colour in (("middle of the field", SOFT), ("edge of the field", GOOD)):
        middle = base - 0.36 * canvas.px(sheet.SMALL)
        canvas.stroke([(x, middle), (x + canvas.px(34), middle)], canvas.px(3), colour)
        x += canvas.px(44)
        x += canvas.write((x, base), words, canvas.px(sheet.SMALL), colour=SOFT) + canvas.px(36)


def _draw_spots(canvas: Canvas, area: Area, figures: EyepieceFigures) -> None:
    """Two rows of spots: the eye set for the middle, and set anew for each point."""
    top = area.top + canvas.px(_DRAWING + 46)
    gap = canvas.px(12)
    label = canvas.px(112)
    side = int((area.width - label - 4 * gap) / 5)
    side = min(side, int((area.bottom - top - canvas.px(_HEADING + 34)) / 2 - gap))
    width = spot_width_arcmin(figures)
    head = f"A star's image, each panel {text.figure(width)}′ wide at the eye, edge upwards"
    _heading(canvas, area, top, head)
    for row, words in enumerate(("eye set for the middle", "eye set for this point")):
        y = round(top + canvas.px(_HEADING + 8) + row * (side + gap))
        for k, line in enumerate(text.wrap(words, label - gap, canvas.px(sheet.SMALL))):
            base = y + canvas.px(30) + k * text.line_px(canvas.px(sheet.SMALL))
            canvas.write((area.left, base), line, canvas.px(sheet.SMALL), colour=SOFT)
        for column, part in enumerate(SPOT_PARTS):
            x = round(area.left + label + column * (side + gap))
            angle = part * float(figures.angle_deg[-1])
            canvas.paste(spot_view(figures, angle, side, width, refocus=row == 1), (x, y))
            panel.draw_frame(canvas, (x, y, x + side, y + side), canvas.px(1))
            if row == 1:
                below = f"{text.figure(angle)}°" if part else "middle"
                place = (x + side / 2, y + side + canvas.px(26))
                canvas.write(place, below, canvas.px(sheet.SMALL), colour=SOFT, align="middle")


def spot_width_arcmin(figures: EyepieceFigures) -> float:
    """Return the width of the spots' panels: wide enough for the largest of them."""
    widest = 1.7 * float(figures.blur_arcmin.max())
    widest = max(widest, 2.4 * float(np.abs(figures.lateral_colour_arcmin).max()))
    return next((width for width in _SPOT_WIDTHS if width >= widest), _SPOT_WIDTHS[-1])


def _draw_field(canvas: Canvas, area: Area, figures: EyepieceFigures) -> None:
    _heading(canvas, area, area.top, "A square grid and stars, as seen")
    # A soft edge reaches farther out than the field stop.
    seen_deg = 2.0 * float(edge_profile(figures, colour_weights())[0][-1])
    side = panel.even_px(area.width)
    scale = (side - canvas.px(10)) / seen_deg
    x = round((area.left + area.right) / 2) - side // 2
    canvas.paste(field_view(figures, side, scale), (x, round(area.top + canvas.px(_HEADING + 6))))


def _draw_chart(canvas: Canvas, area: Area, figures: EyepieceFigures) -> None:
    """Draw the blur against the field angle, with what a sharp eye notices."""
    top = area.top + canvas.px(_HEADING + 24) + area.width
    _heading(canvas, area, top, "Blur against distance from the middle")
    left, right = area.left + canvas.px(58), area.right - canvas.px(8)
    upper, lower = top + canvas.px(_HEADING + 18), area.bottom - canvas.px(30)
    most = max(float(figures.blur_arcmin.max()), 2.0)
    high = next(step for step in (2, 5, 10, 20, 30, 60, 120, 300, 1e9) if step >= most)

    def at(angle: float, blur: float) -> tuple[float, float]:
        x = left + (right - left) * angle / float(figures.angle_deg[-1])
        return x, lower - (lower - upper) * min(blur, high) / high

    size = canvas.px(sheet.SMALL)
    for blur in (0.0, high):
        canvas.box((left, at(0, blur)[1], right, at(0, blur)[1] + canvas.px(1)), LINE)
        place = (left - canvas.px(8), at(0, blur)[1] + 0.36 * size)
        canvas.write(place, f"{blur:g}′", size, colour=SOFT, align="right")
    for part in (0.0, 0.5, 1.0):
        angle = part * float(figures.angle_deg[-1])
        place = (at(angle, 0)[0] - (canvas.px(14) if part == 1.0 else 0), lower + canvas.px(26))
        words = f"{text.figure(angle)}°" if part else "0°"
        canvas.write(place, words, size, colour=SOFT, align="middle")
    _curve(canvas, [at(0, NOTICED_ARCMIN), at(figures.angle_deg[-1], NOTICED_ARCMIN)], LINE)
    pairs: tuple[tuple[np.ndarray, Colour, str], ...] = (
        (figures.blur_arcmin, WARN, "eye set for the middle"),
        (figures.refocused_blur_arcmin, INK, "eye set for the point"),
    )
    for row, (values, colour, words) in enumerate(pairs):
        points = [at(a, b) for a, b in zip(figures.angle_deg, values, strict=True)]
        _curve(canvas, points, colour, canvas.px(3))
        base = upper + canvas.px(22) + row * text.line_px(size)
        canvas.stroke(
            [
                (left + canvas.px(14), base - 0.36 * size),
                (left + canvas.px(44), base - 0.36 * size),
            ],
            canvas.px(3),
            colour,
        )
        canvas.write((left + canvas.px(54), base), words, size, colour=SOFT)


def _curve(
    canvas: Canvas, points: list[tuple[float, float]], colour: Colour, width: float = 2.0
) -> None:
    canvas.stroke(points, width, colour)


def _draw_table(canvas: Canvas, area: Area, figures: EyepieceFigures, power: float) -> None:
    edge = -1
    objective = figures.objective_mm
    true = math.degrees(2.0 * math.atan(figures.image_field_mm / 2.0 / objective))
    groups: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
        (
            "The view",
            (
                ("magnification", text.times(power)),
                ("exit pupil", f"{text.figure(figures.exit_pupil_mm)} mm"),
                ("apparent field", f"{text.figure(figures.apparent_field_deg)}°"),
                ("true field", text.angle(true * 3600.0)),
                ("field stop", f"{text.figure(figures.field_stop_mm, 3)} mm"),
                ("eye relief", f"{text.figure(figures.eye_relief_mm)} mm"),
            ),
        ),
        (
            "In the middle",
            (
                ("blur", _arcmin(float(figures.blur_arcmin[0]))),
                ("spherical aberration", f"{figures.spherical_waves:.2f} waves"),
                ("focus, blue − red", f"{text.figure(figures.longitudinal_colour_d)} D"),
            ),
        ),
        (
            "At the edge",
            (
                ("blur", _arcmin(float(figures.blur_arcmin[edge]))),
                ("after refocusing", _arcmin(float(figures.refocused_blur_arcmin[edge]))),
                ("colour, blue − red", _arcmin(float(figures.lateral_colour_arcmin[edge]))),
                ("distortion", f"{text.figure(100.0 * float(figures.distortion[edge]))} %"),
                ("exit pupil nearer by", f"{text.figure(float(figures.pupil_shift_mm[edge]))} mm"),
                ("light past the rims", f"{100.0 * float(figures.vignetting[edge]):.0f} %"),
            ),
        ),
        (
            "Light passed",
            (
                ("bare glass", f"{100.0 * figures.transmission_bare:.0f} %"),
                ("coated", f"{100.0 * figures.transmission_coated:.0f} %"),
            ),
        ),
    )
    y = area.top
    for name, rows in groups:
        _heading(canvas, area, y, name)
        y += canvas.px(_HEADING)
        y += sheet.draw_rows(canvas, rows, (area.left, y), area.width, canvas.px(sheet.BODY))
        y += canvas.px(22)


def _arcmin(value: float) -> str:
    return f"{text.figure(value)}′"


def _caption(figures: EyepieceFigures) -> str:
    layout = figures.lens
    origin = {
        "published": "Layout as published",
        "relations": "Layout by textbook relations",
        "optimised": "Textbook layout, curves from our own optimisation",
        "user": "Layout as given",
    }[layout.origin]
    source = f": {layout.source}" if layout.source else ""
    return (
        "The eyepiece's own part only: no air, no diffraction, a telescope without faults. "
        "Blur: circle at the eye that holds 80 % of a star's light; a sharp eye notices 1′. "
        f"Negative dioptres lie beyond infinity, where no eye can focus. {origin}{source}."
    )
