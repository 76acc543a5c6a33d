"""How a pair is drawn so that a print tells what the eye is judged to see, and no more.

A print is looked at more closely than an eye looks at a pair. So a gap that the eye sees is drawn
with as little of the nerves' blur as it takes to be noticed; one that it does not see is bridged,
which leaves discs and rings as they are; and a companion that is not seen is blurred away.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final

import numpy as np

from simview.eye.contrast import sight_sigma_arcmin
from simview.eye.starimage import star_image, star_width
from simview.power.outlines import hollows
from simview.power.splitting import Array, Verdict, gap_of, line_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from simview.eye.starimage import Spread
    from simview.eye.system import LightPath
    from simview.kit import Observer

# Gaps that no reader of a print notices, and that every one does, Michelson contrast; and by how
# much nerves' blur is widened or narrowed, step by step, until a pair is drawn as it is judged.
# Choices.
UNNOTICED: Final = 0.03
NOTICED: Final = 0.5
_WIDER: Final = 1.12
_STEPS: Final = 12

# Past white print grows slowly with a star's light, so that a companion prints with this power of
# its share of the light, or more. A choice, between those of both its parts (docs/models/tone.md).
PRINTED_RATIO: Final = 0.4

# A notched pair is drawn with a dip of so much at the most. And a companion of a pair that is not
# split prints with this power of its share of the light: a spot on the bright star's ring, not a
# second lobe. Choices.
NOTCH: Final = 0.25
UNSPLIT_RATIO: Final = 0.9

# Nerves' blur in print at least, arcmin, before it is narrowed: a pixel or two of a large one.
LEAST_NERVES_ARCMIN: Final = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """How a pair is drawn.

    Parameters
    ----------
    nerves_arcmin
        Standard deviation of the nerves' blur at the eye.
    gap
        Michelson contrast of the gap in print, before any bridge.
    """

    nerves_arcmin: float
    gap: float


@lru_cache(maxsize=64)
def drawn_pair(
    path: LightPath,
    observer: Observer,
    *,
    separation_arcsec: float,
    magnitudes: tuple[float, float],
    verdict: Verdict,
) -> Drawn:
    """Return with how much of the nerves' blur a pair is drawn, and the gap that leaves in print.

    A gap that is just seen is plain to the observer (contrast constancy: Georgeson & Sullivan 1975,
    from memory): so little blur that it is noticed, as far as telescope, air and the eye's optics
    leave one. Beside a companion that is not seen: so much that no gap is noticed, at least that of
    the observer's own nerves.

    Parameters
    ----------
    path, observer
        Of the view.
    separation_arcsec, magnitudes, verdict
        Of the pair.

    Notes
    -----
    Checked by: tests/truth/test_eye_splitting.py
    """
    from simview.eye.system import FWHM_PER_SIGMA

    ratio = 10.0 ** (-0.4 * abs(magnitudes[1] - magnitudes[0]))
    printed = ratio**PRINTED_RATIO
    aperture_mm = path.beam.aperture_mm
    sigma = max(sight_sigma_arcmin(observer.acuity), LEAST_NERVES_ARCMIN)
    if verdict != "single":
        # No wider than any star of the view.
        sigma = min(sigma, max(path.acuity_arcsec / 60.0 / FWHM_PER_SIGMA, LEAST_NERVES_ARCMIN))
    for _ in range(_STEPS):
        image = star_image(path, 3.0 * separation_arcsec, nerves_arcmin=sigma)
        width = star_width(image, aperture_mm)
        gap = gap_of(separation_arcsec, ratio, image, width)
        shown = gap_of(separation_arcsec, printed, image, width)
        if verdict == "elongated":
            break
        if (gap >= NOTICED) if verdict == "split" else (max(gap, shown) <= UNNOTICED):
            break
        sigma *= 1.0 / _WIDER if verdict == "split" else _WIDER
    return Drawn(nerves_arcmin=sigma, gap=shown)


# How fine a bridge's light is found, of the fainter star's print; the steps that it takes at most.
_BRIDGE_STEP: Final = 0.03
_BRIDGE_STEPS: Final = 40


def bridge(
    image: Spread,
    aperture_mm: float,
    separation_arcsec: float,
    ratio: float,
    *,
    leaves: float = UNNOTICED,
) -> tuple[float, float] | None:
    """Return where light has to be added between two stars so that no gap is noticed, and how much.

    Parameters
    ----------
    image
        A star's image in the view.
    aperture_mm
        Effective aperture.
    separation_arcsec
        Between the two.
    ratio
        The fainter star's print over the brighter one's.
    leaves
        The dip that may be left, of the fainter star's print.

    Returns
    -------
    Distance from the brighter star, arcsec, and light over the fainter star's; None where none is
    needed.

    Notes
    -----
    Checked by: tests/unit/power/test_drawing_pairs.py
    """
    x = line_of(separation_arcsec, star_width(image, aperture_mm))
    line = np.asarray(image(np.abs(x)) + ratio * image(np.abs(x - separation_arcsec)))
    lowest = _lowest(x, line, separation_arcsec, leaves)
    if lowest is None:
        return None
    # Only up to the fainter star: past it light falls, whatever is added.
    between = (x > 0.25 * separation_arcsec) & (x < separation_arcsec)
    star = int(np.argmin(np.abs(x - separation_arcsec)))
    step = _BRIDGE_STEP * ratio * image(np.abs(x - lowest))
    for count in range(1, _BRIDGE_STEPS + 1):
        line = line + step
        if line[between].min() >= line[star] * (1.0 - leaves):
            return lowest, _BRIDGE_STEP * count
    return lowest, _BRIDGE_STEP * _BRIDGE_STEPS


# Where between its stars an elongated pair is drawn out, of their distance; the light that each
# place gets, of the fainter star's, step by step; and how hollow its outline may be, of its width
# at the fainter star, where light has fallen to these shares of that star's. More would be a neck,
# and a reader would say so. Choices.
BETWEEN: Final = (0.5, 0.65, 0.8)
_DRAWN_STEP: Final = 0.05
_DRAWN_MOST: Final = 0.6
_OUTLINES: Final = (0.5, 0.8)
HOLLOW: Final = 0.05


def drawn_out(
    image: Spread, separation_arcsec: float, ratio: float, bridged: tuple[float, float] | None
) -> tuple[float, ...]:
    """Return what makes one longish star of a pair that is not even notched.

    Parameters
    ----------
    image
        A star's image in the view.
    separation_arcsec
        Between the two.
    ratio
        The fainter star's print over the brighter one's.
    bridged
        What `bridge` adds.

    Returns
    -------
    Light over the fainter star's at 0.5, 0.65 and 0.8 of the way to it; () where none is needed.

    Notes
    -----
    Checked by: tests/unit/power/test_drawing_pairs.py
    """
    lights = [(0.0, 1.0), (separation_arcsec, ratio)]
    if bridged is not None:
        lights.append((bridged[0], bridged[1] * ratio))
    share = 0.0
    while share < _DRAWN_MOST:
        more = [(part * separation_arcsec, share * ratio) for part in BETWEEN]
        if hollow(image, separation_arcsec, [*lights, *more]) <= HOLLOW:
            break
        share += _DRAWN_STEP
    return (share,) * len(BETWEEN) if share else ()


def hollow(image: Spread, separation_arcsec: float, lights: Sequence[tuple[float, float]]) -> float:
    """Return how much narrower than the line from star to star an outline is between them.

    Of its width at the second star, the most of several outlines; `lights` are places on the line
    through both, arcsec from the brighter one, and how bright they are.
    """
    each = hollows(image, separation_arcsec, lights, _OUTLINES)
    return max(0.0, *(depth / wide for depth, wide in each))


def _lowest(x: Array, line: Array, separation: float, leaves: float) -> float | None:
    """Return where the light between two stars is least, None where it only falls or rises."""
    between = np.flatnonzero((x > 0.2 * separation) & (x < separation))
    place = int(between[np.argmin(line[between])])
    hump = float(line[between[-1] :].max(initial=0.0))
    if place in (between[0], between[-1]) or line[place] > (1.0 - leaves) * hump:
        return None
    return float(x[place])
