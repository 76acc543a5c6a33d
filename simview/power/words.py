"""What a ladder's band says over its panels: where power helps, for whatever stands in the view."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from simview.power.records import State
from simview.scene.scene import TargetKind

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
    "all that this telescope gives: larger, hardly finer on any night",
    "all it gives: larger, hardly finer",
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
_HIDDEN: Final[Wordings] = (
    "tonight's air still hides the gap: more power splits the pair, or a better night",
    "the air still hides the gap: go higher",
    "hidden by the air",
    "go up",
)
_TIGHT: Final[Wordings] = (
    "more power sets the two further apart",
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
    "enough": ("enough power for this pair", "enough power", "enough"),
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
    "empty": _EMPTY,
    "plain": (
        "no power splits this pair in this telescope tonight",
        "no power splits this pair",
        "not split",
    ),
}
# Of several pairs, with the name of the one that stands in the way for {pair}; and where all do.
_SEVERAL: Final[Mapping[State, Wordings]] = {
    **_DOUBLE,
    "low": ("too little power: a higher one splits {pair}", "more power splits {pair}", "go up"),
    "enough": ("enough power for both pairs", "enough power", "enough"),
    "hidden": (
        "tonight's air still hides the gap of {pair}: more power splits it, or a better night",
        "the air still hides the gap: go higher",
        "hidden by the air",
        "go up",
    ),
    "tight": ("more power sets the stars of {pair} further apart", *_TIGHT[1:]),
    "plain": (
        "no power splits {pair} in this telescope tonight",
        "no power splits {pair}",
        "not split",
    ),
}
_NEITHER: Final[Wordings] = (
    "no power splits either pair in this telescope tonight",
    "no power splits either pair",
    "not split",
)
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


def wordings(kind: TargetKind, state: State, pairs: Sequence[str] = ()) -> Wordings:
    """Return what a band says over panels of one state, from the fullest wording down.

    Parameters
    ----------
    kind, state
        Of the object and its power.
    pairs
        Names of those of several pairs that stand in the way, as in `Marks`; one of them is to be
        put in for ``{pair}``.
    """
    if not pairs:
        return _BY_KIND[kind][state]
    return _NEITHER if state == "plain" and len(pairs) > 1 else _SEVERAL[state]


def ground(kind: TargetKind) -> str:
    """Return what a close-up is cut from: "sky", save where something stands on the ground."""
    return {"daytime": "scene", "chart": "chart"}.get(kind, "sky")
