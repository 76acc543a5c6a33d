"""The words of a sheet: what is shown, what is assumed, where the object comes from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final

from simview.air.level import sky_before
from simview.air.seeing import seeing_at_arcsec
from simview.errors import ChoiceError
from simview.eyepiece.beam import Beam
from simview.kit import Kit, Observer, Sky
from simview.picture import pair_words
from simview.picture.drawing import text
from simview.picture.drawing.tongue import N_, decimal, say
from simview.picture.prints.printing import Prints
from simview.picture.retelling import retold
from simview.power.faint import is_glow, visibility_in
from simview.power.features import features_of, seen_in
from simview.power.multiple import pairs_of
from simview.scene.aiming import near
from simview.scene.scene import Target
from simview.view import View

# How the air is shown, as part of a sentence.
AIR_SENTENCES: Final = {
    "best": N_("shown as in the best tenth of moments, which an observer waits for"),
    "typical": N_("as in middling moments"),
    "long": N_("the average of many seconds, wander included"),
    "short": N_("the mean of frozen moments, wander taken out"),
    "moment": N_("one typical moment, frozen"),
}

# The same where panels differ by it alone.
AIR_NAMES: Final = {
    "best": N_("Best moments"),
    "typical": N_("Middling moments"),
    "long": N_("Average of the air"),
    "short": N_("Average without wander"),
    "moment": N_("One frozen moment"),
    "none": N_("Without air"),
}

# What is held before the eye, where panels differ by it.
FILTER_NAMES: Final = {
    "none": N_("without a filter"),
    "town-light": N_("against town light"),
    "narrow-band": N_("nebulae's lines"),
    "oxygen": N_("oxygen's lines"),
    "hydrogen": N_("hydrogen's line"),
}

FAINTEST: Final = N_("faintest star")

# An object below this share of the field in every view is shown in a close-up too. Choice.
SMALL_SHARE: Final = 0.25

_TURN = {
    "upright": N_("upright"),
    "turned": N_("turned by 180°"),
    "mirrored": N_("mirrored"),
    "turned-mirrored": N_("turned by 180° and mirrored"),
}


# The same with the sky's directions: scenes have north up and east left (docs/conventions.md).
_NORTH = {
    "upright": N_("{turned}: north up, east left"),
    "turned": N_("{turned}: north down, east right"),
    "mirrored": N_("{turned}: north up, east right"),
    "turned-mirrored": N_("{turned}: north down, east left"),
}

# Kinds of telescope that a name begins with where two numbers gave it: "Refractor 60/700".
_KINDS: Final = (
    N_("Newtonian"),
    N_("Refractor"),
    N_("Apochromatic refractor"),
    N_("Maksutov-Cassegrain"),
    N_("Schmidt-Cassegrain"),
    N_("Classical Cassegrain"),
)


def instrument(kit: Kit) -> str:
    """Return a kit in a few words: its name, or what it is."""
    if kit.name:
        kind, _, size = kit.name.rpartition(" ")
        return f"{say(kind)} {size}" if kind in _KINDS else kit.name
    if kit.telescope is not None:
        scope = kit.telescope
        return f"{scope.aperture_mm:g} mm f/{scope.focal_ratio:.3g}"
    if kit.binocular is not None:
        power, aperture = kit.binocular.power, kit.binocular.aperture_mm
        return say("{power}×{aperture} binocular", power=f"{power:g}", aperture=f"{aperture:g}")
    return say("the naked eye")


def pieces(beam: Beam, kit: Kit) -> str:
    """Return what gives a power: "6 mm + 3x Barlow", or which eyepiece would."""
    if kit.kind != "telescope":
        return say("built in") if kit.kind == "binocular" else say("no instrument")
    if not beam.in_the_box:
        assert kit.telescope is not None
        wanted = kit.telescope.focal_length_mm / beam.power
        return say("needs a {mm} mm eyepiece", mm=text.figure(wanted))
    return " + ".join(name for name in (beam.eyepiece_name, beam.amplifier_name) if name)


def air(
    sky: Sky, *, by_day: bool = False, on_the_ground: bool = False, outshone: bool = False
) -> str:
    """Return a sentence about the air; by day and beside the Moon no dark sky is to speak of."""
    if sky.air == "none":
        return say("No air, and no loss of light in it.")
    told = {"seeing": text.figure(sky.seeing_arcsec), "kind": say(AIR_SENTENCES[sky.air])}
    if on_the_ground:
        return say("Air along the ground: seeing {seeing}″ ({kind}).", **told)
    if by_day:
        return say("Air: seeing {seeing}″ at the zenith ({kind}).", **told)
    told |= {"height": f"{sky.altitude_deg:.0f}", "there": text.figure(seeing_at_arcsec(sky))}
    if outshone:
        words = N_(
            "Air: seeing {seeing}″ at the zenith, {there}″ at the object, {height}° high ({kind})."
        )
        return say(words, **told)
    return say(
        "Air: seeing {seeing}″ at the zenith, {there}″ at the object, {height}° high ({kind}); sky"
        " {light} mag/arcsec².",
        light=decimal(f"{sky.sky_mag_arcsec2:.1f}"),
        **told,
    )


def air_before(target: Target, sky: Sky) -> str:
    """Return the sentence about the air that acts on an object: its own on the ground."""
    own = sky_before(target, sky)
    if target.level is None or own.air == "none":
        return air(own, by_day=target.by_day, outshone=target.kind == "moon")
    return f"{air(own, on_the_ground=True)} {retold(target.level.says)}"


def eye(view: View) -> str:
    """Return a sentence about the observer's eye."""
    told = {"years": f"{view.observer.age_years:.0f}", "faults": own_faults(view.observer)}
    if not pupil_counts(view):
        return say("Eye: {years} years{faults}, adapted to the view.", **told)
    return say(
        "Eye: {years} years{faults}, pupil {pupil} mm, adapted to the view.",
        pupil=text.figure(view.eye.pupil_mm),
        **told,
    )


def pupil_counts(view: View) -> bool:
    """Return whether the eye's own pupil is worth a word: it cuts the beam, or was asked for.

    Behind a thinner beam it changes nothing; and its formula (Watson & Yellott 2012) was made for
    even fields, not for a planet in the dark.
    """
    return view.observer.pupil_mm is not None or view.beam.exit_pupil_mm > view.eye.pupil_mm


def own_faults(observer: Observer) -> str:
    """Return what ails an eye, to follow its age: empty for a good one."""
    parts = []
    if observer.cylinder_dioptre:
        amount = text.figure(abs(observer.cylinder_dioptre))
        parts.append(say(", astigmatic by {amount} dioptres", amount=amount))
    if observer.short_sight_dioptre:
        amount = text.figure(abs(observer.short_sight_dioptre))
        parts.append(say(", {amount} dioptres out of focus", amount=amount))
    if observer.filter != "none":
        kind = say(FILTER_NAMES[observer.filter])
        parts.append(say(", behind a filter ({kind})", kind=kind))
    return "".join(parts)


def turn(beam: Beam) -> str:
    """Return how the view stands against the naked eye's."""
    return say(_TURN[beam.orientation])


def stands(view: View) -> str:
    """Return the same, of a double with the way in which position angles run."""
    turned = turn(view.beam)
    if view.target.kind != "double":
        return turned
    return say(_NORTH[view.beam.orientation], turned=turned)


def caption(view: View, prints: Prints, *extra: str, several: bool = True) -> str:
    """Return the caption: air, eye, print, where the object comes from."""
    told = prints.says(several=several)
    parts = [air_before(view.target, view.sky), eye(view), told, *extra, *notes(view)]
    return " ".join(part for part in parts if part)


def notes(view: View) -> list[str]:
    """Return where the object comes from, and whether a view of the Moon outdoes what is known."""
    said = view.target.notes
    if view.target.kind == "moon":
        from simview.scene.moon import note_before  # loaded, since it is being looked at

        said = tuple(note_before(note, view.numbers["finest_detail_arcsec"]) for note in said)
    return [retold(note) for note in said]


def pointing(views: Sequence[View]) -> tuple[str, ...]:
    """Return a sentence on where a field points that holds part of the Moon; else nothing.

    Of several views that of the highest power is told.
    """
    moved = [view for view in views if any(view.target.aimed_arcsec)]
    if not moved:
        return ()
    view = max(moved, key=lambda each: each.beam.power)
    place = near(view.target)
    told = {
        "power": text.times(view.beam.power),
        "angle": text.angle(math.hypot(*view.target.aimed_arcsec)),
        "place": "" if place is None else say(", near {place}", place=place),
    }
    return (
        say(
            "At {power} the field holds part of the Moon: it points {angle} from the disc's"
            " middle, towards the terminator{place}.",
            **told,
        ),
    )


def patch_arcsec(target: Target, views: Sequence[View], *, whole: bool = False) -> float:
    """Return the true angle across a close-up: the object with some room around it.

    Never more than every view's field holds, so that all close-ups can be cut from their views.

    Parameters
    ----------
    whole
        Show an object whole even if it is one of those that are shown in part.
    """
    room = {"double": 3.2, "chart": 1.0}
    if not whole:
        room |= {"stars": 0.35, "photo": 0.5, "daytime": 0.4}
    widest = min(view.beam.true_field_arcmin for view in views) * 60.0 * math.sqrt(0.5)
    return min(pair_words.own_size_arcsec(target) * room.get(target.kind, 1.3), widest)


def is_small(target: Target, views: Sequence[View]) -> bool:
    """Return whether an object is so small in all these views that it needs close-ups."""
    size = pair_words.own_size_arcsec(target)
    shares = (size / 60.0 / view.beam.true_field_arcmin for view in views)
    return max(shares) < SMALL_SHARE


# Said wherever a view's brightness is given.
BRIGHTNESS: Final = N_("Surface brightness: against the naked eye's view.")


def require_telescope(kit: Kit) -> None:
    """Refuse a kit of one power where rising powers are asked for.

    Raises
    ------
    ChoiceError
        For a binocular and the naked eye.
    """
    if kit.kind != "telescope":
        raise ChoiceError("kit", got=instrument(kit), allowed="a telescope", remedy="use compare")


def verdicts(view: View) -> dict[str, Any]:
    """Return what an eye makes of the object as a whole, for JSON; {} where detail says it all.

    For a double "splits": the verdict and what stands in the way; for a faint glow
    "above_threshold": its best part's contrast over what the eye needs; for Jupiter, Saturn and the
    Moon "features": thin lines and spots that are there, whether each is seen.
    """
    if pairs_of(view.target):
        return {"splits": pair_words.figures(view)}
    if is_glow(view.target):
        return {"above_threshold": _above(view)}
    there = [each for each in features_of(view.target) if each.there]
    seen = [seen_in(view.path, view.eye, view.target, each) for each in there]
    return {"features": [each.figures() for each in seen if each]} if any(seen) else {}


def verdict_row(view: View) -> tuple[tuple[str, str], ...]:
    """Return the same as a row of figures; () where there is none."""
    pairs = pair_words.rows(view)
    if pairs:
        return pairs
    if is_glow(view.target):
        above = _above(view)
        shown = f"{text.figure(above)}×" if above >= 1.0 else say("not seen")
        return ((say("glow over limit"), shown),)
    return ()


def _above(view: View) -> float:
    return visibility_in(view.path, view.eye, view.target, view.observer)[0]


def field_rows(view: View) -> tuple[tuple[str, str], ...]:
    """Return what counts for a field of stars as rows; () for anything else."""
    if view.target.kind != "stars":
        return ()
    field = (say("true field"), text.angle(view.beam.true_field_arcmin * 60.0))
    limit = view.numbers["limiting_magnitude"]
    return (field, (say(FAINTEST), say("none") if limit is None else _mag(limit)))


def _mag(value: float) -> str:
    return say("mag {figure}", figure=decimal(f"{value:.1f}".replace("-", "−")))


def rows(view: View) -> tuple[tuple[str, str], ...]:
    """Return all figures of a view as a reader wants them: name and value."""
    short = short_rows(view)
    field = (say("apparent field"), f"{view.beam.apparent_field_deg:.0f}°")
    drift, limit = view.numbers["drift_seconds"], view.numbers["limiting_magnitude"]
    table = [short[0], field, *short[1:]]
    # Beside the Moon no star near the limit of a dark sky is seen.
    outshone = view.target.kind == "moon"
    if limit is not None and not outshone and short[-1][0] != say(FAINTEST):
        table.append((say(FAINTEST), _mag(limit)))
    if drift is not None:
        table.append((say("crosses the field in"), _duration(drift)))
    return tuple(table)


def short_rows(view: View, *, narrow: bool = False) -> tuple[tuple[str, str], ...]:
    """Return the four figures that matter most when views stand side by side."""
    beam, numbers = view.beam, view.numbers
    detail, limit = numbers["finest_detail_arcsec"], numbers["limiting_magnitude"]
    table = [
        (say("true field"), text.angle(beam.true_field_arcmin * 60.0)),
        (say("exit pupil"), f"{text.figure(beam.exit_pupil_mm)} mm"),
    ]
    # How dark the sky stands around two bright stars tells nothing of them.
    if view.target.kind != "double":
        table.append(dimmed(view, narrow=narrow))
    verdict = verdict_row(view)
    if verdict:
        table.extend(verdict)
    elif view.target.luminance_cd_m2 is not None:
        finest = say("none") if detail is None else text.angle(detail)
        table.append((say("finest stripe"), finest))
    elif limit is not None:
        table.append((say(FAINTEST), _mag(limit)))
    return tuple(table)


def dimmed(view: View, *, narrow: bool = False) -> tuple[str, str]:
    """Return how a surface's light compares with the naked eye's view of it.

    Parameters
    ----------
    view
        Among stars, which a telescope makes brighter, the only surface is the sky.
    narrow
        True for a narrow table: the caption says against what.
    """
    share = view.numbers["relative_brightness"] or 0.0
    if view.target.luminance_cd_m2 is None and 0.0 < share < 0.95:
        return _less(share, say("sky dimmer") if narrow else say("sky brightness"), narrow=narrow)
    if not 0.0 < share < 0.95:
        return (say("brightness"), say("as to the eye") if share else say("none"))
    return _less(share, say("dimmer") if narrow else say("surface brightness"), narrow=narrow)


def _less(share: float, name: str, *, narrow: bool) -> tuple[str, str]:
    times = text.about(1.0 / share)
    return (name, f"{times}×" if narrow else say("{times}× less", times=times))


def rows_side_by_side(view: View) -> tuple[tuple[str, str], ...]:
    """Return the same for kits next to each other: of a thing on the ground, how it stands.

    There that takes the exit pupil's place: letters want to be read.
    """
    table = short_rows(view, narrow=True)
    if view.target.level is None:
        return table
    stands = (say("view"), turn(view.beam))
    pupil = say("exit pupil")
    return tuple(stands if name == pupil else (name, value) for name, value in table)


def _duration(seconds: float) -> str:
    """Return a time as long as anyone counts it: 95 s, 2.5 min, 18 min, 1.9 h."""
    if seconds < 120.0:
        return f"{seconds:.0f} s"
    return (
        f"{text.figure(seconds / 60.0)} min"
        if seconds < 7200.0
        else f"{text.figure(seconds / 3600.0)} h"
    )
