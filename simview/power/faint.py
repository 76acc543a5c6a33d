"""Whether a galaxy or nebula shows in a kit, and at which power it shows best."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from simview.air import extinction, glow
from simview.air.conditions import conditions
from simview.errors import SimviewError
from simview.eye import filters
from simview.eye.aided import aid_of
from simview.eye.state import EyeState
from simview.eye.stations import Station, stations
from simview.eye.system import LightPath
from simview.eye.thresholds import patches_visibility, seen_fraction
from simview.kit import Kit, Observer, Sky
from simview.memory import Memory
from simview.power.rules import faint_powers
from simview.power.starfields import NEARLY_MAG
from simview.scene.scene import Target
from simview.scene.spectrum import LUMINANCE_WEIGHTS

# Surfaces dimmer than this are a question of visibility before one of detail, cd/m2: about 16
# mag/arcsec2, where rods alone see. A choice.
DIM_CD_M2: Final = 0.05

# How a glow is painted to find its parts: pixels a side, width of the frame in its diameters; how
# many parts are tried.
PIXELS: Final = 96
FRAME: Final = 1.1
STEPS: Final = 18


@dataclass(frozen=True, slots=True, kw_only=True)
class VisibilityCurve:
    """How far an extended object stands above threshold, against power.

    Parameters
    ----------
    powers
        Times, rising.
    above_threshold
        Contrast over threshold contrast at each power: below 1 it is missed more often than seen.
    best_power
        Where it stands highest, of the powers that eyepieces which are made give with an exit
        pupil of half a millimetre and more.
    enough_from
        About the lowest power that shows it as well as that to an observer who tells 0.1 mag, see
        `enough_of`; None where it is not seen at all.
    fades_above
        Where it stands half as high again; None where it is not seen at all.
    seen
        How often it is seen at the best power, 0 to 1.
    part_arcsec
        Diameter of the part that stands out best there: its core, or all of it.
    reason
        In words, why it is not seen; empty where it is.
    """

    powers: tuple[float, ...]
    above_threshold: tuple[float, ...]
    best_power: float
    enough_from: float | None
    fades_above: float | None
    seen: float
    part_arcsec: float
    reason: str = ""


def visibility_curve(
    kit: Kit,
    target: Target,
    *,
    powers: Sequence[float] | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
    one_glass: bool = False,
) -> VisibilityCurve:
    """Return how far `target` stands above threshold at each power.

    Parameters
    ----------
    kit, powers, sky, observer
        As in `simview.power.finest.detail_curve`.
    target
        Painted small; of all its parts - its brightest spot, core, ..., the whole - the one that
        stands out best counts, each taken as a round even patch.
    one_glass
        Whether the powers are a curve's, as where none are given: all with the light that the first
        eyepiece passes, and only those that can be had told as the best.

    Raises
    ------
    SimviewError
        When the target has no luminance.

    Notes
    -----
    Source: Crumey 2014; see `simview.eye.thresholds.patch_visibility`.
    Checked by: tests/unit/power/test_faint.py
    """
    sky, observer = conditions([kit], target, sky, observer)
    if target.luminance_cd_m2 is None:
        raise SimviewError(
            "target",
            got=target.name,
            allowed="an object with a luminance: a galaxy, a nebula, a planet",
            remedy="for stars ask for the limiting magnitude",
        )
    places = stations(kit, target, powers=powers, sky=sky, observer=observer, one_glass=one_glass)
    patches = parts_of(target, observer)
    best_of = [_above(place, patches, observer) for place in places]
    above = [ratio for ratio, _ in best_of]
    steps = tuple(place.power for place in places)
    can = usual(kit, steps) if powers is None or one_glass else [True] * len(steps)
    best = int(np.argmax(np.where(can, above, -1.0)))
    reason = "" if above[best] >= 1.0 else "too little contrast with the sky at every power"
    return VisibilityCurve(
        powers=steps,
        above_threshold=tuple(above),
        best_power=steps[best],
        enough_from=enough_of(*rising(steps, above, can)) if above[best] >= 1.0 else None,
        fades_above=_last(steps, above, above[best] / 2.0) if above[best] >= 1.0 else None,
        seen=float(seen_fraction(above[best])),
        part_arcsec=best_of[best][1],
        reason=reason,
    )


def usual(kit: Kit, steps: Sequence[float]) -> list[bool]:
    """Return which powers can be had: all of them where there is no telescope to choose for."""
    scope = kit.telescope
    if scope is None:
        return [True] * len(steps)
    low, high = faint_powers(scope.working_aperture_mm, scope.focal_length_mm)
    can = [0.99 * low <= power <= 1.01 * high for power in steps]
    return can if any(can) else [True] * len(steps)


def visibility_in(
    path: LightPath, eye: EyeState, target: Target, observer: Observer
) -> tuple[float, float]:
    """Return how far a glow stands above threshold in one view, and the part that does, arcsec."""
    return _above(Station(path=path, eye=eye), parts_of(target, observer), observer)


def is_glow(target: Target) -> bool:
    """Return whether a target is a faint glow: visible or not, before it is fine or coarse."""
    light = target.luminance_cd_m2
    return light is not None and (target.kind == "deep-sky" or light < DIM_CD_M2)


def rising(
    powers: Sequence[float], above: Sequence[float], can: Sequence[bool]
) -> tuple[list[float], list[float]]:
    """Return the powers that can be had, and how a glow stands at each."""
    had = [(p, v) for p, v, each in zip(powers, above, can, strict=True) if each]
    return [p for p, _ in had], [v for _, v in had]


def enough_of(
    powers: Sequence[float], above: Sequence[float], *, nearly_mag: float = NEARLY_MAG
) -> float:
    """Return from which power on a glow stands out about as well as at its best.

    The curve may be so flat that "within 5 % of the best" and "within 10 %" lie a factor of two
    apart in power, and neither is better than the other. So all such criteria are asked, and their
    (geometric) mean is told: x below the best counts with exp(-x / x0), x0 being what an observer
    can tell. Never a power at which it is not seen.

    Parameters
    ----------
    powers
        Times, rising.
    above
        Contrast over threshold contrast at each, at least 1 somewhere.
    nearly_mag
        What an observer can tell, mag.

    Notes
    -----
    Checked by: tests/unit/power/test_faint.py, tests/truth/test_power_tables.py
    """
    logs, highest = np.log(powers), np.maximum.accumulate(np.asarray(above, float))
    share = (highest / highest[-1]) ** (1.0 / (0.4 * math.log(10.0) * nearly_mag))
    # Samples stand close: between two of them a criterion is met half way.
    mean = share[0] * logs[0] + float(np.sum(np.diff(share) * 0.5 * (logs[1:] + logs[:-1])))
    seen = int(np.argmax(highest >= 1.0))
    return float(max(math.exp(mean), powers[seen]))


def _last(powers: Sequence[float], above: Sequence[float], level: float) -> float:
    pairs = list(zip(powers, above, strict=True))
    return next(p for p, value in reversed(pairs) if value >= level)


def parts_of(target: Target, observer: Observer | None = None) -> list[tuple[float, float]]:
    """Return the brightest parts of a glow, from its brightest spot to the whole.

    Behind the observer's filter, which takes white light, a nebula's lines count for more.

    Returns
    -------
    list of (diameter in arcsec of a disc of their area, mean luminance in cd/m2)
    """
    gain = 1.0 if observer is None else filters.gain(observer.filter)
    # Marks, figures and captions of a view all ask. What is held keeps its target: no other one
    # takes its place in memory meanwhile.
    held = _held.get((id(target), gain), lambda: (target, _parts(target, gain)))
    return held[1]


_held: Final[Memory[tuple[Target, list[tuple[float, float]]]]] = Memory(16, lambda _: 1)


def _parts(target: Target, gain: float) -> list[tuple[float, float]]:
    """Return `parts_of` a target whose lines count for `gain` times as much."""
    pixel = FRAME * target.size_arcsec / PIXELS
    scene = target.scene(pixel_arcsec=pixel, pixels=PIXELS)
    light = np.tensordot(LUMINANCE_WEIGHTS, scene.planes.astype(float), 1)
    if scene.lines is not None:
        light = light + scene.lines * (gain - 1.0)
    light = light.ravel()
    light = np.sort(light[light > 0.0])[::-1]
    if len(light) == 0:
        return [(target.size_arcsec, target.luminance_cd_m2 or 0.0)]
    counts = sorted({int(count) for count in np.geomspace(4, max(len(light), 5), STEPS)})
    means = np.cumsum(light) / np.arange(1, len(light) + 1)
    return [
        (2.0 * pixel * math.sqrt(n / math.pi), float(means[n - 1]))
        for n in counts
        if n <= len(light)
    ]


def _above(
    place: Station, patches: Sequence[tuple[float, float]], observer: Observer
) -> tuple[float, float]:
    """Return contrast over threshold contrast at one power, and the part that has it."""
    if place.dark:
        return 0.0, patches[-1][0]
    sky = place.path.sky
    through = 10.0 ** (-0.4 * sky.extinction_mag * extinction.airmass(sky.altitude_deg))
    aid = aid_of(place.path, place.eye, observer)
    background = glow.luminance_cd_m2(sky)
    size, light = np.array(patches).T
    # Faults of the observer's own eye spread a small object over more sky.
    wide = np.hypot(size, place.path.fault_arcsec)
    excess = light * through * (size / wide) ** 2
    above = patches_visibility(excess, background, aid, (wide / 60.0, wide / 60.0))
    best = int(np.argmax(above))
    return float(above[best]), float(size[best])
