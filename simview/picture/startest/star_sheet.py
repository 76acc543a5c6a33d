"""The sheet of a star test.

From top to bottom: the strip through focus; the cone of light that it is cut from; brightness
against radius, the wavefront, the figures beside a perfect telescope's, and what to do. What it
says is settled before, in `simview.picture.startest.star_contents`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from simview.errors import RangeError
from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas, Size
from simview.picture.drawing.palette import GOOD, INK, LINE, SOFT
from simview.picture.drawing.sheet import Area
from simview.picture.finished import Sheet
from simview.picture.prints.printing import Progress
from simview.picture.startest.clockface import COLUMN, draw_faces
from simview.picture.startest.patterns import StarTest, in_users_terms
from simview.picture.startest.star_contents import StarContents, judge_startest
from simview.picture.startest.star_layout import HEADING
from simview.picture.startest.star_plots import draw_map, draw_profile
from simview.picture.startest.tested import read

# Type of the three sentences, units: wanted, and the least.
_TOLD: Final = 32
_TOLD_LEAST: Final = 18


def startest(
    test: StarTest, *, size: Size = (1920, 1080), progress: Progress | None = None
) -> Sheet:
    """Show a star through focus, with everything that explains it.

    Raises
    ------
    SimviewError
        Where a fault does not go with the telescope, or cannot be sampled.
    """
    if progress is not None:
        progress(0.0, "figures")
    return draw_startest(judge_startest(test, size), size=size, progress=progress)


def draw_startest(
    contents: StarContents, *, size: Size = (1920, 1080), progress: Progress | None = None
) -> Sheet:
    """Draw a sheet whose words are settled already, at the size that they were settled for.

    Raises
    ------
    SimviewError
        Where a star cannot be sampled.
    """
    try:
        return _drawn(contents, size, progress or (lambda _part, _words: None))
    except RangeError as error:
        raise in_users_terms(error) from None


def _drawn(contents: StarContents, size: Size, tell: Progress) -> Sheet:
    tell(0.3, "the strip")
    canvas = Canvas(size)
    sheet.draw_words(canvas, contents.words)
    _draw_strip(canvas, contents)
    tell(0.6, "the cone of light")
    _draw_cut(canvas, contents)
    tell(0.9, "charts")
    _draw_charts(canvas, contents)
    tell(1.0, "done")
    return contents.told().drawn(canvas.image)


def again(given: Mapping[str, Any], *, size: Size | None = None) -> Sheet:
    """Make a sheet, or the atlas, again from its recipe.

    Raises
    ------
    SimviewError
        Where the recipe is broken.
    """
    if given.get("atlas"):
        from simview.picture.startest.atlas import again as atlas_again

        return atlas_again(given, size=size)
    test, drawn = read(given)
    return startest(test, size=size or drawn)


def _draw_strip(canvas: Canvas, contents: StarContents) -> None:
    layout = contents.layout
    area, size = layout.area, canvas.px(sheet.HEADING)
    base = area.top + canvas.px(20)
    canvas.write((area.left, base), contents.inside, size, weight="bold")
    canvas.write((area.right, base), contents.outside, size, weight="bold", align="right")
    top, side = round(layout.strip_top), layout.panel
    middle = len(layout.centres) // 2
    pictures = zip(contents.views.panels(), layout.centres, strict=True)
    for k, (picture, centre) in enumerate(pictures):
        left = round(centre - side / 2)
        canvas.paste(picture, (left, top))
        corners = (left, top, left + side, top + side)
        if k == middle:
            panel.draw_frame(canvas, corners, canvas.px(4), GOOD)
        else:
            panel.draw_frame(canvas, corners, canvas.px(1), LINE)
        _label(canvas, contents, k)


def _label(canvas: Canvas, contents: StarContents, k: int) -> None:
    """Write the position under a panel, in waves and in mm."""
    layout = contents.layout
    x, top = layout.centres[k], layout.strip_top + layout.panel
    pitch = layout.area.width / len(layout.centres) - canvas.px(6)
    shade = (GOOD, GOOD) if k == len(layout.centres) // 2 else (INK, SOFT)
    for (down, units, weight), words, colour in zip(
        ((26, sheet.BODY, "bold"), (52, sheet.SMALL, "regular")),
        contents.places[k],
        shade,
        strict=True,
    ):
        canvas.write_within(
            (x, top + canvas.px(down)),
            words,
            pitch,
            (units, 13),
            colour=colour,
            weight="bold" if weight == "bold" else "regular",
            align="middle",
        )


def _draw_cut(canvas: Canvas, contents: StarContents) -> None:
    layout = contents.layout
    left, top = round(layout.area.left), round(layout.cut_top)
    picture = contents.views.cut()
    canvas.paste(picture, (left, top))
    bottom = top + layout.cut_height
    panel.draw_frame(canvas, (left, top, left + picture.shape[1], bottom), canvas.px(1), LINE)
    for centre in layout.centres:
        half = canvas.px(2) / 2
        canvas.box((centre - half, top, centre + half, top + canvas.px(10)), SOFT)
        canvas.box((centre - half, bottom - canvas.px(10), centre + half, bottom), SOFT)
    place = (left, bottom + canvas.px(27))
    canvas.write_within(place, contents.cone, layout.area.width, (sheet.SMALL, 16), colour=SOFT)


def _draw_charts(canvas: Canvas, contents: StarContents) -> None:
    views = contents.views
    profile, waves, beside, told = contents.layout.columns(canvas.unit)
    if contents.hidden:
        draw_profile(canvas, profile, views.profiles())
    else:
        draw_profile(canvas, profile, views.profiles(), against=contents.against)
        draw_map(canvas, waves, contents.wavefront(), contents.map_note)
    _draw_beside(canvas, beside, contents)
    if contents.dots is not None:
        faces = replace(told, left=told.right - canvas.px(COLUMN))
        draw_faces(canvas, faces, contents.dots, lens=views.test.scope.objective != "mirror")
        told = replace(told, right=faces.left - canvas.px(20))
    _draw_told(canvas, told, contents)


def heading(canvas: Canvas, area: Area, words: str) -> None:
    """Write a column's heading."""
    place = (area.left, area.top + canvas.px(22))
    canvas.write_within(place, words, area.width, (sheet.HEADING, 17), weight="bold")


def _draw_beside(canvas: Canvas, area: Area, contents: StarContents) -> None:
    """Draw the perfect telescope, small, and the figures of both."""
    heading(canvas, area, contents.beside_heading)
    top = round(area.top + canvas.px(HEADING))
    side = contents.layout.small
    gap = (area.width - 3 * side) / 2
    for k, picture in enumerate(contents.views.perfect_panels()):
        left = round(area.left + k * (side + gap))
        canvas.paste(picture, (left, top))
        corners = (left, top, left + side, top + side)
        colour, width = (GOOD, canvas.px(2)) if k == 1 else (LINE, canvas.px(1))
        panel.draw_frame(canvas, corners, width, colour)
    if not contents.beside:
        return
    size = canvas.px(sheet.SMALL)
    y = top + side + canvas.px(8)
    head = (area.right, y + size)
    canvas.write(head, contents.beside_column, size, colour=SOFT, align="right")
    sheet.draw_rows(canvas, contents.beside, (area.left, y + canvas.px(26)), area.width, size)


def _draw_told(canvas: Canvas, area: Area, contents: StarContents) -> None:
    """Write the three sentences, as large as they fit."""
    heading(canvas, area, contents.told_heading)
    top = area.top + canvas.px(HEADING + 4)
    room = area.bottom + canvas.px(6) - top
    for units in range(_TOLD, _TOLD_LEAST - 1, -1):
        size, gap = canvas.px(units), canvas.px(9)
        lead = round(3.8 * size)
        told = [
            (name, text.wrap(sentence, area.width - lead, size))
            for name, sentence in contents.sentences
        ]
        step = text.line_px(size)
        if sum(len(lines) * step + gap for _, lines in told) - gap <= room:
            break
    y = top
    for name, lines in told:
        canvas.write((area.left, y + size), name, size, colour=GOOD, weight="bold")
        for index, line in enumerate(lines):
            canvas.write((area.left + lead, y + size + index * step), line, size, colour=INK)
        y += len(lines) * step + gap
