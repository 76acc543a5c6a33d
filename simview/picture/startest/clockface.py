"""Which side of the telescope is it? A clock's face, seen from the back and from the front."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from simview.eyepiece.orientation import orientation, signs
from simview.kit import Kit
from simview.picture.drawing import sheet
from simview.picture.drawing.canvas import Canvas
from simview.picture.drawing.palette import GROUND, INK, LINE, SOFT, WARN, Colour
from simview.picture.drawing.sheet import Area
from simview.picture.drawing.tongue import N_, decimal, say
from simview.telescope.faults import Fault, kind_of

# Width of the column of two faces, units, and the room for the words of each.
COLUMN: Final = 176
_WORDS: Final = 26

# The glass within the face.
_GLASS: Final[Colour] = (28, 34, 44)

# What a fault's dots stand for, how many there are around the circle.
_DOTS: Final = {
    "coma": (N_("the flare"), 1),
    "astigmatism": (N_("stands high"), 2),
    "trefoil": (N_("stands high"), 3),
    "pinched": (N_("stands high"), 3),
    "miscollimation": (N_("its axis"), 1),
    "secondary-shift": (N_("the secondary"), 1),
    "secondary-tilt": (N_("it leans to"), 1),
    "corrector-shift": (N_("the plate"), 1),
    "off-axis": (N_("the star"), 1),
    "decentred-lens": (N_("the flare"), 1),
    "wedge": (N_("blue light"), 1),
    "off-centre-shadow": (N_("the shadow"), 1),
    "plume": (N_("warm air"), 1),
}


# From where a face is seen, by whether the telescope is a lens.
_BACK: Final = {True: N_("from the eyepiece"), False: N_("from its back")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """What a fault's dots are, and where they stand, deg anticlockwise from the right."""

    word: str
    angles_deg: tuple[float, ...]


def marks(faults: Sequence[Fault]) -> Marks | None:
    """Return the dots of the first fault that has a side; None where none has."""
    for fault in faults:
        if not fault.amount:
            continue
        if fault.name == "clips":
            count = round(fault.option("count"))
            return Marks(word=say("a clip"), angles_deg=_around(90.0, count))
        if fault.name in _DOTS:
            word, count = _DOTS[fault.name]
            # A negative amount raises the other side.
            start = fault.angle + (180.0 / count if fault.amount < 0.0 else 0.0)
            return Marks(word=say(word), angles_deg=_around(start, count))
        if kind_of(fault.name).directed:
            return Marks(word=say("this side"), angles_deg=(fault.angle,))
    return None


def _around(start_deg: float, count: int) -> tuple[float, ...]:
    return tuple(start_deg + 360.0 * k / count for k in range(count))


def draw_faces(canvas: Canvas, area: Area, found: Marks, *, lens: bool) -> None:
    """Draw the two faces one above the other, each with its words."""
    words = canvas.px(_WORDS)
    room = (area.bottom - area.top - 3 * words) / 2
    radius = min(area.width / 2 - canvas.px(8), room / 2 - canvas.px(6))
    x = area.left + area.width / 2
    for k, (name, mirrored) in enumerate(((_BACK[lens], False), (N_("from the front"), True))):
        top = area.top + k * (room + words)
        size = canvas.px(sheet.SMALL)
        canvas.write_within(
            (x, top + 0.8 * size),
            say(name),
            area.width,
            (sheet.SMALL, 15),
            colour=SOFT,
            align="middle",
        )
        y = top + words + canvas.px(4) + radius
        _draw_face(canvas, (x, y), radius, found, mirrored=mirrored)
    base, dot = area.bottom - canvas.px(2), canvas.px(8)
    canvas.dot(area.left + dot, base - dot, dot, WARN)
    place = (area.left + 2.8 * dot, base)
    canvas.write_within(place, found.word, area.width - 2.8 * dot, (sheet.SMALL, 15), colour=INK)


def _draw_face(
    canvas: Canvas, centre: tuple[float, float], radius: float, found: Marks, *, mirrored: bool
) -> None:
    x, y = centre
    canvas.dot(x, y, radius, LINE)
    canvas.dot(x, y, radius - max(1.5, 0.04 * radius), _GLASS)
    for hour in range(12):
        angle = math.radians(30.0 * hour)
        inner = 0.8 if hour % 3 == 0 else 0.87
        ends = [
            (x + r * radius * math.sin(angle), y - r * radius * math.cos(angle))
            for r in (inner, 0.94)
        ]
        canvas.stroke(ends, canvas.px(2), SOFT)
    small = max(9, round(0.27 * radius))
    for hour, dx, dy in ((12, 0.0, -1.0), (3, 1.0, 0.0), (6, 0.0, 1.0), (9, -1.0, 0.0)):
        place = (x + 0.62 * radius * dx, y + 0.62 * radius * dy + 0.36 * small)
        canvas.write(place, str(hour), small, colour=SOFT, align="middle")
    for angle_deg in found.angles_deg:
        way = math.radians(angle_deg)
        across = -math.cos(way) if mirrored else math.cos(way)
        at = (x + 0.9 * radius * across, y - 0.9 * radius * math.sin(way))
        canvas.dot(*at, 0.17 * radius, GROUND)
        canvas.dot(*at, 0.14 * radius, WARN)


def clock(angle_deg: float) -> str:
    """Return a direction, anticlockwise from the right, as an hour on a clock's face."""
    hour = (3.0 - angle_deg / 30.0) % 12.0
    half = round(2.0 * hour) / 2.0 % 12.0
    whole = int(half) or 12
    words = N_("half past {hour}") if half != int(half) else N_("{hour} o'clock")
    return say(words, hour=whole)


def turned_words(kit: Kit, angles_deg: Sequence[float]) -> str:
    """Return how the pictures are turned, and where directions lie on telescope and in eyepiece."""
    views = say(
        "As on the sky, seen along the tube from the mirror's back (a lens: from the eyepiece)"
    )
    seen = say("in this kit's eyepiece all is {turned}", turned=say(_TURNED[orientation(kit)]))
    if kit.layout in (None, "newtonian", "other") and kit.diagonal is None:
        seen = say("{seen}, and turned further by how you stand", seen=seen)
    if not angles_deg:
        return f"{views}; {seen}. "
    right, up = signs(orientation(kit))
    places = ", ".join(
        say(
            "{angle}° is {there} on a clock face there, {front} from the front, {eyepiece} in the"
            " eyepiece",
            angle=decimal(f"{angle:g}"),
            there=clock(angle),
            front=clock(180.0 - angle),
            eyepiece=clock(_through(angle, right, up)),
        )
        for angle in dict.fromkeys(angles_deg)
    )
    return f"{views}: {places}; {seen}. "


def _through(angle_deg: float, right: int, up: int) -> float:
    way = math.radians(angle_deg)
    return math.degrees(math.atan2(up * math.sin(way), right * math.cos(way)))


# How an eyepiece shows what the sheet shows, by the kit's orientation.
_TURNED: Final = {
    "upright": N_("upright"),
    "turned": N_("turned by half a circle"),
    "mirrored": N_("mirrored, left for right"),
    "turned-mirrored": N_("upside down"),
}
