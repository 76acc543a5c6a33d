"""What the sheet of an eyepiece says, settled before it is drawn.

The sheet, the slide, a table and JSON each show these records and decide nothing of their own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview.errors import ChoiceError
from simview.eyepiece.field_edge import edge_profile
from simview.eyepiece.lens import Lens
from simview.eyepiece.lensfigures import EyepieceFigures, eyepiece_figures
from simview.eyepiece.lensfile import lens_table, parse_lens
from simview.kit import Kit
from simview.kitfile import kit_text, parse_kit
from simview.picture import captions
from simview.picture.drawing import text
from simview.picture.drawing.canvas import Size
from simview.picture.drawing.sheet import SheetText
from simview.picture.eyepieces.views import colour_weights
from simview.picture.finished import FOOTER, Told
from simview.picture.recipe import WHERE, reading

# Parts of the field's radius whose spots are shown.
SPOT_PARTS: Final = (0.0, 0.5, 0.7, 0.85, 1.0)

# Widths that a spot's panel may have at the eye, arcmin.
_SPOT_WIDTHS: Final = (5.0, 10.0, 20.0, 40.0, 60.0, 90.0, 120.0, 180.0, 300.0)

# Blur that a sharp eye just notices, arcmin: the usual resolution of 20/20 sight.
NOTICED_ARCMIN: Final = 1.0

# How high a chart of blur may be, arcmin, and how high it is at the least.
_CHARTS: Final = (2, 5, 10, 20, 30, 60, 120, 300, 1e9)
_LEAST_CHART: Final = 2.0

Rows = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place in the field whose star is shown: ``Spot(angle_deg=12.0, label="12°")``."""

    angle_deg: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BlurCurve:
    """Blur against distance from the middle.

    Parameters
    ----------
    says
        How the eye is set.
    blur_arcmin
        At the chart's angles.
    kind
        "set once" for the middle, or "set anew" for each place.
    """

    says: str
    blur_arcmin: NDArray[np.float64]
    kind: Literal["set once", "set anew"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BlurChart:
    """Two curves of blur, with what stands along their axes.

    Parameters
    ----------
    heading
        Above it.
    angle_deg
        From the middle to the edge, for all curves.
    high_arcmin
        Where the chart ends.
    noticed_arcmin
        What a sharp eye just notices.
    along, up
        Marks: a place along the axis, in its unit, and its words.
    curves
        In the order in which they are named.
    """

    heading: str
    angle_deg: NDArray[np.float64]
    high_arcmin: float
    noticed_arcmin: float
    along: tuple[tuple[float, str], ...]
    up: tuple[tuple[float, str], ...]
    curves: tuple[BlurCurve, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EyepieceContents:
    """All that the sheet of an eyepiece holds, before it is drawn.

    Parameters
    ----------
    figures
        What its glass does; drawings and spots are made from it.
    words
        Title, subtitle, caption, footer.
    rays_heading, bundles
        Above the drawing of its glass; what its two bundles of light are.
    spots_heading, spot_rows, spots, spot_width_arcmin
        Above the spots; how the eye is set in their rows; where they are; how wide each is.
    field_heading, seen_deg
        Above the field; how much of it is drawn, full angle.
    chart
        Blur against distance from the middle.
    groups
        The table: a heading, and rows of names and values.
    numbers
        For JSON, for tables and for the picture's metadata.
    recipe
        What makes it again, but for its size.
    """

    figures: EyepieceFigures
    words: SheetText
    rays_heading: str
    bundles: tuple[str, str]
    spots_heading: str
    spot_rows: tuple[str, str]
    spots: tuple[Spot, ...]
    spot_width_arcmin: float
    field_heading: str
    seen_deg: float
    chart: BlurChart
    groups: tuple[tuple[str, Rows], ...]
    numbers: Mapping[str, Any]
    recipe: Mapping[str, Any]

    def told(self, size: Size = (1920, 1080)) -> Told:
        """Return what is said of it whether or not it is drawn: figures and recipe."""
        return Told(figures=dict(self.numbers), recipe={**self.recipe, "size": list(size)})


def judge_eyepiece(
    kit: Kit, layout: Lens, *, apparent_field_deg: float | None = None
) -> EyepieceContents:
    """Trace an eyepiece behind a kit's telescope, and put into words what it does.

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
    figures, power = traced(kit, layout, apparent_field_deg)
    width = spot_width_arcmin(figures)
    edge = float(figures.angle_deg[-1])
    return EyepieceContents(
        figures=figures,
        words=SheetText(
            title=f"{figures.lens.title}, {figures.focal_length_mm:.3g} mm",
            subtitle=f"Traced through its glass, behind {captions.instrument(kit)}: "
            f"light of f/{figures.focal_ratio:.3g}, {text.times(power)}",
            caption=_caption(figures),
            footer=FOOTER,
        ),
        rays_heading="Light from the telescope (left) to the eye (right)",
        bundles=("middle of the field", "edge of the field"),
        spots_heading=f"A star's image, each panel {text.figure(width)}′ wide at the eye, "
        "edge upwards",
        spot_rows=("eye set for the middle", "eye set for this point"),
        spots=tuple(
            Spot(angle_deg=part * edge, label=f"{text.figure(part * edge)}°" if part else "middle")
            for part in SPOT_PARTS
        ),
        spot_width_arcmin=width,
        field_heading="A square grid and stars, as seen",
        seen_deg=seen_deg(figures),
        chart=_chart(figures),
        groups=_groups(figures, power),
        numbers=numbers(figures, power),
        recipe=recipe_of(kit, layout, apparent_field_deg),
    )


def seen_deg(figures: EyepieceFigures) -> float:
    """Return the full angle that is seen: a soft edge reaches farther out than the field stop."""
    return 2.0 * float(edge_profile(figures, colour_weights())[0][-1])


def _chart(figures: EyepieceFigures) -> BlurChart:
    most = max(float(figures.blur_arcmin.max()), _LEAST_CHART)
    high = float(next(step for step in _CHARTS if step >= most))
    edge = float(figures.angle_deg[-1])
    return BlurChart(
        heading="Blur against distance from the middle",
        angle_deg=figures.angle_deg,
        high_arcmin=high,
        noticed_arcmin=NOTICED_ARCMIN,
        along=tuple(
            (part * edge, f"{text.figure(part * edge)}°" if part else "0°")
            for part in (0.0, 0.5, 1.0)
        ),
        up=tuple((blur, f"{blur:g}′") for blur in (0.0, high)),
        curves=(
            BlurCurve(
                says="eye set for the middle", blur_arcmin=figures.blur_arcmin, kind="set once"
            ),
            BlurCurve(
                says="eye set for the point",
                blur_arcmin=figures.refocused_blur_arcmin,
                kind="set anew",
            ),
        ),
    )


def traced(
    kit: Kit, layout: Lens, apparent_field_deg: float | None
) -> tuple[EyepieceFigures, float]:
    """Return what an eyepiece does behind a kit's telescope, and its power.

    Raises
    ------
    SimviewError
        As `judge_eyepiece`.
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


def recipe_of(kit: Kit, layout: Lens, apparent_field_deg: float | None) -> dict[str, Any]:
    """Return what makes it again, but for its size."""
    return {
        "command": "eyepiece",
        "kits": [kit_text(kit)],
        "lens": lens_table(layout),
        "name": layout.name,
        "apparent_field_deg": apparent_field_deg,
    }


def read(recipe: Mapping[str, Any]) -> dict[str, Any]:
    """Read a recipe: what the sheet is made from, by name.

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


def spot_width_arcmin(figures: EyepieceFigures) -> float:
    """Return the width of the spots' panels: wide enough for the largest of them."""
    widest = 1.7 * float(figures.blur_arcmin.max())
    widest = max(widest, 2.4 * float(np.abs(figures.lateral_colour_arcmin).max()))
    return next((width for width in _SPOT_WIDTHS if width >= widest), _SPOT_WIDTHS[-1])


def _groups(figures: EyepieceFigures, power: float) -> tuple[tuple[str, Rows], ...]:
    """Return the table of figures, group by group."""
    edge = -1
    objective = figures.objective_mm
    true = math.degrees(2.0 * math.atan(figures.image_field_mm / 2.0 / objective))
    return (
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
