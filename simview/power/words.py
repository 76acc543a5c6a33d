"""What a ladder's band says over its panels: where power helps, for whatever stands in the view."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from simview.power.records import NEAR, ORDER, Marks, Outcome, State
from simview.power.rules import lowest_useful_power
from simview.scene.scene import TargetKind

if TYPE_CHECKING:
    from simview.kit import Telescope

# Wordings for one state, from the fullest to the shortest: a sheet takes the first that fits.
Wordings = tuple[str, ...]

_LOW: Final[Wordings] = ("more power shows finer detail", "finer with more", "go higher", "go up")
_TOO_LOW: Final[Wordings] = (
    "too little power: a higher one shows more",
    "too little power",
    "too little",
)
_ENOUGH: Final[Wordings] = (
    "enough power: all that this telescope shows tonight",
    "enough power",
    "enough",
)
_AIR: Final[Wordings] = (
    "more than tonight's air carries: larger, not finer; a better night shows more",
    "past tonight's air: a better night shows more",
    "past tonight's air",
    "past the air",
    "air",
)
_FULL: Final[Wordings] = (
    "about all that this telescope gives on any night: more power mainly enlarges",
    "about all it gives: more power mainly enlarges",
    "larger, hardly finer",
    "larger",
)
_DIM: Final[Wordings] = (
    "too dim: less power shows more",
    "too dim: go lower",
    "too dim",
)
_EMPTY: Final[Wordings] = (
    "empty magnification: larger and dimmer, nothing new on any night",
    "empty magnification: nothing new",
    "empty magnification",
    "empty",
)
# A pair at the limit may show its notch only up there.
_EMPTY_ON_PAIRS: Final[Wordings] = (
    "empty magnification: larger and dimmer, hardly clearer on any night",
    *_EMPTY[2:],
)
_HIDDEN: Final[Wordings] = (
    "tonight's air still hides the gap: more power splits the pair, or a better night",
    "the air still hides the gap: go higher",
    "hidden by the air",
    "go up",
)
_TIGHT: Final[Wordings] = (
    "easier to see as two from {power}: a {focal} mm eyepiece gives {its}",
    "easier to see as two from {power}",
    "wider with more power",
    "wider with more",
    "go up",
)
_PLAIN: Final[Wordings] = (
    "nothing is made out at any power: with more it grows larger and dimmer",
    "larger and dimmer with power",
    "larger, dimmer",
    "dimmer",
)

# Surfaces whose whole is worth a look at a low power: there no power is too little.
_SURFACE: Final[Mapping[State, Wordings]] = {
    "low": _LOW,
    "enough": _ENOUGH,
    "air": _AIR,
    "hidden": _HIDDEN,
    "tight": _TIGHT,
    "full": _FULL,
    "light": _DIM,
    "empty": _EMPTY,
    "plain": _PLAIN,
}
_SMALL: Final[Mapping[State, Wordings]] = {**_SURFACE, "low": _TOO_LOW}
_GLOW: Final[Mapping[State, Wordings]] = {
    "low": (
        "more power makes it stand out better from the sky",
        "stands out better with more",
        "go higher",
        "go up",
    ),
    "enough": (
        "it stands out about as well as this telescope can show it: more power mainly enlarges it",
        "stands out about as well as it can",
        "stands out",
        "best",
    ),
    "air": (
        "past tonight's air: its stars only swell; a better night would carry more",
        "past tonight's air: its stars swell",
        "past tonight's air",
        "past the air",
        "air",
    ),
    "hidden": _HIDDEN,
    "tight": _TIGHT,
    "full": _FULL,
    "light": (
        "the glow fades: less power makes it stand out better",
        "the glow fades: go lower",
        "it fades",
    ),
    "empty": (
        "empty magnification: the glow fades, its stars swell, on any night",
        "empty: the glow fades",
        "it fades",
        "empty",
    ),
    "plain": (
        "this telescope does not show it here, at any power",
        "not seen at any power",
        "not seen",
    ),
}
_STARS: Final[Mapping[State, Wordings]] = {
    "low": (
        "more power shows fainter stars, in less and less sky",
        "more power: fainter stars, less sky",
        "go up",
    ),
    "enough": (
        "enough power: more adds few stars and narrows the field",
        "enough: more narrows the field",
        "enough",
    ),
    "air": (
        "past tonight's air: stars swell, none are added; a better night keeps them fine",
        "past tonight's air: stars swell",
        "past tonight's air",
        "past the air",
        "air",
    ),
    "hidden": _HIDDEN,
    "tight": _TIGHT,
    "full": _FULL,
    "light": _DIM,
    "empty": (
        "empty magnification: stars swell, none are added, the field shrinks",
        "empty: stars swell, none are added",
        "stars swell",
        "empty",
    ),
    "plain": (
        "no power is right or wrong here: the field narrows, the sky darkens",
        "the field narrows, the sky darkens",
        "darker",
    ),
}
# Whether a pair is split a line of its own says, in the words of `picture.pair_words`: here it is
# the power that is judged, or one sheet would give two verdicts.
_DOUBLE: Final[Mapping[State, Wordings]] = {
    "low": ("too little power: a higher one splits the pair", "a higher power splits it", "go up"),
    "enough": (
        "enough power for this pair: reads as two from {power}",
        "enough power for this pair",
        "enough power",
        "enough",
    ),
    "air": (
        "past what tonight's air carries: the stars only swell",
        "past tonight's air: stars swell",
        "past tonight's air",
        "past the air",
        "air",
    ),
    "hidden": _HIDDEN,
    "tight": _TIGHT,
    "full": _FULL,
    "light": _DIM,
    "empty": _EMPTY_ON_PAIRS,
    "plain": (
        "no power splits this pair in this telescope tonight",
        "no power splits this pair",
        "not split",
    ),
}
# Of a pair whose second star is far fainter; and of one so wide that its mark lies below all powers
# that fill the eye's pupil, which nobody looks with.
_FAR_FAINTER: Final[Mapping[State, Wordings]] = {
    "tight": (
        "clearer of the bright star's glare from {power}: a {focal} mm eyepiece gives {its}",
        "clearer of the glare from {power}",
        *_TIGHT[2:],
    ),
    "enough": (
        "enough power for this pair: its second star is far fainter",
        *_DOUBLE["enough"][1:],
    ),
}
_WIDE: Final[Mapping[State, Wordings]] = {
    "enough": (
        "wide at any power of this telescope",
        *_DOUBLE["enough"][1:],
    ),
}
# Of a pair, or of several, whose gap is no more than glimpsed even there: nobody is to be told that
# it reads as two where its own line says that it is just split.
_GLIMPSED: Final[Mapping[State, Wordings]] = {"enough": _DOUBLE["enough"][1:]}
# Of several pairs, with the name of the one that stands in the way for {pair}; and where all do.
_SEVERAL: Final[Mapping[State, Wordings]] = {
    **_DOUBLE,
    "low": ("too little power: a higher one splits {pair}", "more power splits {pair}", "go up"),
    "enough": (
        "enough power for both pairs: read as two from {power}",
        "enough power for both pairs",
        "enough power",
        "enough",
    ),
    "hidden": (
        "tonight's air still hides the gap of {pair}: more power splits it, or a better night",
        "the air still hides the gap: go higher",
        "hidden by the air",
        "go up",
    ),
    "tight": (
        "all easier to see as two from {power}: a {focal} mm eyepiece gives {its}",
        "both pairs easier to see as two from {power}",
        *_TIGHT[2:],
    ),
    "plain": (
        "no power splits {pair} in this telescope tonight",
        "no power splits {pair}",
        "not split",
    ),
}
_SEVERAL_GLIMPSED: Final[Mapping[State, Wordings]] = {
    **_SEVERAL,
    "enough": _SEVERAL["enough"][1:],
}
# Focal lengths that eyepieces come in, mm: common practice, no source.
_MADE_MM: Final = (
    2, 2.5, 3, 3.5, 4, 5, 6, 7, 8, 9, 10, 12, 13, 15, 17, 18, 20, 25, 30, 32, 40,
)  # fmt: skip
# The same of a pair that no power splits, by what becomes of it; its place for {pair}, the
# telescope's aperture for {mm}.
_UNSPLIT: Final[Mapping[Outcome, Wordings]] = {
    "hidden": (
        "no power splits this pair tonight: the air hides it; a steadier night splits it",
        "a steadier night splits it",
        "not split",
    ),
    "notched": (
        "at the limit of {mm} mm: a notch in good moments, no more",
        "a notch in good moments",
        "at the limit",
    ),
    "limit": (
        "at the limit of {mm} mm: drawn out tonight, a notch on the steadiest nights",
        "a notch on the steadiest nights",
        "at the limit",
    ),
    "pinched": (
        "drawn out in {mm} mm: a notch in its outline on the steadiest nights, no gap",
        "drawn out, at best a notched outline",
        "not split",
    ),
    "elongated": (
        "at best drawn out in {mm} mm, not split on any night",
        "at best drawn out in {mm} mm",
        "not split",
    ),
    "lost": _DOUBLE["plain"],
}
_UNSPLIT_OF: Final[Mapping[Outcome, Wordings]] = {
    "hidden": (
        "no power splits {pair} tonight: the air hides it; a steadier night splits it",
        "a steadier night splits {pair}",
        "not split",
    ),
    "notched": (
        "{pair} is at the limit of {mm} mm: a notch in good moments, no more",
        "{pair}: a notch in good moments",
        "at the limit",
    ),
    "limit": (
        "{pair} is at the limit of {mm} mm: drawn out tonight, a notch on the steadiest nights",
        "{pair}: a notch on the steadiest nights",
        "at the limit",
    ),
    "pinched": (
        "{pair} is drawn out in {mm} mm: a notch in its outline on the steadiest nights, no gap",
        "{pair}: drawn out, at best a notched outline",
        "not split",
    ),
    "elongated": (
        "{pair} is at best drawn out in {mm} mm, not split on any night",
        "{pair} is at best drawn out in {mm} mm",
        "not split",
    ),
    "lost": _SEVERAL["plain"],
}
# The same through what has one power only: a binocular, the naked eye.
_AT_ONE_POWER: Final[Mapping[State, Wordings]] = {
    **_DOUBLE,
    "tight": _TIGHT[1:2],
    "plain": ("this power does not split this pair", "not split"),
}
_AT_ONE_POWER_OF: Final[Mapping[State, Wordings]] = {
    **_SEVERAL,
    "tight": _TIGHT[1:2],
    "plain": ("this power does not split {pair}", "not split"),
}
_BY_KIND: Final[Mapping[TargetKind, Mapping[State, Wordings]]] = {
    "planet": _SMALL,
    "chart": _SMALL,
    "moon": _SURFACE,
    "photo": _SURFACE,
    "daytime": _SURFACE,
    "deep-sky": _GLOW,
    "stars": _STARS,
    "double": _DOUBLE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One part of what a band says: its words from the fullest down, and what is put into them."""

    wordings: Wordings
    told: Mapping[str, str]


def said(
    kind: TargetKind, state: State, found: Marks, scope: Telescope | None = None
) -> tuple[Said, ...]:
    """Return what a band says over panels of one state: of several pairs that are not split each.

    Parameters
    ----------
    kind, state
        Of the object and its power.
    found
        Its marks, which tell what becomes of a double at its best.
    scope
        The telescope; None for none: a binocular and the naked eye have one power, and no eyepiece
        to change.
    """
    told = {"pair": ", ".join(found.hard), "mm": "", "power": "", "focal": "", "its": ""}
    if found.enough_from:
        # Rounded up, so that it is one at which it is so.
        told["power"] = f"{math.ceil(found.enough_from - 1e-6)}×"
    if scope is not None:
        told["mm"] = f"{scope.aperture_mm:g}"
    if scope is not None and found.enough_from:
        focal_mm = _made(scope.focal_length_mm / found.enough_from)
        told |= {"focal": f"{focal_mm:g}", "its": f"{scope.focal_length_mm / focal_mm:.0f}×"}
    if scope is None and kind == "double":
        at_one = _AT_ONE_POWER_OF if found.hard else _AT_ONE_POWER
        return (Said(wordings=at_one[state], told=told),)
    lost = {outcome for outcome in found.outcomes if outcome != "split"}
    if state == "plain" and kind == "double" and lost:
        each = zip(found.hard or ("",), found.outcomes, strict=True)
        return tuple(
            Said(wordings=(_UNSPLIT_OF if pair else _UNSPLIT)[outcome], told={**told, "pair": pair})
            for pair, outcome in sorted(each, key=lambda one: ORDER.index(one[1]))
            if outcome in lost
        )
    if found.hard:
        words = _SEVERAL if found.plainly else _SEVERAL_GLIMPSED
    else:
        words = {**_BY_KIND[kind], **_of_one_pair(found, scope)}
    wanted = words[state]
    if state == "tight" and scope is not None and not _carried(found, scope):
        wanted = wanted[1:]
    return (Said(wordings=wanted, told=told),)


def _carried(found: Marks, scope: Telescope) -> bool:
    """Return whether tonight's air carries the eyepiece that would be named for a tight pair."""
    if found.enough_from is None or found.air_carries is None:
        return True
    power = scope.focal_length_mm / _made(scope.focal_length_mm / found.enough_from)
    return power <= found.air_carries + NEAR


def _of_one_pair(found: Marks, scope: Telescope | None) -> Mapping[State, Wordings]:
    """Return words for a pair that the usual ones do not fit."""
    if found.faint:
        return _FAR_FAINTER
    if not found.plainly:
        return _GLIMPSED
    low = 0.0 if scope is None else lowest_useful_power(scope.aperture_mm)
    return _WIDE if found.pair and (found.enough_from or low) < low else {}


def joined(parts: Sequence[Said], say: Callable[..., str]) -> Wordings:
    """Return wordings of several parts, one behind the other, from the fullest down.

    Parameters
    ----------
    parts
        As `said` returns them.
    say
        What turns words and what stands in them into a text: ``say(words, pair=..., mm=...)``.
    """
    most = max(len(part.wordings) for part in parts)
    return tuple(
        "; ".join(
            dict.fromkeys(
                say(part.wordings[min(i, len(part.wordings) - 1)], **part.told) for part in parts
            )
        )
        for i in range(most)
    )


def wordings(kind: TargetKind, state: State) -> Wordings:
    """Return what a band says over panels of one state where no marks are known."""
    return _BY_KIND[kind][state]


def ground(kind: TargetKind) -> str:
    """Return what a close-up is cut from: "sky", save where something stands on the ground."""
    return {"daytime": "scene", "chart": "chart"}.get(kind, "sky")


def _made(focal_mm: float) -> float:
    """Return the longest focal length up to one that eyepieces come in; below them all that one."""
    return max((made for made in _MADE_MM if made <= focal_mm), default=round(focal_mm, 1))
