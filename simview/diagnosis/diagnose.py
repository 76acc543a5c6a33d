"""From photographs to a diagnosis: the way through all the steps."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.diagnosis import comparison, found_faults, sureness
from simview.diagnosis.finding import refuse
from simview.diagnosis.found_faults import Held, Interval
from simview.diagnosis.pattern import Mode, balanced
from simview.diagnosis.photo_files import Shot, fingerprint, read
from simview.diagnosis.plates import Stars, stars_of
from simview.diagnosis.records import Diagnosis, Picture, Taken, first_thing, meaning
from simview.diagnosis.search import DECIDES, Reached, Search
from simview.errors import FitError, SimviewError, require_choice, require_range
from simview.kit import Kit, Telescope
from simview.telescope.opening import REFERENCE_NM, stop_for
from simview.units import ARCSEC_PER_RADIAN

Array = NDArray[Any]
Progress = Callable[[float, str], None]

SIDES: Final = ("inside", "outside", "unknown")
_SIGNS: Final = {"inside": (-1,), "outside": (1,), "unknown": (1, -1)}

# Finest pixel of a photograph, wavelengths / aperture at 550 nm, and least defocus beside it that a
# star can have: a phone behind the eyepiece is ten times as coarse, and what is large without being
# far out of focus is no star. A choice.
_FINEST: Final = 0.035
_LARGE_WAVES: Final = 2.0

# Most pictures at once.
MOST_PICTURES: Final = 6

# What a fit may leave, against the disc's brightness, before the picture is refused; and what
# makes a remark. Choices: good pictures leave 2 to 8 %.
_MOST_LEFT: Final = 0.27
# The same where both sides agree with one telescope: a rough surface leaves much.
_MOST_LEFT_OF_BOTH: Final = 0.5
_MUCH_LEFT: Final = 0.15

# Waves of defocus below which the rings tell too little, and above which the air drowns them.
_LEAST_DEFOCUS: Final = 1.6
_MOST_DEFOCUS: Final = 16.0

# By how much that interval is widened for what is beyond Noll's 15th polynomial and for scale and
# wavefront that err together. Measured on pictures of known telescopes.
_WIDER: Final = 1.6

# Draws from which the interval of the Strehl ratio comes.
_DRAWS: Final = 400


def diagnose(
    photos: Sequence[str | Path | bytes] | str | Path | bytes,
    kit: Kit,
    *,
    side: Sequence[str] | str = (),
    up_deg: float | None = None,
    right_deg: float | None = None,
    mirrored: bool | None = None,
    progress: Progress | None = None,
) -> Diagnosis:
    """Tell from photographs of a star out of focus what ails a telescope.

    Parameters
    ----------
    photos
        1 to 6 photographs, bursts or short films of one star: files, folders of frames, or what
        a file holds as bytes.
    kit
        With which they were taken; it needs a telescope.
    side
        For each photograph "inside" (the eyepiece nearer the objective than in focus), "outside"
        or "unknown"; none for what the file's name tells, else unknown.
    up_deg
        Direction in the photograph, anticlockwise from its right, that is up at the telescope as
        seen from behind it, -360 to 360; None where nobody knows.
    right_deg
        The same for what is right at the telescope, which tells whether the photograph is
        mirrored; only with `up_deg` and in place of `mirrored`.
    mirrored
        Whether left and right are exchanged in the photograph; None for what `right_deg` or the
        kit's diagonal tell.
    progress
        Called with the fraction done and a word.

    Returns
    -------
    Diagnosis

    Raises
    ------
    SimviewError
        A kit without telescope, a file that cannot be read, or a photograph that cannot serve,
        with the reason.

    Notes
    -----
    Checked by: tests/truth/test_diagnosis_outside.py

    Examples
    --------
    >>> import simview
    >>> kit = simview.find_kit("demo:tabletop-150").kit
    >>> try:
    ...     simview.diagnose([b"no photograph"], kit)
    ... except simview.SimviewError:
    ...     print("no photograph that can be read")
    no photograph that can be read
    """
    tell = progress or (lambda _part, _words: None)
    given = [photos] if isinstance(photos, str | Path | bytes) else list(photos)
    if kit.telescope is None:
        raise FitError("diagnose", got=f"a kit with {kit.kind}", allowed="a telescope")
    if not 1 <= len(given) <= MOST_PICTURES:
        raise SimviewError("photographs", got=len(given), allowed=f"1 to {MOST_PICTURES}")
    if up_deg is not None:
        require_range("up_deg", up_deg, -360.0, 360.0, unit="deg")
    sides = _sides(side, given)
    if right_deg is not None:
        mirrored = _handedness(up_deg, right_deg, mirrored)
    held = Held(up_deg=up_deg, mirrored=_mirrored(kit) if mirrored is None else mirrored)
    tell(0.02, "reading")
    shots = [_read(photo, k) for k, photo in enumerate(given)]
    taken = Taken(
        fingerprints=tuple(fingerprint(photo) for photo in given),
        sides=tuple(sides),
        up_deg=up_deg,
        mirrored=held.mirrored,
    )
    _require_different(taken, shots)
    stars = [stars_of(shot) for shot in shots]
    return replace(_diagnosed(kit, stars, sides, held, tell), taken=taken)


def _require_different(taken: Taken, shots: list[Shot]) -> None:
    first: dict[str, str] = {}
    for shot, mark in zip(shots, taken.fingerprints, strict=True):
        if mark in first:
            raise refuse(
                shot.name,
                f"the same photograph as {first[mark]}",
                "give one from each side of focus",
            )
        first[mark] = shot.name


def _read(photo: str | Path | bytes, number: int) -> Shot:
    return read(photo, name=f"{number + 1}" if isinstance(photo, bytes) else "")


def _sides(side: Sequence[str] | str, photos: Sequence[Any]) -> list[str]:
    told = [side] if isinstance(side, str) else list(side)
    if not told:
        return [_by_name(photo) for photo in photos]
    if len(told) != len(photos):
        raise SimviewError(
            "side",
            got=f"{len(told)} for {len(photos)} photographs",
            allowed="one for each, in the same order, or none",
        )
    return [require_choice("side", word, SIDES) for word in told]


def _by_name(photo: Any) -> str:
    """Return the side that a file's name tells."""
    if isinstance(photo, bytes):
        return "unknown"
    stem = Path(photo).stem.lower()
    return next((side for side in ("inside", "outside") if side in stem), "unknown")


def _handedness(up_deg: float | None, right_deg: float, mirrored: bool | None) -> bool:
    """Return whether a photograph is mirrored: right stands anticlockwise of up in it."""
    require_range("right", right_deg, -360.0, 360.0, unit="deg")
    if up_deg is None or mirrored is not None:
        raise SimviewError(
            "right",
            got=f"{right_deg:g} deg " + ("without up" if up_deg is None else "and mirrored"),
            allowed="with up (--up, up_deg), and in place of mirrored",
        )
    across = math.sin(math.radians(right_deg - up_deg))
    if abs(across) < 0.7:
        raise SimviewError(
            "right",
            got=f"{right_deg:g} deg with up at {up_deg:g} deg",
            allowed="a quarter turn from up, within 45 deg",
            remedy="look again where the hand's notches are",
        )
    return across > 0.0


def _mirrored(kit: Kit) -> bool:
    return kit.diagonal is not None and kit.diagonal.kind == "star"


def _diagnosed(
    kit: Kit, stars: list[Stars], sides: list[str], held: Held, tell: Progress
) -> Diagnosis:
    assert kit.telescope is not None
    tell(0.1, "measuring discs")
    search = Search(kit.telescope, stars)
    options = list(itertools.product(*(_SIGNS[side] for side in sides)))
    unknown = set(sides) == {"unknown"}
    tell(0.2, "fitting")
    if len(options) == 1:
        search.challenge(options[0])
    signs = search.best_sides([o for o in options if o[0] == 1] if unknown else options)
    tell(0.5, "fitting all colours")
    best = search.reached(search.climbed(signs))
    notes: list[str] = []
    other: Reached | None = None
    if unknown:
        tell(0.7, "the other side")
        other = search.reached(search.climbed(tuple(-sign for sign in signs)))
        best, other = _decided(best, other, notes)
    tell(0.75, "edge and zones")
    finer: dict[tuple[str, ...], float] = {}
    if other is None and len(set(signs)) > 1:
        best, finer = search.finer(best)
    _check(best, stars)
    tell(0.9, "how sure it is")
    answer = _answer(kit, best, stars, held, tuple(notes), known=other is None)
    fitted = best.fitted
    answer = replace(
        answer,
        explanations=comparison.explanations(
            fitted.model.modes, fitted.modes(), answer.covariance, finer
        ),
    )
    if other is None:
        return answer
    return replace(answer, other=_answer(kit, other, stars, held, (), known=False))


def _decided(one: Reached, two: Reached, notes: list[str]) -> tuple[Reached, Reached | None]:
    """Return the answer for the likelier side, and the other one where it is as likely."""
    first, second = sorted((one, two), key=lambda end: end.fitted.chi2)
    if first.fitted.chi2 < DECIDES * second.fitted.chi2:
        sides = " and ".join("outside" if sign > 0 else "inside" for sign in first.signs)
        notes.append(f"The pictures themselves tell on which side of focus they are: {sides}.")
        return first, None
    notes.append(
        "On which side of focus the pictures were taken was not told, and these pictures do not"
        " show it: over- and undercorrection look alike then, and astigmatism may lie across."
        " Both answers are given; --side inside or --side outside settles it."
    )
    return first, second


def _check(best: Reached, stars: list[Stars]) -> None:
    """Refuse pictures that the fit does not explain.

    Raises
    ------
    UnfitError
        No star out of focus in this telescope, or one in focus.
    """
    unit = REFERENCE_NM * 1e-6 / stop_for(best.fitted.model.scope).aperture_mm * ARCSEC_PER_RADIAN
    for p, star in enumerate(stars):
        waves = best.fitted.get(f"defocus:{p}")
        pixel = math.exp(best.fitted.get("scale"))
        if pixel < _FINEST * unit and abs(waves) < _LARGE_WAVES:
            raise refuse(
                star.name,
                "no star out of focus, but something large: the Moon, a planet, a lamp",
                "photograph one bright star out of focus; see --how",
            )
        if abs(waves) < _LEAST_DEFOCUS:
            raise refuse(
                star.name,
                f"a star only {abs(waves):.1f} waves out of focus, or a planet",
                "turn the focuser farther, until rings and the dark middle show; see --how",
            )
        if abs(waves) > _MOST_DEFOCUS:
            raise refuse(
                star.name,
                f"a star {abs(waves):.0f} waves out of focus, or the Moon",
                "turn the focuser back until the disc shows 4 to 8 rings; see --how",
            )
        left = sureness.grain(best.fitted, p)
        if left > (_MOST_LEFT if len(set(best.signs)) == 1 else _MOST_LEFT_OF_BOTH):
            raise refuse(
                star.name,
                f"no star out of focus in this telescope: {100 * left:.0f} % of its light lies"
                " elsewhere",
                "take one bright star, alone, evenly out of focus, no Moon and no planet; and check"
                " that the kit is right",
            )


def _answer(
    kit: Kit,
    end: Reached,
    stars: list[Stars],
    held: Held,
    notes: tuple[str, ...],
    *,
    known: bool,
) -> Diagnosis:
    fitted = end.fitted
    modes = fitted.model.modes
    spread = sureness.covariance(fitted, list(end.frames))
    values = fitted.modes()
    noll = {
        j: Interval(
            value=float(v),
            low=float(v - sureness.NINETY * math.sqrt(s)),
            high=float(v + sureness.NINETY * math.sqrt(s)),
        )
        for j, v, s in zip(modes, values, np.diag(spread), strict=True)
        if isinstance(j, int)
    }
    rms, strehl = _quality(fitted.model.scope, modes, values, spread)
    basis, weight = balanced(fitted.model.scope, modes)
    units = dict(zip(modes, np.sqrt((basis**2) @ weight).tolist(), strict=True))
    told = found_faults.found(modes, values, spread, kit, held, units)
    pictures = tuple(_picture(end, p, star) for p, star in enumerate(stars))
    return Diagnosis(
        kit=kit,
        noll=noll,
        rms_waves=rms,
        strehl=strehl,
        faults=told,
        explanations=(),
        beyond={
            mode: float(v) for mode, v in zip(modes, values, strict=True) if isinstance(mode, str)
        },
        first=first_thing(told, rms),
        means=meaning(strehl),
        tells=(
            *notes,
            *found_faults.assumed(told, held),
            *_limits(end, stars, pictures),
            *_exchanged(kit, end, told, known=known),
        ),
        side_known=known,
        pictures=pictures,
        covariance=spread,
    )


def _quality(
    scope: Telescope, modes: tuple[Mode, ...], values: Array, spread: Array
) -> tuple[Interval, Interval]:
    """Return RMS error and Strehl ratio over the open pupil, at best focus, with intervals."""
    rng = np.random.default_rng(1)
    root = np.linalg.cholesky(spread + 1e-12 * np.eye(len(values)))
    draws = values + rng.standard_normal((_DRAWS, len(values))) @ root.T
    basis, weight = balanced(scope, modes)
    paths = np.concatenate((values[None], draws)) @ basis
    rms = np.sqrt((paths**2) @ weight)
    strehl = np.abs(np.exp(2j * np.pi * paths) @ weight) ** 2
    answer = []
    for row in (rms, strehl):
        low, high = np.percentile(row[1:], (5.0, 95.0))
        # Errors added at random make a wavefront worse, never better: centred on what was found.
        middle = float(np.median(row[1:]))
        value = float(row[0])
        low, high = (value + _WIDER * (end - middle) for end in (low, high))
        answer.append(Interval(value=value, low=float(max(low, 0.0)), high=float(max(high, value))))
    answer[1] = replace(answer[1], high=min(answer[1].high, 1.0))
    return answer[0], answer[1]


def _picture(end: Reached, p: int, star: Stars) -> Picture:
    fitted = end.fitted
    plate = fitted.model.plates[p]
    view = fitted.model.views(fitted.values, None, fitted.samples)[p]
    fit_ = np.stack([tones for tones, _ in view])
    own = math.exp(fitted.get("scale") + fitted.get(f"scale_own:{p}"))
    pixel = own * end.ratios[p]
    # Full width of exp(-(b f)^(5/3)): 0.47 b pixels.
    wide = fitted.get(f"blur:{p}")
    power = abs(wide) ** (5.0 / 3.0) + fitted.get(f"round:{p}") * (0.5 / max(abs(wide), 1.0)) ** (
        1.0 / 3.0
    )
    air = 0.47 * max(power, 0.0) ** 0.6 * pixel
    flat = fitted.values.copy()
    flat[: len(fitted.model.modes)] = 0.0
    best = fitted.model.views(flat, None, fitted.samples)[p]
    photo = np.where(plate.use, plate.data, fit_)
    return Picture(
        name=f"photograph {p + 1}",
        defocus_waves=fitted.get(f"defocus:{p}"),
        pixel_arcsec=own,
        frames=len(star.cuts),
        dropped=star.dropped,
        photo=_three(photo),
        fit=_three(fit_),
        perfect=_three(np.stack([tones for tones, _ in best])),
        grid_arcsec=pixel,
        left=sureness.grain(fitted, p),
        air_arcsec=air,
    )


def _three(planes: Array) -> Array:
    return np.moveaxis(np.repeat(planes, 3, axis=0) if len(planes) == 1 else planes, 0, -1)


def _limits(end: Reached, stars: list[Stars], pictures: tuple[Picture, ...]) -> tuple[str, ...]:
    """Return what these pictures cannot tell, a sentence each."""
    told = []
    if len(set(end.signs)) == 1:
        told.append(
            "All pictures are of one side of focus: a tilted camera or a star that drifted can"
            " pass for astigmatism, and soft air for spherical aberration. A picture of the"
            " other side tells them apart."
        )
    if max(len(star.cuts) for star in stars) < sureness.ENOUGH_FRAMES:
        told.append(
            "So few frames do not show what the air alone does; a burst of 30 or more, or a film of"
            " ten seconds, narrows the answer."
        )
    for picture in pictures:
        if picture.left > _MUCH_LEFT:
            told.append(
                f"In {picture.name}, {100 * picture.left:.0f} % of the light does not follow the"
                " fit: take the answer with care. Unsteady air, a rough surface of the glass, dew,"
                " or a kit that is not this telescope do that."
            )
        if abs(picture.defocus_waves) < 2.5 or abs(picture.defocus_waves) > 11.0:
            told.append(
                f"In {picture.name} the star is {abs(picture.defocus_waves):.1f} waves out of"
                " focus; 4 to 8 tell most."
            )
    return tuple(told)


def _exchanged(
    kit: Kit, end: Reached, told: tuple[found_faults.Fault, ...], *, known: bool
) -> tuple[str, ...]:
    """Return what would follow if inside and outside had been taken for each other."""
    assert kit.telescope is not None
    even = [
        f for f in told if f.name in _REVERSED and f.sure > 0.9 and f.do != found_faults.NOTHING
    ]
    if not known or not even or kit.telescope.objective != "mirror" or len(set(end.signs)) == 1:
        return ()
    return (
        "A mirror's pictures look the same with inside and outside exchanged. Inside is the"
        " eyepiece nearer the main mirror than in focus. If they were exchanged,"
        f" {' and '.join(_REVERSED[fault.name] for fault in even)}; all else stays.",
    )


_REVERSED: Final = {
    "undercorrection": "it is overcorrection",
    "overcorrection": "it is undercorrection",
    "astigmatism": "the astigmatism lies at right angles to what is said here",
}
