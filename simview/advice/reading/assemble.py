"""read_advert(): all readers in order, from pasted text to a Listing."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from typing import Any, Final

from simview.advice.listing import Instrument, Listing
from simview.advice.reading import extras
from simview.advice.reading.about import about_telescope
from simview.advice.reading.amplifiers import read_amplifiers
from simview.advice.reading.clean import Page
from simview.advice.reading.conflicts import contradictions, lacking, missing
from simview.advice.reading.damage import read_damage
from simview.advice.reading.evidence import take_boxes
from simview.advice.reading.eyepieces import read_barrels
from simview.advice.reading.fittings import take_parts
from simview.advice.reading.joint import Chosen, Joint, read_joint
from simview.advice.reading.money import read_price
from simview.advice.reading.numbers import lengths
from simview.advice.reading.passages import spoken_in
from simview.advice.reading.powers import Crossed, read_boasts, read_crossed, read_powers
from simview.advice.reading.promises import read_promises
from simview.advice.reading.solar import read_solar
from simview.advice.reading.traces import traces
from simview.advice.reading.trade_words import languages
from simview.advice.speech import N_, listed, say
from simview.errors import SimviewError

# An aperture above this with no focal length beside it is taken for a slip, mm. A choice.
LARGEST_LONE_APERTURE_MM: Final = 450.0

# Shares of the aperture that secondary mirrors of telescopes for the eye cover: common practice.
OBSTRUCTIONS: Final = (0.1, 0.5)

# A range of powers with an aperture, "20-60x80": a spotting scope. Common practice, no source.
_ZOOMED: Final = re.compile(r"(?<![\d.,/x])\d{1,2} ?- ?\d{2,3} ?x ?\d{2,3}(?![\d.,]*\d)")
_BINOCULAR: Final = (
    r"binoculars?\b|field ?glass(?:es)?|fernglas|ferngläser|jumelles|prismáticos|binocol[oi]"
)
_MONOCULAR: Final = (
    r"monoculars?\b|spotting ?scopes?|spektiv|longue-vue|pocket telescope|spyglass|draw tube"
)


@dataclass(slots=True)
class _Optics:
    """Aperture and focal length while statements of them come in."""

    page: Page
    values: dict[str, float] = field(default_factory=dict)
    spans: dict[str, tuple[int, int]] = field(default_factory=dict)
    clashes: list[str] = field(default_factory=list)
    swapped: bool = False

    def take(self, key: str, chosen: Chosen) -> None:
        """Take the value that the joint reading chose, where a telescope can have it."""
        low, high = {"aperture_mm": (4.0, 2000.0), "focal_length_mm": (20.0, 20000.0)}[key]
        claim = chosen.claim
        if not low <= chosen.value <= high:
            form = _NO_APERTURE if key == "aperture_mm" else _NO_FOCAL_LENGTH
            self.page.remarks.append(say(form, words=self.page.words(*claim.span)))
            return
        self.values[key] = chosen.value
        self.spans[key] = claim.span
        self.page.note(
            key,
            round(chosen.value, 2),
            claim.span,
            guess=claim.guess and bool(claim.note),
            note=claim.note or ("no word says so; its size does" if claim.guess else ""),
            sure=chosen.sure,
            other=chosen.other,
        )

    def contradict(self, key: str, mm: float, span: tuple[int, int]) -> None:
        """Hold a second statement against the one that was taken."""
        known = self.values.get(key)
        if known is not None:
            form = _TWO_APERTURES if key == "aperture_mm" else _TWO_FOCAL_LENGTHS
            words = self.page.words(*span)
            self.clashes.append(say(form, first=known, second=mm, words=words))

    def swap(self, aperture: float, focal: float) -> None:
        """Say that the two lengths stand the wrong way round."""
        self.swapped = True
        self.page.remarks.append(
            say(
                "The offer gives an aperture of {focal} mm and a focal length of {aperture} mm: the"
                " two are swapped, and were read as aperture {aperture} mm, focal length {focal}"
                " mm.",
                focal=focal,
                aperture=aperture,
            )
        )


_NO_APERTURE: Final = N_("“{words}” was not taken for the aperture: no telescope has such a one.")
_NO_FOCAL_LENGTH: Final = N_(
    "“{words}” was not taken for the focal length: no telescope has such a one."
)
_TWO_APERTURES: Final = N_(
    "Two values of the aperture are named: {first} mm and {second} mm (“{words}”); the first was"
    " taken."
)
_TWO_FOCAL_LENGTHS: Final = N_(
    "Two values of the focal length are named: {first} mm and {second} mm (“{words}”); the first"
    " was taken."
)


def read_advert(text: str, *, name: str = "") -> Listing:
    """Return what an advert says; the same text always gives the same answer.

    Parameters
    ----------
    text
        As pasted; page source may be among it.
    name
        A name for the offer; its first line where empty.

    Raises
    ------
    SimviewError
        If there is nothing to read.

    Notes
    -----
    Checked by: tests/unit/advice/test_reading_optics.py, test_reading_pieces.py,
    test_reading_claims.py, test_reading_sun.py
    """
    if not text.strip():
        raise SimviewError("advert", got="no words", remedy="paste the advert's text into the file")
    page = Page.of(text)
    title = name or _title(page)
    tongues = _note_language(page)
    _note_turned(page)
    facts = _facts(page)
    listing = Listing(name=title, text=text, languages=tongues, **facts)
    listing = replace(listing, unread=traces(page, lacking(listing)))
    listing = replace(
        listing,
        contradictions=(*listing.contradictions, *contradictions(listing)),
        missing=missing(listing),
    )
    _note_unread(page, listing)
    _note_nothing(page, listing)
    if not about_telescope(page, listing):
        listing = _about_something_else(page, listing)
    readings = sorted(page.readings, key=lambda reading: (reading.start, reading.end, reading.key))
    return replace(listing, remarks=tuple(dict.fromkeys(page.remarks)), readings=tuple(readings))


def _about_something_else(page: Page, listing: Listing) -> Listing:
    """Return an offer of something else: its price, and nothing that a telescope would have."""
    page.readings[:] = [one for one in page.readings if one.key == "price"]
    page.remarks[:] = [say("Nothing in the text speaks of a telescope or of binoculars.")]
    return Listing(
        name=listing.name,
        text=listing.text,
        languages=listing.languages,
        about_telescope=False,
        price=listing.price,
        currency=listing.currency,
        missing=("a telescope",),
    )


def _facts(page: Page) -> dict[str, Any]:
    """Run the readers in the order in which they take words from each other."""
    take_boxes(page)
    build = extras.read_build(page)
    mount = extras.read_mount(page)
    barrel = read_barrels(page)
    secondary_mm = take_parts(page)
    solar = read_solar(page)
    price = read_price(page)
    boasts = read_boasts(page)
    crossed = read_crossed(page)
    amplifiers, erecting = read_amplifiers(page)
    joint = read_joint(page, amplifiers)
    diagonal = "erecting" if erecting else extras.read_diagonal(page)
    optics = _optics(page, joint)
    finder = extras.read_finder(page, _finder_mm(page, crossed, joint))
    layout, objective = build.layout, build.objective
    if layout is None and not _is_hand_held(page, crossed):
        layout = extras.read_layout_by_aperture(
            page, None if joint.aperture is None else joint.aperture.claim.span
        )
        objective = "mirror" if layout == "newtonian" else objective
    claims, _ = read_powers(page)
    holder, photography = extras.read_phone(page)
    facts: dict[str, Any] = {
        "layout": layout,
        "objective": objective,
        "mirror": build.mirror,
        "plastic_optics": build.plastic,
        "corrector": build.corrector,
        "aperture_mm": optics.values.get("aperture_mm"),
        "focal_length_mm": optics.values.get("focal_length_mm"),
        "focal_ratio": None if joint.ratio is None else joint.ratio.value,
        "tube_length_mm": None if joint.tube is None else joint.tube.value,
        "eyepieces": joint.eyepieces,
        "amplifiers": amplifiers,
        "diagonal": diagonal,
        "barrel": barrel,
        "claimed_powers": tuple(dict.fromkeys((*boasts, *claims))),
        "mount": mount,
        "finder": finder,
        "solar": tuple(piece.kind for piece in solar),
        "sun_pieces": solar,
        "promises": read_promises(page, photographs=photography),
        "damage": read_damage(page),
        "swapped": optics.swapped,
        "phone_holder": holder,
        "photography": photography,
        "contradictions": tuple(optics.clashes),
    }
    facts["obstruction"] = _obstruction(secondary_mm, facts["aperture_mm"])
    if price is not None:
        facts |= {"price": price.amount, "currency": price.currency}
        note = "the sign does not tell whose currency" if price.guess else ""
        text = f"{price.amount:g} {price.currency}".strip()
        page.note("price", text, price.span, guess=price.guess, note=note)
        if price.guess:
            form = _OF_CURRENCY if price.currency else _NO_CURRENCY
            words = page.words(*price.span)
            page.remarks.append(say(form, words=words, currency=price.currency))
    return _as_hand_held(page, facts, crossed)


_OF_CURRENCY: Final = N_("The price “{words}” was taken for {currency}.")
_NO_CURRENCY: Final = N_("The price “{words}” has no currency beside it.")


# Powers and apertures that finders come in, where no word says that it is one: common practice.
_FINDER_POWERS: Final = (4.0, 10.0)
_FINDER_MM: Final = (18.0, 60.0)


def _finder_mm(page: Page, crossed: list[Crossed], joint: Joint) -> float | None:
    """Return the aperture of a finder that is named, or of a "6x30" beside a telescope's sizes."""
    named = next((one.aperture_mm for one in crossed if one.finder), None)
    if named is not None or (joint.aperture is None and joint.focal is None):
        return named
    if _hand_held_kind(page) != "telescope":
        return None
    for one in crossed:
        low, high = _FINDER_MM
        if _FINDER_POWERS[0] <= one.power <= _FINDER_POWERS[1] and low <= one.aperture_mm <= high:
            page.note(
                "finder", "optical", one.span, note="no word says so; its size does", sure=0.8
            )
            return one.aperture_mm
    return None


def _is_hand_held(page: Page, crossed: list[Crossed]) -> bool:
    """Tell binoculars, whose lenses make no refractor of them."""
    return bool(crossed) and _hand_held_kind(page) != "telescope"


def _obstruction(secondary_mm: float | None, aperture_mm: float | None) -> float | None:
    """Return the share of the aperture's width that the secondary mirror covers."""
    if secondary_mm is None or aperture_mm is None:
        return None
    share = secondary_mm / aperture_mm
    return round(share, 3) if OBSTRUCTIONS[0] <= share <= OBSTRUCTIONS[1] else None


def _optics(page: Page, joint: Joint) -> _Optics:
    """Return aperture and focal length as the joint reading chose them, put right if swapped."""
    optics = _Optics(page=page)
    for key, chosen in (("aperture_mm", joint.aperture), ("focal_length_mm", joint.focal)):
        if chosen is not None:
            optics.take(key, chosen)
    for claim in joint.rivals:
        optics.contradict(claim.role, claim.value, claim.span)
    pair = joint.aperture
    if pair is not None and pair.claim.swapped and joint.focal is not None:
        optics.swap(pair.value, joint.focal.value)
    _put_right(optics)
    _say_guesses(page, joint)
    if joint.ratio is not None:
        page.note("focal_ratio", joint.ratio.value, joint.ratio.claim.span, sure=joint.ratio.sure)
    if joint.tube is not None:
        page.note("tube_length_mm", round(joint.tube.value, 1), joint.tube.claim.span)
    return optics


def _put_right(optics: _Optics) -> None:
    """Exchange aperture and focal length where they stand the wrong way round, and say so."""
    values, page = optics.values, optics.page
    aperture, focal = values.get("aperture_mm"), values.get("focal_length_mm")
    if aperture is not None and focal is not None and aperture > focal:
        values["aperture_mm"], values["focal_length_mm"] = focal, aperture
        optics.swap(focal, aperture)
        other = {"aperture_mm": "focal_length_mm", "focal_length_mm": "aperture_mm"}
        page.readings[:] = [
            replace(one, key=other[one.key], guess=True, note="swapped in the offer")
            if one.key in other
            else one
            for one in page.readings
        ]
    elif aperture is not None and focal is None and aperture > LARGEST_LONE_APERTURE_MM:
        del values["aperture_mm"]
        page.readings[:] = [one for one in page.readings if one.key != "aperture_mm"]
        page.remarks.append(
            say(
                "“{words}” was not taken for the aperture: no beginner's telescope is so wide. It"
                " may be the focal length.",
                words=page.words(*optics.spans["aperture_mm"]),
            )
        )


def _say_guesses(page: Page, joint: Joint) -> None:
    """Say what was only guessed from a model number."""
    guessed = [
        (form, chosen)
        for form, chosen in ((_APERTURE_IS, joint.aperture), (_FOCAL_LENGTH_IS, joint.focal))
        if chosen is not None and chosen.claim.note.startswith("guessed")
    ]
    if guessed:
        page.remarks.append(
            say(
                "Guessed from the model number {number}: {said}. Ask the seller to be sure.",
                number=page.words(*guessed[0][1].claim.span),
                said=listed(say(form, mm=chosen.value) for form, chosen in guessed),
            )
        )


_APERTURE_IS: Final = N_("aperture {mm} mm")
_FOCAL_LENGTH_IS: Final = N_("focal length {mm} mm")


def _as_hand_held(page: Page, facts: dict[str, Any], crossed: list[Crossed]) -> dict[str, Any]:
    """Read "10x50 binoculars" as what it is."""
    own = [one for one in crossed if not one.finder]
    kind = _hand_held_kind(page)
    if not own or kind == "telescope" or facts["eyepieces"]:
        return facts
    first = own[0]
    facts |= {"instrument": kind, "binocular_power": first.power}
    if facts["aperture_mm"] is None:
        facts["aperture_mm"] = first.aperture_mm
        page.note("aperture_mm", first.aperture_mm, first.span)
    page.note("binocular_power", first.power, first.span)
    facts["true_field_deg"] = extras.read_true_field(page)
    highest = [first.highest] if first.highest else []
    facts["claimed_powers"] = tuple(
        dict.fromkeys([first.power, *highest, *facts["claimed_powers"]])
    )
    return facts


def _hand_held_kind(page: Page) -> Instrument:
    if re.search(_BINOCULAR, page.plain):
        return "binocular"
    if re.search(_MONOCULAR, page.plain):
        return "monocular"
    zoomed = _ZOOMED.search(page.whole) and not re.search(_OF_THE_SKY, page.whole)
    return "monocular" if zoomed else "telescope"


# What a spotting scope has none of.
_OF_THE_SKY: Final = (
    r"focal|newton|reflector|refractor|dobson|maksutov|cassegrain|equatorial|barlow|finder"
)


def _title(page: Page) -> str:
    for line in page.lines.text[:8000].splitlines():
        if any(letter.isalnum() for letter in line):
            words = " ".join(line.split())
            return words if len(words) <= 80 else words[:79].rstrip() + "…"
    return ""


def _note_language(page: Page) -> tuple[str, ...]:
    """Return the names of the text's languages; say where its script is not read at all."""
    letters = [letter for letter in page.lines.text[:20000] if letter.isalpha()]
    if letters and sum(letter > "\u024f" for letter in letters) > 0.4 * len(letters):
        page.remarks.append(
            say(
                "The text seems to be in another script. Measures and markings were read; the rest"
                " was not understood."
            )
        )
    return spoken_in(page.raw) or tuple(languages()[code].name for code in page.codes)


# Marks that turn the direction of text: what people see is not what stands there.
_TURNING: Final = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def _note_turned(page: Page) -> None:
    """Say that a text holds marks that would show it otherwise than it is written."""
    found = dict.fromkeys(f"U+{ord(mark):04X}" for mark in _TURNING.findall(page.raw))
    if found:
        form = N_(
            "The text holds hidden marks that turn or hide letters ({marks}); they were not"
            " obeyed, so it may look different elsewhere."
        )
        page.remarks.append(say(form, marks=", ".join(found)))


def _note_unread(page: Page, listing: Listing) -> None:
    known = [mm for mm in (listing.aperture_mm, listing.focal_length_mm) if mm]
    left = [
        page.words(one.start, one.end)
        for one in lengths(page)
        if not any(abs(one.mm / mm - 1.0) < 0.01 for mm in known)
    ]
    if left:
        form = N_("Measures that no word explains were left out: {list}.")
        page.remarks.append(say(form, list=", ".join(dict.fromkeys(left[:8]))))


def _note_nothing(page: Page, listing: Listing) -> None:
    lengths_known = listing.aperture_mm is not None or listing.focal_length_mm is not None
    if not (lengths_known or listing.eyepieces or listing.claimed_powers):
        page.remarks.append(say("Nothing in the text could be read as a telescope's figures."))
