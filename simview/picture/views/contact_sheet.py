"""A page of targets: a small view of each at a scale that suits it, its name and figures below.

What it says is settled before, in `simview.picture.views.contact_contents`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any, Final

import numpy as np

from simview import budget
from simview.executor.pieces import pieces, used
from simview.executor.threads import jobs
from simview.kit import Kit, Observer, Sky
from simview.picture.drawing import sheet
from simview.picture.drawing.canvas import Canvas, Size, check_size
from simview.picture.drawing.panel import even_px, stopped
from simview.picture.finished import Sheet, star_px
from simview.picture.pair_words import dots
from simview.picture.prints.printing import (
    BYTES_AT_LEAST,
    BYTES_HELD,
    BYTES_WORKING,
    Print,
    Progress,
    develop_all,
)
from simview.picture.prints.wanted import Wanted
from simview.picture.views.cases import Look
from simview.picture.views.comparing import photo_panel
from simview.picture.views.contact_contents import (
    Contact,
    ContactContents,
    Item,
    judge_contacts,
    read,
)
from simview.picture.views.contact_layout import Cell, draw_cell, grid_of
from simview.telescope.exposure import Engine

# How much wider than its picture a view is painted at the most, for the light around it.
_AROUND: Final = 1.5


def contact_sheet(  # noqa: PLR0913 - the whole door of a command
    items: Sequence[Item],
    kit: Kit,
    *,
    shown: Look = "eye",
    title: str = "",
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
    engine: Engine = "native",
    progress: Progress | None = None,
) -> Sheet:
    """Show targets side by side, each through the kit at the power that suits it.

    Parameters
    ----------
    items
        What is shown, row by row.
    kit, sky, observer
        As in `simview.look`.
    shown
        What each picture shows.
    title
        Of the page; empty for the usual one.
    size, engine, progress
        As in `simview.picture.views.compose.view`.

    Raises
    ------
    SimviewError
        For no targets, more than a page holds, an unknown look, a size that sheets cannot have.
    """
    check_size(size)
    contents = judge_contacts(
        items, kit, shown=shown, title=title, sky=sky, observer=observer, engine=engine
    )
    return draw_contacts(contents, size=size, progress=progress)


def draw_contacts(
    contents: ContactContents, *, size: Size = (1920, 1080), progress: Progress | None = None
) -> Sheet:
    """Draw a page whose words are settled already.

    Raises
    ------
    SimviewError
        For a size that sheets cannot have.
    """
    check_size(size)
    canvas = Canvas(size)
    contacts = contents.contacts
    grid = grid_of(canvas, [contact.heading for contact in contacts])
    seen = partial(picture_of, side_px=grid.side_px, shown=contents.shown, star=star_px(size))
    each = (BYTES_HELD + BYTES_WORKING) * (_AROUND * grid.side_px) ** 2
    with used(jobs=budget.at_once(jobs(), each, BYTES_AT_LEAST)):
        pictures = pieces(seen, contacts, apart=True)
        for place, contact in enumerate(contacts):
            if progress is not None:
                progress(place / len(contacts), contact.item.target.title)
            draw_cell(canvas, grid, place, Cell(picture=next(pictures), lines=contact.lines))
    sheet.draw_words(canvas, contents.words)
    if progress is not None:
        progress(1.0, "done")
    return contents.told(size).drawn(canvas.image)


def again(given: Mapping[str, Any], *, size: Size | None = None) -> Sheet:
    """Make a page again from its recipe.

    Raises
    ------
    SimviewError
        Where the recipe is broken.
    """
    told = read(given)
    return contact_sheet(**{**told, "size": size or told["size"]})


def picture_of(contact: Contact, side_px: int, shown: Look, star: float) -> Print:
    """Return the middle of a view, as wide as its page says, cut where the field stop cuts it."""
    view, width = contact.view, contact.width_arcsec
    pixels = even_px(side_px)
    degrees = width * view.beam.power / 3600.0
    scale = pixels / degrees
    if shown == "photo":
        print_ = photo_panel(view, width / pixels, pixels)
    else:
        fine, _ = dots(view, scale, star)
        wanted = Wanted(
            view=view, pixels_per_degree=scale, pixels=pixels, star_px=star, pair_px=fine
        )
        print_ = develop_all([wanted]).panels[0]
    return np.asarray(stopped(print_, view.beam.apparent_field_deg * scale))
