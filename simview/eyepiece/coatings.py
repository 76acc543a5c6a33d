"""Light that the surfaces of a lens pass, bare or with a single quarter-wave layer.

Normal incidence, absorption in the glass left out (a few thousandths at these thicknesses).
"""

from __future__ import annotations

from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview.eyepiece.trace import System

Floats = NDArray[np.float64]
Coat = Literal["bare", "single", "multi"]

# Refractive index of magnesium fluoride in the visible; Dodge 1984, Applied Optics 23, 1980
# (ordinary ray 1.378 at 550 nm); its dispersion of 0.3 % is left out.
LAYER_INDEX: Final = 1.378

# Wavelength that the layer is made for, nm: a quarter wave thick there. Common practice.
LAYER_NM: Final = 550.0

# Reflection of one surface with a broad-band stack. Common practice, no source.
BROAD_BAND: Final = 0.005


def reflection(before: Floats, behind: Floats, wavelengths_nm: Floats, coat: Coat) -> Floats:
    """Return the fraction that one surface reflects at normal incidence.

    Cemented surfaces (glass on both sides) are never coated.

    Parameters
    ----------
    before, behind
        (n,) refractive indices at the wavelengths.
    coat
        "bare", "single" (a quarter wave of MgF2 at 550 nm) or "multi".

    Notes
    -----
    Source: Fresnel's formula; single layer as in Born & Wolf, Principles of Optics, section
    1.6.4.
    Checked by: tests/truth/test_lens_coatings.py
    """
    bare = ((behind - before) / (behind + before)) ** 2
    cemented = (before > 1.0) & (behind > 1.0)
    if coat == "bare":
        return np.asarray(bare)
    if coat == "multi":
        return np.where(cemented, bare, np.minimum(bare, BROAD_BAND))
    first = (before - LAYER_INDEX) / (before + LAYER_INDEX)
    second = (LAYER_INDEX - behind) / (LAYER_INDEX + behind)
    phase = np.pi * LAYER_NM / wavelengths_nm
    both = first**2 + second**2
    cross = 2.0 * first * second * np.cos(phase)
    coated = (both + cross) / (1.0 + (first * second) ** 2 + cross)
    return np.where(cemented | (before == behind), bare, coated)


def transmission(optics: System, coat: Coat) -> Floats:
    """Return the fraction of light that all surfaces together pass, (n,).

    Light reflected twice reaches the eye as a ghost or a veil and is not counted.
    """
    passed = np.ones(len(optics.wavelengths_nm))
    for k in range(len(optics.curvature)):
        passed *= 1.0 - reflection(
            optics.index[k], optics.index[k + 1], optics.wavelengths_nm, coat
        )
    return passed
