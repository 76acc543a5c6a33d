"""The answer to a buyer or an owner: everything that a page or a paper shows, in order.

Both the page (HTML) and the paper (PDF) are written from this one record, so they say the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

from simview.advice.alternatives import Alternative, Instead
from simview.advice.headline import headline
from simview.advice.letterhead import Letterhead, words_of
from simview.advice.powertable import PowerRow, power_rows, useful_power
from simview.advice.rules.rule import Finding
from simview.advice.sights import Shows
from simview.advice.speech import ENGLISH, Tongue, money, shown
from simview.advice.stock import Item
from simview.advice.understood import Marked, Understood, heading, marked, understood
from simview.advice.verdict import Verdict, Word

if TYPE_CHECKING:
    from simview.advice.pictures import Row
    from simview.advice.rescue import Rescue


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One finding as an answer says it; `mark` is its number among the sources at the foot."""

    grade: str
    word: str
    title: str
    says: str
    arithmetic: str
    source: str
    mark: int


@dataclass(frozen=True, slots=True, kw_only=True)
class InsteadRow:
    """One line of the table of alternatives."""

    name: str
    price: str
    faintest: str
    finest: str
    widest: str
    still: str
    note: str
    offer: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """All that an answer shows.

    Parameters
    ----------
    verdict
        The word that colours the answer; `headline` and `because` say it in sentences.
    sun
        Sentences for the top; empty where the Sun does not come in.
    weighty, notes
        Findings that count, and those that are only good to know.
    marked
        The offer's own text, its understood passages apart.
    missing, unread, left_out
        What the offer does not say; says in words that could not be read, which follow; and says
        not to come with it.
    useful
        The highest useful power in words; empty where it cannot be told.
    instead_notes
        Sentences under the table: what could not be ranked, and why.
    optics
        Which optics the pictures show; empty where the offer settles it.
    views
        Pictures of the things on an owner's list, by their names.
    found
        The same as records.
    tongue
        The language and land that it is for.
    """

    words: Mapping[str, str]
    head: Letterhead
    name: str
    title: str
    verdict: Word
    headline: str
    because: str
    sun: tuple[str, ...]
    pictures: tuple[Row, ...]
    weighty: tuple[Told, ...]
    notes: tuple[Told, ...]
    useful: str
    powers: tuple[PowerRow, ...]
    powers_title: str
    powers_note: str
    understood: tuple[Understood, ...]
    marked: tuple[Marked, ...]
    missing: tuple[str, ...]
    unread: tuple[str, ...]
    left_out: tuple[str, ...]
    remarks: tuple[str, ...]
    instead: tuple[InsteadRow, ...]
    instead_title: str
    instead_notes: tuple[str, ...]
    rescue: Rescue | None
    views: Mapping[str, bytes] = field(default_factory=dict)
    found: Instead | None = None
    optics: str = ""
    tongue: Tongue = ENGLISH

    def figures(self) -> dict[str, Any]:
        """Return what stands beside the verdict, as plain values: "instead" and "rescue"."""
        told: dict[str, Any] = {}
        if self.found is not None:
            told["instead"] = _instead_figures(self.found)
        if self.rescue is not None:
            told["rescue"] = _rescue_figures(self.rescue)
        return told


def _instead_figures(found: Instead) -> dict[str, Any]:
    def shows(one: Shows | None) -> dict[str, Any]:
        return {} if one is None else asdict(one)

    return {
        "budget": found.budget,
        "currency": found.currency,
        "ranked": [
            {
                "name": one.item.name,
                "sort": one.item.sort,
                "price": one.item.price,
                "offer": one.offer,
                "score": one.score,
                **shows(one.shows),
            }
            for one in found.ranked
        ],
        "unpriced": [item.name for item in found.unpriced],
        "beyond": [item.name for item in found.beyond],
        "other_currency": [item.name for item in found.other_currency],
        "offer": shows(found.offer) or None,
    }


def _rescue_figures(rescue: Rescue) -> dict[str, Any]:
    return {
        "pieces": [asdict(one) for one in rescue.pieces],
        "mask": None if rescue.mask is None else asdict(rescue.mask),
        "objects": [
            {
                "name": one.sight.name,
                "title": one.sight.title,
                "when": one.sight.when,
                "altitude_deg": one.sight.altitude_deg,
                "azimuth_deg": one.sight.azimuth_deg,
                "power": one.power,
                "pieces": one.piece,
                "view": one.view,
                "way": None if one.chart is None else one.chart.says,
            }
            for one in rescue.objects
        ],
        "assumed": list(rescue.assumed),
    }


def answer(  # noqa: PLR0913 - the parts of an answer
    verdict: Verdict,
    *,
    instead: Instead | None = None,
    rescue: Rescue | None = None,
    views: Mapping[str, bytes] | None = None,
    pictures: tuple[Row, ...] = (),
    head: Letterhead | None = None,
    optics: str = "",
    tongue: Tongue = ENGLISH,
) -> Answer:
    """Put an answer together.

    Parameters
    ----------
    verdict
        From `vet`.
    instead
        From `alternatives`, or None.
    rescue
        From `rescue`, or None; an owner's answer shows it in place of `instead`.
    views
        From `firstviews.first_views`: pictures of the things on the owner's list, by their names.
    pictures
        From `pictures.rows`; may be empty.
    head
        The club's own letterhead and words.
    optics
        Which optics the pictures show, in a sentence.
    tongue
        The language and land that it is for.
    """
    words = words_of(head, tongue)
    word, first, because = headline(verdict, words, owner=rescue is not None)
    leave = verdict.verdict == "leave it"
    name = heading(verdict.listing, tongue)
    rows, notes = _instead(instead, name, words, tongue, leave=leave)
    hand = "powers" if verdict.listing.instrument == "telescope" else "powers_hand"
    told = tuple(_told(n, one, words, tongue) for n, one in enumerate(verdict.findings, 1))
    return Answer(
        words=words,
        head=head or Letterhead(),
        name=name,
        title=words["title" if rescue is None else "title_rescue"],
        verdict=word,
        headline=first,
        because=because,
        sun=tuple(tongue.say(line) for line in verdict.sun_caution),
        pictures=pictures,
        weighty=tuple(one for one in told if one.grade != "note"),
        notes=tuple(one for one in told if one.grade == "note"),
        useful=useful_power(verdict, tongue),
        powers=power_rows(verdict, tongue),
        powers_title=words[hand],
        powers_note=words[f"{hand}_note"],
        understood=tuple(understood(verdict.listing, tongue)),
        marked=marked(verdict.listing, tongue),
        missing=_missing(verdict, tongue),
        unread=_unread(verdict, tongue),
        left_out=tuple(tongue.word(one.what) for one in verdict.listing.unread if one.left_out),
        remarks=tuple(shown(tongue.say(one)) for one in verdict.listing.remarks),
        instead=rows,
        instead_title=_instead_title(instead, words, tongue, sound=verdict.verdict == "sound"),
        instead_notes=notes,
        rescue=rescue,
        views=views or {},
        found=instead,
        optics=tongue.say(optics),
        tongue=tongue,
    )


def _missing(verdict: Verdict, tongue: Tongue) -> tuple[str, ...]:
    """Return what an offer leaves out; of a bicycle it is no lack that it is no telescope."""
    about = verdict.listing.about_telescope
    return tuple(tongue.word(one) for one in verdict.missing) if about else ()


def _unread(verdict: Verdict, tongue: Tongue) -> tuple[str, ...]:
    return tuple(
        f"{tongue.word(one.what)} ({tongue.quoted(shown(one.words))})"
        for one in verdict.listing.unread
        if not one.left_out
    )


def _told(number: int, one: Finding, words: Mapping[str, str], tongue: Tongue) -> Told:
    return Told(
        grade=one.grade,
        word=words[f"grade_{one.grade}"],
        title=tongue.say(one.title),
        says=shown(tongue.say(one.says)),
        arithmetic=tongue.sums(tongue.say(one.arithmetic)),
        source=tongue.say(one.source),
        mark=number,
    )


def _instead(
    instead: Instead | None, name: str, words: Mapping[str, str], tongue: Tongue, *, leave: bool
) -> tuple[tuple[InsteadRow, ...], tuple[str, ...]]:
    if instead is None:
        return (), ()
    rows = tuple(_row(one, name, words, tongue) for one in instead.ranked)
    notes = []
    notes += _budget_notes(instead, words)
    if leave and any(one.offer for one in instead.ranked):
        notes.append(words["offer_last"])
    elif _is_below_nothing(instead.ranked):
        notes.append(words["too_little"])
    if any(one.best for one in instead.ranked):
        notes.append(words["range"])
    for key in ("unpriced", "beyond", "other_currency"):
        items = getattr(instead, key)
        if items:
            names = ", ".join(_priced(item, tongue) for item in items)
            notes.append(words[key].format(names=names))
    return rows, tuple(notes)


def _budget_notes(instead: Instead, words: Mapping[str, str]) -> list[str]:
    """Return what the budget does not reach; of other currencies nobody can tell."""
    notes = []
    others = any(one.shows and not one.offer for one in instead.ranked)
    if not others and not instead.other_currency:
        notes.append(words["instead_none"])
    offer = next((one.item for one in instead.ranked if one.offer), None)
    if offer is not None and None not in (offer.price, instead.budget):
        same = not instead.currency or offer.currency in ("", instead.currency)
        if same and (offer.price or 0.0) > (instead.budget or 0.0):
            notes.append(words["offer_beyond"])
    return notes


def _is_below_nothing(ranked: Sequence[Alternative]) -> bool:
    """Return whether an instrument stands after a star wheel or no telescope yet."""
    plain = [n for n, one in enumerate(ranked) if one.shows is None]
    return bool(plain) and any(one.shows for one in ranked[plain[-1] :])


def _priced(item: Item, tongue: Tongue) -> str:
    price = _price(item, tongue)
    return f"{item.name} ({price})" if price else item.name


def _price(item: Item, tongue: Tongue) -> str:
    return "" if item.price is None else tongue.say(money(item.price, item.currency))


def _row(one: Alternative, name: str, words: Mapping[str, str], tongue: Tongue) -> InsteadRow:
    name = f"{words['offer_itself']}{tongue.colon} {name}" if one.offer else one.item.name
    likely, best = one.shows, one.best
    ends = [each for each in (likely, best) if each is not None]
    none = words["no_detail"]
    return InsteadRow(
        name=name,
        price=_price(one.item, tongue),
        faintest=_range([each.faintest_mag for each in ends], " mag", tongue, none),
        finest=_range([each.finest_arcsec for each in ends], "″", tongue, none),
        widest=_range([each.widest_deg for each in ends], "°", tongue, none),
        still=_range([each.motion_arcmin for each in ends], "′", tongue, none),
        note=one.why,
        offer=one.offer,
    )


def _range(values: Sequence[float | None], unit: str, tongue: Tongue, none: str) -> str:
    """Return one figure, or two where what is likely and what is best differ."""
    told = [none if one is None else tongue.number(one, 1) for one in values]
    ends = list(dict.fromkeys(told))
    if not ends:
        return ""
    text = "–".join(ends)
    return text if text == none else f"{text}{unit}"


def _instead_title(
    instead: Instead | None, words: Mapping[str, str], tongue: Tongue, *, sound: bool
) -> str:
    title = words["instead_sound" if sound else "instead"]
    if instead is None or instead.budget is None:
        return title
    budget = words["budget"].format(budget=tongue.say(money(instead.budget, instead.currency)))
    return f"{title} {budget}"
