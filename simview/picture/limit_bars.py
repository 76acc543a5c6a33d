"""The bars of a sheet: what limits detail, or makes a star wide, step by step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from simview.picture.drawing import text
from simview.picture.drawing.sheet import Limit
from simview.picture.drawing.tongue import N_, say
from simview.power.faint import is_glow
from simview.power.parts import star_steps, steps
from simview.view import View

# What the bars of limits tell: one definition stands on one sheet.
_POINT: Final = N_("A star's width, step by step")
_BEST: Final = N_("A star's width, best moments")
_GLOW: Final = N_("Blur of so faint a glow")
_DETAIL: Final = N_("Finest stripe, step by step")
STRIPE: Final = N_("Finest stripe: half a dark-bright pair, at its own contrast.")


def limits_heading(view: View) -> str:
    """Return what the bars of `limits` are."""
    if _has_detail(view):
        return say(_DETAIL)
    # The eye's part goes by the light of surfaces, where a target has any.
    if view.target.luminance_cd_m2 is not None:
        return say(_GLOW)
    return say(_BEST if view.sky.air == "best" else _POINT)


def detail_note(view: View) -> tuple[str, ...]:
    """Return what the finest stripe is; () where a sheet has none: it is no gap between stars."""
    return (say(STRIPE),) if _has_detail(view) else ()


def _has_detail(view: View) -> bool:
    # A glow is told by how it stands out; side by side some powers would have detail, others none.
    surface = view.target.luminance_cd_m2 is not None and not is_glow(view.target)
    return surface and bool(view.numbers["finest_detail_arcsec"])


# What limits detail, by a word, and by itself: on the full sheet and in a narrow table.
_ALONE: Final = {
    "aperture": N_("aperture alone"),
    "air": N_("air alone"),
    "both": N_("air and aperture"),
    "mount": N_("mount alone"),
    "eye": N_("eye alone"),
}
# The same as one comes after the other.
_STEPS: Final = {
    "eye": N_("eye at {power}"),
    "aperture": N_("and aperture"),
    "air": N_("and air"),
    "mount": N_("and mount"),
}
_SHORT_STEPS: Final = {
    "eye": N_("eye"),
    "aperture": N_("+ aperture"),
    "air": N_("+ air"),
    "mount": N_("+ mount"),
    "rest": N_("+ the rest"),
}
# The same of a star's width, which begins with the aperture.
_STAR_STEPS: Final = {
    "aperture": N_("aperture"),
    "air": N_("and air"),
    "prism": N_("and air's prism"),
    "mount": N_("and mount"),
    "eye": N_("and eye"),
}
_SHORT_STAR_STEPS: Final = {
    "aperture": N_("aperture"),
    "air": N_("+ air"),
    "mount": N_("+ mount"),
    "eye": N_("+ eye"),
    "rest": N_("+ the rest"),
}


def alone(part: str) -> str:
    """Return what a part alone leaves: "aperture alone"; "both" is air and aperture."""
    return say(_ALONE[part])


def limits(view: View) -> tuple[Limit, ...]:
    """Return what limits detail in a view, or makes a star as wide as it looks, step by step.

    Each bar is the finest detail on the object, or a star's width, with all parts up to it; so the
    last is that of the view, and it alone rules. The air's prism has none where it would be told as
    long as the one before.
    """
    found = _limits(view)
    told = [
        (part, arcsec)
        for (_, before), (part, arcsec) in zip([("", 0.0), *found], found, strict=False)
        if part != "prism" or text.angle(arcsec) != text.angle(before)
    ]
    return _bars(view, told, _STEPS if _has_detail(view) else _STAR_STEPS)


def short_limits(view: View) -> tuple[Limit, ...]:
    """Return the same for a narrow table, which has room for three: in a word each."""
    words = _SHORT_STEPS if _has_detail(view) else _SHORT_STAR_STEPS
    found = [each for each in _limits(view) if each[0] != "prism"]
    if len(found) > _ROOM:
        found = [*found[: _ROOM - 1], ("rest", found[-1][1])]
    return _bars(view, found, words)


# Bars that a narrow table has room for.
_ROOM: Final = 3


def _limits(view: View) -> list[tuple[str, float]]:
    if _has_detail(view):
        return steps(view.path, view.eye, view.target)
    return star_steps(view.path)


def _bars(
    view: View, found: Sequence[tuple[str, float]], words: Mapping[str, str]
) -> tuple[Limit, ...]:
    power, last = text.times(view.beam.power), len(found) - 1
    return tuple(
        Limit(name=say(words[part], power=power), arcsec=arcsec, rules=place == last)
        for place, (part, arcsec) in enumerate(found)
    )
