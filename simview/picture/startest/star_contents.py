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
from simview.picture.drawing.tongue import decimal, say, spoken
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
    perfect = say("Perfect, free of colour") if lens else say("A perfect telescope")
    return StarContents(
        views=views,
        layout=layout,
        words=sheet_text(views),
        inside=say("← Inside focus: eyepiece further in"),
        outside=say("Outside focus: eyepiece further out →"),
        places=tuple(_place(views, k) for k in range(len(layout.centres))),
        cone=_cone(views),
        against="" if hidden else _against(test),
        map_note="" if hidden else _map_note(views),
        beside_heading=say("The same, cooled down") if test.cooling else perfect,
        beside_column=say("now (cooled)") if test.cooling else say("here (perfect)"),
        beside=() if hidden else tuple(_rows(figures)),
        dots=None if hidden else marks(test.faults),
        told_heading=say(words.title) if hidden else _told_heading(test, words),
        sentences=tuple(words.sentences()),
        figures={"riddle": test.riddle} if hidden else numbers(test, figures),
        recipe=recipe(test, size),
        remarks=_remarks(views),
    )


def _told_heading(test: StarTest, words: StarWords) -> str:
    asked = len(test.faults) == 1
    if asked:
        return say("At the eyepiece")
    return say("At the eyepiece: {fault}", fault=_small(words.title))


def _against(test: StarTest) -> str:
    return say("cooled down") if test.cooling else say("a perfect one")


def _small(title: str) -> str:
    """Return a title inside a sentence; German nouns keep their capitals."""
    return title if spoken() == "de" else title.lower()


def _cone(views: StarViews) -> str:
    words = say(
        "The cone of light behind the telescope, cut open: each disc above is a slice of it"
    )
    if views.test.riddle is not None:
        return words + say(" (a cone never shows the air)")
    return words + say(" (without air)") if views.afflicted.sky is not None else words


def _map_note(views: StarViews) -> str:
    found = views.afflicted
    if found.sky is not None:
        return say("waves; without the air")
    if found.scope.objective == "mirror":
        return say("waves; orange: surface too high")
    return say("waves; orange: light too early")


def _place(views: StarViews, k: int) -> tuple[str, str]:
    """Return where a panel of the strip is, in waves and in mm."""
    waves, mm = float(views.test.travel()[k]), float(views.test.travel_mm()[k])
    if k == len(views.test.travel()) // 2:
        larger = say("at the same scale")
        if views.factor > 1:
            larger = say("drawn {times}× larger", times=views.factor)
        return say("In focus"), larger
    unit = say("wave") if abs(waves) == 1 else say("waves")
    return f"{signed(waves)} {unit}", f"{signed(mm, digits=2)} mm"


def signed(value: float, digits: int = 3) -> str:
    """Return a number with its sign, a plus included."""
    words = decimal(f"{value:.{digits}g}".replace("-", "−"))
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
    titles = [_small(words_for(fault, test.scope, test.kit.layout).title) for fault in test.faults]
    kit, since = captions.instrument(test.kit), since_words(test)
    if test.riddle is not None:
        asked = say("one hidden fault (riddle {number})", number=test.riddle)
        titles = [say("what is wrong here?")]
    added = (say(" with {faults}", faults=asked) if asked else "") + (since and f", {since}")
    air = say("No air but what is asked for, no eye.")
    if test.riddle is not None:
        air = say("What is hidden may be in the telescope or in the air before it; no eye.")
    own = in_words(own_faults(test.scope.wavefront))
    scope = test.scope
    caption = (
        f"{air} {_travel(test)} {_exposed(test)} {_life_size(views)} "
        f"{taken_words(test)}{drift_words(test)}{_turned(test)}{_stopped(scope)}"
        + (
            say("The kit's own faults are in: {faults}.", faults=own)
            if own
            else say("The kit states no faults of its own.")
        )
    )
    return SheetText(
        title=say("Star test: {faults}", faults=", ".join(titles) or say("the telescope as it is")),
        subtitle=f"{kit}{added}, {light.says()}",
        caption=caption,
        footer=say(FOOTER),
    )


def _travel(test: StarTest) -> str:
    return say(
        "Travel is measured from focus at f/{ratio}: one wave of defocus (550 nm, peak to valley)"
        " is {mm} mm.",
        ratio=decimal(f"{test.scope.focal_ratio:.3g}"),
        mm=text.figure(abs(test.travel_mm()[0] / test.travel_waves)),
    )


def _life_size(views: StarViews) -> str:
    return say(
        "Discs are life size at {power}, seen from {heights} sheet heights away. The brightness of"
        " the cone is compressed.",
        power=text.times(views.power),
        heights=f"{READER_HEIGHTS:g}",
    )


def _exposed(test: StarTest) -> str:
    """Return how bright the pictures are drawn."""
    if test.common:
        return say(
            "One exposure for all pictures: with 100 times less light they print 8 times darker."
        )
    # Of a warm telescope more has to be said than there is room for.
    if test.cooling:
        return say("Each picture is exposed for itself.")
    return say(
        "Each picture is exposed for itself: at the eyepiece a disc is the dimmer the larger it is."
    )


def _turned(test: StarTest) -> str:
    """Return how the pictures are turned, and where a directed fault lies on the telescope."""
    angles = [fault.angle for fault in test.faults if kind_of(fault.name).directed]
    return turned_words(test.kit, [] if test.riddle is not None else angles)


def _stopped(scope: Telescope) -> str:
    """Return what has to be said of a telescope with a stop inside."""
    if scope.stop_mm is None:
        return ""
    told = say(
        "Waves are counted over the full {full} mm, of which a stop lets {open} mm through.",
        full=decimal(f"{scope.aperture_mm:g}"),
        open=decimal(f"{scope.stop_mm:g}"),
    )
    return f"{told} "


def _rows(figures: Beside) -> Sequence[tuple[str, str]]:
    """Return the table beside the perfect telescope; each row says what it is of."""
    own, best = figures.own, figures.best
    alone = "" if figures.aired is None else say(", no air")
    rows = [(say("Strehl ratio") + alone, decimal(f"{own.strehl:.2f} ({best.strehl:.2f})"))]
    if figures.aired is not None:
        rows.append((say("Strehl, this air"), decimal(f"{figures.aired.strehl:.2f}")))
    rows += _white_rows(figures)
    # Green light is a little out of focus where white is best: its own error is told without that.
    coloured = abs(figures.glass.strehl - 1.0) > COLOURLESS
    name = say("RMS, green focused") if coloured else say("RMS error")
    rms = decimal(f"{own.rms_waves:.3f}"), decimal(_short(best.rms_waves))
    rows += [
        (f"{name}{alone}", say("{own} waves ({best})", own=rms[0], best=rms[1])),
        (
            say("in Airy disc") + alone if alone else say("light in Airy disc"),
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
    white = decimal(f"{own.strehl_white:.2f} ({best.strehl_white:.2f})")
    rows = [(say("in white light"), white)]
    if glass.strehl_white - own.strehl_white > 0.005:
        rows.append((say("same glass, no fault"), decimal(f"{glass.strehl_white:.2f}")))
    return rows
