"""Parts of a telescope out of place: what exact rays say that does to a star in the middle.

Each function lays a part of a layout wrong, looks for the star whose picture then stands in the
middle of the field, brings it back to focus, and gives what its wavefront has more than before.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import FitError
from simview.telescope.layouts import folded, prescriptions
from simview.telescope.layouts.ray_wavefront import (
    Layout,
    centred,
    coefficients,
    scale_mm,
)

Floats = NDArray[np.float64]

_MADE: Final[dict[str, Callable[[float, float], Layout]]] = {
    "newtonian": prescriptions.newtonian,
    "refractor": prescriptions.refractor,
    "cassegrain": prescriptions.cassegrain,
    "schmidt-cassegrain": folded.schmidt_cassegrain,
    "maksutov": folded.maksutov,
}

# Which part the collimating screws of each layout tilt, and the surfaces that go with it.
TILTED: Final = {
    "newtonian": ("primary",),
    "refractor": ("crown", "flint"),
    "cassegrain": ("secondary",),
    "schmidt-cassegrain": ("secondary",),
    "maksutov": ("primary",),
}
# Parts that the focuser moves where the focal plane cannot move, and those that stand together in
# front.
_FOCUSES: Final = {
    "cassegrain": ("secondary",),
    "schmidt-cassegrain": ("primary",),
    "maksutov": ("primary",),
}
_FRONT: Final = {
    "cassegrain": ("secondary",),
    "schmidt-cassegrain": ("secondary", "corrector"),
    "maksutov": ("secondary", "corrector"),
}

_ARCMIN: Final = math.radians(1.0 / 60.0)

# Steps to focus again; each gains a digit or more.
_STEPS: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What a part out of place does to a star.

    Parameters
    ----------
    noll
        (n,) RMS waves at 550 nm by Noll's index, beyond those of the parts in place.
    shadow
        By how much the secondary's shadow moves, radii of the aperture, right and up as a
        complex number.
    star
        Where the star in the middle of the field stands off the tube's axis, radians.
    """

    noll: Floats
    shadow: complex = 0j
    star: complex = 0j

    @property
    def coma(self) -> complex:
        """Coma, waves peak to valley with tilt removed, along its flare."""
        return complex(self.noll[8], self.noll[7]) * 2.0 * math.sqrt(8.0)

    @property
    def astigmatism(self) -> complex:
        """Astigmatism, waves peak to valley, along twice its angle."""
        return complex(self.noll[6], self.noll[5]) * 2.0 * math.sqrt(6.0)

    @property
    def spherical(self) -> float:
        """Spherical aberration at best focus, waves peak to valley; positive undercorrection."""
        return float(self.noll[11]) * 1.5 * math.sqrt(5.0)


def layout_of(name: str, aperture_mm: float, focal_mm: float) -> Layout:
    """Return the layout of a telescope with these numbers.

    Raises
    ------
    FitError
        For a layout that has no prescription here, or numbers that it is not built with.
    """
    if name not in _MADE:
        raise FitError("layout", got=name, allowed=", ".join(_MADE))
    return _MADE[name](float(aperture_mm), float(focal_mm))


@lru_cache(maxsize=64)
def tilted(layout: Layout, arcmin: float, angle_deg: float) -> Change:
    """Return what the collimating screws' part does when its axis leans by a small angle.

    Parameters
    ----------
    arcmin
        Between its axis and the tube's.
    angle_deg
        To which side of the star its axis then lies, once the star is in the middle again.
    """
    names = TILTED[layout.name]
    pivot = float(np.mean([each.z_mm for each in layout.part(*names)]))
    way = complex(math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg)))

    def leaning(lean: complex) -> Layout:
        return layout.with_parts(names, lean=(lean.real, lean.imag), pivot_mm=pivot)

    # Which way it must lean so that its axis lies to that side of where the star then stands.
    small = 0.1 * _ARCMIN
    star = complex(*centred(leaning(small * way)))
    toward = 1.0 if ((small * way - star) * way.conjugate()).real > 0.0 else -1.0
    return _change(layout, leaning(toward * arcmin * _ARCMIN * way))


def star_for_lean(layout: Layout) -> float:
    """Return how far the star in the middle of the field stands off for a lean of 1 of that part.

    2 for a Newtonian (law of reflection); negative where the star stands on the other side.
    """
    names = TILTED[layout.name]
    pivot = float(np.mean([each.z_mm for each in layout.part(*names)]))
    leaning = layout.with_parts(names, lean=(_ARCMIN, 0.0), pivot_mm=pivot)
    return centred(leaning)[0] / _ARCMIN


def shifted(layout: Layout, part: str, mm: float, angle_deg: float) -> Change:
    """Return what the secondary or the corrector does when it alone stands off the axis."""
    _needs(layout, {"cassegrain": ("secondary",), "schmidt-cassegrain": ()}, f"{part}-shift")
    if not layout.part(part):
        raise FitError(f"fault {part}-shift", got=f"layout {layout.name!r}", allowed=f"a {part}")
    angle = math.radians(angle_deg)
    off = (mm * math.cos(angle), mm * math.sin(angle))
    found = _change(layout, layout.with_parts((part,), shift_mm=off))
    if part != "secondary":
        return found
    return replace(found, shadow=found.shadow + complex(*off) / (layout.aperture_mm / 2.0))


def farther_back(layout: Layout, mm: float) -> Change:
    """Return what it costs to have the focus farther behind the mirror, by the mirror's moving."""
    _needs(layout, _FOCUSES, "back-focus")
    names = _FOCUSES[layout.name]
    wanted = replace(layout, image_mm=layout.image_mm + mm)
    # The focus moves by about the square of the second mirror's magnification.
    guess = -mm / (abs(scale_mm(layout)) / (3.0 * layout.aperture_mm)) ** 2

    def made(move: float) -> Layout:
        surfaces = tuple(
            each.moved(move) if each.part in names else each for each in wanted.surfaces
        )
        return replace(wanted, surfaces=surfaces)

    return _change(layout, made(focused(made, guess)))


def wider(layout: Layout, mm: float) -> Change:
    """Return what it costs to have the front - secondary and corrector - stand farther out."""
    _needs(layout, _FRONT, "mirror-spacing")
    return _refocused(layout, _FRONT[layout.name], -mm)


def glasses_apart(layout: Layout, mm: float) -> Change:
    """Return what it costs to have the flint stand farther from the crown."""
    _needs(layout, {"refractor": ("flint",)}, "lens-spacing")
    return _refocused(layout, ("flint",), mm)


def aside(layout: Layout, arcmin: float, angle_deg: float, *, refocused: bool) -> Change:
    """Return what a star off the middle of the field shows, focused there or in the middle."""
    size, angle = arcmin * _ARCMIN, math.radians(angle_deg)
    star = (size * math.cos(angle), size * math.sin(angle))
    noll = coefficients(layout, star) - coefficients(layout)
    if refocused:
        noll[4] = 0.0
    return Change(noll=noll, star=complex(*star))


def _needs(layout: Layout, having: Mapping[str, tuple[str, ...]], fault: str) -> None:
    if layout.name not in having:
        raise FitError(
            f"fault {fault}", got=f"layout {layout.name!r}", allowed=f"layout {', '.join(having)}"
        )


def _refocused(layout: Layout, names: tuple[str, ...], move: float) -> Change:
    surfaces = tuple(each.moved(move) if each.part in names else each for each in layout.surfaces)
    moved = replace(layout, surfaces=surfaces)

    def made(shift: float) -> Layout:
        return replace(moved, image_mm=layout.image_mm + shift)

    return _change(layout, made(focused(made, 0.0)))


def focused(made: Callable[[float], Layout], guess: float) -> float:
    """Return the move that takes the wavefront's defocus away, by secants."""
    one, other = guess, guess + 0.01
    first, second = (coefficients(made(each))[4] for each in (one, other))
    for _ in range(_STEPS):
        if abs(second - first) < 1e-12:
            break
        one, other, first = other, other - second * (other - one) / (second - first), second
        second = coefficients(made(other))[4]
    return other


def _change(layout: Layout, wrong: Layout) -> Change:
    """Return what a star in the middle shows more, focused again."""
    star = centred(wrong)
    noll = coefficients(wrong, star) - coefficients(layout)
    noll[4] = 0.0
    # What hangs before the stop throws its shadow against the star's side.
    off = -complex(*star) * (layout.stop_mm - layout.secondary_mm) / (layout.aperture_mm / 2.0)
    return Change(noll=noll, shadow=off if layout.secondary_mm else 0j, star=complex(*star))
