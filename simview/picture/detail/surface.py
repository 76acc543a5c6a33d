"""Surfaces against power: the finest detail of a bright one, whether a faint one shows at all."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Final

import numpy as np

from simview.eye.thresholds import seen_fraction
from simview.kit import Sky
from simview.picture.detail.case import Answer, Case, as_list
from simview.picture.detail.common import (
    as_angle,
    as_times,
    figures_at,
    half,
    level,
    mark_facts,
    points_of,
    power_zones,
    short,
    span,
)
from simview.picture.detail.records import Fact, Line, PowerPlot, Zone
from simview.picture.drawing import text
from simview.picture.drawing.plot import Point
from simview.picture.drawing.tongue import N_, decimal, say
from simview.picture.limit_bars import alone
from simview.picture.retelling import retold, titled
from simview.power.detail import COMFORTABLE_ARCMIN, EMPTY_ARCMIN, ENOUGH_ARCMIN, DetailCurve
from simview.power.faint import VisibilityCurve, visibility_curve
from simview.power.features import features_of, seen_from
from simview.power.finest import detail_curve, periods_at
from simview.power.parts import Parts, parts


def surface(case: Case) -> Answer:
    """Answer for a bright surface: the finest detail at each power, with its marks."""
    target = case.target
    curve = detail_curve(case.kit, target, sky=case.sky, observer=case.observer)
    bounds = parts(case.places, target)
    halves = list(map(half, periods_at(case.places, target)))
    points = points_of(case.powers, halves)
    figures = {
        **figures_at(case, target),
        **case.marks.figures(),
        "best_power": curve.best_power,
        "best_detail_arcsec": half(curve.best_period_arcsec),
        "worse_above": curve.worse_above,
        "contrast": target.contrast,
        "limit_aperture_arcsec": bounds.aperture_arcsec,
        "limit_air_arcsec": bounds.air_arcsec,
        "limit_mount_arcsec": bounds.mount_arcsec,
        "features": [
            {
                **each.figures(),
                **dict(
                    zip(("seen_from", "barely"), seen_from(case.places, target, each), strict=True)
                ),
            }
            for each in features_of(target)
        ],
        "reason": curve.reason,
    }
    low, high = case.powers[0], case.powers[-1]
    plot = PowerPlot(
        powers=span(low, high),
        values=_detail_values(points, bounds),
        downwards=True,
        title=N_("finest stripe that this eye makes out, finer upwards"),
        unit=as_angle,
        region=(say("can be made out"), say("too fine for this eye here")),
        curve=points,
        zones=power_zones(low, high, case),
        lines=_bounds(case.powers, bounds, case.sky),
        facts=_surface_facts(case, curve),
        absence=say("No detail on {object} can be made out at any power.", object=short(target)),
    )
    method = say(
        "Stripe: half of the finest grating of contrast {contrast} that shows after telescope, air,"
        " mount and eye (Barten 1999). Thin lines: one part alone. The marks stand where that"
        " grating is {enough}′ and {air}′ wide at the eye; empty: {empty}′ with the air off.",
        contrast=decimal(f"{target.contrast:g}"),
        **_angles(case),
    )
    return Answer(
        figures=figures,
        plot=plot,
        title=say("{object}: how much power it can use", object=titled(target)),
        method=method,
    )


def _angles(case: Case) -> dict[str, str]:
    """Return how wide at the eye the finest grating stands at each mark, arcmin."""
    told = {"enough": ENOUGH_ARCMIN, "air": COMFORTABLE_ARCMIN, "empty": EMPTY_ARCMIN}
    sight = min(case.observer.acuity, 1.0)
    return {name: decimal(f"{angle / sight:.3g}") for name, angle in told.items()}


def _detail_values(points: Sequence[Point], bounds: Parts) -> tuple[float, float]:
    values = [value for _, value in points] or [1.0]
    limits = (bounds.aperture_arcsec, bounds.air_arcsec, bounds.mount_arcsec)
    known = [limit for limit in limits if limit is not None]
    best = min(values)
    # A bound far from the curve does not bound it; it may stay off the plot.
    low = min([best, *(limit for limit in known if limit > best / 5.0)]) / 1.4
    return low, max(min(max(values), 12.0 * best) * 1.1, 1.5 * best)


def _bounds(powers: Sequence[float], bounds: Parts, sky: Sky) -> tuple[Line, ...]:
    ends = (powers[0], powers[-1])
    named = (
        ("aperture", bounds.aperture_arcsec),
        ("air" if sky.air == "long" else "both", bounds.air_arcsec),
        ("mount", bounds.mount_arcsec),
    )
    levels = [level(ends, value, alone(part)) for part, value in named if value is not None]
    eye = Line(points=points_of(powers, bounds.eye_arcsec), label=alone("eye"), dashed=True)
    return (*levels, eye)


def _surface_facts(case: Case, curve: DetailCurve) -> tuple[Fact, ...]:
    if curve.best_period_arcsec is None:
        why = f"{retold(curve.reason)}."
        return (Fact(figure=say("nothing"), words=why, manner="empty"),)
    finest = curve.best_period_arcsec / 2.0
    across = case.target.size_arcsec / finest
    return (
        *mark_facts(
            case.marks,
            say("is enough: more power shows hardly anything more."),
            say("and above is empty on any night: the aperture gives nothing finer."),
        ),
        Fact(
            figure=text.angle(finest),
            words=say(
                "is the finest stripe tonight, {count} of them across it.",
                count=text.figure(across),
            )
            + _features_said(case),
        ),
    )


# The names of `simview.power.features`.
_FEATURES: Final = (
    N_("Cassini division"),
    N_("Io's shadow"),
    N_("Europa's shadow"),
    N_("Ganymede's shadow"),
    N_("Callisto's shadow"),
    N_("A shadow like Io's, when one falls"),
    N_("A rille of 1 km, finer than the map drawn"),
)


def _features_said(case: Case) -> str:
    """Say of each thin line or spot from which power on it is seen; empty without one."""
    said = []
    for each in features_of(case.target):
        first, barely = seen_from(case.places, case.target, each)
        told = {"name": say(each.name), "width": text.angle(each.width_arcsec)}
        if first is None:
            said.append(say("{name}, {width}: not seen at any power.", **told))
        elif barely:
            power = text.times(first)
            said.append(say("{name}, {width}: barely, from {power}.", power=power, **told))
        else:
            power = text.times(first)
            said.append(say("{name}, {width}: from {power}.", power=power, **told))
    return "".join(f" {words}" for words in said)


def glow(case: Case) -> Answer:
    """Answer for a faint glow: how far it stands above threshold at each power."""
    target = case.target
    shown = _visible(case, case.powers, one_glass=True)
    told = shown if case.asked is None else _visible(case, case.asked)
    asked = figures_at(case, target)
    missing = "no detail is made out at some of these powers"
    none = None in asked["finest_detail_arcsec"]
    reason = "; ".join(part for part in (shown.reason, missing if none else "") if part)
    figures = {
        **asked,
        **case.marks.figures(),
        "above_threshold": list(told.above_threshold),
        "seen_fraction": as_list(seen_fraction(told.above_threshold)),
        "best_power": shown.best_power,
        "seen_at_best": shown.seen,
        "best_part_arcsec": shown.part_arcsec,
        "reason": reason,
    }
    points = tuple((p, v) for p, v in points_of(shown.powers, shown.above_threshold) if v > 0.0)
    values = [value for _, value in points] or [1.0]
    ends = (shown.powers[0], shown.powers[-1])
    once = tuple((float(p), 1.0) for p in np.geomspace(*ends, 40))
    plot = PowerPlot(
        powers=span(*ends),
        values=(max(min(*values, 0.7) / 1.3, max(values) / 300.0), max(*values, 1.5) * 1.4),
        title=N_("how far it stands above what the eye needs to see it"),
        unit=as_times,
        region=("", ""),
        curve=points,
        zones=_seen_zones(points, ends),
        lines=(Line(points=once, label=say("just seen, half of the time"), strong=True),),
        facts=_glow_facts(case, shown),
        absence=say("It is not seen at any power."),
    )
    method = say(
        "Visibility: the glow of its best part against the contrast that an eye needs on this sky"
        " (Crumey 2014); outskirts show less."
    )
    return Answer(
        figures=figures,
        plot=plot,
        title=say("{object}: is it seen, and at which power?", object=titled(target)),
        method=method,
    )


def _visible(case: Case, powers: Sequence[float], *, one_glass: bool = False) -> VisibilityCurve:
    return visibility_curve(
        case.kit,
        case.target,
        powers=powers,
        sky=case.sky,
        observer=case.observer,
        one_glass=one_glass,
    )


def _seen_zones(points: Sequence[Point], ends: Point) -> tuple[Zone, ...]:
    """Return the stretches where the curve lies above and below 1."""
    zones: list[Zone] = []
    start, above = ends[0], bool(points) and points[0][1] >= 1.0
    for (p, v), (q, w) in itertools.pairwise(points):
        if (v >= 1.0) != (w >= 1.0):
            step = np.log(v) / np.log(v / w)
            cross = float(p * (q / p) ** step)
            zones.append(_seen_zone(start, cross, above=above))
            start, above = cross, not above
    return (*zones, _seen_zone(start, ends[1], above=above))


def _seen_zone(low: float, high: float, *, above: bool) -> Zone:
    if above:
        return Zone(manner="enough", low=low, high=high, words=(N_("seen"),))
    words = (N_("missed more often than seen"), N_("hardly seen"), N_("not seen"))
    return Zone(manner="low", low=low, high=high, words=words)


def _glow_facts(case: Case, shown: VisibilityCurve) -> tuple[Fact, ...]:
    target, enough = case.target, case.marks.enough_from
    above = max(
        v for p, v in zip(shown.powers, shown.above_threshold, strict=True) if p == shown.best_power
    )
    best = Fact(
        figure=text.times(shown.best_power),
        words=say("shows it best: {times} times what the eye needs.", times=text.figure(above)),
        manner="enough" if above >= 1.0 else "low",
    )
    often = Fact(figure=f"{100.0 * shown.seen:.0f} %", words=say("of looks at its best show it."))
    size = Fact(
        figure=text.angle(shown.part_arcsec),
        words=say(
            "wide is the part that shows best, of {size}.", size=text.angle(target.size_arcsec)
        ),
    )
    if enough is None or text.times(enough) == text.times(shown.best_power):
        return (best, often, size)
    nearly = Fact(figure=text.times(enough), words=say("shows it about as well."), manner="enough")
    return (best, nearly, often, size)
