"""A first list: ten things that this telescope shows under that sky, each with its expected view.

What is on it is computed: planets and the Moon always show; a star cluster, nebula or galaxy
must stand above the eye's threshold at one of the kit's powers; a double must part.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Final

from simview.advice.finder_charts import Chart, chart
from simview.advice.hours import Hour
from simview.advice.limits import limits_of
from simview.advice.sights import Look, look_at, looks
from simview.advice.speech import Said, joined, number, power, say
from simview.advice.tonight import Evening, Sight
from simview.eye.thresholds import Aid, patch_visibility
from simview.eyepiece.beam import Beam
from simview.kit import Kit, Observer, Sky
from simview.units import luminance_cd_m2

HOW_MANY: Final = 10

# Lowest altitude, degrees: planets bear more air than faint things, the Moon most. Choices.
LOWEST_DEG: Final = {"moon": 8.0, "planet": 15.0}
LOWEST_OTHER_DEG: Final = 25.0

# Barlow lenses from this strength on are left in the box: a choice.
STRONG_BARLOW: Final = 3.0

# Finest detail, arcsec, that Jupiter's belts and Saturn's ring as a ring ask for: about a third
# of the belts' width (6 arcsec) and the gap beside the globe (3 arcsec). Choices.
BELTS_ARCSEC: Final = 4.5
RING_ARCSEC: Final = 3.5
OVAL_ARCSEC: Final = 9.0

# Below this tilt Saturn's ring is a line at best, degrees; the sine from which its gap counts as
# open (about 13 degrees): choices.
EDGE_ON_DEG: Final = 3.0
HALF_OPEN: Final = 0.225

# At most so many of one kind, that the list has variety: a choice.
MOST_OF_A_KIND: Final = {"double": 3, "cluster": 4, "globular": 2, "nebula": 2, "galaxy": 2}

# A patch this far above threshold is seen by a beginner, who is not sure where to look: a choice.
EASY: Final = 2.0

# A double parts comfortably when it looks this wide, arcsec at the eye: common practice, 4 arcmin.
COMFORTABLE_ARCSEC: Final = 240.0

# A view this many times as wide as the object shows it well: a choice.
ROOM: Final = 1.3

# A time so nearly as good as the best is good enough; planets and doubles gain little above this
# height, degrees; doubles want the sky a little darker than planets do. Choices.
NEARLY: Final = 0.9
HIGH_ENOUGH_DEG: Final = 50.0
DOUBLES_FROM_DEG: Final = -9.0

# Lit parts of the Moon's disc: too thin to find, a crescent, without shadows. Choices.
THINNEST: Final = 0.02
THIN: Final = 0.15
FULL: Final = 0.97

# Mean diameter of the Moon, arcmin, for comparisons.
MOON_ARCMIN: Final = 31.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """One thing to look at.

    Parameters
    ----------
    sight
        What and where.
    piece
        Which eyepiece (and Barlow).
    power
        Times.
    view
        What to expect, in words.
    look, sky, moment
        The pieces, the sky there with what Moon and twilight add, and the time: for a picture.
    chart
        How to get there; None for what everyone sees at once.
    """

    sight: Sight
    piece: str
    power: float
    view: str
    look: Look = field(default_factory=Look)
    sky: Sky = field(default_factory=Sky)
    moment: datetime | None = None
    chart: Chart | None = None

    @property
    def pieces(self) -> Said:
        """The pieces and what they magnify; binoculars have no pieces."""
        times = joined((number(self.power), "×"), "")
        return joined((self.piece, times), ", ") if self.piece else times


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    look: Look
    beam: Beam

    @property
    def piece(self) -> str:
        if not self.beam.amplifier_name:
            return self.beam.eyepiece_name
        return say(
            "{eyepiece} with {between}",
            eyepiece=self.beam.eyepiece_name,
            between=self.beam.amplifier_name,
        )


def first_list(
    kit: Kit,
    when: Evening,
    sky: Sky,
    observer: Observer,
    *,
    through: Sequence[Hour] = (),
    most: float = math.inf,
) -> tuple[Suggestion, ...]:
    """Return up to ten suggestions: the easiest first, or in the order of the clock.

    Parameters
    ----------
    through
        The hours of the evening; each thing then stands at its own best time, and Moon and
        twilight count. Without them everything stands at the evening's moment.
    most
        No power above it is used, but for the lowest that the kit gives.
    """
    every = [_way(kit, look) for look in _sensible(kit)]
    ways = [way for way in every if _power(way) <= most] or [min(every, key=_power)]
    if through:
        timed = _timed(ways, through, sky, observer)
    else:
        timed = [(when, one, _above(sky, one)) for one in when.sights if _is_high(one)]
    timed.sort(key=lambda one: _ease(one[1]))
    found = []
    for there, sight, here in timed:
        one = _suggest(kit, ways, sight, here, observer)
        if one is not None:
            found.append((there, replace(one, sky=here, moment=there.moment)))
    varied, rest = _varied(found)
    chosen = [_charted(one, there) for there, one in (varied + rest)[:HOW_MANY]]
    if not through:
        return tuple(sorted(chosen, key=lambda one: _ease(one.sight)))
    return tuple(sorted(chosen, key=lambda one: _by_clock(one, one_day=when.one_day)))


def _above(sky: Sky, sight: Sight) -> Sky:
    return replace(sky, altitude_deg=min(max(sight.altitude_deg, 3.0), 90.0))


def _by_clock(one: Suggestion, *, one_day: bool) -> tuple[bool, float, tuple[int, int, float]]:
    """Sort by the time to look; the Moon of a month at large, on its own evening, stands first."""
    seconds = 0.0 if one.moment is None else one.moment.timestamp()
    return one_day or one.sight.kind != "moon", seconds, _ease(one.sight)


def _timed(
    ways: list[_Way], through: Sequence[Hour], sky: Sky, observer: Observer
) -> list[tuple[Evening, Sight, Sky]]:
    """Return each thing at its own best time, with the sky that it then stands in."""
    places: dict[str, list[tuple[Hour, Sight]]] = {}
    for hour in through:
        for sight in hour.evening.sights:
            if _is_high(sight):
                places.setdefault(sight.name, []).append((hour, sight))
    found = []
    for choices in places.values():
        worth = [_worth(ways, hour, sight, sky, observer) for hour, sight in choices]
        # The earliest that is nearly as good as the best: the night is young but once.
        place = next(n for n, one in enumerate(worth) if one >= NEARLY * max(worth))
        hour, sight = choices[place]
        found.append((hour.evening, sight, hour.sky(sky, sight)))
    return found


def _worth(ways: list[_Way], hour: Hour, sight: Sight, sky: Sky, observer: Observer) -> float:
    """Return how good a time is for a thing: how clearly it shows, or how high it stands."""
    if sight.kind in ("moon", "planet", "double"):
        early = sight.kind == "double" and hour.sun_altitude_deg > DOUBLES_FROM_DEG
        high = math.sin(math.radians(min(sight.altitude_deg, HIGH_ENOUGH_DEG)))
        return high * (0.5 if early else 1.0)
    here = hour.sky(sky, sight)
    return max(_visibility(way, sight, here, observer) for way in ways)


def _charted(one: Suggestion, when: Evening) -> Suggestion:
    if one.sight.kind in ("moon", "planet"):
        return one
    return replace(one, chart=chart(one.sight, when))


def _sensible(kit: Kit) -> list[Look]:
    """Return the ways that a rescuer leaves: without erecting prism and strong Barlow."""
    every = looks(kit)
    kept = [
        way
        for way in every
        if all(
            kit.amplifiers[i].kind == "barlow" and kit.amplifiers[i].factor < STRONG_BARLOW
            for i in way.amplifiers
        )
    ]
    return kept or list(every)


def _varied(
    found: list[tuple[Evening, Suggestion]],
) -> tuple[list[tuple[Evening, Suggestion]], list[tuple[Evening, Suggestion]]]:
    """Part what keeps the list varied from what is more of the same."""
    counts: dict[str, int] = {}
    varied: list[tuple[Evening, Suggestion]] = []
    rest: list[tuple[Evening, Suggestion]] = []
    for there, one in found:
        kind = one.sight.kind
        counts[kind] = counts.get(kind, 0) + 1
        (varied if counts[kind] <= MOST_OF_A_KIND.get(kind, 9) else rest).append((there, one))
    return varied, rest


def _ease(sight: Sight) -> tuple[int, int, float]:
    order = {"moon": 0, "planet": 1}
    return order.get(sight.kind, 2), sight.rank, -sight.altitude_deg


def _is_high(sight: Sight) -> bool:
    return sight.altitude_deg >= LOWEST_DEG.get(sight.kind, LOWEST_OTHER_DEG)


def _way(kit: Kit, look: Look) -> _Way:
    from simview.eyepiece.train import beam

    found = beam(kit, eyepiece=look.eyepiece, amplifiers=look.amplifiers, eye_pupil_mm=7.0)
    return _Way(look=look, beam=found)


def _suggest(
    kit: Kit, ways: list[_Way], sight: Sight, here: Sky, observer: Observer
) -> Suggestion | None:
    if sight.kind == "moon":
        if sight.lit < THINNEST:
            return None
        way = _widest(ways, MOON_ARCMIN)
        carried = _carried(kit, ways, "moon", here, observer)
        return _suggestion(sight, way, _moon_view(sight, carried, way))
    if sight.kind == "planet":
        way = max(_carried(kit, ways, sight.name, here, observer), key=_power)
        return _suggestion(sight, way, _planet_view(kit, way, sight, here, observer))
    if sight.kind == "double":
        return _double(kit, ways, sight, here, observer)
    return _patch(ways, sight, here, observer)


def _suggestion(sight: Sight, way: _Way, view: str) -> Suggestion:
    return Suggestion(sight=sight, piece=way.piece, power=way.beam.power, view=view, look=way.look)


def _widest(ways: list[_Way], size_arcmin: float) -> _Way:
    """Return the highest power that still shows all of it, else the widest view."""
    fitting = [way for way in ways if way.beam.true_field_arcmin >= ROOM * size_arcmin]
    if fitting:
        return max(fitting, key=lambda way: way.beam.power)
    return max(ways, key=lambda way: way.beam.true_field_arcmin)


def _power(way: _Way) -> float:
    return way.beam.power


def _carried(kit: Kit, ways: list[_Way], name: str, sky: Sky, observer: Observer) -> list[_Way]:
    """Return the ways whose power the usual air carries on an object, at least the lowest."""
    known = limits_of(kit, name, sky, observer)
    kept = [way for way in ways if known.limited_by(way.beam.power) in (None, "power")]
    return kept or [min(ways, key=_power)]


def _moons(apparent_arcmin: float) -> Said:
    """Return an apparent size against the Moon as the naked eye sees it."""
    times = apparent_arcmin / MOON_ARCMIN
    if times < 0.4:
        return say("much smaller than the Moon to the naked eye")
    if times < 0.8:
        return say("about half as wide as the Moon to the naked eye")
    if times < 1.3:
        return say("as wide as the Moon to the naked eye")
    return say(
        "{times} times as wide as the Moon to the naked eye",
        times=number(times, 1 if times < 3.0 else 0),
    )


def _moon_view(sight: Sight, ways: list[_Way], way: _Way) -> Said:
    whole = way.beam.true_field_arcmin >= MOON_ARCMIN
    highest = max(ways, key=lambda one: one.beam.power)
    parts = [
        say("All of it fits.") if whole else say("It is more than the view holds."),
        _FULL if sight.lit > FULL else _THIN if sight.lit < THIN else _CRATERS,
    ]
    if highest is not way:
        parts.append(say("Then try {power} times.", power=power(highest.beam.power)))
    return joined(parts)


_CRATERS: Final = say("Craters stand out along the line between light and dark.")
_THIN: Final = say("A thin crescent; its dark part glows faintly in the light of the Earth.")
_FULL: Final = say(
    "Nearly full: no shadows, but dark plains, and bright rays around young craters."
)


def _planet_view(kit: Kit, way: _Way, sight: Sight, sky: Sky, observer: Observer) -> Said:
    apparent = sight.size_arcmin[0] * way.beam.power
    detail = _planet_detail(kit, way, sight, sky, observer) or math.inf
    return say(
        "A small disc, {size}: {marks}.",
        size=_moons(apparent),
        marks=_MARKS[sight.name](sight, detail, apparent),
    )


def _jupiter(sight: Sight, detail: float, apparent_arcmin: float) -> Said:
    if detail <= BELTS_ARCSEC:
        return say("up to four moons in a line beside it, and its dark belts")
    return say("up to four moons in a line beside it; no belts yet")


def _saturn(sight: Sight, detail: float, apparent_arcmin: float) -> Said:
    if abs(sight.tilt_deg) < EDGE_ON_DEG:
        return say("the ring is edge-on these months, a fine line at most")
    # The ring's short axis is 2.27 globe radii times the sine of its tilt: what it clears of the
    # globe shrinks with it, and so must the detail that shows it free.
    if detail <= RING_ARCSEC * min(1.0, math.sin(math.radians(abs(sight.tilt_deg))) / HALF_OPEN):
        return say("the ring stands free around it, the largest moon near by as a star")
    if detail <= OVAL_ARCSEC:
        return say("the ring makes it an oval")
    return say("a star that is not quite round")


def _venus(sight: Sight, detail: float, apparent_arcmin: float) -> Said:
    if apparent_arcmin <= 5.0:
        return say("a dazzling point")
    if sight.lit > 0.85:
        return say("nearly round now, dazzling white")
    return say("a tiny half Moon") if sight.lit > 0.4 else say("a thin crescent, like a tiny Moon")


def _mars(sight: Sight, detail: float, apparent_arcmin: float) -> Said:
    if apparent_arcmin > 15.0:
        return say("orange, at times with a white cap")
    return say("orange")


_MARKS: Final = {"jupiter": _jupiter, "saturn": _saturn, "venus": _venus, "mars": _mars}


def _planet_detail(kit: Kit, way: _Way, sight: Sight, sky: Sky, observer: Observer) -> float | None:
    if sight.name not in ("jupiter", "saturn"):
        return None
    return look_at(kit, way.look, sight.name, sky, observer).numbers["finest_detail_arcsec"]


def _double(
    kit: Kit, ways: list[_Way], sight: Sight, sky: Sky, observer: Observer
) -> Suggestion | None:
    parted = _parting(kit, ways, sight, sky, observer)
    if not parted:
        return None
    wide = [way for way in parted if sight.separation_arcsec * _power(way) >= COMFORTABLE_ARCSEC]
    way = min(wide, key=_power) if wide else max(parted, key=_power)
    equal = abs(sight.magnitude - sight.magnitude_b) < 1.0
    far = sight.separation_arcsec * way.beam.power > 3.0 * COMFORTABLE_ARCSEC
    apart = say("well apart") if far else say("close together")
    view = (
        say("Two stars, nearly alike, {apart}.", apart=apart)
        if equal
        else say("A bright star and a fainter one beside it, {apart}.", apart=apart)
    )
    return _suggestion(sight, way, view)


def _parting(kit: Kit, ways: list[_Way], sight: Sight, sky: Sky, observer: Observer) -> list[_Way]:
    """Return the ways whose power splits a double, as every command judges it."""
    from simview.power.pairs import pair_curve
    from simview.scene.targets import target

    magnitudes = (sight.magnitude, sight.magnitude_b)
    steps = sorted({_power(way) for way in ways})
    judged = pair_curve(
        kit,
        target("double", double=(sight.separation_arcsec, 0.0, *magnitudes)),
        separation_arcsec=sight.separation_arcsec,
        magnitudes=magnitudes,
        powers=steps,
        sky=sky,
        observer=observer,
        closest=False,
    )
    split = {p for p, word in zip(judged.powers, judged.verdicts, strict=True) if word == "split"}
    return [way for way in ways if _power(way) in split]


def _patch(ways: list[_Way], sight: Sight, sky: Sky, observer: Observer) -> Suggestion | None:
    if sight.kind == "cluster":
        way = _widest(ways, max(sight.size_arcmin))
        if _visibility(way, sight, sky, observer) < 0.5 and sight.magnitude > 5.0:
            return None
        return _suggestion(sight, way, _cluster_view(way, sight))
    best = max(ways, key=lambda one: _visibility(one, sight, sky, observer))
    ratio = _visibility(best, sight, sky, observer)
    if ratio < EASY:
        return None
    return _suggestion(sight, best, _glow_view(best, sight, ratio))


def _visibility(way: _Way, sight: Sight, sky: Sky, observer: Observer) -> float:
    """Return how far its mean light stands above the eye's threshold."""
    from simview.air import extinction, glow

    wide, high = sight.size_arcmin
    area = math.pi / 4.0 * wide * high * 3600.0
    dimmed = sight.magnitude + sky.extinction_mag * float(extinction.airmass(sky.altitude_deg))
    excess = luminance_cd_m2(dimmed + 2.5 * math.log10(area))
    pupil = observer.pupil_mm or 6.0
    aid = Aid(
        power=way.beam.power,
        exit_pupil_mm=way.beam.exit_pupil_mm,
        eye_pupil_mm=pupil,
        transmission=way.beam.transmission * (1.0 - way.beam.obstruction**2),
        field_factor=observer.field_factor,
        age_years=observer.age_years,
    )
    return patch_visibility(excess, glow.luminance_cd_m2(sky), aid, size_arcmin=(wide, high))


def _cluster_view(way: _Way, sight: Sight) -> Said:
    share = max(sight.size_arcmin) / way.beam.true_field_arcmin
    if share > 1.0:
        return say("A scatter of stars wider than the view; sweep along it.")
    if share >= 0.85:
        return say("A scatter of stars that fills nearly all of the view.")
    if share >= 0.35:
        return say("A scatter of stars that fills about half of the view.")
    return say("A scatter of stars in the middle of the view.")


def _glow_view(way: _Way, sight: Sight, ratio: float) -> Said:
    return say(
        "{what}, {size}; no colour. Look a little past it.",
        what=_GLOWS[sight.kind][0 if ratio > 4.0 else 1],
        size=_moons(sight.size_arcmin[0] * way.beam.power),
    )


# Clear, and faint.
_GLOWS: Final = {
    "globular": (
        say("A clear ball of light, brighter towards the middle"),
        say("A faint ball of light"),
    ),
    "nebula": (say("A clear patch of grey light"), say("A faint patch of grey light")),
    "galaxy": (
        say("A clear oval of grey light, brighter in the middle"),
        say("A faint oval of grey light"),
    ),
}
