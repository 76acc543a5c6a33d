"""vet(): all rules together, and the verdict."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final, Literal

from simview.advice.limits import case_of
from simview.advice.listing import Listing
from simview.advice.rules import subject
from simview.advice.rules.book import RULES
from simview.advice.rules.mount_rules import motion_at
from simview.advice.rules.optics_rules import colour_index, spherical_error_waves
from simview.advice.rules.rule import Case, Finding
from simview.advice.rules.sun_rules import SUN_CAUTION
from simview.advice.speech import ENGLISH, Tongue
from simview.power.rules import lowest_useful_power
from simview.record import require_type
from simview.units import MM_PER_INCH

if TYPE_CHECKING:
    from simview.advice.stock import Shelf

Word = Literal["leave it", "with care", "sound"]

_WEIGHT: Final = {"stop": 0, "caution": 1, "note": 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What an offer is worth.

    Parameters
    ----------
    verdict
        "leave it" with any finding of grade stop, "with care" with any caution, else "sound".
    findings
        Safety first, then by grade, in the order of the rules.
    understood
        What the offer says, as it was understood.
    missing
        What it does not say.
    numbers
        What follows from it.
    listing
        The offer itself.
    """

    verdict: Word
    findings: tuple[Finding, ...]
    understood: dict[str, Any]
    missing: tuple[str, ...]
    numbers: dict[str, Any]
    listing: Listing = field(repr=False)

    @property
    def sun_caution(self) -> tuple[str, ...]:
        """Sentences for the top: whatever can be pointed at the sky can be pointed at the Sun."""
        return SUN_CAUTION

    def figures(self, tongue: Tongue = ENGLISH) -> dict[str, Any]:
        """Return the verdict under its fixed names, as plain values for JSON.

        Parameters
        ----------
        tongue
            In which the sentences are; names and grades stay as they are.
        """
        return {
            "verdict": self.verdict,
            "findings": [
                {
                    "rule": one.rule,
                    "grade": one.grade,
                    "says": tongue.say(one.says),
                    "source": tongue.say(one.source),
                }
                for one in self.findings
            ],
            "understood": self.understood,
            "missing": list(self.missing),
            "numbers": self.numbers,
            "read": [
                {
                    "what": one.key,
                    "value": one.value,
                    "text": one.words,
                    "start": one.start,
                    "end": one.end,
                    "sure": one.sure,
                    "other": list(one.other),
                }
                for one in self.listing.readings
            ],
            "unread": [
                {"what": one.what, "text": one.words, "left_out": one.left_out}
                for one in self.listing.unread
            ],
        }

    def explained(self) -> dict[str, Any]:
        """Return which words gave which value, and each finding's sum and what would change it."""
        return {
            "readings": [
                {
                    "key": one.key,
                    "value": one.value,
                    "words": one.words,
                    "start": one.start,
                    "end": one.end,
                    "guess": one.guess,
                    "note": one.note,
                }
                for one in self.listing.readings
            ],
            "remarks": list(self.listing.remarks),
            "rules": [
                {
                    "rule": one.rule,
                    "arithmetic": one.arithmetic,
                    "changes_mind": one.changes_mind,
                }
                for one in self.findings
            ],
        }


def vet(listing: Listing, shelf: Shelf | None = None) -> Verdict:
    """Judge an offer.

    Parameters
    ----------
    listing
        As `load_listing` or `read_advert` return it.
    shelf
        The adviser's stock or price list; without one nothing is said of the price.

    Returns
    -------
    Verdict
        Its word in ``verdict``, what was found in ``findings``.

    Raises
    ------
    SimviewError
        For anything but a listing.

    Notes
    -----
    Checked by: tests/unit/advice/test_verdict.py, tests/truth/test_trade_rules.py

    Examples
    --------
    >>> import simview, tempfile, pathlib
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = pathlib.Path(folder) / "advert.txt"
    ...     size = path.write_text("Refractor telescope 60/700, magnifies 525 times, 49 euros")
    ...     simview.vet(simview.load_listing(path)).verdict
    'leave it'
    """
    require_type("listing", listing, Listing, "a Listing; simview.load_listing reads one")
    case = case_of(listing, shelf)
    rules = RULES if listing.about_telescope else subject.RULES
    found = [finding for rule in rules if (finding := rule.find(case)) is not None]
    findings = tuple(sorted(found, key=lambda one: (one.rule != "sun safety", _WEIGHT[one.grade])))
    return Verdict(
        verdict=word_of(findings),
        findings=findings,
        understood=understood(listing),
        missing=listing.missing,
        numbers=_numbers(case),
        listing=listing,
    )


def word_of(findings: Iterable[Finding]) -> Word:
    """Return the verdict that findings give: their gravest grade decides."""
    grades = {one.grade for one in findings}
    if "stop" in grades:
        return "leave it"
    return "with care" if "caution" in grades else "sound"


def understood(listing: Listing) -> dict[str, Any]:
    """Return what an offer says, as plain values; what it does not say is left out."""
    plain = {
        key: getattr(listing, key)
        for key in (
            "name", "instrument", "layout", "objective", "mirror", "aperture_mm", "focal_length_mm",
            "focal_ratio", "stop_mm", "tube_length_mm", "barrel", "diagonal", "binocular_power",
            "true_field_deg", "finder", "price", "currency",
        )
    }  # fmt: skip
    answer: dict[str, Any] = {key: value for key, value in plain.items() if value not in (None, "")}
    if listing.claimed_powers:
        answer["claimed_power"] = listing.claimed_power
        answer["claimed_powers"] = list(listing.claimed_powers)
    answer |= _pieces(listing)
    for key in ("plastic_optics", "corrector", "phone_holder", "photography"):
        if getattr(listing, key):
            answer[key] = True
    if listing.solar:
        answer["solar"] = list(listing.solar)
    if listing.damage:
        answer["damage"] = list(listing.damage)
    guesses = sorted({one.key for one in listing.readings if one.guess})
    return answer | ({"guesses": guesses} if guesses else {}) | _remarks(listing)


def _remarks(listing: Listing) -> dict[str, Any]:
    return {"remarks": list(listing.remarks)} if listing.remarks else {}


def _pieces(listing: Listing) -> dict[str, Any]:
    answer: dict[str, Any] = {}
    if listing.eyepieces:
        answer["eyepieces"] = [
            {
                "focal_length_mm": one.focal_length_mm,
                "design": one.design,
                "marking": one.marking,
                **({"shortest_mm": one.shortest_mm} if one.shortest_mm else {}),
                **(
                    {"apparent_field_deg": one.apparent_field_deg} if one.apparent_field_deg else {}
                ),
            }
            for one in listing.eyepieces
        ]
    if listing.amplifiers:
        answer["amplifiers"] = [
            {"kind": one.kind, "factor": one.factor} for one in listing.amplifiers
        ]
    mount = listing.mount
    if mount is not None:
        said = {"kind": mount.kind, "grade": mount.grade, "slow_motion": mount.slow_motion}
        answer["mount"] = {key: value for key, value in said.items() if value is not None}
        if mount.driven:
            answer["mount"]["driven"] = True
    return answer


def _numbers(case: Case) -> dict[str, Any]:
    numbers: dict[str, Any] = {}
    aperture, ratio = case.aperture_mm, case.ratio
    if case.focal_length_mm is not None:
        numbers["focal_length_mm"] = case.focal_length_mm
    if ratio is not None:
        numbers["focal_ratio"] = ratio
    if aperture is not None and case.useful is not None:
        numbers |= {
            "aperture_in": aperture / MM_PER_INCH,
            "useful_power_low": case.useful[0],
            "useful_power_high": case.useful[1],
            "lowest_useful_power": lowest_useful_power(aperture),
            "light_of_eyes": (aperture / 7.0) ** 2,
            "dawes_arcsec": 116.0 / aperture,
        }
        claim = case.listing.claimed_power
        if claim is not None:
            numbers["claimed_over_useful"] = claim / case.useful[1]
        numbers |= _optics_numbers(case, aperture, ratio)
    if case.marks is not None:
        numbers |= case.marks.figures()
    if case.powers:
        numbers["powers"] = [
            {
                "pieces": one.label,
                "power": one.power,
                **_judged(case, one.power),
                "exit_pupil_mm": one.exit_pupil_mm,
                "true_field_arcmin": one.true_field_arcmin,
                "apparent_field_deg": one.apparent_field_deg,
                **motion_at(case.listing.mount, one.power),
            }
            for one in case.powers
        ]
    return numbers


def _judged(case: Case, power: float) -> dict[str, Any]:
    """Return what stands in the way at a power on Jupiter, as the commands tell it."""
    if case.marks is None:
        return {}
    return {"limited_by": case.marks.limited_by(power), "empty": case.marks.is_empty(power)}


def _optics_numbers(case: Case, aperture: float, ratio: float | None) -> dict[str, Any]:
    if ratio is None:
        return {}
    if case.listing.layout == "refractor":
        return {"colour_index": colour_index(aperture, ratio)}
    if case.listing.layout == "newtonian" and case.listing.mirror != "parabolic":
        return {"spherical_pv_waves": spherical_error_waves(aperture, ratio)}
    return {}
