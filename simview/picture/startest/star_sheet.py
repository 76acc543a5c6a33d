"""The sheet of a star test.

From top to bottom: the strip through focus; the cone of light that it is cut from; brightness
against radius, the wavefront, the figures beside a perfect telescope's, and what to do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from simview.errors import RangeError
from simview.kit import Telescope
from simview.picture import captions
from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas, Size
from simview.picture.drawing.palette import GOOD, INK, LINE, SOFT
from simview.picture.drawing.sheet import Area, SheetText
from simview.picture.prints.printing import Progress
from simview.picture.startest.clockface import COLUMN, draw_faces, marks, turned_words
from simview.picture.startest.cooling_rows import drift_words, since_words, taken_words
from simview.picture.startest.patterns import StarTest, StarViews, in_users_terms
from simview.picture.startest.riddle import QUESTIONS
from simview.picture.startest.star_layout import HEADING, Layout
from simview.picture.startest.star_plots import draw_map, draw_profile
from simview.picture.startest.tested import COLOURLESS, Beside, numbers, read, recipe, sheet_words
from simview.picture.startest.words import (
    StarWords,
    in_words,
    own_faults,
    words_for,
)
from simview.picture.views.compose import FOOTER, Sheet
from simview.picture.views.single import READER_HEIGHTS
from simview.telescope.faults import kind_of
from simview.telescope.quality import wavefront_map

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
    try:
        return _startest(test, size, progress or (lambda _part, _words: None))
    except RangeError as error:
        raise in_users_terms(error) from None


def _startest(test: StarTest, size: Size, tell: Progress) -> Sheet:
    layout = Layout.of(size, test.positions)
    views = StarViews(test=test, sizes=layout.sizes(size))
    views.check()
    tell(0.0, "figures")
    figures = Beside.of(views)
    hidden = test.riddle is not None
    words = QUESTIONS if hidden else sheet_words(test, figures)
    tell(0.3, "the strip")
    canvas = Canvas(size)
    sheet.draw_words(canvas, _sheet_words(views))
    _draw_strip(canvas, layout, views)
    tell(0.6, "the cone of light")
    _draw_cut(canvas, layout, views)
    tell(0.9, "charts")
    _draw_charts(canvas, layout, views, figures, words)
    tell(1.0, "done")
    return Sheet(
        image=canvas.image,
        figures={"riddle": test.riddle} if hidden else numbers(test, figures),
        recipe=recipe(test, size),
        remarks=_remarks(views),
    )


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


def _remarks(views: StarViews) -> tuple[str, ...]:
    """Return what the sheet cannot show."""
    caught = views.caught()
    if views.test.power is None or caught > 0.5:
        return ()
    return (
        f"at {views.test.power:g} times the outermost discs are larger than their panels "
        f"({100.0 * caught:.0f} % of the light is in them): take less --travel or a lower --power",
    )


def _sheet_words(views: StarViews) -> SheetText:
    test, light = views.test, views.light
    asked = in_words([fault for fault in test.faults if fault.name != "cooling"])
    titles = [words_for(fault, test.scope, test.kit.layout).title.lower() for fault in test.faults]
    kit, since = captions.instrument(test.kit), since_words(test)
    if test.riddle is not None:
        asked, titles = f"one hidden fault (riddle {test.riddle})", ["what is wrong here?"]
    added = (f" with {asked}" if asked else "") + (since and f", {since}")
    air = "No air but what is asked for, no eye."
    if test.riddle is not None:
        air = "What is hidden may be in the telescope or in the air before it; no eye."
    own = in_words(own_faults(test.scope.wavefront))
    scope = test.scope
    caption = (
        f"{air} Travel is measured from focus at "
        f"f/{scope.focal_ratio:.3g}: one wave of defocus (550 nm, peak to valley) is "
        f"{text.figure(abs(test.travel_mm()[0] / test.travel_waves))} mm. {_exposed(test)} "
        f"Discs are life size at {text.times(views.power)}, seen from {READER_HEIGHTS:g} sheet "
        f"heights away. The brightness of the cone is compressed. "
        f"{taken_words(test)}{drift_words(test)}{_turned(test)}{_stopped(scope)}"
        + (
            f"The kit's own faults are in: {own}."
            if own
            else "The kit states no faults of its own."
        )
    )
    return SheetText(
        title=f"Star test: {', '.join(titles) or 'the telescope as it is'}",
        subtitle=f"{kit}{added}, {light.says()}",
        caption=caption,
        footer=FOOTER,
    )


def _exposed(test: StarTest) -> str:
    """Return how bright the pictures are drawn."""
    if test.common:
        return "One exposure for all pictures: with 100 times less light they print 8 times darker."
    # Of a warm telescope more has to be said than there is room for.
    why = "" if test.cooling else ": at the eyepiece a disc is the dimmer the larger it is"
    return f"Each picture is exposed for itself{why}."


def _turned(test: StarTest) -> str:
    """Return how the pictures are turned, and where a directed fault lies on the telescope."""
    angles = [fault.angle for fault in test.faults if kind_of(fault.name).directed]
    return turned_words(test.kit, [] if test.riddle is not None else angles)


def _stopped(scope: Telescope) -> str:
    """Return what has to be said of a telescope with a stop inside."""
    if scope.stop_mm is None:
        return ""
    return (
        f"Waves are counted over the full {scope.aperture_mm:g} mm, of which a stop lets "
        f"{scope.stop_mm:g} mm through. "
    )


def _draw_strip(canvas: Canvas, layout: Layout, views: StarViews) -> None:
    area, size = layout.area, canvas.px(sheet.HEADING)
    base = area.top + canvas.px(20)
    canvas.write((area.left, base), "← Inside focus: eyepiece further in", size, weight="bold")
    canvas.write(
        (area.right, base),
        "Outside focus: eyepiece further out →",
        size,
        weight="bold",
        align="right",
    )
    top, side = round(layout.strip_top), layout.panel
    middle = len(layout.centres) // 2
    for k, (picture, centre) in enumerate(zip(views.panels(), layout.centres, strict=True)):
        left = round(centre - side / 2)
        canvas.paste(picture, (left, top))
        corners = (left, top, left + side, top + side)
        if k == middle:
            panel.draw_frame(canvas, corners, canvas.px(4), GOOD)
        else:
            panel.draw_frame(canvas, corners, canvas.px(1), LINE)
        _label(canvas, layout, views, k)


def _label(canvas: Canvas, layout: Layout, views: StarViews, k: int) -> None:
    """Write the position under a panel, in waves and in mm."""
    x, top = layout.centres[k], layout.strip_top + layout.panel
    waves, mm = float(views.test.travel()[k]), float(views.test.travel_mm()[k])
    focus = k == len(layout.centres) // 2
    first = "In focus" if focus else f"{signed(waves)} {'wave' if abs(waves) == 1 else 'waves'}"
    larger = f"drawn {views.factor}× larger" if views.factor > 1 else "at the same scale"
    second = larger if focus else f"{signed(mm, digits=2)} mm"
    pitch = layout.area.width / len(layout.centres) - canvas.px(6)
    shade = (GOOD, GOOD) if focus else (INK, SOFT)
    for (down, units, weight), words, colour in zip(
        ((26, sheet.BODY, "bold"), (52, sheet.SMALL, "regular")),
        (first, second),
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


def signed(value: float, digits: int = 3) -> str:
    """Return a number with its sign, a plus included."""
    words = f"{value:.{digits}g}".replace("-", "−")
    return words if value <= 0.0 else f"+{words}"


def _draw_cut(canvas: Canvas, layout: Layout, views: StarViews) -> None:
    left, top = round(layout.area.left), round(layout.cut_top)
    picture = views.cut()
    canvas.paste(picture, (left, top))
    bottom = top + layout.cut_height
    panel.draw_frame(canvas, (left, top, left + picture.shape[1], bottom), canvas.px(1), LINE)
    for centre in layout.centres:
        half = canvas.px(2) / 2
        canvas.box((centre - half, top, centre + half, top + canvas.px(10)), SOFT)
        canvas.box((centre - half, bottom - canvas.px(10), centre + half, bottom), SOFT)
    words = "The cone of light behind the telescope, cut open: each disc above is a slice of it"
    if views.test.riddle is not None:
        words += " (a cone never shows the air)"
    elif views.afflicted.sky is not None:
        words += " (without air)"
    place = (left, bottom + canvas.px(27))
    canvas.write_within(place, words, layout.area.width, (sheet.SMALL, 16), colour=SOFT)


def _draw_charts(
    canvas: Canvas,
    layout: Layout,
    views: StarViews,
    figures: Beside,
    words: StarWords,
) -> None:
    profile, waves, beside, told = layout.columns(canvas.unit)
    if views.test.riddle is not None:
        draw_profile(canvas, profile, views.profiles())
        _draw_beside(canvas, beside, layout, views, None)
        _draw_told(canvas, told, words, words.title)
        return
    against = "cooled down" if views.test.cooling else "a perfect one"
    draw_profile(canvas, profile, views.profiles(), against=against)
    found = views.afflicted
    error = wavefront_map(found.scope, samples=512, extras=found.extras)
    note = "surface too high" if found.scope.objective == "mirror" else "light too early"
    note = "without the air" if found.sky is not None else f"orange: {note}"
    draw_map(canvas, waves, error, f"waves; {note}")
    _draw_beside(canvas, beside, layout, views, figures)
    found_marks = marks(views.test.faults)
    if found_marks is not None:
        faces = replace(told, left=told.right - canvas.px(COLUMN))
        draw_faces(canvas, faces, found_marks, lens=found.scope.objective != "mirror")
        told = replace(told, right=faces.left - canvas.px(20))
    asked = len(views.test.faults) == 1
    title = "At the eyepiece" if asked else f"At the eyepiece: {words.title.lower()}"
    _draw_told(canvas, told, words, title)


def heading(canvas: Canvas, area: Area, words: str) -> None:
    """Write a column's heading."""
    place = (area.left, area.top + canvas.px(22))
    canvas.write_within(place, words, area.width, (sheet.HEADING, 17), weight="bold")


def _draw_beside(
    canvas: Canvas,
    area: Area,
    layout: Layout,
    views: StarViews,
    figures: Beside | None,
) -> None:
    """Draw the perfect telescope, small, and the figures of both; None keeps them hidden."""
    lens = views.test.scope.objective != "mirror"
    title = "Perfect, free of colour" if lens else "A perfect telescope"
    heading(canvas, area, "The same, cooled down" if views.test.cooling else title)
    top = round(area.top + canvas.px(HEADING))
    side = layout.small
    gap = (area.width - 3 * side) / 2
    for k, picture in enumerate(views.perfect_panels()):
        left = round(area.left + k * (side + gap))
        canvas.paste(picture, (left, top))
        corners = (left, top, left + side, top + side)
        colour, width = (GOOD, canvas.px(2)) if k == 1 else (LINE, canvas.px(1))
        panel.draw_frame(canvas, corners, width, colour)
    if figures is None:
        return
    size = canvas.px(sheet.SMALL)
    y = top + side + canvas.px(8)
    head = (area.right, y + size)
    words = "now (cooled)" if views.test.cooling else "here (perfect)"
    canvas.write(head, words, size, colour=SOFT, align="right")
    sheet.draw_rows(canvas, _rows(figures), (area.left, y + canvas.px(26)), area.width, size)


def _rows(figures: Beside) -> Sequence[tuple[str, str]]:
    """Return the table beside the perfect telescope; each row says what it is of."""
    own, best = figures.own, figures.best
    alone = "" if figures.aired is None else ", no air"
    rows = [(f"Strehl ratio{alone}", f"{own.strehl:.2f} ({best.strehl:.2f})")]
    if figures.aired is not None:
        rows.append(("Strehl, this air", f"{figures.aired.strehl:.2f}"))
    rows += _white_rows(figures)
    # Green light is a little out of focus where white is best: its own error is told without that.
    coloured = abs(figures.glass.strehl - 1.0) > COLOURLESS
    name = "RMS, green focused" if coloured else "RMS error"
    rows += [
        (f"{name}{alone}", f"{own.rms_waves:.3f} waves ({_short(best.rms_waves)})"),
        (
            f"in Airy disc{alone}" if alone else "light in Airy disc",
            f"{100 * own.encircled_airy:.0f} ({100 * best.encircled_airy:.0f}) %",
        ),
    ]
    return rows


def _short(waves: float) -> str:
    return f"{waves:.3f}".removeprefix("0") if waves >= 0.0005 else "0"


def _white_rows(figures: Beside) -> list[tuple[str, str]]:
    """Return the rows on white light, where colour makes it another than that on green light."""
    own, glass, best = figures.own, figures.glass, figures.best
    if max(abs(f.strehl_white - f.strehl) for f in (own, glass)) < COLOURLESS:
        return []
    rows = [("in white light", f"{own.strehl_white:.2f} ({best.strehl_white:.2f})")]
    if glass.strehl_white - own.strehl_white > 0.005:
        rows.append(("same glass, no fault", f"{glass.strehl_white:.2f}"))
    return rows


def _draw_told(canvas: Canvas, area: Area, words: StarWords, title: str) -> None:
    """Write the three sentences, as large as they fit."""
    heading(canvas, area, title)
    top = area.top + canvas.px(HEADING + 4)
    room = area.bottom + canvas.px(6) - top
    for units in range(_TOLD, _TOLD_LEAST - 1, -1):
        size, gap = canvas.px(units), canvas.px(9)
        lead = round(3.8 * size)
        told = [
            (name, text.wrap(sentence, area.width - lead, size))
            for name, sentence in words.sentences()
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
