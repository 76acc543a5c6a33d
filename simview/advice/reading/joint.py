"""The best joint reading of all measures: one aperture, one focal length, and the eyepieces.

Each number may be used once. The set of roles that weighs most over the whole text is taken: what
the words beside each number say, and how well the numbers agree with one another (focal length /
aperture a possible f-ratio, and the stated one; focal length / eyepiece a promised power). How much
lighter the best other reading of a value is, tells how sure the value is.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Final

from simview.advice.listing import OfferedAmplifier, OfferedEyepiece
from simview.advice.reading.clean import Page
from simview.advice.reading.evidence import Claim, Role, claims_of
from simview.advice.reading.eyepieces import (
    Found,
    Loose,
    loose_eyepieces,
    marked_eyepieces,
    settled,
)
from simview.advice.reading.numbers import NUMBER, number

# Two statements of one measure that differ by less than this agree: makers round. A choice.
SAME: Final = 0.04

# How many of the heaviest values of each role are tried with one another. A choice.
MOST_VALUES: Final = 7

# How many claims and small measures are weighed together: those that stand first. An offer has some
# forty of them; a long list of other things shall not keep anyone waiting. Choices.
MOST_CLAIMS: Final = 300
MOST_LOOSE: Final = 100

# What agreement and contradiction weigh, in the units of evidence.py: choices.
RATIO_FITS: Final = 3.0
RATIO_ABSURD: Final = -8.0
SHORTER_THAN_WIDE: Final = -7.0
RATIO_AGREES: Final = 5.0
RATIO_CLASHES: Final = -3.0
POWER_AGREES: Final = 1.5
POWERS_COUNTED: Final = 3
REPEATED: Final = 0.3

# Focal ratios that telescopes are sold with: common practice.
RATIOS: Final = (3.3, 17.0)

# An eyepiece is one from this weight on; with no word for it only beside a telescope's measures.
EYEPIECE: Final = 3.0
LONELY: Final = 7.0

# How fast doubt falls with the margin to the best other reading, and below which margin that
# reading is named. Choices.
DOUBT: Final = 3.0
CLOSE: Final = 4.0

# No reading is surer than this; with no word for it, than that.
SUREST: Final = 0.98
UNNAMED: Final = 0.75

# A second value of this weight contradicts the first. Words beside a measure weigh from 8 up.
CONTRADICTS: Final = 9.0

_TIMES: Final = re.compile(rf"({NUMBER})\s?-?(?:x(?![a-z0-9])|times\b|fold\b)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """One value of a role: the claims for it, heaviest first."""

    value: float
    claims: tuple[Claim, ...]

    @property
    def weight(self) -> float:
        """What its claims weigh together; saying it again adds little."""
        return self.claims[0].weight + REPEATED * sum(max(0.0, c.weight) for c in self.claims[1:3])


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """One role's value with its claim, how sure it is, and the runner-up where that is close."""

    value: float
    claim: Claim
    sure: float
    other: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """The best reading of a page.

    Parameters
    ----------
    aperture, focal, ratio, tube
        None where nothing in the text is one.
    rivals
        Claims of another value strong enough to contradict.
    eyepieces
        Longest first.
    """

    aperture: Chosen | None
    focal: Chosen | None
    ratio: Chosen | None
    tube: Chosen | None
    rivals: tuple[Claim, ...]
    eyepieces: tuple[OfferedEyepiece, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Trial:
    """One joint reading, and what it weighs."""

    aperture: Value | None
    focal: Value | None
    ratio: Value | None
    pieces: tuple[Loose, ...]
    weight: float


def read_joint(page: Page, amplifiers: Sequence[OfferedAmplifier]) -> Joint:
    """Return the best joint reading of a page's measures, and take their words."""
    marked = marked_eyepieces(page)
    claims = sorted(claims_of(page), key=lambda one: one.span)[:MOST_CLAIMS]
    loose = loose_eyepieces(page, marked)[:MOST_LOOSE]
    trials = sorted(_trials(page, claims, loose, marked, amplifiers), key=lambda one: -one.weight)
    best = trials[0]
    aperture = _chosen(trials, "aperture_mm")
    focal = _chosen(trials, "focal_length_mm")
    ratio = _chosen(trials, "focal_ratio")
    tube = _tube(claims, best)
    rivals = _rivals(claims, best, loose)
    pieces = [*marked, *(_told(one, best) for one in best.pieces)]
    for claim in [*_used(best), *([tube.claim] if tube else []), *rivals, *_others(claims, best)]:
        for place in claim.places:
            page.take(place)
    for one in best.pieces:
        page.take((one.found.start, one.found.end))
    return Joint(
        aperture=aperture,
        focal=focal,
        ratio=ratio,
        tube=tube,
        rivals=rivals,
        eyepieces=settled(page, pieces),
    )


def _values(claims: Sequence[Claim], role: Role) -> list[Value | None]:
    """Return the values that are claimed for a role, heaviest first, and none at all."""
    groups: list[list[Claim]] = []
    for claim in sorted((c for c in claims if c.role == role), key=lambda c: -c.weight):
        for group in groups:
            if abs(group[0].value / claim.value - 1.0) <= SAME:
                if not any(_clash(claim, known) for known in group):
                    group.append(claim)
                break
        else:
            groups.append([claim])
    values = [_value(group) for group in groups]
    return [*sorted(values, key=lambda one: -one.weight)[:MOST_VALUES], None]


def _value(group: Sequence[Claim]) -> Value:
    """Join the claims of one value; a measure that a model number bears out is no guess."""
    first = group[0]
    sized = next((one for one in group if one.guess and not one.note), None)
    if sized is not None and first.note.startswith("guessed"):
        note = "the model number tells the same"
        proved = replace(sized, guess=False, note=note, weight=first.weight + sized.weight)
        return Value(value=sized.value, claims=(proved, *group))
    return Value(value=first.value, claims=tuple(group))


def _clash(one: Claim, other: Claim) -> bool:
    if one.pair >= 0 and one.pair == other.pair:
        return False
    return any(a < d and c < b for a, b in one.places for c, d in other.places)


def _trials(
    page: Page,
    claims: Sequence[Claim],
    loose: Sequence[Loose],
    marked: Sequence[Found],
    amplifiers: Sequence[OfferedAmplifier],
) -> Iterator[_Trial]:
    powers = [number(match[1]) for match in _TIMES.finditer(page.whole)][:12]
    factors = (1.0, *(one.factor for one in amplifiers if one.factor))
    sizes = [one.piece.focal_length_mm for one in marked]
    others = [claim for claim in claims if claim.role in ("other", "tube_length_mm")]
    rivals = [(one, _meeting(one, claims)) for one in loose]
    for aperture, focal, ratio in product(
        _values(claims, "aperture_mm"),
        _values(claims, "focal_length_mm"),
        _values(claims, "focal_ratio"),
    ):
        if aperture and focal and _clash(aperture.claims[0], focal.claims[0]):
            continue
        agree = _agreement(aperture, focal, ratio)
        if _lost(aperture, focal, agree):
            continue
        used = [one.claims[0] for one in (aperture, focal, ratio) if one]
        left = [one for one in others if not any(_clash(one, known) for known in used)]
        length = _length(aperture, focal, ratio)
        pieces, heavy = _pieces(rivals, used, length, powers, factors)
        weight = sum(one.weight for one in (aperture, focal, ratio) if one) + agree + heavy
        weight += sum(one.weight for one in left)
        sizes_now = [*sizes, *(one.found.piece.focal_length_mm for one in pieces)]
        weight += POWER_AGREES * _agreeing(length, sizes_now, powers, factors)
        yield _Trial(aperture=aperture, focal=focal, ratio=ratio, pieces=pieces, weight=weight)


def _length(aperture: Value | None, focal: Value | None, ratio: Value | None) -> float | None:
    """Return the focal length, by aperture and f-ratio where it is not said."""
    if focal is not None or aperture is None or ratio is None:
        return None if focal is None else focal.value
    return aperture.value * ratio.value


def _agreement(aperture: Value | None, focal: Value | None, ratio: Value | None) -> float:
    """Return what it weighs that the three go together."""
    if aperture is None or focal is None:
        return 0.0
    real = focal.value / aperture.value
    if real < 1.0:
        return SHORTER_THAN_WIDE
    weight = RATIO_FITS if RATIOS[0] <= real <= RATIOS[1] else 0.0
    weight += RATIO_ABSURD if not 1.8 <= real <= 30.0 else 0.0
    if ratio is not None:
        weight += RATIO_AGREES if abs(ratio.value / real - 1.0) <= 0.06 else RATIO_CLASHES
    return weight


def _lost(aperture: Value | None, focal: Value | None, agree: float) -> bool:
    """Tell a reading that guesses wildly, or takes half of what was written together."""
    for one, other in ((aperture, focal), (focal, aperture)):
        if one and other and one.claims[0].pair >= 0 and one.claims[0].guess:
            mates = {claim.pair for claim in other.claims}
            if one.claims[0].pair not in mates:
                return True
    guesses = [
        one for one in (aperture, focal) if one and one.claims[0].guess and one.claims[0].pair < 0
    ]
    alone = aperture is None or focal is None
    return bool(guesses) and (alone or (len(guesses) == 2 and agree <= 0.0))


def _pieces(
    loose: Sequence[tuple[Loose, Sequence[Claim]]],
    used: Sequence[Claim],
    focal: float | None,
    powers: Sequence[float],
    factors: Sequence[float],
) -> tuple[tuple[Loose, ...], float]:
    """Return the eyepieces among the small measures that nothing else uses, and their weight."""
    kept = []
    for one, rivals in loose:
        if any(claim in used for claim in rivals):
            continue
        free = [
            claim.weight
            for claim in rivals
            if claim.role in ("other", "tube_length_mm")
            and not any(_clash(claim, known) for known in used)
        ]
        rival = max(free, default=0.0)
        weight = one.weight + POWER_AGREES * _agreeing(
            focal, [one.found.piece.focal_length_mm], powers, factors
        )
        least = EYEPIECE if focal is not None else LONELY
        if weight >= least and weight > rival:
            kept.append(replace(one, weight=weight - rival))
    return tuple(kept), sum(one.weight for one in kept)


def _meeting(one: Loose, claims: Sequence[Claim]) -> list[Claim]:
    """Return the claims that use the same number as a small measure."""
    start, end = one.found.start, one.found.end
    return [claim for claim in claims if any(a < end and start < b for a, b in claim.places)]


def _agreeing(
    focal: float | None, sizes: Sequence[float], powers: Sequence[float], factors: Sequence[float]
) -> int:
    """Return how many eyepieces give a power that the text names."""
    if focal is None:
        return 0
    given = [
        any(
            abs(focal / size * factor / power - 1.0) <= 0.03
            for power in powers
            if power > 1.0
            for factor in factors
        )
        for size in sizes
    ]
    return min(sum(given), POWERS_COUNTED)


def _of(trial: _Trial, role: Role) -> Value | None:
    return {
        "aperture_mm": trial.aperture,
        "focal_length_mm": trial.focal,
        "focal_ratio": trial.ratio,
    }[role]


def _chosen(trials: Sequence[_Trial], role: Role) -> Chosen | None:
    best = _of(trials[0], role)
    if best is None:
        return None
    margin = 20.0
    other: tuple[str, ...] = ()
    for trial in trials[1:]:
        value = _of(trial, role)
        if value is None or abs(value.value / best.value - 1.0) > SAME:
            margin = trials[0].weight - trial.weight
            told = (
                "nothing"
                if value is None
                else f"{value.value:g}{'' if role == 'focal_ratio' else ' mm'}"
            )
            other = (told,) if margin < CLOSE else ()
            break
    claim = best.claims[0]
    sure = 1.0 - 0.5 * math.exp(-margin / DOUBT)
    most = UNNAMED if claim.guess else SUREST
    return Chosen(value=best.value, claim=claim, sure=round(min(sure, most), 2), other=other)


def _used(trial: _Trial) -> list[Claim]:
    return [
        claim
        for value in (trial.aperture, trial.focal, trial.ratio)
        if value
        for claim in value.claims
    ]


def _tube(claims: Sequence[Claim], best: _Trial) -> Chosen | None:
    used = [value.claims[0] for value in (best.aperture, best.focal) if value]
    free = [
        claim
        for claim in claims
        if claim.role == "tube_length_mm" and not any(_clash(claim, one) for one in used)
    ]
    if not free:
        return None
    claim = max(free, key=lambda one: one.weight)
    return Chosen(value=claim.value, claim=claim, sure=0.9, other=())


def _rivals(claims: Sequence[Claim], best: _Trial, loose: Sequence[Loose]) -> tuple[Claim, ...]:
    """Return the strong claims of another value for what has been chosen."""
    used = _used(best)
    pieces = [(one.found.start, one.found.end) for one in best.pieces]
    found = []
    for claim in claims:
        if claim.role not in ("aperture_mm", "focal_length_mm") or claim.guess:
            continue
        chosen = _of(best, claim.role)
        if chosen is None or claim.weight < CONTRADICTS or _others_stronger(claim, claims):
            continue
        differs = abs(claim.value / chosen.value - 1.0) > SAME
        busy = any(_clash(claim, one) for one in used) or any(
            start < high and low < end for low, high in pieces for start, end in claim.places
        )
        if differs and not busy:
            found.append(claim)
    return tuple(found)


def _others_stronger(claim: Claim, claims: Sequence[Claim]) -> bool:
    return any(
        one.role != claim.role and one.weight >= claim.weight and _clash(claim, one)
        for one in claims
    )


def _others(claims: Sequence[Claim], best: _Trial) -> list[Claim]:
    """Return what belongs to other things: the words of a box, a tripod, a finder."""
    used = _used(best)
    return [
        claim
        for claim in claims
        if claim.role == "other" and not any(_clash(claim, one) for one in used)
    ]


def _told(one: Loose, best: _Trial) -> Found:
    """Return a loose eyepiece with what makes it sure or unsure."""
    if one.weight >= EYEPIECE + CLOSE:
        return one.found
    size = one.found.piece.focal_length_mm
    return replace(
        one.found,
        note="no word says so; such a length is an eyepiece's",
        sure=0.7,
        other=(f"{size:g} mm of something else",),
    )
