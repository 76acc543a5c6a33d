"""Up to six targets as a slide, each through the kit at the power that suits it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from simview.kit import Kit, Observer, Sky
from simview.picture import captions
from simview.picture.drawing import text
from simview.picture.drawing.tongue import say
from simview.picture.finished import star_px
from simview.picture.prints.printing import Progress
from simview.picture.slides import says
from simview.picture.slides.plan import MOST_PANELS, plan
from simview.picture.slides.printed import finished, footer_of, labels
from simview.picture.slides.records import Panel, Size, Slide, SlideSheet, Wish
from simview.picture.views.cases import Look
from simview.picture.views.contact_contents import Contact, Item, judge_contacts, read
from simview.picture.views.contact_sheet import picture_of
from simview.telescope.exposure import Engine
from simview.view import View

__all__ = ["MOST_PANELS", "again", "targets_slide"]


def targets_slide(  # noqa: PLR0913 - the whole door of a command
    items: Sequence[Item],
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

    Parameters
    ----------
    items
        What is shown.
    kit, sky, observer
        As in `simview.look`.
    wish
        The slide's own words, language and ground.
    shown
        What each picture shows.
    title
        In English, where the wish has none.
    size, engine, progress
        As in `simview.picture.views.compose.view`.

    Raises
    ------
    SimviewError
        For no targets, more than a slide holds, an unknown look.
    """
    own = title or say("What can be looked at")
    heading = wish.title or own
    contents = judge_contacts(
        items,
        kit,
        shown=shown,
        title=title,
        sky=sky,
        observer=observer,
        engine=engine,
        most=MOST_PANELS,
        where="a slide",
    )
    contacts = contents.contacts
    planned = plan(size, heading, len(contacts), insets=False)
    named = labels(wish, [says.name(one.item.target).partition(" (")[0] for one in contacts])
    panels = []
    for number, (contact, label) in enumerate(zip(contacts, named, strict=True)):
        if progress is not None:
            progress(number / len(contacts), contact.item.target.title)
        picture = picture_of(contact, planned.side, shown, star_px(size))
        panels.append(Panel(picture=picture, label=label, note=_note(contact, shown)))
    if progress is not None:
        progress(1.0, "done")
    slide = Slide(
        title=heading,
        panels=tuple(panels),
        footer=footer_of(wish),
        small_print=_small_print(contacts[0].view, kit),
    )
    return finished(slide, planned, wish, contents.told(size))


def _note(contact: Contact, shown: Look) -> str:
    """Return what a panel's picture is: its power, its width on the sky, what the eye makes of it.

    The width is said in every panel, since each has a scale of its own.
    """
    view = contact.view
    told = say(
        "{power}, {width} across",
        power=text.times(view.beam.power),
        width=text.angle(contact.width_arcsec),
    )
    verdict = says.verdict(view) if shown == "eye" else ""
    return f"{told}: {verdict}" if verdict else told


def _small_print(first: View, kit: Kit) -> str:
    scale = say("Each picture has a scale of its own.")
    through = say("Seen through {kit}.", kit=captions.instrument(kit))
    return " ".join((through, scale, captions.air_before(first.target, first.sky)))


def again(given: Mapping[str, Any], wish: Wish, size: Size | None) -> SlideSheet:
    """Make it again from its recipe."""
    told = read(given)
    return targets_slide(**{**told, "size": size or told["size"], "wish": wish})
