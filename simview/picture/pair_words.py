"""What is said of the pairs of a double or multiple star in a view."""

from __future__ import annotations

import math
from typing import Any, Final

from simview.picture.drawing import text
from simview.picture.drawing.tongue import say
from simview.picture.prints.choices import FINER_DOT
from simview.power.multiple import Pair, drawn_pairs, judged_pairs, pairs_of
from simview.power.splitting import GRADES, Split
from simview.scene.scene import Target
from simview.view import View


def rows(view: View) -> tuple[tuple[str, str], ...]:
    """Return a row for each pair; () where the target is no double."""
    drawn = drawn_pairs(view.path, view.eye, view.observer, view.target)
    return tuple(
        (pair.name or say("the pair"), _verdict(pair, split, each.gap))
        for (pair, split), each in zip(pairs_in(view), drawn, strict=True)
    )


def figures(view: View) -> dict[str, Any]:
    """Return the hardest pair's verdict, and of several each, for JSON; {} for no double."""
    each, hardest = pairs_in(view), pair_in(view)
    if hardest is None:
        return {}
    told: dict[str, Any] = _told(hardest)
    if len(each) > 1:
        told["pairs"] = [
            {
                "name": pair.name,
                "separation_arcsec": pair.separation_arcsec,
                **_told(split),
            }
            for pair, split in each
        ]
    return told


def _told(split: Split) -> dict[str, Any]:
    return {
        "verdict": split.verdict,
        "grade": split.grade,
        "elongation": split.elongation,
        "limit": split.limit,
    }


# From this difference on one star of a pair is called the other's companion, mag. A choice.
_COMPANION_MAG: Final = 2.0


# Two discs that are told apart are said to touch where the gap between them, as it is drawn, keeps
# so much of the fainter one's light that its contrast is below this, and they are not farther apart
# than so many widths of a star's image: Rayleigh's limit leaves 0.15 to equal stars, and discs that
# touch are what observers see there (Couteau; memory). Choices.
_TOUCH_GAP: Final = 0.25
_TOUCH_WIDTHS: Final = 3.0

# A pair is just split where its gap has less than so many times the contrast that the eye needs, or
# the fainter star less than so many times the light. A choice: at twice the threshold hardly any
# observer misses a thing (Blackwell 1946; memory).
_PLAIN: Final = 2.0


def _verdict(pair: Pair, judged: Split, gap: float) -> str:
    """Return what is said of a pair that is drawn with a gap of this contrast."""
    alike = abs(pair.magnitudes[1] - pair.magnitudes[0]) < _COMPANION_MAG
    if judged.verdict == "single" and not (alike and judged.companion_over_threshold >= 1.0):
        return say("companion not seen")
    if judged.verdict == "single":
        return say("looks single")
    verdict = say("split") if judged.verdict == "split" else say("elongated")
    close = pair.separation_arcsec < _TOUCH_WIDTHS * judged.image_arcsec
    if judged.grade in ("notched", "limit"):
        verdict = say("notched") if judged.grade == "notched" else say("at the limit")
    elif judged.verdict == "split" and close and gap < _TOUCH_GAP:
        verdict = say("touching")
    elif judged.verdict == "split" and _hardly(judged):
        # Wide apart it is no gap that is hard to see, but the fainter star beside the glare.
        verdict = say("just split") if alike or close else say("split, one faint")
    apart = text.figure(judged.apparent_arcmin)
    return say("{verdict}, {apart}′ apart", verdict=verdict, apart=apart)


def _hardly(judged: Split) -> bool:
    """Return whether a gap is hardly seen, or a star hardly above the threshold at its place."""
    return judged.gap < _PLAIN * judged.gap_needed or judged.companion_over_threshold < _PLAIN


def pair_in(view: View) -> Split | None:
    """Judge the pair in a view, of several the hardest; None where the target is no double."""
    each = [split for _, split in pairs_in(view)]
    return max(each, key=lambda split: GRADES.index(split.grade), default=None)


def pairs_in(view: View) -> tuple[tuple[Pair, Split], ...]:
    """Return each pair of a double with its verdict; () for anything else."""
    return judged_pairs(view.path, view.eye, view.observer, view.target)


def own_size_arcsec(target: Target) -> float:
    """Return how wide the thing is that a close-up is made of: of two close pairs the wider one."""
    pairs = pairs_of(target)
    several = max((pair.separation_arcsec for pair in pairs), default=0.0)
    return several if len(pairs) > 1 else target.size_arcsec


def close_ups_note(target: Target) -> tuple[str, ...]:
    """Return which of several pairs close-ups show; () where there is but one."""
    names = [pair.name for pair in pairs_of(target)]
    if len(names) < 2:
        return ()
    return (
        say(
            "Close-ups show the pair {shown}; {others} has a line of its own in the figures.",
            shown=names[0],
            others=", ".join(names[1:]),
        ),
    )


# A pair that stands this many of a star's least widths apart in print is two dots there; one that
# comes near it is drawn with finer dots (FINER_DOT). So is a pair that would come near it between
# these powers, whatever its own: through any telescope the same stars are dots as large. That a gap
# shows is told from somewhat more on: Porrima's at 200 times, 1.8 widths, looked seamless. Choices.
_TWO_DOTS: Final = 1.7
_SEEN_APART: Final = 2.0
_USUAL_POWERS: Final = (100.0, 200.0)


def dots(view: View, pixels_per_degree: float, usual_px: float) -> tuple[float, bool]:
    """Return how wide a pair's stars are at least in a whole view's print, and whether they part.

    The view of a pair that is split, with dots so wide that they ran together, would deny it.

    Parameters
    ----------
    pixels_per_degree
        Of the print, at the eye.
    usual_px
        The least width elsewhere, pixels.

    Notes
    -----
    Checked by: tests/unit/picture/test_words_of_pairs.py
    """
    fine_px = FINER_DOT * usual_px
    found = [split.apparent_arcmin for _, split in pairs_in(view) if split.verdict == "split"]
    apart_px = min(found, default=math.inf) / 60.0 * pixels_per_degree
    closest = min((pair.separation_arcsec for pair in pairs_of(view.target)), default=math.inf)
    low, high = (closest * power / 3600.0 * pixels_per_degree for power in _USUAL_POWERS)
    near = low < _TWO_DOTS * usual_px and high >= _TWO_DOTS * fine_px
    near = near or _TWO_DOTS * fine_px <= apart_px < _TWO_DOTS * usual_px
    dot = fine_px if near else usual_px
    return dot, apart_px >= _SEEN_APART * dot
