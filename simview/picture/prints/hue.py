"""How far colour is seen in a light: none by rods alone, all by day, less where it dazzles."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from simview.picture.prints.choices import (
    COLOUR_HEADROOM,
    CONES_UNADAPTED_TD,
    HUE_FROM_TD,
    HUE_NOISE_TD,
    HUE_RISE,
    HUE_SOFT,
    HUE_WHOLE_TD,
    LEAST_PURE,
)
from simview.picture.prints.response import Adaptation

Floats = NDArray[np.float64]


def colourfulness(light_td: Floats | float, purity: Floats | float = 1.0) -> Floats:
    """Return how far colour vision is awake before cones' light: 0 in rod vision, 1 in daylight.

    At the fovea, where observers hold what they look at, there is no light of one wavelength that
    cones see without its hue: the photochromatic interval is none. So hue begins at the cones' own
    threshold, and is whole where cones alone see, in CIE 191:2010's mesopic photometry; in between
    it grows with the logarithm of light, as the cones' share does there. Of light that is partly
    white only the other part (`purity`, 0 to 1) has a hue: that has to reach the threshold, and to
    be noticed in the noise of all the light: where that is more than the cones' own, pale light
    needs more of itself by its root.

    Source: no interval in the fovea: Parsons 1915, An Introduction to the Study of Colour Vision;
    Wald 1945, Science 101, 653; CIE 191:2010; a contrast just noticed in dim light goes with the
    square root of light: de Vries 1943, Physica 10, 553; Rose 1948, J. Opt. Soc. Am. 38, 196 (all
    from memory). See HUE_FROM_TD, HUE_WHOLE_TD.
    Checked by: tests/truth/test_nebula_colour.py
    """
    return np.asarray(waking(hue_light(light_td), hue_noise(light_td), purity))


def hue_light(light_td: Floats | float) -> Floats:
    """Return the logarithm of cones' light over that at which hue begins."""
    return np.asarray(np.log(np.maximum(np.asarray(light_td, float), 1e-12) / HUE_FROM_TD))


def hue_noise(light_td: Floats | float) -> Floats:
    """Return the logarithm of how much more than in the dark pale hues need in this light.

    By day, where cones alone see, a hue just noticed no longer grows with light's noise: Weber's
    law holds (van Nes & Bouman 1967, J. Opt. Soc. Am. 57, 401; memory).
    """
    noisy = np.clip(np.asarray(light_td, float), 0.0, HUE_WHOLE_TD)
    return np.asarray(0.5 * np.log1p(noisy / HUE_NOISE_TD))


def waking(over: Any, noise: Any, purity: Any) -> Any:
    """Return `colourfulness` for the `hue_light` and `hue_noise` of a light."""
    part = np.log(np.maximum(purity, LEAST_PURE))
    whole = np.float32(math.log(HUE_WHOLE_TD / HUE_FROM_TD))
    above = over + part - (np.float32(1.0) - purity) * noise
    # From nothing, along a parabola, to a straight line.
    soft = np.float32(HUE_SOFT)
    turned = np.clip(above + soft, 0.0, 2.0 * soft)
    shown = turned * turned / (4.0 * soft) + np.maximum(above - soft, 0.0)
    return np.asarray(np.clip(shown / (whole + part), 0.0, 1.0) ** np.float32(HUE_RISE))


def unsaturated(light_td: Floats | float, adaptation: Adaptation) -> Floats:
    """Return how much of its colour a light keeps where cones come near their most, 1 down to 0.

    Each kind of cone answers along its own curve, so of a dazzling light they all give nearly
    the same: a small difference of light becomes this share of it in the answer. Adaptation pools
    light over more than a small bright thing, so Venus is white and the Moon keeps its tints.

    Source: the logarithmic slope of Naka & Rushton's curve.
    """
    pooled = adaptation.white_td if adaptation.pooled_td is None else adaptation.pooled_td
    half = COLOUR_HEADROOM * min(adaptation.white_td, pooled) + CONES_UNADAPTED_TD
    return np.asarray(half / (np.asarray(light_td, float) + half))
