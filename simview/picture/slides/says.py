"""The words of slides: titles that say the point, and conditions by their names."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from simview.kit import Kit, Observer, Sky
from simview.picture import captions
from simview.picture.drawing import text
from simview.picture.slides.records import Figure
from simview.power.faint import is_glow
from simview.power.records import Marks, State
from simview.scene.scene import Target, TargetKind
from simview.view import View

# What a single view's title says of its power, after the object's name and a colon.
_VIEW: Final[Mapping[State, str]] = {
    "low": "more power would show more",
    "enough": "all that this telescope shows tonight",
    "air": "more power than tonight's air carries",
    "light": "too dim: less power would show more",
    "empty": "empty magnification, larger but no clearer",
    "plain": "",
}

# Below a panel of a ladder.
_STEP: Final[Mapping[State, str]] = {
    "low": "more power shows more",
    "enough": "enough power",
    "air": "more than the air carries",
    "light": "too dim",
    "empty": "empty magnification",
    "plain": "",
}
_STARS: Final[Mapping[State, str]] = {**_STEP, "low": "fainter stars with more"}
_DOUBLE: Final[Mapping[State, str]] = {**_STEP, "low": "wider with more power", "enough": "split"}


def name(target: Target) -> str:
    """Return an object's name alone: the figures that follow it are for the notes."""
    plain = target.title.partition(",")[0]
    return f"The {plain}" if plain == "Moon" or plain.endswith("Nebula") else plain


def _within(target: Target) -> str:
    """Return the name inside a sentence."""
    told = name(target)
    return f"the {told[4:]}" if told.startswith("The ") else told


def step(kind: TargetKind, state: State) -> str:
    """Return what a power is worth in a few words."""
    return {"stars": _STARS, "double": _DOUBLE}.get(kind, _STEP)[state]


def view_title(view: View, marks: Marks) -> str:
    """Return the point of one view: "Jupiter at 75×: more power would show more"."""
    target = view.target
    if view.kit.kind != "telescope":
        return f"{name(target)}, seen with {_with(view.kit)}"
    head = f"{name(target)} at {text.times(view.beam.power)}"
    said = _verdict(view) or _VIEW[marks.state(view.beam.power)]
    return f"{head}: {said}" if said else head


def _with(kit: Kit) -> str:
    return "the naked eye" if kit.kind == "eye" else captions.instrument(kit)


def _verdict(view: View) -> str:
    """Return what the eye makes of a double or a faint glow; empty for anything else."""
    judged = captions.pair_in(view)
    if judged is not None:
        return {
            "split": "two stars",
            "elongated": "drawn out, not yet two stars",
            "single": "still one star",
        }[judged.verdict]
    if is_glow(view.target) and captions.verdicts(view)["above_threshold"] < 1.0:
        return "not seen"
    return ""


def ladder_title(target: Target, kit: Kit, marks: Marks, highest: float) -> str:
    """Return the point of a ladder: where power stops helping."""
    empty, enough = marks.empty_above, marks.enough_from
    if empty is not None and highest > empty:
        return f"Beyond {text.times(empty)} {_within(target)} only grows larger and dimmer"
    if marks.air_carries is not None and highest > marks.air_carries:
        return f"Beyond {text.times(marks.air_carries)} the air blurs {_within(target)}"
    if enough is not None and highest > enough:
        return f"{text.times(enough)} is enough for {_within(target)}"
    return f"{name(target)} at rising power"


def figures(view: View) -> tuple[Figure, ...]:
    """Return the three figures of a single view that an audience understands."""
    numbers = view.numbers
    told = []
    if view.kit.kind != "eye":
        told.append(Figure(value=text.times(view.beam.power), words="magnification"))
    field = text.angle(view.beam.true_field_arcmin * 60.0)
    detail, limit = numbers["finest_detail_arcsec"], numbers["limiting_magnitude"]
    if view.target.kind == "stars":
        told.append(Figure(value=field, words="of sky in view"))
    else:
        dimmer = 1.0 / max(numbers["relative_brightness"] or 1.0, 1e-9)
        if dimmer >= 1.5:
            words = "dimmer than to the naked eye"
            told.append(Figure(value=f"{text.figure(dimmer)}×", words=words))
    if view.target.luminance_cd_m2 is not None and not captions.verdicts(view) and detail:
        told.append(Figure(value=text.angle(detail), words="finest detail made out"))
    elif limit is not None and view.target.kind == "stars":
        told.append(Figure(value=f"mag {limit:.1f}", words="faintest star"))
    return tuple(told[:3])


def worth(view: View) -> str:
    """Return the one figure that tells a panel of a comparison from its neighbours."""
    judged = captions.pair_in(view)
    if judged is not None:
        return {"split": "two stars", "elongated": "drawn out", "single": "one star"}[
            judged.verdict
        ]
    if is_glow(view.target):
        above = captions.verdicts(view)["above_threshold"]
        return f"{text.figure(above)}× what the eye needs" if above >= 1.0 else "not seen"
    detail, limit = view.numbers["finest_detail_arcsec"], view.numbers["limiting_magnitude"]
    if view.target.luminance_cd_m2 is not None:
        return f"finest detail {text.angle(detail)}" if detail else "no detail"
    return f"stars to mag {limit:.1f}" if limit is not None else ""


def sky_light(sky: Sky) -> str:
    """Return the glow of a sky by the place that usually has it. Common practice, no source."""
    places = (
        (21.3, "Far from any town"),
        (20.3, "In the country"),
        (19.3, "At a village's edge"),
        (18.3, "In a suburb"),
    )
    return next((place for least, place in places if sky.sky_mag_arcsec2 >= least), "In a city")


def seeing(sky: Sky) -> str:
    """Return how restless the air is. Common practice, no source."""
    if sky.seeing_arcsec == 0.0 or sky.air == "none":
        return "No air"
    kinds = ((1.3, "Steady air"), (2.3, "Ordinary air"), (3.3, "Restless air"))
    kind = next((word for most, word in kinds if sky.seeing_arcsec <= most), "Very restless air")
    return f"{kind}, {sky.seeing_arcsec:.3g}″"


def height(sky: Sky) -> str:
    """Return how high an object stands."""
    place = "High up" if sky.altitude_deg >= 40.0 else "Low"
    if sky.altitude_deg < 20.0:
        place = "Just above the roofs"
    return f"{place}, {sky.altitude_deg:.0f}°"


def age(observer: Observer) -> str:
    """Return whose eye looks."""
    return f"At the age of {observer.age_years:.0f}"


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
        "air": captions.AIR_NAMES[sky.air],
        "age": age(observer),
        "target": name(target),
        "pupil": f"Pupil {value} mm",
        "acuity": f"Sight {value}",
        "cylinder": _astigmatic(observer),
        "fault": "In good order" if value == "none" else f"With {value.replace('=', ' ')} waves",
        "date": value.replace("T", ", "),
    }
    return own[what] if what in own else _set(what, value)


def _astigmatic(observer: Observer) -> str:
    amount = abs(observer.cylinder_dioptre)
    return f"{text.figure(amount)} dioptres of astigmatism" if amount else "A good eye"


# How the units in names of settings are written behind their values.
_SIGNS: Final = ((" deg", "°"), (" arcsec", "″"), (" mm", " mm"), (" km", " km"))


def _set(what: str, value: str) -> str:
    """Return a setting of the target: "phase_deg=120" as "Phase 120°"."""
    written, _, given = value.rpartition("=")
    key = (written or what).replace("_", " ")
    for ending, sign in _SIGNS:
        if key.endswith(ending):
            return f"{key.removesuffix(ending)} {given}{sign}".capitalize()
    return f"{key} {given}".capitalize()
