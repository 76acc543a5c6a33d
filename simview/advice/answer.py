"""The answer to a buyer or an owner: everything that a page or a paper shows, in order.

Both the page (HTML) and the paper (PDF) are written from this one record, so they say the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, Final

from simview.advice.alternatives import Alternative, Instead
from simview.advice.letterhead import Letterhead, words_of
from simview.advice.listing import Listing
from simview.advice.rules.rule import Finding
from simview.advice.sights import Shows
from simview.advice.verdict import Verdict, Word

if TYPE_CHECKING:
    from simview.advice.pictures import Row
    from simview.advice.rescue import Rescue

_KEYS: Final[Mapping[Word, str]] = {
    "leave it": "leave_it",
    "with care": "with_care",
    "sound": "sound",
}

# How the keys of readings are called on paper.
_NAMES: Final = {
    "aperture_mm": "Aperture",
    "focal_length_mm": "Focal length",
    "focal_ratio": "f-ratio",
    "tube_length_mm": "Length of the tube",
    "eyepiece": "Eyepiece",
    "eyepieces": "Eyepieces",
    "amplifier": "Between telescope and eyepiece",
    "amplifiers": "Between telescope and eyepiece",
    "barrel": "Barrel",
    "claimed_power": "Promised power",
    "claimed_powers": "Promised powers",
    "power_range": "Promised powers",
    "stated_useful_power": "Useful power, as stated",
    "binocular_power": "Power",
    "true_field_deg": "Field",
    "layout": "Kind",
    "objective": "Objective",
    "mirror": "Mirror",
    "mount": "Mount",
    "slow_motion": "Slow motion",
    "driven": "Drive",
    "diagonal": "Diagonal",
    "finder": "Finder",
    "solar": "Sun",
    "phone_holder": "Telephone holder",
    "photography": "Photographs",
    "plastic_optics": "Plastic optics",
    "corrector": "Corrector lens",
    "price": "Price",
    "currency": "Currency",
    "stop_mm": "Ring inside",
    "obstruction": "Secondary mirror",
    "spherical_waves": "Spherical aberration",
}
# Quotes from the offer are cut to this many characters on paper; --explain gives them whole.
LONGEST_QUOTE: Final = 60

_LENGTHS: Final = ("aperture_mm", "focal_length_mm", "tube_length_mm", "stop_mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerRow:
    """One line of the table of powers."""

    pieces: str
    power: str
    exit_pupil: str
    field: str
    empty: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """One value with the words that gave it."""

    name: str
    value: str
    words: str
    guess: bool


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """All that an answer shows.

    Parameters
    ----------
    verdict
        Its word; `headline` and `because` say it in sentences.
    sun
        Sentences for the top; empty where the Sun does not come in.
    weighty, notes
        Findings that count, and those that are only good to know.
    useful
        The highest useful power in words; empty where it cannot be told.
    instead_notes
        Sentences under the table: what could not be ranked, and why.
    found
        The same as records.
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
    weighty: tuple[Finding, ...]
    notes: tuple[Finding, ...]
    useful: str
    powers: tuple[PowerRow, ...]
    understood: tuple[Understood, ...]
    missing: tuple[str, ...]
    remarks: tuple[str, ...]
    instead: tuple[InsteadRow, ...]
    instead_title: str
    instead_notes: tuple[str, ...]
    rescue: Rescue | None
    found: Instead | None = None

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
            }
            for one in rescue.objects
        ],
        "assumed": list(rescue.assumed),
    }


def answer(
    verdict: Verdict,
    *,
    instead: Instead | None = None,
    rescue: Rescue | None = None,
    pictures: tuple[Row, ...] = (),
    head: Letterhead | None = None,
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
    pictures
        From `pictures.rows`; may be empty.
    head
        The club's own letterhead and words.
    """
    words = words_of(head)
    key = _KEYS[verdict.verdict]
    rows, notes = _instead(instead, words)
    sun = verdict.sun_caution or (rescue.safety if rescue is not None else ())
    return Answer(
        words=words,
        head=head or Letterhead(),
        name=verdict.listing.name,
        title=words["title" if rescue is None else "title_rescue"],
        verdict=verdict.verdict,
        headline=words[f"verdict_{key}" if rescue is None else f"owner_{key}"],
        because=words[f"because_{key}" if rescue is None else f"owner_because_{key}"],
        sun=sun,
        pictures=pictures,
        weighty=tuple(one for one in verdict.findings if one.grade != "note"),
        notes=tuple(one for one in verdict.findings if one.grade == "note"),
        useful=_useful(verdict),
        powers=_powers(verdict),
        understood=tuple(_understood(verdict.listing)),
        missing=verdict.missing,
        remarks=verdict.listing.remarks,
        instead=rows,
        instead_title=_instead_title(instead, words),
        instead_notes=notes,
        rescue=rescue,
        found=instead,
    )


def _useful(verdict: Verdict) -> str:
    numbers = verdict.numbers
    if "useful_power_low" not in numbers:
        return ""
    aperture = numbers["useful_power_low"] / 2.0
    return (
        f"{numbers['useful_power_low']:.0f} to {numbers['useful_power_high']:.0f} times,"
        " for an aperture"
        f" of {aperture:g} mm ({aperture / 25.4:.1f} in): 2 to 2.4 times per mm, 50 to 60 per inch"
    )


def _powers(verdict: Verdict) -> tuple[PowerRow, ...]:
    limit = verdict.numbers.get("useful_power_high")
    found = []
    for one in verdict.numbers.get("powers", []):
        pupil = one["exit_pupil_mm"]
        found.append(
            PowerRow(
                pieces=one["pieces"],
                power=f"{one['power']:.0f}×",
                exit_pupil="" if pupil is None else f"{pupil:.2g} mm",
                field=f"{one['true_field_arcmin'] / 60.0:.2g}°",
                empty=limit is not None and one["power"] > 1.05 * limit,
            )
        )
    return tuple(found)


def _understood(listing: Listing) -> list[Understood]:
    """Return one line for each kind of value: several eyepieces stand together."""
    lines: dict[str, Understood] = {}
    for one in listing.readings:
        if one.key == "currency":
            continue
        name = _NAMES.get(one.key, one.key)
        value = _value(one.key, one.value)
        known = lines.get(name)
        if known is not None and value in known.value.split(", "):
            continue
        lines[name] = Understood(
            name=name,
            value=value if known is None else f"{known.value}, {value}",
            words=_short(one.words if known is None else f"{known.words}; {one.words}"),
            guess=one.guess or (known is not None and known.guess),
        )
    return list(lines.values())


def _short(words: str) -> str:
    return words if len(words) <= LONGEST_QUOTE else f"{words[: LONGEST_QUOTE - 1].rstrip()}…"


def _value(key: str, value: float | str | bool) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if key in _LENGTHS:
        return f"{value:g} mm ({value / 25.4:.1f} in)"
    unit = {"focal_ratio": "f/", "price": ""}.get(key, "")
    tail = "×" if key in ("claimed_power", "stated_useful_power", "binocular_power") else ""
    return f"{unit}{value:g}{tail}"


def _instead(
    instead: Instead | None, words: Mapping[str, str]
) -> tuple[tuple[InsteadRow, ...], tuple[str, ...]]:
    if instead is None:
        return (), ()
    rows = [_row(one.item.name, _price(one), one.shows, one.why) for one in instead.ranked]
    if instead.offer is not None:
        rows.append(_row(words["offer_itself"], "", instead.offer, ""))
    notes = []
    if not any(one.shows for one in instead.ranked):
        notes.append(words["instead_none"])
    for key in ("unpriced", "beyond", "other_currency"):
        items = getattr(instead, key)
        if items:
            notes.append(words[key].format(names=", ".join(item.name for item in items)))
    return tuple(rows), tuple(notes)


def _price(one: Alternative) -> str:
    return "" if one.item.price is None else f"{one.item.price:g} {one.item.currency}".strip()


def _row(name: str, price: str, shows: Shows | None, note: str) -> InsteadRow:
    if shows is None:
        return InsteadRow(
            name=name, price=price, faintest="", finest="", widest="", still="", note=note
        )
    fine = shows.finest_arcsec
    return InsteadRow(
        name=name,
        price=price,
        faintest=f"{shows.faintest_mag:.1f} mag",
        finest="none" if fine is None else f"{fine:.1f}″",
        widest=f"{shows.widest_deg:.1f}°",
        still=f"{shows.motion_arcmin:.1f}′",
        note=note,
    )


def _instead_title(instead: Instead | None, words: Mapping[str, str]) -> str:
    if instead is None or instead.budget is None:
        return words["instead"]
    budget = words["budget"].format(budget=f"{instead.budget:g} {instead.currency}".strip())
    return f"{words['instead']} {budget}"
