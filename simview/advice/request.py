"""The adviser's desk: one offer in, verdict and answer out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final

from simview.advice.alternatives import Instead, alternatives
from simview.advice.answer import Answer, answer
from simview.advice.letterhead import Letterhead
from simview.advice.listing import Listing
from simview.advice.offerkit import offer_kit
from simview.advice.pictures import Column, Row
from simview.advice.rescue import Rescue, rescue
from simview.advice.speech import ENGLISH, Tongue, say
from simview.advice.stock import Shelf
from simview.advice.verdict import Verdict, vet
from simview.kit import Observer, Sky

Progress = Callable[[float, str], None]

# How many instruments stand side by side in the pictures.
BESIDE: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Evening:
    """Where and when an owner will look.

    Parameters
    ----------
    latitude_deg, longitude_deg
        North and east positive.
    zone
        Of the clock; empty takes the place's own.
    day
        Of the month; None for the month at large.
    """

    year: int
    month: int
    latitude_deg: float
    longitude_deg: float = 0.0
    zone: str = ""
    day: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """What an answer shall hold.

    Parameters
    ----------
    shelf
        What could be had instead; None leaves that part out.
    budget, currency
        As in `simview.advice.alternatives.alternatives`.
    head
        The club's letterhead.
    pictures
        False leaves the pictures out, which take some seconds.
    rescue
        Where and when, for an owner; None answers a buyer.
    tongue
        In which language, for which land.
    """

    shelf: Shelf | None = None
    budget: float | None = None
    currency: str = ""
    head: Letterhead | None = None
    pictures: bool = True
    rescue: Evening | None = None
    tongue: Tongue = ENGLISH
    sky: Sky = field(default_factory=Sky)
    observer: Observer = field(default_factory=Observer)


def prepare(
    listing: Listing, wishes: Wishes, *, progress: Progress | None = None
) -> tuple[Verdict, Answer]:
    """Judge an offer and put the answer together.

    Raises
    ------
    SimviewError
        For a month or a place that there is not.
    """
    verdict = vet(listing, wishes.shelf)
    instead = _instead(verdict, wishes)
    help_ = _rescue(listing, wishes)
    made = answer(
        verdict,
        instead=instead,
        rescue=help_,
        views=_views(help_, wishes) if wishes.pictures else None,
        pictures=_pictures(verdict, instead, help_, wishes, progress) if wishes.pictures else (),
        head=wishes.head,
        optics=_optics(listing),
        tongue=wishes.tongue,
    )
    return verdict, made


_OWN: Final = {
    "telescope": say("your telescope"),
    "binocular": say("your binoculars"),
    "monocular": say("your spotting scope"),
}


def _optics(listing: Listing) -> str:
    made = offer_kit(listing)
    return "" if made is None else made.optics


def _instead(verdict: Verdict, wishes: Wishes) -> Instead | None:
    if wishes.shelf is None or wishes.rescue is not None:
        return None
    return alternatives(
        verdict.listing,
        wishes.shelf,
        budget=wishes.budget,
        currency=wishes.currency,
        sky=wishes.sky,
        observer=wishes.observer,
        leave=verdict.verdict == "leave it",
    )


def _rescue(listing: Listing, wishes: Wishes) -> Rescue | None:
    when = wishes.rescue
    if when is None:
        return None
    return rescue(
        listing,
        year=when.year,
        month=when.month,
        latitude_deg=when.latitude_deg,
        longitude_deg=when.longitude_deg,
        day=when.day,
        zone=when.zone,
        sky=wishes.sky,
        observer=wishes.observer,
    )


def _views(found: Rescue | None, wishes: Wishes) -> Mapping[str, bytes] | None:
    if found is None:
        return None
    from simview.advice.firstviews import first_views

    return first_views(found, wishes.observer)


def _pictures(
    verdict: Verdict,
    instead: Instead | None,
    owners: Rescue | None,
    wishes: Wishes,
    progress: Progress | None,
) -> tuple[Row, ...]:
    """Return the offer as promised, as it is, and the best of the shelf, side by side.

    An owner's own telescope stands with the pieces that stay in use.
    """
    from simview.advice.pictures import rows

    if owners is not None:
        alone = [Column(name=_OWN[verdict.listing.instrument], kit=owners.kit)]
        return rows(alone, sky=wishes.sky, observer=wishes.observer, progress=progress)
    made = offer_kit(verdict.listing)
    columns: list[Column] = []
    if made is not None:
        if verdict.numbers.get("claimed_over_useful", 0.0) > 1.0:
            claim = verdict.listing.claimed_power
            columns.append(Column(name=say("the offer"), kit=made.kit, promised=claim))
        columns.append(Column(name=say("the offer"), kit=made.kit))
    if instead is not None:
        best = [one.item for one in instead.ranked if one.item.kit and not one.offer]
        room = BESIDE - len(columns)
        columns += [Column(name=one.name, kit=one.kit) for one in best[:room] if one.kit]
    if not columns:
        return ()
    return rows(columns, sky=wishes.sky, observer=wishes.observer, progress=progress)
