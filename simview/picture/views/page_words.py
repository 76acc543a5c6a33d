"""The words of a page of targets: what heads it, and when its objects are seen best."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from simview.picture.drawing.tongue import N_, decimal, say

# How a page of one kind of target is headed.
KIND_TITLES: Final[Mapping[str, str]] = {
    "planet": N_("Planets"),
    "moon": N_("The Moon"),
    "double": N_("Double stars"),
    "stars": N_("Clusters and fields of stars"),
    "deep-sky": N_("Deep sky"),
    "chart": N_("Test charts"),
    "photo": N_("Pictures of one's own"),
    "daytime": N_("By day"),
}

# When objects stand highest in the evening.
_MONTHS: Final = (
    N_("January"),
    N_("February"),
    N_("March"),
    N_("April"),
    N_("May"),
    N_("June"),
    N_("July"),
    N_("August"),
    N_("September"),
    N_("October"),
    N_("November"),
    N_("December"),
)
_SEASONS: Final = (*_MONTHS, N_("by date"), N_("any time"))


def season(words: str) -> str:
    """Return when an object is best seen, in the language spoken; own words stay as they are."""
    return say(words) if words in _SEASONS else words


def evenings(seasons: Sequence[str]) -> str:
    """Return when these are seen best: "January and February evenings"."""
    told = season(seasons[0])
    for each in seasons[1:]:
        told = say("{first} and {second}", first=told, second=season(each))
    return say("{months} evenings", months=told) if seasons[0] in _MONTHS else told


def page_title(
    kind: str | None,
    seasons: Sequence[str],
    filters: Sequence[str | None] = (),
    brighter: float | None = None,
) -> str:
    """Return what heads a page: the filters that it was chosen by, each in words."""
    light = None
    if brighter is not None:
        light = say("V {magnitude} or brighter", magnitude=decimal(f"{brighter:g}"))
    parts = (
        say(KIND_TITLES[kind]) if kind else None,
        evenings(seasons) if seasons else None,
        *filters,
        light,
    )
    told = " · ".join(part for part in parts if part)
    return told[0].upper() + told[1:] if told else say("What can be looked at")


def paged(title: str, page: int, pages: int) -> str:
    """Return a title with the number of its page, where there are several."""
    if pages == 1:
        return title
    return say("{title} (page {page} of {pages})", title=title, page=page, pages=pages)
