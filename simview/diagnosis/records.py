"""The record of a diagnosis: numbers, intervals, words; for the sheet, JSON and the kit file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.diagnosis.comparison import Explanation
from simview.diagnosis.found_faults import MARECHAL, NOTHING, Fault, Interval
from simview.diagnosis.pattern import basis_of
from simview.kit import Kit, Wavefront
from simview.telescope.wavefront import zernike

Plane = NDArray[np.float64]
Array = NDArray[Any]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """One photograph beside its fit.

    Parameters
    ----------
    name
        "photograph 1" and so on: a recipe holds no names of files.
    defocus_waves
        At 550 nm; negative is inside focus.
    pixel_arcsec
        Of the photograph, as the fit found it.
    frames, dropped
        How many frames were averaged, and how many left out.
    photo, fit, perfect
        (m, m, 3) linear light, of the photograph, of the fit, and of the same telescope without
        any error; the same grid.
    grid_arcsec
        Side of that grid's pixel.
    left
        What the fit leaves, against the disc's brightness.
    air_arcsec
        Width of the blur by air and camera, FWHM.
    """

    name: str
    defocus_waves: float
    pixel_arcsec: float
    frames: int
    dropped: int
    photo: Plane
    fit: Plane
    perfect: Plane
    grid_arcsec: float
    left: float
    air_arcsec: float

    def figures(self) -> dict[str, Any]:
        """Return it for JSON."""
        return {
            "defocus_waves": self.defocus_waves,
            "pixel_arcsec": self.pixel_arcsec,
            "frames": self.frames,
            "frames_left_out": self.dropped,
            "left": self.left,
            "air_arcsec": self.air_arcsec,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """Which photographs were given and how they were held: what makes a diagnosis again.

    Parameters
    ----------
    fingerprints
        SHA-256 of each photograph.
    sides
        As told, for each.
    up_deg, mirrored
        As `diagnose` takes them.
    """

    fingerprints: tuple[str, ...] = ()
    sides: tuple[str, ...] = ()
    up_deg: float | None = None
    mirrored: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Diagnosis:
    """What is wrong with a telescope, from photographs of a star.

    Parameters
    ----------
    kit
        With which they were taken.
    noll
        Noll index to RMS waves at 550 nm; angles as in the photograph.
    rms_waves, strehl
        Of the whole wavefront, focus and tilt left out; the latter at 550 nm.
    faults
        The strongest first.
    explanations
        The likeliest combinations of faults, best first.
    first
        What to do first, in words.
    means
        What it means at the eyepiece, in words.
    tells
        What these pictures cannot tell, or what was found about them, a sentence each.
    side_known
        False where inside and outside focus could be exchanged: then `other` is the other answer.
    pictures
        Beside their fits.
    covariance
        (modes, modes) of the wavefront, waves RMS squared.
    beyond
        Strengths of what is no polynomial, waves at the crest.
    other
        The other answer, or None.
    taken
        Which photographs, and how they were held.
    """

    kit: Kit
    noll: dict[int, Interval]
    rms_waves: Interval
    strehl: Interval
    faults: tuple[Fault, ...]
    explanations: tuple[Explanation, ...]
    first: str
    means: str
    tells: tuple[str, ...]
    side_known: bool
    pictures: tuple[Picture, ...]
    covariance: Array
    beyond: Mapping[str, float] = field(default_factory=dict)
    other: Diagnosis | None = None
    taken: Taken = field(default_factory=Taken)

    def __repr__(self) -> str:
        main = self.faults[0]
        return (
            f"<Diagnosis: Strehl {self.strehl.value:.2f} ({self.strehl.low:.2f} to"
            f" {self.strehl.high:.2f}), {self.rms_waves.value:.3f} waves RMS, mainly {main.name}>"
        )

    @property
    def wavefront(self) -> Wavefront:
        """The wavefront that was found; what is no polynomial as the nearest sum of them."""
        noll = {j: interval.value for j, interval in self.noll.items()}
        for mode, waves in self.beyond.items():
            for j, part in polynomials(mode).items():
                noll[j] = noll.get(j, 0.0) + waves * part
        return Wavefront(noll=noll)

    def kit_found(self) -> Kit:
        """Return the kit with the wavefront that was found in place of its own."""
        assert self.kit.telescope is not None
        return replace(self.kit, telescope=replace(self.kit.telescope, wavefront=self.wavefront))

    def figures(self) -> dict[str, Any]:
        """Return all figures, for JSON and for a picture's metadata."""
        answer: dict[str, Any] = {
            "noll": {str(j): interval.figures("waves") for j, interval in self.noll.items()},
            "rms_waves": self.rms_waves.figures(),
            "strehl": self.strehl.figures(),
            "faults": [fault.figures() for fault in self.faults],
            "explanations": [
                {"faults": list(one.faults), "likely": one.likely} for one in self.explanations
            ],
            "do_first": self.first,
            "means": self.means,
            "cannot_tell": list(self.tells),
            "side_known": self.side_known,
            "pictures": [picture.figures() for picture in self.pictures],
        }
        if self.other is not None:
            answer["other_side"] = {
                key: value
                for key, value in self.other.figures().items()
                if key in {"noll", "rms_waves", "strehl", "faults", "do_first", "pictures"}
            }
        return answer

    def text(self) -> str:
        """Return the report in words."""
        lines = [
            f"Strehl ratio {self.strehl.value:.2f} ({self.strehl.low:.2f} to"
            f" {self.strehl.high:.2f}): {self.means}",
            f"Do first: {self.first}",
            "",
        ]
        lines += [f"- {fault.says}" for fault in self.faults]
        if self.explanations:
            told = "; ".join(
                f"{said(one.faults)}, {100.0 * one.likely:.0f} %" for one in self.explanations
            )
            lines += ["", f"Likeliest: {told}."]
        lines += ["", *(f"* {told}" for told in self.tells)] if self.tells else []
        if self.other is not None:
            lines += ["", "If the pictures were taken on the other side of focus:"]
            lines += [f"- {fault.says}" for fault in self.other.faults]
            lines += [f"  Do first then: {self.other.first}"]
        return "\n".join(lines)


_SAID: Final = {
    "edge": "turned edge",
    "zone": "a zone",
    "spherical": "under- or overcorrection",
    "coma": "out of line (coma)",
    "trefoil": "pinched",
}


def said(faults: tuple[str, ...]) -> str:
    """Return an explanation in words."""
    words = [_SAID.get(name, name) for name in (one.partition(":")[0] for one in faults)]
    return " and ".join(words) if words else "no fault worth the name"


def meaning(strehl: Interval) -> str:
    """Return what a Strehl ratio means at the eyepiece.

    Source: 0.8 is Marechal's limit; the rest is common practice, no source.
    """
    value = strehl.value
    if value >= 0.9:
        return "as good as perfect; the air will always be worse."
    if value >= 0.8:
        return "good; on planets the loss shows on the very best nights only."
    if value >= 0.6:
        return (
            "planets and close double stars lose their finest detail; all else looks as it should."
        )
    if value >= 0.35:
        return "planets look soft at any power above the middle ones; faint things hardly suffer."
    return "plainly soft: stars are no points and planets show little."


# Below this nothing has to be done, waves RMS: a Strehl ratio of 0.9, "as good as perfect" above.
_HARDLY: Final = 0.052

# What is tried first where several faults are there: what costs least and cures most often.
_ORDER: Final = (
    *("miscollimation", "coma", "pinched", "astigmatism", "overcorrection"),
    *("undercorrection", "turned-down-edge", "turned-up-edge", "zone"),
)


def first_thing(faults: tuple[Fault, ...], rms: Interval) -> str:
    """Return what to do first: the easiest cure of a fault that is sure and worth it."""
    if rms.high < 0.5 * MARECHAL:
        return "Nothing: leave all screws alone and enjoy the night."
    strongest = max(fault.waves.value for fault in faults)
    worth = [
        fault
        for fault in faults
        if fault.do != NOTHING and fault.sure > 0.9 and fault.waves.value > 0.5 * strongest
    ]
    if worth:
        return min(worth, key=lambda fault: _ORDER.index(fault.name)).do
    if rms.value < _HARDLY:
        return (
            "Leave all screws alone: no fault stands out, and what there is matters on the very"
            " best nights only."
        )
    return (
        "No single fault stands out yet. Take more frames on a steadier night: a film or a burst on"
        " either side of focus."
    )


# Polynomials that stand in a kit file for what is none: the round ones up to the eighteenth order.
_STAND_IN: Final = (4, 11, 22, 37, 56, 79, 106, 137, 172)


@lru_cache(maxsize=16)
def polynomials(mode: str) -> Mapping[int, float]:
    """Return the sum of Noll's polynomials nearest to one unit of a mode that is none."""
    side = (np.arange(200) - 99.5) / 100.0
    x, y = (plane.ravel() for plane in np.meshgrid(side, -side))
    inside = np.hypot(x, y) <= 1.0
    x, y = x[inside], y[inside]
    basis = np.stack([np.ones_like(x), *(zernike(j, x, y) for j in _STAND_IN)], axis=1)
    answer, *_ = np.linalg.lstsq(basis, basis_of(mode, x, y), rcond=None)
    # Piston is left out, and so is focus: the eyepiece is brought to it.
    return {j: float(a) for j, a in zip(_STAND_IN, answer[1:], strict=True) if j > 4}
