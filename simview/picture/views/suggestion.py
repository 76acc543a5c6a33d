"""What a power is worth, and which of the kit's own pieces suits the object better."""

from __future__ import annotations

from typing import Final

from simview.eyepiece.train import beam
from simview.picture import captions
from simview.picture.drawing import text
from simview.picture.drawing.tongue import N_, say
from simview.picture.retelling import spoken_words
from simview.power.records import Marks, State
from simview.power.suits import WIDE, suiting_power
from simview.power.words import joined, said
from simview.view import View

_MORE: Final = N_("With more power there is more to see here: this kit's {pieces} gives {power}.")
_BRIGHTER: Final = N_(
    "Less power shows about as much here, and brighter: this kit's {pieces} gives {power}."
)
_LESS: Final = N_("Less power shows more here: this kit's {pieces} gives {power}.")


def worth(view: View, found: Marks, state: State) -> tuple[str, ...]:
    """Return in words what a power of one state is worth, from the fullest wording down."""
    return joined(said(view.target.kind, state, found, view.kit.telescope), spoken_words)


def better_power(seen: View, found: Marks) -> float | None:
    """Return the power of the kit's own pieces that suits the object better; None for none."""
    return suiting_power(seen.kit, found, seen.target.kind, seen.beam.power)


def note(seen: View, power: float | None) -> tuple[str, ...]:
    """Return a sentence on the pieces that give a better power; () where there is none."""
    if power is None:
        return ()
    own = beam(seen.kit, power=power, eye_pupil_mm=seen.eye.pupil_mm)
    less = _LESS if seen.target.kind in WIDE else _BRIGHTER
    words = _MORE if power > seen.beam.power else less
    return (say(words, pieces=captions.pieces(own, seen.kit), power=text.times(power)),)
