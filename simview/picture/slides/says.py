"""The words of slides: titles that say the point, and conditions by their names."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from simview.kit import Kit, Observer, Sky
from simview.picture import captions, pair_words
from simview.picture.drawing import text
from simview.picture.drawing.tongue import ENGLISH, N_, decimal, say, spoken
from simview.picture.fault_words import fault_words
from simview.picture.retelling import named
from simview.picture.slides.records import Figure
from simview.power.faint import is_glow
from simview.power.records import Marks, State
from simview.scene.scene import Target, TargetKind
from simview.telescope.faults import parse
from simview.view import View

# What a single view's title says of its power, after the object's name and a colon.
_VIEW: Final[Mapping[State, str]] = {
    "low": N_("more power would show more"),
    "enough": N_("all that this telescope shows tonight"),
    "hidden": N_("hidden by tonight's air: more power splits it"),
    "tight": N_("more power would show more"),
    "full": N_("larger, hardly finer"),
    "air": N_("more power than tonight's air carries"),
    "light": N_("too dim: less power would show more"),
    "empty": N_("empty magnification, larger but no clearer"),
    "plain": "",
}

# Below a panel of a ladder.
_STEP: Final[Mapping[State, str]] = {
    "low": N_("more power shows more"),
    "enough": N_("enough power"),
    "hidden": N_("hidden by the air"),
    "tight": N_("wider with more power"),
    "full": N_("larger, hardly finer"),
    "air": N_("more than the air carries"),
    "light": N_("too dim"),
    "empty": N_("empty magnification"),
    "plain": "",
}
_STARS: Final[Mapping[State, str]] = {**_STEP, "low": N_("fainter stars with more")}
_DOUBLE: Final[Mapping[State, str]] = {
    **_STEP,
    "tight": N_("split; wider with more"),
    "enough": N_("split"),
}


# Objects whose names differ from language to language. Others - designations, proper names of
# stars, places on the Moon - are the same in all.
NAMES: Final = (
    N_("Mercury"),
    N_("Venus"),
    N_("Mars"),
    N_("Jupiter"),
    N_("Saturn"),
    N_("Uranus"),
    N_("Neptune"),
    N_("Moon"),
    N_("Bar target"),
    N_("Siemens star"),
    N_("House by day"),
    N_("Polaris"),
    N_("Epsilon Lyrae"),
    N_("Trapezium"),
    N_("Winter Albireo"),
    N_("Pleiades"),
    N_("Hyades"),
    N_("Alpha Persei Cluster"),
    N_("Coma Star Cluster"),
    N_("Double Cluster"),
    N_("Beehive"),
    N_("Wild Duck Cluster"),
    N_("Butterfly Cluster"),
    N_("Owl Cluster"),
    N_("Jewel Box"),
    N_("Southern Pleiades"),
    N_("Hercules Cluster"),
    N_("Andromeda Galaxy"),
    N_("Triangulum Galaxy"),
    N_("Bode's Galaxy"),
    N_("Cigar Galaxy"),
    N_("Whirlpool Galaxy"),
    N_("Sombrero Galaxy"),
    N_("Black Eye Galaxy"),
    N_("Sculptor Galaxy"),
    N_("Large Magellanic Cloud"),
    N_("Small Magellanic Cloud"),
    N_("Needle Galaxy"),
    N_("Ring Nebula"),
    N_("Dumbbell Nebula"),
    N_("Blue Snowball"),
    N_("Ghost of Jupiter"),
    N_("Saturn Nebula"),
    N_("Cat's Eye Nebula"),
    N_("Eskimo Nebula"),
    N_("Eight-Burst Nebula"),
    N_("Owl Nebula"),
    N_("Helix Nebula"),
    N_("Orion Nebula"),
    N_("Lagoon Nebula"),
    N_("Swan Nebula"),
    N_("Trifid Nebula"),
    N_("Eagle Nebula"),
    N_("Crab Nebula"),
    N_("Veil Nebula"),
    N_("North America Nebula"),
    N_("Rosette Nebula"),
    N_("Carina Nebula"),
    N_("Tarantula Nebula"),
)


def name(target: Target) -> str:
    """Return an object's name alone: the figures that follow it are for the notes."""
    plain = target.title.partition(",")[0]
    if spoken() == ENGLISH:
        return f"The {plain}" if plain == "Moon" or plain.endswith("Nebula") else plain
    return named(plain)


def _within(target: Target) -> str:
    """Return the name inside a sentence."""
    told = name(target)
    return f"the {told[4:]}" if told.startswith("The ") else told


def step(kind: TargetKind, state: State) -> str:
    """Return what a power is worth in a few words."""
    words = {"stars": _STARS, "double": _DOUBLE}.get(kind, _STEP)[state]
    return say(words) if words else ""


def view_title(view: View, marks: Marks) -> str:
    """Return the point of one view: "Jupiter at 75×: more power would show more"."""
    target = view.target
    if view.kit.kind != "telescope":
        return say("{object}, seen with {kit}", object=name(target), kit=_with(view.kit))
    head = say("{object} at {power}", object=name(target), power=text.times(view.beam.power))
    state = _VIEW[marks.state(view.beam.power)]
    said = verdict(view) or (say(state) if state else "")
    return f"{head}: {said}" if said else head


def _with(kit: Kit) -> str:
    return say("the naked eye") if kit.kind == "eye" else captions.instrument(kit)


def verdict(view: View) -> str:
    """Return what the eye makes of a double or a faint glow; empty for anything else."""
    judged, several = pair_words.pair_in(view), pairs(view)
    if several:
        return several
    if judged is not None:
        return {
            "split": say("two stars"),
            "notched": say("notched, not yet two stars"),
            "limit": say("at the limit, not yet two stars"),
            "elongated": say("elongated, not yet two stars"),
            "single": say("still one star"),
        }[judged.grade]
    if is_glow(view.target) and captions.verdicts(view)["above_threshold"] < 1.0:
        return say("not seen")
    return ""


def pairs(view: View) -> str:
    """Return what the eye makes of several pairs, each by its name; empty for fewer."""
    each = pair_words.pairs_in(view)
    split = [pair.name for pair, found in each if found.verdict == "split"]
    rest = [pair.name for pair, found in each if found.verdict != "split"]
    if len(each) < 2:
        return ""
    if not rest:
        return say("both pairs split")
    if not split:
        return say("neither pair split")
    return say("{split} split, {rest} not", split=", ".join(split), rest=", ".join(rest))


def ladder_title(target: Target, kit: Kit, marks: Marks, highest: float) -> str:
    """Return the point of a ladder: where power stops helping."""
    empty, air, enough = marks.empty_above, marks.air_carries, marks.shown_from
    told = {"object": _within(target)}
    # A hard pair is split only where they stand: nothing then ends there.
    least = enough or 0.0
    if empty is not None and highest > empty > least:
        power = text.times(empty)
        return say("Beyond {power} {object} only grows larger and dimmer", power=power, **told)
    if air is not None and highest > air > least:
        power = text.times(air)
        return say("Beyond {power} the air blurs {object}", power=power, **told)
    if enough is not None and highest > enough:
        said = text.least_times if enough == marks.split_from else text.times
        return say("{power} is enough for {object}", power=said(enough), **told)
    return say("{object} at rising power", object=name(target))


def figures(view: View) -> tuple[Figure, ...]:
    """Return the three figures of a single view that an audience understands."""
    numbers = view.numbers
    told = []
    if view.kit.kind != "eye":
        told.append(Figure(value=text.times(view.beam.power), words=say("magnification")))
    field = text.angle(view.beam.true_field_arcmin * 60.0)
    detail, limit = numbers["finest_detail_arcsec"], numbers["limiting_magnitude"]
    if view.target.kind == "stars":
        told.append(Figure(value=field, words=say("of sky in view")))
    else:
        dimmer = 1.0 / max(numbers["relative_brightness"] or 1.0, 1e-9)
        if dimmer >= 1.5:
            words = say("dimmer than to the naked eye")
            told.append(Figure(value=f"{text.figure(dimmer)}×", words=words))
    if view.target.luminance_cd_m2 is not None and not captions.verdicts(view) and detail:
        told.append(Figure(value=text.angle(detail), words=say("finest stripe made out")))
    elif limit is not None and view.target.kind == "stars":
        told.append(Figure(value=_mag(limit), words=say("faintest star")))
    return tuple(told[:3])


def worth(view: View) -> str:
    """Return the one figure that tells a panel of a comparison from its neighbours."""
    judged, several = pair_words.pair_in(view), pairs(view)
    if several:
        return several
    if judged is not None:
        return {
            "split": say("two stars"),
            "notched": say("notched"),
            "limit": say("at the limit"),
            "elongated": say("elongated"),
            "single": say("one star"),
        }[judged.grade]
    if is_glow(view.target):
        above = captions.verdicts(view)["above_threshold"]
        return glow(above)
    detail, limit = view.numbers["finest_detail_arcsec"], view.numbers["limiting_magnitude"]
    if view.target.luminance_cd_m2 is not None:
        told = say("finest stripe {angle}", angle=text.angle(detail)) if detail else ""
        return told or say("no detail")
    return say("stars to {magnitude}", magnitude=_mag(limit)) if limit is not None else ""


# How far above what the eye needs a glow stands, and what that is like. Choices: at the threshold
# it is seen every other time; a few times that, at a glance.
_GLOWS: Final = (
    (5.0, N_("plainly seen")),
    (2.0, N_("seen")),
    (1.0, N_("just seen")),
    (0.0, N_("not seen")),
)


def glow(above: float) -> str:
    """Return how a faint glow is seen; `above` is its contrast over what the eye needs."""
    return say(next(words for least, words in _GLOWS if above >= least))


def _mag(value: float) -> str:
    return say("mag {figure}", figure=decimal(f"{value:.1f}".replace("-", "−")))


def sky_light(sky: Sky) -> str:
    """Return the glow of a sky by the place that usually has it. Common practice, no source."""
    places = (
        (21.3, N_("Far from any town")),
        (20.3, N_("In the country")),
        (19.3, N_("At a village's edge")),
        (18.3, N_("In a suburb")),
        (-math.inf, N_("In a city")),
    )
    return say(next(place for least, place in places if sky.sky_mag_arcsec2 >= least))


def seeing(sky: Sky) -> str:
    """Return how restless the air is. Common practice, no source."""
    if sky.seeing_arcsec == 0.0 or sky.air == "none":
        return say("No air")
    kinds = (
        (1.3, N_("Steady air")),
        (2.3, N_("Ordinary air")),
        (3.3, N_("Restless air")),
        (math.inf, N_("Very restless air")),
    )
    kind = say(next(word for most, word in kinds if sky.seeing_arcsec <= most))
    return f"{kind}, {decimal(f'{sky.seeing_arcsec:.3g}')}″"


def height(sky: Sky) -> str:
    """Return how high an object stands."""
    place = say("High up") if sky.altitude_deg >= 40.0 else say("Low")
    if sky.altitude_deg < 20.0:
        place = say("Just above the roofs")
    return f"{place}, {sky.altitude_deg:.0f}°"


def age(observer: Observer) -> str:
    """Return whose eye looks."""
    return say("At the age of {years}", years=f"{observer.age_years:.0f}")


def conditions(what: str, target: Target, sky: Sky, observer: Observer, value: str) -> str:
    """Return a condition in words.

    Parameters
    ----------
    what
        The option's field: "sky_mag", "seeing", "age" ...
    value
        As it was written, for a condition without words of its own.
    """
    own: dict[str, str] = {
        "sky_mag": sky_light(sky),
        "seeing": seeing(sky),
        "altitude": height(sky),
        "air": say(captions.AIR_NAMES[sky.air]),
        "age": age(observer),
        "target": name(target),
        "pupil": say("Pupil {mm} mm", mm=decimal(value)),
        "acuity": say("Sight {value}", value=decimal(value)),
        "cylinder": _astigmatic(observer),
        "filter": say(captions.FILTER_NAMES[observer.filter]).capitalize(),
        "fault": fault(value) if what == "fault" else "",
        "date": value.replace("T", ", "),
    }
    return own[what] if what in own else _set(what, value)


def _astigmatic(observer: Observer) -> str:
    amount = abs(observer.cylinder_dioptre)
    if not amount:
        return say("A good eye")
    return say("{amount} dioptres of astigmatism", amount=text.figure(amount))


def fault(value: str) -> str:
    """Return a fault as it is typed, "coma=0.6", in words."""
    if value == "none":
        return say("In good order")
    told = [fault_words(parse(part), brief=True) for part in value.split("+")]
    told[0] = told[0][:1].upper() + told[0][1:]
    return ", ".join(told)


# How the units in names of settings are written behind their values.
_SIGNS: Final = ((" deg", "°"), (" arcsec", "″"), (" mm", " mm"), (" km", " km"))


def _set(what: str, value: str) -> str:
    """Return a setting of the target: "phase_deg=120" as "Phase 120°"."""
    written, _, given = value.rpartition("=")
    key = (written or what).replace("_", " ")
    for ending, sign in _SIGNS:
        if key.endswith(ending):
            return f"{_setting(key.removesuffix(ending))} {decimal(given)}{sign}".capitalize()
    return f"{_setting(key)} {decimal(given)}".capitalize()


# Settings of targets by their plain names; those of a person's own picture stay as they are.
_SETTINGS: Final = {
    "phase": N_("phase"),
    "diameter": N_("diameter"),
    "tilt": N_("tilt"),
    "contrast": N_("contrast"),
    "period": N_("period"),
    "distance m": N_("distance in metres"),
}


def _setting(key: str) -> str:
    return say(_SETTINGS[key]) if key in _SETTINGS else key


def assumed(view: View) -> str:
    """Return what a view stands on, for the speaker: air, eye, print, the object's data."""
    notes = captions.notes(view)
    return " ".join((_air(view), _eye(view), say(_PRINT), *captions.pointing([view]), *notes))


_PRINT: Final = N_(
    "What is just visible at the eyepiece is just visible here; differences in brightness are drawn"
    " smaller than they are."
)


def _air(view: View) -> str:
    sky = view.sky
    if view.target.level is not None or view.target.by_day:
        return captions.air_before(view.target, sky)
    if sky.air == "none":
        return say("No air, and no loss of light in it.")
    return say(
        "Seeing {seeing}″ at the zenith ({kind}); the object {height}° high; the sky"
        " {light} mag/arcsec².",
        seeing=text.figure(sky.seeing_arcsec),
        kind=say(captions.AIR_SENTENCES[sky.air]),
        height=f"{sky.altitude_deg:.0f}",
        light=decimal(f"{sky.sky_mag_arcsec2:.1f}"),
    )


def _eye(view: View) -> str:
    who = view.observer
    years = f"{who.age_years:.0f}"
    if captions.pupil_counts(view):
        told = say(
            "An eye of {years} years, its pupil {pupil} mm wide, adapted to the view.",
            years=years,
            pupil=text.figure(view.eye.pupil_mm),
        )
    else:
        told = say("An eye of {years} years, adapted to the view.", years=years)
    return f"{told} {_astigmatic(who)}." if who.cylinder_dioptre else told
