"""How far the focus moves while a telescope cools: its tube shrinks, and its glass.

The telescope's surfaces are laid nearer together by the tube's shrinking and curved more by the
glass's, and exact rays find the new focus. A folded telescope's focus moves by some tens of times
what its tube loses; one whose tube and mirrors are of one stuff only grows smaller, and stays in
focus.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Final

from simview.errors import FitError
from simview.kit import Telescope
from simview.telescope.cooling import GLASSES
from simview.telescope.layouts.misplaced import focused
from simview.telescope.layouts.ray_wavefront import Layout
from simview.telescope.layouts.surfaces import MIRROR, Surface
from simview.telescope.traced_faults import traced_layout

# Expansion of a tube of aluminium, 1/K. Source: tables of metals.
ALUMINIUM: Final = 23e-6


def drift_mm(
    scope: Telescope, layout: str | None, kelvin: float, *, glass: str, tube: float = ALUMINIUM
) -> float:
    """Return by how much the eyepiece has to follow outwards while all cools by `kelvin`.

    Parameters
    ----------
    layout
        As in a kit.
    glass
        Of the mirrors: a key of `simview.telescope.cooling.GLASSES`.
    tube
        Expansion of what holds them apart, 1/K.

    Returns
    -------
    float
        Positive is away from the objective. A layout without surfaces of its own is taken for a
        single mirror in its tube.

    Notes
    -----
    Source: linear expansion; exact rays. Checked by: tests/truth/test_cooling.py
    """
    try:
        surfaces = traced_layout(scope, layout, "cooling")
    except FitError:
        return (tube - GLASSES[glass].expansion) * scope.focal_length_mm * kelvin
    # Small changes are proportional to the cold: traced once, for a kelvin.
    return kelvin * _for_a_kelvin(surfaces, GLASSES[glass].expansion, tube)


@lru_cache(maxsize=64)
def _for_a_kelvin(warm: Layout, glass: float, tube: float) -> float:
    cold = replace(
        warm,
        surfaces=tuple(_shrunk(each, glass, tube) for each in warm.surfaces),
        stop_mm=warm.stop_mm * (1.0 - tube),
    )
    held = warm.image_mm * (1.0 - tube)

    def made(move: float) -> Layout:
        return replace(cold, image_mm=held + move)

    turned = sum(each.behind == MIRROR for each in warm.surfaces) % 2
    return focused(made, 0.0) * (-1.0 if turned else 1.0)


def _shrunk(surface: Surface, glass: float, tube: float) -> Surface:
    """Return a surface a kelvin colder; a length l becomes l (1 - expansion)."""
    fourth, sixth = surface.powers
    return replace(
        surface,
        z_mm=surface.z_mm * (1.0 - tube),
        curvature=surface.curvature / (1.0 - glass),
        powers=(fourth / (1.0 - glass) ** 3, sixth / (1.0 - glass) ** 5),
    )
