"""The sheet by day: circles seen through the empty focuser, in line and out of it, and what to do.

The secondary is set before the night; the last touch is given on a star, by the other sheets.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import FitError, require_range
from simview.kit import Kit, Telescope
from simview.kitfile import kit_text, parse_kit
from simview.picture import captions
from simview.picture.drawing import sheet, text
from simview.picture.drawing.canvas import Canvas, Size, check_lying
from simview.picture.drawing.palette import GOOD, GROUND, INK, SOFT, WARN, Colour
from simview.picture.drawing.sheet import Area, SheetText
from simview.picture.finished import Told
from simview.picture.prints.printing import Progress
from simview.picture.recipe import WHERE, reading
from simview.picture.startest.patterns import telescope_of
from simview.picture.views.compose import FOOTER, Sheet
from simview.telescope.daylight import (
    EDGE_MM,
    FLAT_AGAIN,
    HOLE_MM,
    IN_FLAT,
    IN_PRIMARY,
    ByDay,
    Part,
    seen_along,
    set_off,
)
from simview.telescope.flat import offset_mm

Print = NDArray[np.uint8]

# What each part looks like by day. Choices.
_COLOURS: Final[Mapping[Part, Colour]] = {
    Part.FOCUSER: (16, 18, 22),
    Part.WALL: (44, 48, 56),
    Part.CELL: (24, 24, 27),
    Part.CLIP: WARN,
    Part.SKY: (150, 176, 208),
    Part.TUBE: (74, 82, 94),
    Part.VANE: (16, 20, 26),
    Part.BEHIND: (30, 34, 42),
    Part.EDGE: (96, 102, 110),
    Part.CAP: (222, 222, 216),
    Part.HOLE: (0, 0, 0),
}

# The picture reaches so far beyond the focuser's edge; samples along a pixel.
_AROUND: Final = 1.07
_FINER: Final = 3

# Room for the names of the numbers, units.
_NAMES_HEIGHT: Final = 160

# Pixels along a side from which the figures are taken.
_FIGURED: Final = 600

SUN: Final = (
    "The Sun blinds and burns: do this indoors, the tube at a bright wall. Outdoors never with the "
    "Sun up where the tube can swing to; children only with an adult."
)

_NAMES: Final = (
    "the focuser's inner edge",
    "the secondary's own edge",
    "the primary's edge, with its clips",
    "in the primary: the secondary again, and vanes",
    "in that: the lid, and your eye's hole in its middle",
)
_STEPS: Final = (
    (
        "First",
        "2 into the middle of 1, and round: the secondary's bolt moves it along the tube; turn it "
        "about that bolt until it faces you.",
    ),
    (
        "Then",
        "3 into the middle of 2, every clip in sight: left and right by turning the secondary "
        "about its bolt, up and down by its three screws.",
    ),
    ("Last", "5 into the middle of 3: the primary's screws. Then a star: simview collimate KIT."),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A picture beside the one in line: its name, what puts it right, how things stand."""

    name: str
    title: str
    cure: str
    by_day: ByDay


@dataclass(frozen=True, slots=True, kw_only=True)
class Daylight:
    """What is asked for: a kit with a Newtonian, and where its focuser stands, deg."""

    kit: Kit
    focuser_deg: float = 0.0

    def __post_init__(self) -> None:
        if self.kit.layout not in (None, "newtonian"):
            raise FitError(
                "--daylight",
                got=f"layout {self.kit.layout!r}",
                allowed="a Newtonian, whose secondary is a flat",
                remedy="leave --daylight out: a star shows the rest",
            )
        require_range("focuser", self.focuser_deg, -360.0, 360.0, unit="deg")
        self.in_line.half_width  # noqa: B018 (refuses what cannot be seen by day)

    @property
    def scope(self) -> Telescope:
        """The kit's telescope."""
        return telescope_of(self.kit)

    @property
    def barrel(self) -> str:
        """The widest of the kit's eyepieces': the focuser takes it."""
        used = {eyepiece.barrel for eyepiece in self.kit.eyepieces}
        return next((b for b in ("2in", "1.25in", "0.965in") if b in used), "1.25in")

    @property
    def in_line(self) -> ByDay:
        """All as it should be."""
        hung = set_off(self.scope, self.focuser_deg)
        return ByDay(scope=self.scope, hung=hung, edge_mm=EDGE_MM[self.barrel])

    def cases(self) -> tuple[Case, ...]:
        """Return the telescope in line, and the same with one thing wrong each."""
        right = self.in_line
        angle = math.radians(self.focuser_deg)
        out = complex(math.cos(angle), math.sin(angle))
        flat = self.scope.obstruction * self.scope.aperture_mm
        step = 0.14 * flat

        def hung(**how: Any) -> ByDay:
            return replace(right, hung=replace(right.hung, **how))

        return (
            Case(name="in line", title="All in line", cure="", by_day=right),
            Case(
                name="secondary too far out",
                title="Secondary too near the sky",
                cure="its bolt: move it towards the primary",
                by_day=hung(along_mm=right.hung.along_mm + step),
            ),
            Case(
                name="secondary turned",
                title="Secondary turned",
                cure="about its bolt, until 3 is in the middle",
                by_day=replace(right, turned=math.radians(2.5)),
            ),
            Case(
                name="secondary leans",
                title="Secondary leans",
                cure="its screws: 3 into the middle of 2",
                by_day=hung(lean=math.radians(1.3) * out),
            ),
            Case(
                name="secondary off to a side",
                title="Secondary off to a side",
                cure="its vanes: as long on either side",
                by_day=hung(shift_mm=right.hung.shift_mm + step * 1j * out),
            ),
            Case(
                name="primary leans",
                title="Primary leans",
                cure="its screws, until 5 is in the middle of 3",
                by_day=replace(right, primary=math.radians(0.5) * out),
            ),
            Case(
                name="secondary not set off",
                title="Secondary not set off",
                cure="harmless: leave it, 3 in the middle of 1",
                by_day=hung(shift_mm=0j, along_mm=0.0),
            ),
        )


def daylight(
    asked: Daylight, *, size: Size = (1920, 1080), progress: Progress | None = None
) -> Sheet:
    """Draw the sheet.

    Raises
    ------
    SimviewError
        For a size that sheets cannot have.
    """
    canvas = Canvas(check_lying(size))
    sheet.draw_words(canvas, _words(asked))
    area = sheet.content_area(size)
    tell = progress or (lambda _part, _words: None)
    first, *wrong = asked.cases()
    _draw_sun(canvas, area)
    top = area.top + canvas.px(44)
    names = canvas.px(_NAMES_HEIGHT + 20)
    side = int(min(0.33 * area.width, area.bottom - top - canvas.px(34) - names)) // 2 * 2
    corner = (round(area.left), round(top + canvas.px(34)))
    _draw_in_line(canvas, corner, side, first)
    _write_names(canvas, (area.left, corner[1] + side + canvas.px(12)), 0.33 * area.width)
    left = area.left + 0.33 * area.width + canvas.px(44)
    below = _write_steps(canvas, Area(left=left, top=top, right=area.right, bottom=area.bottom))
    room = Area(left=left, top=below, right=area.right, bottom=area.bottom)
    for k, case in enumerate(wrong):
        tell((k + 1) / (len(wrong) + 1), case.name)
        _draw_case(canvas, room, k, case)
    tell(1.0, "done")
    return told(asked, size).drawn(canvas.image)


def told(asked: Daylight, size: Size = (1920, 1080)) -> Told:
    """Return what is said of it whether or not it is drawn: figures and recipe."""
    return Told(figures=figures(asked), recipe=recipe(asked, size))


def _words(asked: Daylight) -> SheetText:
    scope, right = asked.scope, asked.in_line
    off = offset_mm(scope)
    return SheetText(
        title="By day: what you see through the empty focuser",
        subtitle=f"{captions.instrument(asked.kit)}: an eye at a small hole in the middle of the "
        "focuser's lid, the eyepiece taken out",
        caption="Drawn with the tube's open end at the top and the primary at the bottom. By exact "
        f"rays from a hole {2 * HOLE_MM:g} mm wide, {right.hole_mm:.0f} mm from the tube's axis; "
        f"focuser {2 * right.edge_mm:g} mm wide inside, {right.wall_mm:.0f} mm from it; a lid that "
        "is white inside. In line, the secondary is set off by "
        f"{off:.1f} mm away from the focuser and as much towards the primary, so that its edge "
        "stands evenly around the primary's; 4 then stands a little low around 5: leave it. The "
        "wrong ones are strong, to show the way. No air, no eye.",
        footer=FOOTER,
    )


def _draw_sun(canvas: Canvas, area: Area) -> None:
    place = (area.left, area.top + canvas.px(24))
    canvas.write_within(place, SUN, area.width, (25, 18), colour=WARN, weight="bold")


def _draw_in_line(canvas: Canvas, corner: tuple[int, int], side: int, case: Case) -> None:
    """Draw the large picture, with its numbers."""
    x, y = corner
    place = (x, y - canvas.px(12))
    canvas.write(place, case.title, canvas.px(sheet.HEADING), colour=GOOD, weight="bold")
    canvas.paste(picture(case.by_day, side), corner)
    found = _measured(case.by_day)
    middle = (x + side / 2.0, y + side / 2.0)
    scale = side / 2.0 / _AROUND
    edges = (1.0, found["secondary"][1], found["primary"][1], found["reflection"][1])
    size = canvas.px(30)
    # Numbers stand along the lower right, each on its own circle, the last one beside the middle.
    angles = (-45.0, -18.0, -66.0, -90.0)
    for number, (edge, angle_deg) in enumerate(zip(edges, angles, strict=True), start=1):
        way = complex(math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg)))
        _mark(canvas, middle, way, edge * scale, (number, size))
    _mark(canvas, middle, complex(0.0, 1.0), 0.0, (5, size), reach=0.62 * edges[2] * scale)


def _mark(
    canvas: Canvas,
    middle: tuple[float, float],
    way: complex,
    radius: float,
    mark: tuple[int, int],
    *,
    reach: float = 0.0,
) -> None:
    """Write a number beside a circle, with a line to it."""
    number, size = mark
    start, end = radius, reach or radius + 1.25 * size
    points = [(middle[0] + at * way.real, middle[1] - at * way.imag) for at in (start, end)]
    canvas.stroke(points, canvas.px(3), GOOD)
    x = middle[0] + (end + 0.6 * size) * way.real
    y = middle[1] - (end + 0.6 * size) * way.imag
    canvas.dot(x, y, 0.62 * size, GROUND)
    base = (x, y + 0.36 * size)
    canvas.write(base, str(number), size, weight="bold", align="middle")


def _write_names(canvas: Canvas, place: tuple[float, float], room: float) -> None:
    """Write what the numbers are."""
    size, line = canvas.px(24), canvas.px(_NAMES_HEIGHT) / len(_NAMES)
    for number, name in enumerate(_NAMES, start=1):
        base = place[1] + line * number - canvas.px(6)
        canvas.write((place[0], base), str(number), size, colour=GOOD, weight="bold")
        at = (place[0] + canvas.px(34), base)
        canvas.write_within(at, name, room - canvas.px(34), (24, 17))


def _write_steps(canvas: Canvas, area: Area) -> float:
    """Write what to do; return where that ends."""
    size = canvas.px(25)
    lead, y = canvas.px(84), area.top
    for name, sentence in _STEPS:
        canvas.write((area.left, y + size), name, size, colour=GOOD, weight="bold")
        for words in text.wrap(sentence, area.width - lead, size):
            canvas.write((area.left + lead, y + size), words, size, colour=INK)
            y += text.line_px(size)
        y += canvas.px(4)
    return y + canvas.px(10)


def _draw_case(canvas: Canvas, area: Area, index: int, case: Case) -> None:
    """Draw one of the six wrong ones."""
    label = canvas.px(62)
    pitch, height = area.width / 3.0, area.height / 2.0
    side = int(min(pitch - canvas.px(24), height - label)) // 2 * 2
    x = area.left + index % 3 * pitch
    y = area.top + index // 3 * height
    canvas.paste(picture(case.by_day, side), (round(x + (pitch - side) / 2), round(y)))
    middle, room = x + pitch / 2.0, pitch - canvas.px(10)
    for words, base, colour, weight in (
        (case.title, 26, INK, "bold"),
        (case.cure, 52, SOFT, "regular"),
    ):
        place = (middle, y + side + canvas.px(base))
        canvas.write_within(
            place,
            words,
            room,
            (sheet.SMALL, 15),
            colour=colour,
            weight="bold" if weight == "bold" else "regular",
            align="middle",
        )


def picture(by_day: ByDay, side: int) -> Print:
    """Return what is seen, (side, side, 3)."""
    labels, _ = _labels(by_day, side * _FINER)
    table = np.array([_COLOURS[part] for part in Part], np.float64)
    linear = (table / 255.0) ** 2.2
    fine = linear[labels].reshape(side, _FINER, side, _FINER, 3).mean(axis=(1, 3))
    return np.asarray(np.round(255.0 * fine ** (1.0 / 2.2)), np.uint8)


def _labels(by_day: ByDay, side: int) -> tuple[NDArray[np.uint8], NDArray[np.float64]]:
    """Return what each sample ends on, and where samples stand, focuser's radii."""
    place = ((np.arange(side) + 0.5) / side * 2.0 - 1.0) * _AROUND
    right, up = np.meshgrid(place, -place)
    slopes = np.stack((right.ravel(), up.ravel()), axis=1) * by_day.half_width
    return seen_along(by_day, slopes).reshape(side, side), place


def _measured(by_day: ByDay) -> dict[str, tuple[complex, float]]:
    """Return middle and mean radius of what shows of each circle, in radii of the focuser's."""
    labels, place = _labels(by_day, _FIGURED)
    found: dict[str, tuple[complex, float]] = {}
    for name, parts in (
        ("secondary", IN_FLAT),
        ("primary", IN_PRIMARY),
        ("reflection", FLAT_AGAIN),
        ("hole", (Part.HOLE,)),
    ):
        here = np.isin(labels, parts)
        if not here.any():
            found[name] = (complex(math.nan, math.nan), math.nan)
            continue
        row, column = np.nonzero(here)
        radius = math.sqrt(here.sum() / math.pi) * float(place[1] - place[0])
        found[name] = (complex(place[column].mean(), -place[row].mean()), radius)
    return found


def figures(asked: Daylight) -> dict[str, Any]:
    """Return the figures for JSON: middles in radii of the focuser's edge, right and up."""
    rows = []
    for case in asked.cases():
        found = _measured(case.by_day)
        row: dict[str, Any] = {"case": case.name}
        for name, (middle, _) in found.items():
            # Of samples along a side: no finer than a thousandth.
            row[f"{name}_right"] = round(middle.real, 3) + 0.0
            row[f"{name}_up"] = round(middle.imag, 3) + 0.0
        rows.append(row)
    return {
        "offset_mm": offset_mm(asked.scope),
        "hole_mm": asked.in_line.hole_mm,
        "focuser_edge_mm": asked.in_line.edge_mm,
        "rows": rows,
    }


def recipe(asked: Daylight, size: Size) -> dict[str, Any]:
    """Return what makes the sheet again."""
    return {
        "command": "collimate",
        "daylight": True,
        "kits": [kit_text(asked.kit)],
        "focuser_deg": asked.focuser_deg,
        "size": list(size),
    }


def again(given: Mapping[str, Any], *, size: Size | None = None) -> Sheet:
    """Make the sheet again from its recipe.

    Raises
    ------
    SimviewError
        Where the recipe is broken.
    """
    with reading():
        (words,) = given["kits"]
        width, height = (int(side) for side in given["size"])
        if not isinstance(given["focuser_deg"], int | float):
            raise TypeError("number")
    kit = parse_kit(str(words), where=WHERE).kit
    asked = Daylight(kit=kit, focuser_deg=float(given["focuser_deg"]))
    return daylight(asked, size=size or (width, height))
