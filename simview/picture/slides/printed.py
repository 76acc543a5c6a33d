"""What all slides of views do alike: look, print, put a picture into its panel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from simview.errors import SimviewError
from simview.picture import captions
from simview.picture.drawing.tongue import N_, say
from simview.picture.finished import Told, close_up, star_px
from simview.picture.prints.display import Display
from simview.picture.prints.printing import Print, Progress, develop_all
from simview.picture.prints.wanted import Wanted
from simview.picture.slides.arrange import page
from simview.picture.slides.paint import paint
from simview.picture.slides.plan import Plan, field_px
from simview.picture.slides.records import COMPUTED, Panel, Slide, SlideSheet, Wish
from simview.picture.views.comparing import photo_panel
from simview.picture.views.judged import Contents
from simview.scene.scene import Target
from simview.view import View

# Finest scale at which a close-up is computed, pixels per degree of apparent angle: 0.3 arcmin,
# three samples across the width that the eye's own optics leave of a point (0.9 arcmin or more).
_FINEST: Final = 200.0

# What the small pictures in the corners are.
WHOLE: Final = N_("Small: the whole view")


def finished(slide: Slide, planned: Plan, wish: Wish, told: Told) -> SlideSheet:
    """Draw a slide."""
    drawn = page(slide, planned, wish)
    return SlideSheet(
        image=paint(drawn),
        figures=told.figures,
        recipe={**told.recipe, "slide": wish.recipe()},
        remarks=told.remarks,
        page=drawn,
        tells=slide.tells(),
        small_print=slide.small_print,
    )


def footer_of(wish: Wish) -> str:
    """Return the line at the foot."""
    return say(COMPUTED) if wish.footer is None else wish.footer


# The large picture of a panel, and the whole field small.
Pair = tuple[Print, Print | None]


def pictures(
    judged: Contents,
    planned: Plan,
    small: bool,
    display: Display | None,
    progress: Progress | None,
) -> list[Pair]:
    """Print every panel under one adaptation: one scale of the sky, or one of apparent angle.

    Parameters
    ----------
    judged
        What was seen.
    planned
        How large everything is.
    small
        True where the object needs a close-up beside the whole field.
    display
        What shows the slide; None for the usual.
    progress
        Told how far it is; None for nobody.
    """
    star = star_px(planned.size)
    side, views, patch = planned.side, judged.views, judged.patch_arcsec
    apart = _window_deg(judged.target, views) if small else 0.0
    widest = max(view.beam.apparent_field_deg for view in views)
    wanted = []
    places: list[tuple[int, int | None]] = []
    for panel in judged.panels:
        view = panel.view
        if panel.shown == "photo":
            places.append((-1, None))
            continue
        if small:
            scale = field_px(planned.inset_px) / widest
            pixels = planned.inset_px
            wanted.append(Wanted(view=view, pixels_per_degree=scale, pixels=pixels, star_px=star))
            large = (
                close_up(view, 3600.0 * apart / view.beam.power, side, star)
                if apart
                else close_up(view, patch, side, star)
            )
            wanted.append(replace(large, finest=_FINEST))
            places.append((len(wanted) - 1, len(wanted) - 2))
        else:
            scale = field_px(side) / widest
            wanted.append(Wanted(view=view, pixels_per_degree=scale, pixels=side, star_px=star))
            places.append((len(wanted) - 1, None))
    prints = develop_all(wanted, display=display, progress=progress)
    pairs: list[Pair] = []
    for view, (whole_or_close, inset) in zip(views, places, strict=True):
        if whole_or_close >= 0:
            whole = None if inset is None else prints.panels[inset]
            pairs.append((prints.panels[whole_or_close], whole))
        elif small:
            pairs.append((photo_panel(view, patch / side, side), None))
        else:
            pixel = view.beam.true_field_arcmin * 60.0 / field_px(side)
            pixel *= widest / view.beam.apparent_field_deg
            pairs.append((photo_panel(view, pixel, side), None))
    return pairs


def _window_deg(target: Target, views: Sequence[View]) -> float:
    """Return the apparent angle across each picture of a double at unlike powers, else 0.

    There one scale to the eye shows how power draws the stars apart; one scale of the sky would
    blow the view of a low power up until nothing but a blot is left.
    """
    powers = [view.beam.power for view in views]
    if target.kind != "double" or max(powers) < 1.3 * min(powers):
        return 0.0
    return captions.patch_arcsec(target, views) * max(powers) / 3600.0


def shares(views: Sequence[View]) -> list[float]:
    """Return how wide each view's field is against the widest."""
    widest = max(view.beam.apparent_field_deg for view in views)
    return [view.beam.apparent_field_deg / widest for view in views]


def panel_of(
    picture: Pair, *, label: str, note: str, empty: bool, small: bool, field: float
) -> Panel:
    """Return a printed view as a panel with its words.

    Parameters
    ----------
    picture
        The view, and its close-up if it has one.
    label, note
        What stands above and below.
    empty
        True marks empty magnification.
    small
        True where the close-up leads.
    field
        How wide the whole field is against the widest of the slide, up to 1.
    """
    return Panel(
        picture=picture[0],
        inset=picture[1],
        round=not small,
        field=field,
        label=label,
        note=note,
        empty=empty,
    )


def labels(wish: Wish, own: Sequence[str]) -> list[str]:
    """Return the words above the panels."""
    if not wish.labels:
        return list(own)
    if len(wish.labels) != len(own):
        raise SimviewError(
            "--labels", got=f"{len(wish.labels)} labels", allowed=f"{len(own)}, one for each panel"
        )
    return list(wish.labels)
