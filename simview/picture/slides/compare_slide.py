"""A comparison as a slide: kits, eyepieces or conditions side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from simview.picture import captions
from simview.picture.drawing import text
from simview.picture.drawing.tongue import ENGLISH, say, spoken
from simview.picture.prints.display import Display
from simview.picture.prints.printing import Progress
from simview.picture.retelling import retold
from simview.picture.slides import says
from simview.picture.slides.plan import plan
from simview.picture.slides.printed import (
    WHOLE,
    finished,
    footer_of,
    labels,
    panel_of,
    pictures,
    shares,
)
from simview.picture.slides.records import MOST_FIGURES, Size, Slide, SlideSheet, Wish
from simview.picture.views.cases import Case
from simview.picture.views.judged import Contents, judge_cases
from simview.scene import long_exposure_photo
from simview.telescope.exposure import Engine
from simview.view import View


def compare_slide(
    cases: Sequence[Case],
    *,
    wish: Wish,
    size: Size = (1920, 1080),
    engine: Engine = "native",
    display: Display | None = None,
    progress: Progress | None = None,
) -> SlideSheet:
    """Show several kits, or one kit under several conditions, as large as the slide allows.

    Parameters
    ----------
    cases
        One for each panel.
    wish
        The slide's own words, language and ground.
    size, engine, display, progress
        As in `simview.picture.views.compose.view`.

    Raises
    ------
    SimviewError
        When no panel is left for the eye, or labels and panels do not match.
    """
    judged = judge_cases(cases, engine=engine)
    return slide_of_comparison(
        judged, cases, wish=wish, size=size, display=display, progress=progress
    )


def slide_of_comparison(
    judged: Contents,
    cases: Sequence[Case],
    *,
    wish: Wish,
    size: Size = (1920, 1080),
    display: Display | None = None,
    progress: Progress | None = None,
) -> SlideSheet:
    """Draw a slide of a comparison that is judged already.

    Parameters
    ----------
    judged
        What was seen, in words.
    cases
        One for each of its panels.
    wish
        The slide's own words, language and ground.
    size, display, progress
        As in `simview.picture.views.compose.view`.

    Raises
    ------
    SimviewError
        Where labels and panels do not match.
    """
    views = judged.views
    named = labels(wish, _named(cases, views))
    title = wish.title or _title(cases, named)
    small, notes = judged.is_small(), _notes(cases, views)
    planned = plan(size, title, len(views), insets=small, noted=any(notes))
    printed = pictures(judged, planned, small, display, progress)
    panels = []
    for picture, label, note, panel, case, field in zip(
        printed, named, notes, judged.panels, cases, shares(views), strict=True
    ):
        # Under several conditions the figure tells more: the power is the same in all of them.
        empty = panel.empty and not case.name
        panels.append(
            panel_of(
                picture,
                label=label,
                note=say("empty magnification") if empty else note,
                empty=empty,
                small=small,
                field=field,
            )
        )
    eye = next(panel.view for panel in judged.panels if panel.shown == "eye")
    photo = any(panel.shown == "photo" for panel in judged.panels)
    extra = [retold(long_exposure_photo.note(judged.target))] if photo else []
    slide = Slide(
        title=title,
        panels=tuple(panels),
        inset_words=say(WHOLE) if small else "",
        footer=footer_of(wish),
        small_print=_small_print(cases, named, " ".join((says.assumed(eye), *extra))),
    )
    told = judged.told(size, display)
    figures = [
        {**each, "label": label} for each, label in zip(told.figures["panels"], named, strict=True)
    ]
    return finished(slide, planned, wish, replace(told, figures={"panels": figures}))


def _named(cases: Sequence[Case], views: Sequence[View]) -> list[str]:
    """Return what tells each panel from its neighbours."""
    if all(case.name for case in cases):
        return [case.name for case in cases]
    if any(case.look == "photo" for case in cases):
        return [say("A long photograph") if c.look == "photo" else say("The eye") for c in cases]
    kits = [captions.instrument(case.kit) for case in cases]
    if len(set(kits)) == len(kits):
        return kits
    if any(case.eyepiece is not None for case in cases):
        return [captions.pieces(view.beam, view.kit) for view in views]
    return [text.times(view.beam.power) for view in views]


def _title(cases: Sequence[Case], labels: Sequence[str]) -> str:
    """Return the point of a comparison: the object, and what is set against what."""
    targets = list(dict.fromkeys(says.name(case.target) for case in cases))
    if len(targets) > 1:
        first, last = ", ".join(targets[:-1]), targets[-1]
        return say("{first} and {last} to one scale", first=first, last=last)
    if len(labels) == 2:
        first, second = (_inside(label) for label in labels)
        return say("{object}: {first}, and {second}", object=targets[0], first=first, second=second)
    return say("{object}, {count} ways", object=targets[0], count=len(labels))


def _inside(label: str) -> str:
    """Return a label inside a sentence: a small letter at its start, unless it is a name."""
    word = label.partition(" ")[0].rstrip(",")
    if spoken() != ENGLISH:
        return label
    plain = word in _PLAIN_WORDS
    return label[0].lower() + label[1:] if plain else label


_PLAIN_WORDS: Final = frozenset(
    [
        "A",
        "An",
        "At",
        "Average",
        "Best",
        "Far",
        "Frozen",
        "High",
        "In",
        "Just",
        "Low",
        "Middling",
        "No",
        "One",
        "Ordinary",
        "Restless",
        "Steady",
        "The",
        "Very",
        "With",
        "Without",
    ]
)


def _notes(cases: Sequence[Case], views: Sequence[View]) -> list[str]:
    """Return one figure for each panel, as long as a slide holds so many."""
    if len(cases) > MOST_FIGURES or any(case.look == "photo" for case in cases):
        return [""] * len(cases)
    fields = [view.beam.true_field_arcmin for view in views]
    if views[0].target.kind == "stars" and max(fields) > 1.5 * min(fields):
        return [say("{angle} of sky", angle=text.angle(60.0 * field)) for field in fields]
    told = [says.worth(view) for view in views]
    # What is the same everywhere tells no panel from its neighbours.
    return told if len(set(told)) > 1 else [""] * len(told)


def _small_print(cases: Sequence[Case], labels: Sequence[str], caption: str) -> str:
    """Return what each panel is, then what is assumed of the first."""
    kits = dict.fromkeys(captions.instrument(case.kit) for case in cases)
    if len(kits) == 1:
        through = say("Seen through {kit}.", kit=next(iter(kits)))
    else:
        through = say("Seen through {kit}.", kit=", ".join(kits))
    named = any(case.name for case in cases)
    differ = say("The panels differ in this: {labels}. The first one:", labels="; ".join(labels))
    also = differ if named else ""
    return " ".join(part for part in (through, also, caption) if part)
