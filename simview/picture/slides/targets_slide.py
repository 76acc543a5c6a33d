"""Up to six targets as a slide, each through the kit at the power that suits it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from simview.errors import RangeError, require_choice
from simview.kit import Kit, Observer, Sky
from simview.picture import captions
from simview.picture.drawing import text
from simview.picture.drawing.tongue import ENGLISH, say, spoken
from simview.picture.finished import Told, star_px
from simview.picture.prints.printing import Progress
from simview.picture.slides import says
from simview.picture.slides.plan import MOST_PANELS, plan
from simview.picture.slides.printed import finished, footer_of, labels
from simview.picture.slides.records import Panel, Size, Slide, SlideSheet, Wish
from simview.picture.views import contact_sheet as sheets
from simview.picture.views.cases import LOOKS, Look
from simview.telescope.exposure import Engine
from simview.view import View

__all__ = ["MOST_PANELS", "again", "targets_slide"]


def targets_slide(  # noqa: PLR0913 - the whole door of a command
    items: Sequence[sheets.Item],
    kit: Kit,
    *,
    wish: Wish,
    shown: Look = "eye",
    title: str = "",
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
    engine: Engine = "native",
    progress: Progress | None = None,
) -> SlideSheet:
    """Show targets side by side, as large as the slide allows, each to a scale of its own.

    Raises
    ------
    SimviewError
        For no targets, more than a slide holds, an unknown look.
    """
    require_choice("look", shown, LOOKS)
    if not 1 <= len(items) <= MOST_PANELS:
        raise RangeError("targets on a slide", got=len(items), allowed=f"1 to {MOST_PANELS}")
    sky, observer = sky or kit.sky or Sky(), observer or kit.observer or Observer()
    own = title if title and spoken() == ENGLISH else say("What can be looked at")
    heading = wish.title or own
    planned = plan(size, heading, len(items), insets=False)
    named = labels(wish, [says.name(item.target).partition(" (")[0] for item in items])
    panels, figures, views = [], [], []
    for number, (item, label) in enumerate(zip(items, named, strict=True)):
        if progress is not None:
            progress(number / len(items), item.target.title)
        view = sheets.view_of(kit, item.target, sky=sky, observer=observer, engine=engine)
        width = sheets.width_arcsec(view)
        picture = sheets.picture_of(view, width, planned.side, shown, star_px(size))
        panels.append(Panel(picture=picture, label=label, note=_note(view, width, shown)))
        figures.append(sheets.figures_of(item, view, width))
        views.append(view)
    if progress is not None:
        progress(1.0, "done")
    slide = Slide(
        title=heading,
        panels=tuple(panels),
        footer=footer_of(wish),
        small_print=_small_print(views, kit),
    )
    return finished(
        slide,
        planned,
        wish,
        Told(
            figures={"kit": captions.instrument(kit), "look": shown, "targets": figures},
            recipe={
                **sheets.recipe_of(items, kit, sky, observer),
                "look": shown,
                "title": title,
                "size": list(size),
                "engine": engine,
            },
        ),
    )


def _note(view: View, width: float, shown: Look) -> str:
    """Return what a panel's picture is: its power, its width on the sky, what the eye makes of it.

    The width is said in every panel, since each has a scale of its own.
    """
    told = say(
        "{power}, {width} across", power=text.times(view.beam.power), width=text.angle(width)
    )
    verdict = says.verdict(view) if shown == "eye" else ""
    return f"{told}: {verdict}" if verdict else told


def _small_print(views: Sequence[View], kit: Kit) -> str:
    first = views[0]
    scale = say("Each picture has a scale of its own.")
    through = say("Seen through {kit}.", kit=captions.instrument(kit))
    return " ".join((through, scale, captions.air_before(first.target, first.sky)))


def again(given: Mapping[str, Any], wish: Wish, size: Size | None) -> SlideSheet:
    """Make it again from its recipe."""
    told = sheets.read(given)
    return targets_slide(**{**told, "size": size or told["size"], "wish": wish})
