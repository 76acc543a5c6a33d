"""What the sheet of a star test says, settled before it is drawn.

`tested` has its figures and its recipe; the sheet, a table and JSON each show these records and
decide nothing of their own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from simview.errors import RangeError
from simview.kit import Telescope
from simview.picture import captions
from simview.picture.drawing import text
from simview.picture.drawing.canvas import Size
from simview.picture.drawing.sheet import SheetText
from simview.picture.finished import FOOTER, Told
from simview.picture.startest.clockface import Marks, marks, turned_words
from simview.picture.startest.cooling_rows import drift_words, since_words, taken_words
from simview.picture.startest.patterns import StarTest, StarViews, in_users_terms
from simview.picture.startest.riddle import QUESTIONS
from simview.picture.startest.star_layout import Layout
from simview.picture.startest.tested import COLOURLESS, Beside, numbers, recipe, sheet_words
from simview.picture.startest.words import StarWords, in_words, own_faults, words_for
from simview.picture.views.single import READER_HEIGHTS
from simview.telescope.faults import kind_of
from simview.telescope.quality import wavefront_map


@dataclass(frozen=True, slots=True, kw_only=True)
class StarContents:
    """All that the sheet of a star test holds, before it is drawn.

    Parameters
    ----------
    views
        The stars and the cone of light, which are printed when they are asked for.
    layout
        Where everything stands: what is drawn life size follows from it.
    words
        Title, subtitle, caption, footer.
    inside, outside
        Above the two ends of the strip.
    places
        Under each panel: where it is, in waves and in mm; the middle one is in focus.
    cone
        Below the cone of light.
    against
        What the profile is drawn beside, in words; empty where nothing is told.
    map_note
        What the wavefront's colours mean; empty where the wavefront is hidden.
    beside_heading, beside_column, beside
        Above the telescope that this one is drawn beside, above its figures, and the figures.
    dots
        Where a directed fault lies on the telescope; None where none has a side, or it is hidden.
    told_heading, sentences
        What to look for and what to do, each sentence with the word that leads it.
    figures, recipe
        For JSON, for tables and for the picture's metadata; what makes it again, but for its size.
    remarks
        What the sheet cannot show.
    """

    views: StarViews
    layout: Layout
    words: SheetText
    inside: str
    outside: str
    places: tuple[tuple[str, str], ...]
    cone: str
    against: str
    map_note: str
    beside_heading: str
    beside_column: str
    beside: tuple[tuple[str, str], ...]
    dots: Marks | None
    told_heading: str
    sentences: tuple[tuple[str, str], ...]
    figures: Mapping[str, Any]
    recipe: Mapping[str, Any]
    remarks: tuple[str, ...]

    @property
    def hidden(self) -> bool:
        """Whether it is a riddle, whose answer no part of the sheet tells."""
        return self.views.test.riddle is not None

    def wavefront(self) -> NDArray[np.float64]:
        """Return the error of the optics over the pupil, waves; NaN where it is closed."""
        found = self.views.afflicted
        return wavefront_map(found.scope, samples=512, extras=found.extras)

    def told(self) -> Told:
        """Return what is said of it whether or not it is drawn."""
        return Told(figures=dict(self.figures), recipe=dict(self.recipe), remarks=self.remarks)


def judge_startest(test: StarTest, size: Size = (1920, 1080)) -> StarContents:
    """Compute a star test's figures, and settle what its sheet says.

    Raises
    ------
    SimviewError
        Where a fault does not go with the telescope, or cannot be sampled; for a size that sheets
        cannot have.
    """
    layout = Layout.of(size, test.positions)
    views = StarViews(test=test, sizes=layout.sizes(size))
    try:
        views.check()
        return _judged(views, layout, Beside.of(views), size)
    except RangeError as error:
        raise in_users_terms(error) from None


def _judged(views: StarViews, layout: Layout, figures: Beside, size: Size) -> StarContents:
    test, hidden = views.test, views.test.riddle is not None
    words = QUESTIONS if hidden else sheet_words(test, figures)
    lens = test.scope.objective != "mirror"
    perfect = "Perfect, free of colour" if lens else "A perfect telescope"
    return StarContents(
        views=views,
        layout=layout,
        words=sheet_text(views),
        inside="← Inside focus: eyepiece further in",
        outside="Outside focus: eyepiece further out →",
        places=tuple(_place(views, k) for k in range(len(layout.centres))),
        cone=_cone(views),
        against="" if hidden else "cooled down" if test.cooling else "a perfect one",
        map_note="" if hidden else _map_note(views),
        beside_heading="The same, cooled down" if test.cooling else perfect,
        beside_column="now (cooled)" if test.cooling else "here (perfect)",
        beside=() if hidden else tuple(_rows(figures)),
        dots=None if hidden else marks(test.faults),
        told_heading=words.title if hidden else _told_heading(test, words),
        sentences=tuple(words.sentences()),
        figures={"riddle": test.riddle} if hidden else numbers(test, figures),
        recipe=recipe(test, size),
        remarks=_remarks(views),
    )


def _told_heading(test: StarTest, words: StarWords) -> str:
    asked = len(test.faults) == 1
    return "At the eyepiece" if asked else f"At the eyepiece: {words.title.lower()}"


def _cone(views: StarViews) -> str:
    words = "The cone of light behind the telescope, cut open: each disc above is a slice of it"
    if views.test.riddle is not None:
        return f"{words} (a cone never shows the air)"
    return f"{words} (without air)" if views.afflicted.sky is not None else words


def _map_note(views: StarViews) -> str:
    found = views.afflicted
    if found.sky is not None:
        return "without the air"
    mirror = found.scope.objective == "mirror"
    return "orange: surface too high" if mirror else "orange: light too early"


def _place(views: StarViews, k: int) -> tuple[str, str]:
    """Return where a panel of the strip is, in waves and in mm."""
    waves, mm = float(views.test.travel()[k]), float(views.test.travel_mm()[k])
    if k == len(views.test.travel()) // 2:
        larger = f"drawn {views.factor}× larger" if views.factor > 1 else "at the same scale"
        return "In focus", larger
    unit = "wave" if abs(waves) == 1 else "waves"
    return f"{signed(waves)} {unit}", f"{signed(mm, digits=2)} mm"


def signed(value: float, digits: int = 3) -> str:
    """Return a number with its sign, a plus included."""
    words = f"{value:.{digits}g}".replace("-", "−")
    return words if value <= 0.0 else f"+{words}"


def _remarks(views: StarViews) -> tuple[str, ...]:
    """Return what the sheet cannot show."""
    caught = views.caught()
    if views.test.power is None or caught > 0.5:
        return ()
    return (
        f"at {views.test.power:g} times the outermost discs are larger than their panels "
        f"({100.0 * caught:.0f} % of the light is in them): take less --travel or a lower --power",
    )


def sheet_text(views: StarViews) -> SheetText:
    """Return title, subtitle and caption."""
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
