"""Where the eye rests on ground that is wider than what it adapts to: the Moon's.

Cones adapt to the light within a degree or so of where the eye looks, in seconds (see `POOL_DEG` in
`choices`). A planet's close-up holds the whole disc, so it is printed as the view is; a close-up of
the Moon's long shadows holds much less light than the full Sun's on the rest of the field.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from simview.picture.prints.choices import ADAPTED, ADAPTED_DARK_TD
from simview.picture.prints.response import Adaptation, Levels

# A close-up of the night side, lit by the Earth alone, has no light to adapt to beside the day's:
# less than this of it. A choice.
LEAST_PART: Final = 0.05


def looking_at(place: Levels, whole: Adaptation, brightest_td: float, kind: str) -> Adaptation:
    """Return a view's adaptation for an eye that rests on one place of it.

    The white follows the place's own brightest light with the power `ADAPTED`, as that of a dimmer
    view does.

    Parameters
    ----------
    place
        How bright the place is.
    whole
        The adaptation of its view.
    brightest_td
        The brightest surface of the view, troland.
    kind
        Of the target: all but the Moon are seen whole.

    Notes
    -----
    Checked by: tests/unit/picture/test_moons_close_up.py
    """
    if kind != "moon" or not LEAST_PART * brightest_td < place.white_td < brightest_td:
        return whole
    dimmer = (place.white_td + ADAPTED_DARK_TD) / (brightest_td + ADAPTED_DARK_TD)
    vivid = (place.vivid_x * place.vivid_td, place.vivid_td, place.vivid_z * place.vivid_td)
    return replace(whole, white_td=whole.white_td * dimmer**ADAPTED, vivid=vivid)
