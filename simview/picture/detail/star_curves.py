"""Stars against power: whether a double is split, how faint a field's stars may be."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from simview.air import alone
from simview.eye.stations import stations
from simview.kit import Kit
from simview.picture.detail.case import Answer, Case
from simview.picture.detail.common import (
    as_angle,
    as_times,
    level,
    mark_facts,
    points_of,
    power_zones,
    span,
)
from simview.picture.detail.records import Fact, Line, Manner, PowerPlot, Zone
from simview.picture.drawing import text
from simview.picture.drawing.plot import Point
from simview.picture.drawing.tongue import N_, decimal, say
from simview.picture.retelling import spoken_words, titled
from simview.power.figures import faintest_magnitude
from simview.power.finest import NO_SURFACE
from simview.power.multiple import Pair
from simview.power.pairs import PairCurve, pair_curve
from simview.power.records import Marks
from simview.power.starfields import StarCurve, star_curve, stars_seen
from simview.power.words import joined, said


def pair(case: Case, double: Pair) -> Answer:
    """Answer for a double: which pairs are split at each power, and whether this one is."""
    apart, magnitudes = double.separation_arcsec, double.magnitudes
    judged = _judged(case, double, case.powers)
    told = judged if case.asked is None else _judged(case, double, case.asked)
    figures = {
        "powers": list(told.powers),
        "finest_detail_arcsec": [None] * len(told.powers),
        **case.marks.figures(),
        "splits": list(told.verdicts),
        "grades": list(told.grades),
        "elongations": list(told.elongations),
        "splits_not_because": list(told.limits),
        "gap": list(told.gaps),
        "gap_needed": list(told.gaps_needed),
        "closest_arcsec": list(told.closest_arcsec),
        "separation_arcsec": apart,
        "magnitudes": list(magnitudes),
        "rayleigh_arcsec": judged.rayleigh_arcsec,
        "dawes_arcsec": judged.dawes_arcsec,
        "reason": judged.reason or NO_SURFACE,
    }
    points = points_of(judged.powers, judged.closest_arcsec)
    air = alone.width_arcsec(case.sky, case.places[-1].path.beam.aperture_mm)
    ends = (judged.powers[0], judged.powers[-1])
    lines = [
        level(ends, apart, double.name or say("this pair"), strong=True),
        level(ends, judged.rayleigh_arcsec, say("Rayleigh's limit for equal stars")),
        level(ends, judged.dawes_arcsec, say("Dawes' limit")),
    ]
    if air > 0.0:
        lines.append(level(ends, air, say("the air's blur")))
    plot = PowerPlot(
        powers=span(*ends),
        values=_pair_values(points, [apart, judged.dawes_arcsec]),
        downwards=True,
        title=N_("closest pair of these two magnitudes that is split, closer upwards"),
        unit=as_angle,
        region=(say("pairs that are split"), say("pairs that are too close")),
        curve=points,
        zones=_verdict_zones(judged),
        lines=tuple(lines),
        facts=_pair_facts(case, judged, apart, magnitudes),
        absence=say("No pair of these magnitudes is split at any power."),
    )
    method = say(
        "Split: the eye sees a dark gap between the two (Barten 1999), and the fainter star beside"
        " the bright one's light (Crumey 2014)."
    )
    title = say("{object}: is it split?", object=titled(case.target))
    return Answer(figures=figures, plot=plot, title=title, method=method)


def _judged(case: Case, double: Pair, powers: Sequence[float]) -> PairCurve:
    return pair_curve(
        case.kit,
        case.target,
        separation_arcsec=double.separation_arcsec,
        magnitudes=double.magnitudes,
        powers=powers,
        sky=case.sky,
        observer=case.observer,
    )


def _pair_values(points: Sequence[Point], levels: Sequence[float]) -> tuple[float, float]:
    values = [value for _, value in points]
    low = min([*values, *levels])
    high = max([min(max(values), 15.0 * min(values)) if values else low, *levels])
    return low / 1.35, high * 1.35


_VERDICTS: Final[dict[str, tuple[Manner, tuple[str, ...]]]] = {
    "single": ("low", (N_("looks like one star"), N_("one star"), N_("one"))),
    "elongated": ("low", (N_("elongated, not split"), N_("elongated"), N_("long"))),
    "limit": ("low", (N_("at the limit, not split"), N_("at the limit"), N_("limit"))),
    "notched": ("low", (N_("notched now and then, not split"), N_("notched"), N_("notch"))),
    "split": (
        "enough",
        (N_("split: two stars, dark sky between"), N_("split in two"), N_("split")),
    ),
}


# Past the power that is empty on stars.
_SPREADS: Final = N_("and above only spreads each star's own blur, on any night.")


def _verdict_zones(judged: PairCurve) -> tuple[Zone, ...]:
    """Return runs of one verdict, bounded half way between two powers."""
    zones: list[Zone] = []
    start = judged.powers[0]
    for index, verdict in enumerate(judged.grades):
        last = index + 1 == len(judged.grades)
        if not last and judged.grades[index + 1] == verdict:
            continue
        here = judged.powers[index]
        end = here if last else float(np.sqrt(here * judged.powers[index + 1]))
        manner, words = _VERDICTS[verdict]
        zones.append(Zone(manner=manner, low=start, high=end, words=words))
        start = end
    return tuple(zones)


def _pair_facts(
    case: Case, judged: PairCurve, apart: float, magnitudes: tuple[float, float]
) -> tuple[Fact, ...]:
    marks = case.marks
    if marks.split_from is not None:
        first = Fact(
            figure=text.least_times(marks.split_from),
            words=_splits_from(marks, marks.split_from),
            manner="enough",
        )
    else:
        told = joined(said("double", "plain", marks, case.scope), spoken_words)[0]
        first = Fact(figure=say("not split"), words=f"{told}.", manner="empty")
    facts = [
        first,
        Fact(
            figure=text.angle(apart),
            words=say(
                "apart; magnitudes {first} and {second}.",
                first=_mag(magnitudes[0]),
                second=_mag(magnitudes[1]),
            ),
        ),
    ]
    # Past what is empty nobody looks for the closest one; a hard pair itself may be split there.
    split = marks.split_from or 0.0
    most = max(marks.empty_above or math.inf, split)
    known = [(v, p) for p, v in points_of(judged.powers, judged.closest_arcsec) if p <= most]
    if known:
        value, power = min(known)
        words = say(
            "is the closest pair of these magnitudes that it splits, at {power}.",
            power=text.times(power),
        )
        facts.append(Fact(figure=text.angle(value), words=words))
    if marks.empty_above is not None and marks.empty_above > split:
        words = say(_SPREADS)
        facts.append(Fact(figure=text.times(marks.empty_above), words=words, manner="empty"))
    return tuple(facts)


def _splits_from(marks: Marks, split: float) -> str:
    """Say that a power splits a pair, and which makes it easier where that is another."""
    enough = marks.enough_from
    if marks.hard:
        return say("and above splits both pairs.")
    if enough is None or enough < 1.05 * split:
        return say("and above splits the pair.")
    return say("and above splits the pair; {power} makes it easier.", power=text.times(enough))


def _mag(value: float) -> str:
    return decimal(f"{value:.1f}".replace("-", "−"))


def stars(case: Case) -> Answer:
    """Answer for a field of stars: the faintest at each power."""
    marks, shown = _curve(case, None), _curve(case, case.powers)
    told = shown if case.asked is None else _curve(case, case.asked)
    best = max(marks.limits)
    figures = {
        "powers": list(told.powers),
        "finest_detail_arcsec": [None] * len(told.powers),
        **case.marks.figures(),
        "limiting_magnitude": list(told.limits),
        "stars_seen": [stars_seen(case.target, m) for m in told.limits],
        "best_power": marks.best_power,
        "reason": NO_SURFACE,
    }
    eye = naked_eye(case)
    ends = (shown.powers[0], shown.powers[-1])
    plot = PowerPlot(
        powers=span(*ends),
        values=(min(*shown.limits, eye) - 0.6, best + 0.6),
        scale="linear",
        title=N_("faintest star that this eye sees, magnitude, fainter upwards"),
        unit=as_times,
        curve=points_of(shown.powers, shown.limits),
        zones=power_zones(*ends, case),
        lines=(
            Line(
                points=tuple((float(p), eye) for p in np.geomspace(*span(*ends), 40)),
                label=say("without a telescope {magnitude}", magnitude=_mag(eye)),
                dashed=True,
            ),
        ),
        facts=_star_facts(case, marks),
        region=(say("seen"), say("too faint to be seen")),
    )
    method = say(
        "Faintest star: seen half of the time against this sky, blurred by air and aperture"
        " (Crumey 2014)."
    )
    return Answer(
        figures=figures,
        plot=plot,
        title=say("{object}: how faint its stars may be", object=titled(case.target)),
        method=method,
    )


def _curve(case: Case, powers: Sequence[float] | None) -> StarCurve:
    return star_curve(case.kit, case.target, powers=powers, sky=case.sky, observer=case.observer)


def naked_eye(case: Case) -> float:
    """Return the faintest star without an instrument, under the same sky."""
    place = stations(Kit(), case.target, sky=case.sky, observer=case.observer)[0]
    return faintest_magnitude(place.path, place.eye, case.observer)


def _star_facts(case: Case, curve: StarCurve) -> tuple[Fact, ...]:
    best = max(curve.limits)
    return (
        *mark_facts(
            case.marks,
            say("is enough: more power gains less than a tenth of a magnitude.")
            if (case.marks.enough_from or 0.0) >= curve.enough_from
            else say("is enough: with more it no longer fits into the field."),
            say(_SPREADS),
        ),
        Fact(
            figure=say("mag {figure}", figure=_mag(best)),
            words=say(
                "is the faintest star, at {power}; {count} stars show then.",
                power=text.times(curve.best_power),
                count=f"{stars_seen(case.target, best):.0f}",
            ),
        ),
    )
