"""The sheet on collimation: what each screw does to a star out of focus, and when to stop."""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import FitError, require_range
from simview.kit import Kit, Telescope
from simview.kitfile import kit_text, parse_kit
from simview.picture.collimation.mirror_back import (
    AnyScrews,
    draw_focuser,
    draw_mirror,
    turn_words,
)
from simview.picture.collimation.words import (
    matters_heading,
    sentences_for,
    sheet_text,
    told_heading,
)
from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas, Size, check_lying
from simview.picture.drawing.palette import GOOD, INK, LINE, SOFT, WARN
from simview.picture.drawing.sheet import Area
from simview.picture.prints.printing import Progress
from simview.picture.recipe import WHERE, reading
from simview.picture.startest.images import Star
from simview.picture.startest.patterns import telescope_of
from simview.picture.startest.starlight import printed, star_colour, white_level
from simview.picture.views.compose import Sheet
from simview.telescope.coma import coma_tolerance_mm
from simview.telescope.faults import apply_faults
from simview.telescope.flat_screws import FlatScrews
from simview.telescope.pupil import mask
from simview.telescope.quality import strehl
from simview.telescope.screws import NAMES, Screws
from simview.telescope.stop import Stop, stop_for

Print = NDArray[np.uint8]

# Parts of a turn that a sheet may step by.
_STEPS: Final = (1 / 128, 1 / 64, 1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0, 2.0, 4.0, 8.0)

# The outermost panels stand this many tolerances off, about. A choice: a lean that is plain.
_STRONG: Final = 4.0

# How far off is near enough: panels at these tolerances.
MATTERS: Final = (0.0, 1.0, 2.0, 4.0)

# Coma and the moved shadow must not cancel: what is left of coma's lean at the least. A choice:
# below it nobody would see to which side the dark middle leans.
_LEAST_LEAN: Final = 0.35

# Focal ratios whose tolerance is told besides.
ELSEWHERE: Final = (4, 5, 6, 8)

# Samples across a pupil whose light is counted; grey edges make it exact.
_LIGHT_SAMPLES: Final = 128

# Columns in units, and lengths of the grid.
_LEFT: Final = 560
_GAP: Final = 56
_ICON: Final = 190
_PANEL_GAP: Final = 12
_HEADING: Final = 40
_LABEL: Final = 32
_MATTERS_LABEL: Final = 62

# Letters above a panel that stay within the sheet.
_LONG_LABEL: Final = 15
_BETWEEN: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Collimation:
    """What is asked for.

    Parameters
    ----------
    kit
        With mirrors; its own faults stay in.
    screws
        Behind its primary, or before its secondary.
    travel_waves
        Where the star is looked at, waves of defocus; positive is outside focus, 1 to 20 to
        either side.
    colour
        Of the light.
    """

    kit: Kit
    screws: AnyScrews
    travel_waves: float = 5.0
    colour: str = "white"

    def __post_init__(self) -> None:
        require_range("--travel", abs(self.travel_waves), 1.0, 20.0, unit="waves to either side")
        star_colour(self.colour)
        if abs(self.lean) < _LEAST_LEAN:
            raise FitError(
                "--travel",
                got=f"{self.travel_waves:g} waves",
                allowed="distances at which the dark middle leans; so far inside focus coma and "
                "the moved shadow cancel in this telescope",
                remedy=f"look outside focus: --travel {abs(self.travel_waves):g}",
            )

    @property
    def lean(self) -> float:
        """How far the dark middle leans towards the mirror's axis, against what coma alone does.

        Negative inside focus in slow telescopes: there it leans to the other side. A flat's shadow
        alone leans to the side of the star's way outside focus, to the other one inside.
        """
        if isinstance(self.screws, FlatScrews):
            return -1.0 if self.travel_waves > 0.0 else 1.0
        return 1.0 + self.screws.shadow_against_coma(self.travel_waves)

    @property
    def scope(self) -> Telescope:
        """The kit's telescope."""
        return telescope_of(self.kit)

    def step_turns(self) -> float:
        """Return the part of a turn from panel to panel."""
        wanted = _STRONG / 2.0 * self.screws.tolerance_turns
        return min(_STEPS, key=lambda step: abs(np.log(step / wanted)))

    def first_turns(self) -> float:
        """Return the part of a turn to begin with: about twice the tolerance."""
        wanted = 2.0 * self.screws.tolerance_turns
        return min(_STEPS, key=lambda step: abs(np.log(step / wanted)))

    @property
    def way(self) -> str:
        """Where the right screw sends the star."""
        return "away from that side" if self.lean > 0.0 else "to that same side"

    def off_by(self, part: float) -> complex:
        """Return the tilt of the bottom row's picture at so many tolerances: the lean to the right.

        A flat's picture leans across the way to the focuser, where its edge cuts neither first
        nor last.
        """
        tilt = complex(-part * self.screws.tolerance_arcmin)
        if isinstance(self.screws, FlatScrews):
            tilt *= 1j * cmath.rect(1.0, math.radians(self.screws.focuser_deg))
        return tilt

    def star(self, tilt: complex) -> Star:
        """Return the star of a mirror that leans by `tilt` (arcmin), kept in the middle."""
        found = apply_faults(self.scope, (self.screws.fault(tilt),), layout=self.kit.layout)
        light = star_colour(self.colour, defocus_waves=self.travel_waves)
        return Star(scope=found.scope, extras=found.extras, light=light)

    def picture(self, tilt: complex, pixels: int) -> Print:
        """Return a star out of focus, printed."""
        star = self.star(tilt)
        width = (8.0 * abs(self.travel_waves) + 16.0) * star.unit_arcsec
        image = star.images((self.travel_waves,), width / pixels, pixels)[0]
        return printed(image, white_level(image[..., 1]))


def collimation(
    kit: Kit,
    *,
    circle_mm: float | None = None,
    pitch_mm: float | None = None,
    first_deg: float = 90.0,
    travel_waves: float | None = None,
    colour: str = "white",
    focuser_deg: float | None = None,
) -> Collimation:
    """Return a collimation for a kit; what is left out is as usual.

    Parameters
    ----------
    focuser_deg
        Where a Newtonian's focuser stands, anticlockwise from the right: the screws are then its
        secondary's. None for the screws that collimate.
    travel_waves
        None for 5 outside focus; 10 for a secondary's shadow, which stands out farther off.
    """
    if travel_waves is None:
        travel_waves = 5.0 if focuser_deg is None else 10.0
    how: dict[str, Any] = {
        "scope": telescope_of(kit),
        "circle_mm": circle_mm,
        "pitch_mm": pitch_mm,
        "first_deg": first_deg,
        "layout": kit.layout,
    }
    screws: AnyScrews = (
        Screws(**how) if focuser_deg is None else FlatScrews(**how, focuser_deg=focuser_deg)
    )
    return Collimation(kit=kit, screws=screws, travel_waves=travel_waves, colour=colour)


def collimate(
    asked: Collimation, *, size: Size = (1920, 1080), progress: Progress | None = None
) -> Sheet:
    """Draw the sheet.

    Raises
    ------
    SimviewError
        For a size that sheets cannot have.
    """
    canvas = Canvas(check_lying(size))
    sheet.draw_words(canvas, sheet_text(asked.kit, asked.screws, asked.travel_waves))
    area = sheet.content_area(size)
    left = Area(
        left=area.left, top=area.top, right=area.left + canvas.px(_LEFT), bottom=area.bottom
    )
    right = Area(
        left=left.right + canvas.px(_GAP), top=area.top, right=area.right, bottom=area.bottom
    )
    tell = progress or (lambda _part, _words: None)
    _draw_told(canvas, left, asked)
    side = _side(canvas, right)
    _draw_turns(canvas, right, asked, side, tell)
    figures = _draw_matters(canvas, right, asked, side)
    tell(1.0, "done")
    return Sheet(image=canvas.image, figures=figures, recipe=recipe(asked, size))


def recipe(asked: Collimation, size: Size) -> dict[str, Any]:
    """Return what makes the sheet again."""
    screws = asked.screws
    flat = {"focuser_deg": screws.focuser_deg} if isinstance(screws, FlatScrews) else {}
    return {
        "command": "collimate",
        **flat,
        "kits": [kit_text(asked.kit)],
        "circle_mm": asked.screws.circle_mm,
        "pitch_mm": asked.screws.pitch_mm,
        "first_deg": asked.screws.first_deg,
        "travel_waves": asked.travel_waves,
        "colour": asked.colour,
        "size": list(size),
    }


def again(given: Mapping[str, Any], *, size: Size | None = None) -> Sheet:
    """Make the sheet again from its recipe.

    Raises
    ------
    SimviewError
        Where the recipe is broken.
    """
    asked, drawn = read(given)
    return collimate(asked, size=size or drawn)


def read(given: Mapping[str, Any]) -> tuple[Collimation, Size]:
    """Read a recipe.

    Raises
    ------
    SimviewError
        Where something is missing from it or is not what it should be.
    """
    with reading():
        (words,) = given["kits"]
        width, height = (int(side) for side in given["size"])
        keys = ("circle_mm", "pitch_mm", "first_deg", "travel_waves")
        further = {key: given[key] for key in keys}
        if given.get("focuser_deg") is not None:
            further["focuser_deg"] = given["focuser_deg"]
        if not all(isinstance(value, int | float) for value in further.values()):
            raise TypeError("number")
        colour = str(given["colour"])
    kit = parse_kit(str(words), where=WHERE).kit
    return collimation(kit, colour=colour, **further), (width, height)


def figures(asked: Collimation) -> dict[str, Any]:
    """Return the figures for JSON."""
    screws = asked.screws
    rows = []
    for part in MATTERS:
        tilt = asked.off_by(part)
        found = apply_faults(asked.scope, (screws.fault(tilt),), layout=asked.kit.layout)
        rows.append(
            {
                "off_mm": screws.off_mm(tilt),
                "off_arcmin": abs(tilt),
                "turns": abs(tilt) / screws.turn_arcmin,
                "strehl": strehl(found.scope, extras=found.extras),
                **_of_these(screws, tilt, stop_for(found.scope, extras=found.extras)),
            }
        )
    return {
        "mirror": "secondary" if screws.before_secondary else "primary",
        "focal_ratio": asked.scope.focal_ratio,
        "tolerance_mm": screws.tolerance_mm,
        "tolerance_arcmin": screws.tolerance_arcmin,
        "tolerance_turns": screws.tolerance_turns,
        "turn_arcmin": screws.turn_arcmin,
        "screw_circle_mm": screws.circle_mm,
        "screw_pitch_mm": screws.pitch_mm,
        "rows": rows,
    }


def _of_these(screws: AnyScrews, tilt: complex, stop: Stop) -> dict[str, float]:
    """Return what is told of the one kind of screws only."""
    if not isinstance(screws, FlatScrews):
        return {"coma_waves": screws.coma_waves(tilt)}
    whole = mask(replace(stop.shape, lit_radius=0.0), _LIGHT_SAMPLES).sum()
    return {"light_lost": float(1.0 - mask(stop.shape, _LIGHT_SAMPLES).sum() / whole)}


def _heading(canvas: Canvas, area: Area, top: float, words: str) -> None:
    place = (area.left, top + canvas.px(24))
    canvas.write_within(place, words, area.width, (sheet.HEADING, 17), weight="bold")


def sentences(asked: Collimation) -> tuple[tuple[str, str], ...]:
    """Return what to do, three sentences with the word that leads each."""
    return sentences_for(asked.screws, asked.way, asked.first_turns())


def _draw_told(canvas: Canvas, area: Area, asked: Collimation) -> None:
    """Draw the mirror from behind, and what to do."""
    _heading(canvas, area, area.top, told_heading(asked.screws))
    radius = min(0.27 * area.width, 0.22 * area.height)
    centre = (area.left + area.width / 2, area.top + canvas.px(_HEADING + 16) + radius)
    draw_mirror(canvas, centre, radius, asked.screws)
    if isinstance(asked.screws, FlatScrews):
        draw_focuser(canvas, centre, radius, asked.screws)
    y, lead = centre[1] + radius + canvas.px(26), canvas.px(88)
    told = sentences(asked)
    size = next(
        (
            px
            for px in map(canvas.px, (25, 24, 23, 22))
            if _told_px(canvas, told, area, px) < area.bottom - y
        ),
        canvas.px(21),
    )
    for name, sentence in told:
        canvas.write((area.left, y + size), name, size, colour=GOOD, weight="bold")
        for line in text.wrap(sentence, area.width - lead, size):
            canvas.write((area.left + lead, y + size), line, size, colour=INK)
            y += text.line_px(size)
        y += canvas.px(_BETWEEN)


def _told_px(canvas: Canvas, told: tuple[tuple[str, str], ...], area: Area, size: int) -> float:
    """Return how high the sentences stand when written in a size."""
    lines = [text.wrap(sentence, area.width - canvas.px(88), size) for _, sentence in told]
    return sum(map(len, lines)) * text.line_px(size) + (len(told) - 1) * canvas.px(_BETWEEN)


def _side(canvas: Canvas, area: Area) -> int:
    """Return the side of a panel so that three rows, and one more, fit."""
    across = (area.width - canvas.px(_ICON)) / 5 - canvas.px(_PANEL_GAP)
    words = 2 * _HEADING + _LABEL + _MATTERS_LABEL + 24
    down = (area.height - canvas.px(words)) / 4 - canvas.px(_PANEL_GAP)
    return int(min(across, down)) // 2 * 2


def _draw_turns(canvas: Canvas, area: Area, asked: Collimation, side: int, tell: Progress) -> None:
    """Draw a row for each screw: turned back, at rest, turned forwards."""
    step = asked.step_turns()
    turns = [k * step for k in (-2, -1, 0, 1, 2)]
    _heading(
        canvas,
        area,
        area.top,
        "One screw turned, from a collimated mirror: the star "
        + ("as on the sky" if asked.screws.before_secondary else "seen the same way"),
    )
    top = round(area.top + canvas.px(_HEADING + _LABEL))
    pitch = (area.width - canvas.px(_ICON) - side) / 4
    small = canvas.px(sheet.SMALL)
    for k, turn in enumerate(turns):
        x = area.left + canvas.px(_ICON) + k * pitch + side / 2
        way = "back" if turn < 0 else "forward"
        words = f"{turn_words(turn)} {way}" if turn else "at rest"
        if len(words) > _LONG_LABEL:
            words = f"{turn_words(turn).removesuffix(' turn')} {way}"
        place = (x, top - canvas.px(10))
        canvas.write(place, words, small, colour=INK if turn else GOOD, align="middle")
    for row in range(3):
        y = top + row * (side + canvas.px(_PANEL_GAP))
        icon = canvas.px(56)
        centre = (area.left + icon, y + side / 2)
        draw_mirror(canvas, centre, icon, asked.screws, turning=row, lettered=False)
        letter = (area.left + 2.4 * icon, y + side / 2 + canvas.px(17))
        canvas.write(letter, NAMES[row], canvas.px(46), colour=WARN, weight="bold")
        for k, turn in enumerate(turns):
            tell((5 * row + k) / 15, f"screw {NAMES[row]}")
            given = [0.0, 0.0, 0.0]
            given[row] = turn
            tilt = asked.screws.tilt((given[0], given[1], given[2]))
            x = round(area.left + canvas.px(_ICON) + k * pitch)
            canvas.paste(asked.picture(tilt, side), (x, y))
            corners = (x, y, x + side, y + side)
            colour, width = (LINE, canvas.px(1)) if turn else (GOOD, canvas.px(3))
            panel.draw_frame(canvas, corners, width, colour)


def _draw_matters(canvas: Canvas, area: Area, asked: Collimation, side: int) -> dict[str, Any]:
    """Draw how far off is near enough; return the figures."""
    told = figures(asked)
    top = area.bottom - canvas.px(_HEADING + _MATTERS_LABEL) - side
    screws = asked.screws
    flat = isinstance(screws, FlatScrews)
    paraboloid = isinstance(screws, Screws) and screws.traced is None
    _heading(canvas, area, top, matters_heading(screws))
    y = round(top + canvas.px(_HEADING))
    pitch = (area.width - canvas.px(_ICON) - side) / 4
    small = canvas.px(sheet.SMALL)
    _draw_matters_names(canvas, area, y + side, "shadow off by" if flat else "axis off by")
    for k, (part, row) in enumerate(zip(MATTERS, told["rows"], strict=True)):
        x = round(area.left + canvas.px(_ICON) + k * pitch)
        tilt = asked.off_by(part)
        canvas.paste(asked.picture(tilt, side), (x, y))
        fine = part <= 1.0
        corners = (x, y, x + side, y + side)
        panel.draw_frame(canvas, corners, canvas.px(3 if fine else 1), GOOD if fine else LINE)
        middle = x + side / 2
        first = f"{row['off_mm']:.3g} mm" if part else "0"
        if not paraboloid and not flat and part:
            first = f"{row['off_arcmin']:.2g}′"
        second = f"Strehl {row['strehl']:.2f}"
        if flat:
            second = f"{100.0 * row['light_lost']:.0f} % lost" if row["light_lost"] else "all light"
        colour = INK if fine else WARN
        canvas.write(
            (middle, y + side + canvas.px(27)), first, small, colour=colour, align="middle"
        )
        canvas.write((middle, y + side + canvas.px(53)), second, small, colour=SOFT, align="middle")
    if paraboloid:
        _draw_elsewhere(canvas, area.right - canvas.px(190), y)
    return told


def _draw_elsewhere(canvas: Canvas, x: float, y: float) -> None:
    """Write the tolerance at other focal ratios into the last column."""
    small = canvas.px(sheet.SMALL)
    for line, ratio in enumerate(ELSEWHERE):
        base = y + (line + 1) * text.line_px(small)
        mm = coma_tolerance_mm(Telescope(aperture_mm=100.0, focal_length_mm=100.0 * ratio))
        canvas.write((x, base), f"f/{ratio}", small, colour=SOFT)
        canvas.write((x + canvas.px(60), base), f"{mm:.3g} mm", small, colour=INK)


def _draw_matters_names(canvas: Canvas, area: Area, bottom: float, words: str) -> None:
    small = canvas.px(sheet.SMALL)
    canvas.write((area.left, bottom + canvas.px(27)), words, small, colour=SOFT)
