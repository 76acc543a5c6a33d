"""The bars of a sheet: what limits detail step by step, or how wide each part blurs a point."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from simview.picture.around_views import prism_arcsec
from simview.picture.drawing import text
from simview.picture.drawing.sheet import Limit
from simview.picture.drawing.tongue import N_, say
from simview.power.faint import is_glow
from simview.power.parts import steps
from simview.power.records import Limit as Limiting
from simview.view import View

# What the bars of limits tell: one definition stands on one sheet.
_POINT: Final = N_("What blurs a point")
_BEST: Final = N_("Blur in the best moments")
_GLOW: Final = N_("What blurs so faint a glow")
_DETAIL: Final = N_("Finest detail, step by step")
STRIPE: Final = N_("Finest detail: one stripe, half a dark-bright pair, at its own contrast.")


def limits_heading(view: View) -> str:
    """Return what the bars of `limits` are."""
    if _has_detail(view):
        return say(_DETAIL)
    # The eye's part goes by the light of surfaces, where a target has any.
    if view.target.luminance_cd_m2 is not None:
        return say(_GLOW)
    return say(_BEST if view.sky.air == "best" else _POINT)


def detail_note(view: View) -> tuple[str, ...]:
    """Return what finest detail is; () where a sheet has none: no gap between stars is meant."""
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
    "air and mount": N_("+ the rest"),
}
_ONE_WORD: Final = {
    "aperture": N_("aperture"),
    "air": N_("air"),
    "added": N_("air adds"),
    "prism": N_("air's prism"),
    "eye": N_("eye"),
}


def alone(part: str) -> str:
    """Return what a part alone leaves: "aperture alone"; "both" is air and aperture."""
    return say(_ALONE[part])


def limits(view: View, limited_by: Limiting | None = None) -> tuple[Limit, ...]:
    """Return what limits detail in a view: aperture, air, eye.

    Where the finest detail on the object is told, each bar is the finest detail with all parts up
    to it, so that the last is that of the view. Elsewhere each is the width of a point by itself.

    Parameters
    ----------
    limited_by
        What was judged to stand in the way at its power: of aperture, air and power (the eye's) the
        bar rules, so that a sheet says what its figures say; else the last, which is the whole.
    """
    words = _STEPS if _has_detail(view) else _ONE_WORD
    return _bars(view, _with_prism(view, _limits(view)), words, limited_by)


def _bars(
    view: View,
    found: list[tuple[str, float]],
    words: Mapping[str, str],
    limited_by: Limiting | None,
) -> tuple[Limit, ...]:
    power, ruling = text.times(view.beam.power), _ruling(view, limited_by)
    return tuple(
        Limit(
            name=say(words[part], power=power),
            arcsec=arcsec,
            rules=ruling is not None and part in _RULING[ruling],
        )
        for part, arcsec in found
    )


# Bars that stand for what was judged to stand in the way.
_RULING: Final = {
    "aperture": ("aperture",),
    "air": ("air", "added", "air and mount"),
    "power": ("eye",),
}


def _ruling(view: View, limited_by: Limiting | None) -> str | None:
    return limited_by if _has_detail(view) and limited_by in _RULING else None


def _limits(view: View) -> list[tuple[str, float]]:
    numbers = view.numbers
    if _has_detail(view):
        return steps(view.path, view.eye, view.target)
    named = (
        ("aperture", numbers["resolution_aperture_arcsec"]),
        # What the best moments' air adds falls with aperture, as the aperture's own part does.
        ("air" if view.sky.air == "long" else "added", numbers["resolution_air_arcsec"]),
        ("eye", numbers["resolution_eye_arcsec"]),
    )
    return [(part, value or 0.0) for part, value in named]


# A prism that draws stars out by less is not told, arcsec. A choice: a tenth of the finest detail
# that 200 mm shows.
_LEAST_PRISM_ARCSEC: Final = 0.05


def _with_prism(view: View, found: list[tuple[str, float]]) -> list[tuple[str, float]]:
    """Return the widths of a point with how far the air's prism draws it out, after the air's."""
    smear = 0.0 if _has_detail(view) else prism_arcsec(view)
    return [*found[:2], ("prism", smear), *found[2:]] if smear >= _LEAST_PRISM_ARCSEC else found


def short_limits(view: View, limited_by: Limiting | None = None) -> tuple[Limit, ...]:
    """Return the same for a narrow table, which has room for three: in a word each."""
    words = _SHORT_STEPS if _has_detail(view) else _ONE_WORD
    found = _limits(view)
    if len(found) > _ROOM:
        found = [*found[: _ROOM - 1], ("air and mount", found[-1][1])]
    return _bars(view, found, words, limited_by)


# Bars that a narrow table has room for.
_ROOM: Final = 3
