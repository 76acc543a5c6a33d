"""Filters before the eyepiece: what light they pass, and what that leaves to the eye.

The bands are generic: what such filters are commonly made to pass, not any one maker's curve.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eye.colour import response
from simview.eyepiece.beam import Beam
from simview.kit import Observer
from simview.scene.spectrum import NEBULA_LINES, WAVELENGTHS_5NM, primaries

Values = NDArray[np.float64]

# Bands that pass, nm, and the share of light that passes in them. Common practice, no source: the
# lines of oxygen at 496 and 501 nm; those and H-beta at 486; H-beta alone; everything but the
# lamps' sodium (569, 589, 615) and mercury lines (546, 577). Their flanks are taken as upright.
BANDS: Final[dict[str, tuple[tuple[float, float, float], ...]]] = {
    "none": ((0.0, 1e4, 1.0),),
    "town-light": ((430.0, 535.0, 0.90), (630.0, 750.0, 0.90)),
    "narrow-band": ((482.0, 506.0, 0.92),),
    "oxygen": ((493.0, 505.0, 0.90),),
    "hydrogen": ((481.5, 490.5, 0.90),),
}

# Steps in which a band's share of a wavelength's cell is found, nm.
_STEP_NM: Final = 0.1


def passed(name: str, wavelength_nm: float) -> float:
    """Return the share of light of one wavelength that a filter passes, 0 to 1."""
    return max((t for low, high, t in BANDS[name] if low <= wavelength_nm <= high), default=0.0)


@cache
def curve(name: str) -> Values:
    """Return (81,) a filter's mean transmission around each wavelength of the eye's tables."""
    half = 2.5
    inside = np.arange(-half + _STEP_NM / 2.0, half, _STEP_NM)
    found = np.array([np.mean([passed(name, w + d) for d in inside]) for w in WAVELENGTHS_5NM])
    found.setflags(write=False)
    return found


@cache
def white_share(name: str) -> float:
    """Return the share of white light's effect on rods that a filter passes.

    Rods judge what is faint; stars, galaxies and the sky's glow are taken as white.

    Checked by: tests/truth/test_filters.py
    """
    white = primaries().sum(axis=0) * response()[3]
    return float((white * curve(name)).sum() / white.sum())


@cache
def line_share(name: str) -> float:
    """Return the share of a nebula's lines' effect on rods that a filter passes.

    Checked by: tests/truth/test_filters.py
    """
    rods = [energy * np.interp(w, WAVELENGTHS_5NM, response()[3]) for w, energy in NEBULA_LINES]
    kept = [light * passed(name, w) for light, (w, _) in zip(rods, NEBULA_LINES, strict=True)]
    return float(sum(kept) / sum(rods))


def gain(name: str) -> float:
    """Return how many times better a nebula's lines stand out from the sky's light for rods."""
    return line_share(name) / white_share(name)


def filtered(beam: Beam, observer: Observer) -> Beam:
    """Return the beam as the observer's filter leaves it: dimmer by what rods lose of white."""
    if observer.filter == "none":
        return beam
    return replace(beam, transmission=beam.transmission * white_share(observer.filter))
