"""Which faults a wavefront holds, each with its interval, in words and with what to do first."""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.diagnosis.pattern import Mode
from simview.diagnosis.sureness import NINETY
from simview.errors import SimviewError
from simview.kit import Kit
from simview.telescope.coma import paraboloid_coma_waves
from simview.telescope.screws import NAMES, Screws

Array = NDArray[Any]

# Wavefront error, waves RMS, below which a fault is not worth mending: Strehl ratio 0.96 alone.
# Marechal's quarter of a wave is 1/14 wave RMS. Source of the limit: Marechal 1947 (Strehl 0.8).
SMALL: Final = 0.03
NOTHING: Final = "Nothing."
MARECHAL: Final = 1.0 / 14.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A value and the interval that holds the truth in nine cases of ten."""

    value: float
    low: float
    high: float

    def figures(self, name: str = "value") -> dict[str, float]:
        """Return it for JSON."""
        return {name: self.value, "low": self.low, "high": self.high}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault that was found.

    Parameters
    ----------
    name
        As the star test knows it, "undercorrection", "overcorrection", "coma", "astigmatism",
        "pinched", "turned-down-edge", "turned-up-edge", "zone", or "miscollimation"
        where coma comes from a mirror out of line.
    waves
        RMS at 550 nm.
    pv_waves
        The same peak to valley, as `simview startest --fault` takes it.
    angle_deg
        Its direction in the photograph, anticlockwise from the right; None where it has none.
    sure
        How likely it is that there is such a fault at all, 0 to 1.
    says, do
        In words.
    """

    name: str
    waves: Interval
    pv_waves: float
    angle_deg: float | None
    sure: float
    says: str
    do: str

    def figures(self) -> dict[str, Any]:
        """Return it for JSON."""
        return {
            "name": self.name,
            **self.waves.figures("waves"),
            "pv_waves": self.pv_waves,
            "angle_deg": self.angle_deg,
            "sure": self.sure,
            "says": self.says,
            "do": self.do,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """How the photographs were held against the telescope.

    Parameters
    ----------
    up_deg
        Direction in the photograph, anticlockwise from its right, that is up at the telescope as
        seen from behind it; None where nobody told.
    mirrored
        Whether left and right are exchanged, as by a star diagonal.
    """

    up_deg: float | None = None
    mirrored: bool = False

    def at_tube(self, angle_deg: float) -> float:
        """Return a direction of the photograph as it is at the tube, seen from behind."""
        up = 90.0 if self.up_deg is None else self.up_deg
        off = angle_deg - up
        return 90.0 - off if self.mirrored else 90.0 + off


# Noll's pairs and singles: fault, cosine and sine index, times round the circle, waves peak to
# valley for one wave RMS (forms of simview.kit.Wavefront against Noll 1976).
_KINDS: Final = (
    ("spherical", 11, 0, 0, 1.5 * math.sqrt(5.0)),
    ("coma", 8, 7, 1, 2.0 * math.sqrt(8.0)),
    ("astigmatism", 6, 5, 2, 2.0 * math.sqrt(6.0)),
    ("trefoil", 10, 9, 3, 2.0 * math.sqrt(8.0)),
)


def found(
    modes: tuple[Any, ...],
    values: Array,
    covariance: Array,
    kit: Kit,
    held: Held,
    units: Mapping[Mode, float] | None = None,
) -> tuple[Fault, ...]:
    """Return the faults, the strongest first.

    Parameters
    ----------
    modes
        Noll indices.
    values, covariance
        Of the modes, waves RMS.
    units
        Waves RMS over the open pupil, at best focus, of one unit of each mode that is no
        polynomial.
    """
    answer = []
    for kind, cosine, sine, fold, pv in _KINDS:
        rows = [modes.index(j) for j in (cosine, sine) if j in modes]
        if not rows:
            continue
        vector, spread = values[rows], covariance[np.ix_(rows, rows)]
        answer.append(_fault(kind, vector, spread, (fold, pv), kit, held))
    for row, mode in enumerate(modes):
        if isinstance(mode, str):
            sigma = math.sqrt(float(covariance[row, row]))
            answer.append(_finer(mode, float(values[row]), sigma, (units or {}).get(mode, 1.0)))
    return tuple(sorted(answer, key=lambda fault: -fault.waves.value))


def _fault(
    kind: str, vector: Array, spread: Array, form: tuple[int, float], kit: Kit, held: Held
) -> Fault:
    fold, pv = form
    size = float(np.hypot.reduce(vector))
    along = vector / max(size, 1e-9)
    sigma = math.sqrt(float(along @ spread @ along))
    waves = Interval(value=size, low=max(0.0, size - NINETY * sigma), high=size + NINETY * sigma)
    angle = None
    if fold:
        angle = math.degrees(math.atan2(vector[1], vector[0])) / fold
        angle %= 360.0 / fold
    name = _named(kind, float(vector[0]), kit)
    says, do = _words(name, waves, pv * size, angle, kit, held)
    return Fault(
        name=name,
        waves=waves,
        pv_waves=pv * size,
        angle_deg=angle,
        sure=_sure(vector, spread),
        says=says,
        do=do,
    )


def _finer(mode: str, value: float, sigma: float, unit: float) -> Fault:
    """Return a fault that is no polynomial; `unit` is the waves RMS of one wave at its crest."""
    kind, _, where = mode.partition(":")
    name = kind
    if kind == "edge":
        name = "turned-up-edge" if value > 0.0 else "turned-down-edge"
    size = abs(value)
    low, high = max(size - NINETY * sigma, 0.0), size + NINETY * sigma
    waves = Interval(value=unit * size, low=unit * low, high=unit * high)
    vector = np.array([unit * value])
    says = f"{_TITLES[name]}: {_size(waves, size)}"
    if kind == "zone":
        says += f"; the ring lies at {100 * float(where):.0f} % of the radius"
        says += " and stands too high" if value > 0.0 else " and is too deep"
    return Fault(
        name=name,
        waves=waves,
        pv_waves=size,
        angle_deg=None,
        sure=_sure(vector, np.array([[(unit * sigma) ** 2]])),
        says=f"{says}.",
        do=_CAUSES[name],
    )


def _sure(vector: Array, spread: Array) -> float:
    """Return how likely a fault is there, against none at all, both as likely before.

    The Savage-Dickey ratio: how much less likely nothing has become.
    Source: Dickey 1971, Annals of Mathematical Statistics 42, 204.
    """
    before = 0.08**2 * np.eye(len(vector))
    both = before + spread
    log_odds = 0.5 * (
        float(np.linalg.slogdet(spread)[1] - np.linalg.slogdet(both)[1])
        + float(vector @ (np.linalg.inv(spread) - np.linalg.inv(both)) @ vector)
    )
    return 1.0 / (1.0 + math.exp(-min(max(log_odds, -60.0), 60.0)))


def _named(kind: str, sign: float, kit: Kit) -> str:
    if kind == "spherical":
        return "undercorrection" if sign >= 0.0 else "overcorrection"
    if kind == "trefoil":
        return "pinched"
    if kind == "coma" and _newtonian(kit):
        return "miscollimation"
    return kind


def _newtonian(kit: Kit) -> bool:
    scope = kit.telescope
    return scope is not None and scope.objective == "mirror" and kit.layout in (None, "newtonian")


_TITLES: Final[Mapping[str, str]] = {
    "undercorrection": "Undercorrection (rim and middle focus at different places)",
    "overcorrection": "Overcorrection (rim and middle focus at different places)",
    "miscollimation": "The main mirror is out of line (coma)",
    "coma": "Coma (parts out of line)",
    "astigmatism": "Astigmatism (bent one way)",
    "pinched": "Three-cornered strain (pinched)",
    "turned-down-edge": "Turned-down edge (the rim of the glass falls away)",
    "turned-up-edge": "Turned-up edge (the rim of the glass stands up)",
    "zone": "A zone (a ring of the glass at the wrong height)",
}

_CAUSES: Final[Mapping[str, str]] = {
    "undercorrection": (
        "Take new pictures on another night, two hours after the telescope was put outdoors. If it"
        " stays, the glass itself has the wrong shape: only the maker can cure that."
    ),
    "overcorrection": (
        "Let the telescope cool outdoors for two hours and take new pictures: a mirror that is"
        " still warm shows just this. If it stays, the glass itself has the wrong shape: only the"
        " maker can cure that."
    ),
    "astigmatism": (
        "Turn the eyepiece, with the phone on it, by a quarter circle and take new pictures. If"
        " the fault lies in the picture as before, the eyepiece or the phone makes it. If it has"
        " turned, the telescope does: loosen the clips or screws that press on its glass, a little,"
        " and never so far that the glass could move or fall out."
    ),
    "pinched": (
        "Loosen the three clips or screws around the mirror or lens a little, until it only just"
        " does not rattle, and never so far that it could fall out. Then take new pictures."
    ),
    **dict.fromkeys(
        ("turned-down-edge", "turned-up-edge"),
        "Cut a ring of black card that hides the outer tenth of the glass's radius and take new"
        " pictures: the fault should be gone. Leave the ring on for planets; only the maker can"
        " cure the glass.",
    ),
    "zone": "The glass itself has the wrong shape: only the maker can cure that. Nothing to turn.",
    "coma": (
        "Collimate: turn the screws of the cell a little at a time, the star in the middle of the"
        " field, until the rings are round about their middle."
    ),
}


_LENS: Final = (
    "The glasses of the lens stand off one another; the screws of its cell tilt them together,"
    " which hardly helps. Only the maker can cure that: never take the lens apart."
)


def _words(
    name: str, waves: Interval, pv: float, angle: float | None, kit: Kit, held: Held
) -> tuple[str, str]:
    size = _size(waves, pv)
    if waves.high < SMALL:
        return f"{_TITLES[name]}: too little to matter, {size}.", NOTHING
    if waves.low < 0.25 * waves.value:
        says = f"{_TITLES[name]}: perhaps, {size}: too little to be sure of."
    else:
        says = f"{_TITLES[name]}: {size}{_towards(name, angle)}."
    if name == "miscollimation" and angle is not None:
        return says, _screw(kit, pv, angle, held)
    if name == "coma" and kit.telescope is not None and kit.telescope.objective != "mirror":
        return says, _LENS
    if name == "pinched" and angle is not None:
        return says, f"{_CAUSES[name]} {_clips(held.at_tube(angle))}"
    return says, _CAUSES[name]


def _size(waves: Interval, pv: float) -> str:
    return (
        f"{waves.value:.3f} waves RMS ({waves.low:.3f} to {waves.high:.3f}),"
        f" {pv:.2f} waves peak to valley"
    )


def _towards(name: str, angle: float | None) -> str:
    if angle is None:
        return ""
    if name in {"miscollimation", "coma"}:
        return f"; the star's tail points {_way(angle)} in the photograph"
    if name == "pinched":
        return f"; one of its three corners points {_way(angle)} in the photograph"
    line = _LINES[round(angle / 45.0) % 4]
    return f"; it lies from {line} ({angle:.0f} degrees) in the photograph"


_LINES: Final = (
    *("left to right", "lower left to upper right"),
    *("top to bottom", "upper left to lower right"),
)
_WAYS: Final = (
    *("to the right", "to the upper right", "up", "to the upper left"),
    *("to the left", "to the lower left", "down", "to the lower right"),
)


def _way(angle: float) -> str:
    return f"{_WAYS[round(angle / 45.0) % 8]} ({angle:.0f} degrees)"


def _screw(kit: Kit, pv: float, angle: float, held: Held) -> str:
    """Return which screw to turn, and which way; see `simview.telescope.screws`."""
    scope = kit.telescope
    assert scope is not None
    try:
        screws = Screws(scope=scope)
    except SimviewError:
        return _CAUSES["coma"]
    direction = math.radians(held.at_tube(angle))
    # The flare points to where the mirror leans: coma.py and screws.axis_from_star.
    tilt = cmath.rect(pv / paraboloid_coma_waves(scope, 1.0), direction)
    turn = screws.next_turn(tilt)
    if turn is None:
        return NOTHING
    letter, turns = turn
    way = "clockwise" if turns > 0 else "anticlockwise"
    where = _clock(screws.angles_deg()[NAMES.index(letter)])
    side, other = ("the sky", "you") if turns > 0 else ("you", "the sky")
    return (
        f"Loosen the locking screws, if there are any. Turn the screw at {where} behind the mirror"
        f" by {_part(abs(turns))} {way}: its side of the mirror comes towards {side}; if it goes"
        f" towards {other}, turn the other way. Bring the star back to the middle and take new"
        " pictures."
    )


def _clips(high_deg: float) -> str:
    """Return where the glass stands high, and which clip or pad that is.

    A r^3 cos 3 (t - angle) is early, the surface high, at the angle and at thirds of the circle.
    """
    high, low = _hours(high_deg), _hours(high_deg + 60.0)
    front = _hours(180.0 - high_deg)
    return (
        f"Seen from the back of the telescope the glass stands high at {high} and low at {low}"
        f" o'clock (from its front, high at {front}): what presses from behind is where it is high,"
        " a clip that presses from the front where it is low."
    )


def _hours(angle_deg: float) -> str:
    """Return three places a third of a circle apart, as hours and halves, the earliest first."""
    halves = sorted(round((90.0 - angle_deg + 120.0 * k) / 15.0) % 24 or 24 for k in range(3))
    first, second, third = (
        f"{half // 2 or 12}:30" if half % 2 else f"{half // 2}" for half in halves
    )
    return f"{first}, {second} and {third}"


def assumed(faults: tuple[Fault, ...], held: Held) -> tuple[str, ...]:
    """Return what a screw that is told to be turned takes for granted, a sentence each."""
    told = {fault.name for fault in faults if "o'clock" in fault.do}
    if not told:
        return ()
    where = (
        "The screws are taken to stand at 12, 4 and 8 o'clock, seen from behind the mirror; where"
        " yours stand elsewhere, turn the nearest."
    )
    upright = (
        "The top of the photograph is taken for the top of the tube, and its right for the right as"
        " you look along the tube to the sky; if it was held otherwise, say so with --up and"
        " --right."
    )
    screws = (where,) if "miscollimation" in told else ()
    return screws if held.up_deg is not None else (*screws, upright)


def _clock(angle_deg: float) -> str:
    hour = round((90.0 - angle_deg) / 30.0) % 12 or 12
    return f"{hour} o'clock"


def _part(turns: float) -> str:
    parts = {1 / 32: "1/32 turn", 1 / 16: "1/16 turn", 1 / 8: "1/8 turn", 1 / 4: "1/4 turn"}
    parts |= {1 / 2: "1/2 turn", 1.0: "one turn", 2.0: "two turns"}
    return min(parts.items(), key=lambda part: abs(math.log(part[0] / turns)))[1]
