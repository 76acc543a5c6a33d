"""Instead: what the same money buys, ranked by what it shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from simview.advice.listing import Listing
from simview.advice.offerkit import offer_kit
from simview.advice.sights import Shows, naked_eye_mag, shows
from simview.advice.speech import listed, say
from simview.advice.stock import Item, Shelf, Sort, Weights
from simview.kit import Kit, Observer, Sky

# Differences that make one instrument clearly better or worse than another. Choices, the same
# as the steps of simview.advice.sights.
CLEARLY_MAG: Final = 0.5
CLEARLY_RATIO: Final = 1.25
SLIGHTLY_MAG: Final = 0.1
SLIGHTLY_RATIO: Final = 1.05

# Apertures less than this apart count as the same. A choice.
ALIKE: Final = 1.1

# Sums below which a star wheel or nothing yet is the better advice: with less than this many
# steps over the naked eye an instrument disappoints. A choice.
WORTHWHILE_STEPS: Final = 15.0

_FACES: Final = {
    "faint": say("it shows fainter stars"),
    "fine": say("it shows finer detail"),
    "steady": say("it stands more firmly"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """One thing on the shelf, as an answer to an offer.

    Parameters
    ----------
    shows
        What it shows; None for a star wheel and for no telescope yet.
    score
        Noticeable steps over the naked eye, weighted; None where nothing is measured.
    steps
        The same, each figure by itself.
    why
        One sentence.
    best
        What it shows at best, where it is an offer that leaves something unsaid; else None.
    offer
        True for the offer itself.
    """

    item: Item
    shows: Shows | None
    score: float | None
    steps: Mapping[str, float]
    why: str
    best: Shows | None = None
    offer: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Instead:
    """All that the budget buys.

    Parameters
    ----------
    ranked
        Best first, the offer itself among them where it can be looked through.
    unpriced
        Items whose price must be asked for: nothing is lost.
    beyond
        Items above the budget.
    other_currency
        Items in a currency that the budget is not in: no rates are guessed.
    offer
        What the offer itself shows, for comparison; None where too little is said.
    """

    budget: float | None
    currency: str
    ranked: tuple[Alternative, ...]
    unpriced: tuple[Item, ...]
    beyond: tuple[Item, ...]
    other_currency: tuple[Item, ...]
    offer: Shows | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Better:
    """An item that shows more for no more money, why, and the figures."""

    item: Item
    why: str
    sums: str


def alternatives(
    listing: Listing,
    shelf: Shelf,
    *,
    budget: float | None = None,
    currency: str = "",
    sky: Sky | None = None,
    observer: Observer | None = None,
    leave: bool = False,
) -> Instead:
    """Rank what the budget buys by what it shows.

    Parameters
    ----------
    budget
        Most to spend; None takes the offer's own price, without one everything is ranked.
    currency
        Of the budget; empty takes the offer's, then the shelf's.
    sky, observer
        Under which sky, for whose eye.
    leave
        True where the verdict is to leave the offer: then it comes last, whatever it would show.
    """
    sky, observer = sky or Sky(), observer or Observer()
    money = listing.price if budget is None else budget
    coin = (currency or (listing.currency if budget is None else "") or shelf.currency).upper()
    sorted_out = _sort_out(shelf, money, coin)
    offered = _offered(listing, shelf.weights, sky, observer)
    last = () if offered is None or not leave else (offered,)
    rated = None if last else offered
    ranked = (*_ranked(sorted_out["within"], rated, shelf.weights, sky, observer), *last)
    return Instead(
        budget=money,
        currency=coin,
        ranked=ranked,
        unpriced=tuple(sorted_out["unpriced"]),
        beyond=tuple(sorted_out["beyond"]),
        other_currency=tuple(sorted_out["other"]),
        offer=None if offered is None else offered.shows,
    )


def _offered(
    listing: Listing, weights: Weights, sky: Sky, observer: Observer
) -> Alternative | None:
    """Return the offer as one among the alternatives, with its range."""
    made = offer_kit(listing)
    if made is None:
        return None
    sort: Sort = "telescope" if listing.instrument == "telescope" else "binocular"
    item = Item(
        name=listing.name, sort=sort, price=listing.price, currency=listing.currency, kit=made.kit
    )
    naked = naked_eye_mag(sky, observer)
    measured = _measured(item, made.kit, weights, naked, sky, observer)
    best = None if made.best == made.kit else shows(made.best, sky, observer)
    return replace(measured, best=best, offer=True)


def _sort_out(shelf: Shelf, money: float | None, coin: str) -> dict[str, list[Item]]:
    piles: dict[str, list[Item]] = {"within": [], "unpriced": [], "beyond": [], "other": []}
    for item in shelf.items:
        if item.sort == "no telescope yet":
            piles["within"].append(item)
        elif item.price is None:
            piles["unpriced"].append(item)
        elif coin and item.currency and item.currency != coin:
            piles["other"].append(item)
        elif money is not None and item.price > money:
            piles["beyond"].append(item)
        else:
            piles["within"].append(item)
    return piles


def _ranked(
    items: list[Item],
    offered: Alternative | None,
    weights: Weights,
    sky: Sky,
    observer: Observer,
) -> tuple[Alternative, ...]:
    """Put instruments by score; what has no figures goes before those that would disappoint."""
    naked = naked_eye_mag(sky, observer)
    measured = [
        _measured(item, item.kit, weights, naked, sky, observer)
        for item in items
        if item.kit is not None
    ]
    measured += [] if offered is None else [offered]
    plain = [
        Alternative(item=item, shows=None, score=None, steps={}, why=item.note)
        for item in items
        if item.kit is None
    ]
    measured.sort(key=_place)
    enough = WORTHWHILE_STEPS * (weights.faint + weights.fine + weights.wide + weights.steady) / 4.0
    good = [one for one in measured if (one.score or 0.0) >= enough]
    poor = [one for one in measured if (one.score or 0.0) < enough]
    return (*good, *plain, *poor)


def _place(one: Alternative) -> tuple[float, bool, float, float, str]:
    """Return what to sort by: in one whole step of score the offer, which is in doubt, comes last.

    The step is a choice: what differs by less shows as much.
    """
    score = one.score or 0.0
    return -round(score), one.offer, -score, one.item.price or 0.0, one.item.name


def _measured(
    item: Item, kit: Kit, weights: Weights, naked: float, sky: Sky, observer: Observer
) -> Alternative:
    seen = shows(kit, sky, observer)
    steps = seen.steps(naked)
    score = sum(getattr(weights, name) * value for name, value in steps.items())
    return Alternative(item=item, shows=seen, score=score, steps=steps, why=item.note)


def better_for_the_money(
    listing: Listing, shelf: Shelf, sky: Sky | None = None, observer: Observer | None = None
) -> Better | None:
    """Return the item of the shelf that clearly beats an offer for no more money, if there is one.

    It must be clearly better in the faintest star (half a magnitude) or the finest detail (a
    quarter), and worse in neither. What the offer does not say is taken at its best: silence is no
    fault that a price could be held against.
    """
    sky, observer = sky or Sky(), observer or Observer()
    offered = offer_kit(listing)
    if offered is None or listing.price is None:
        return None
    own = shows(offered.best, sky, observer)
    found: list[tuple[float, Better]] = []
    for item in shelf.items:
        same = item.currency == listing.currency.upper() or not item.currency
        if item.kit is None or item.price is None or item.price > listing.price or not same:
            continue
        if not _is_larger(offered.best, item.kit):
            continue
        other = shows(item.kit, sky, observer)
        why = _better(own, other)
        if why:
            steps = sum(other.steps(own.faintest_mag).values())
            found.append((steps, Better(item=item, why=why, sums=_sums(own, other))))
    return max(found, key=lambda one: one[0], default=(0.0, None))[1]


def _is_larger(own: Kit, other: Kit) -> bool:
    """Return whether an item has more than the offer's own aperture, or is no telescope.

    Of two telescopes of one aperture one shows more by its eyepieces alone, and an eyepiece costs
    little: that is no fault of a price.
    """
    if own.telescope is None or other.telescope is None:
        return True
    return other.telescope.aperture_mm > ALIKE * own.telescope.aperture_mm


def _better(own: Shows, other: Shows) -> str:
    fine, own_fine = other.finest_arcsec or 1e3, own.finest_arcsec or 1e3
    deeper = other.faintest_mag - own.faintest_mag
    if deeper < -SLIGHTLY_MAG or fine > own_fine * SLIGHTLY_RATIO:
        return ""
    faces = {
        "faint": deeper >= CLEARLY_MAG,
        "fine": own_fine / fine >= CLEARLY_RATIO,
        "steady": own.motion_arcmin / max(other.motion_arcmin, 0.1) >= 2.0,
    }
    if not (faces["faint"] or faces["fine"]):
        return ""
    return listed(words for name, words in _FACES.items() if faces.get(name))


def _sums(own: Shows, other: Shows) -> str:
    return (
        f"{other.faintest_mag:.1f} / {own.faintest_mag:.1f} mag; {_arcsec(other)} /"
        f" {_arcsec(own)}; {other.widest_deg:.1f}° / {own.widest_deg:.1f}°"
    )


def _arcsec(seen: Shows) -> str:
    return "—" if seen.finest_arcsec is None else f"{seen.finest_arcsec:.1f}″"
