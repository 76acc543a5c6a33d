"""The wind that carries turbulent air past a telescope, layer by layer."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from simview.errors import require_range


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer of turbulent air.

    Parameters
    ----------
    share
        Of the turbulence (of r0^(-5/3)), above 0; the shares of all layers are scaled to 1.
    wind_m_s
        Speed across the line of sight, 0 to 100 m/s.
    direction_deg
        Where the pattern moves to in the picture, anticlockwise from the right; taken to
        within 6 deg.
    boil_s
        Time in which the pattern turns into one that is unlike it, over pi / 2; above 0, may be
        infinite.
    """

    share: float
    wind_m_s: float
    direction_deg: float = 0.0
    boil_s: float = math.inf

    def __post_init__(self) -> None:
        require_range("layer share", self.share, 1e-6, 1e6)
        require_range("wind_m_s", self.wind_m_s, 0.0, 100.0, unit="m/s")
        require_range("direction_deg", self.direction_deg, -360.0, 360.0, unit="deg")
        if self.boil_s != math.inf:
            require_range("boil_s", self.boil_s, 1e-3, 1e6, unit="s")


# A slow strong layer near the ground and a fast weak one high up. A choice, not a measurement: most
# turbulence lies near the ground, and the wind is strongest near the tropopause (Hufnagel 1974;
# Bufton 1973, Appl. Opt. 12, 1785: at 9.4 km, as Andrews & Phillips 2005, chapter 12, give it).
LAYERS: Final = (
    Layer(share=0.7, wind_m_s=3.0, direction_deg=20.0, boil_s=0.5),
    Layer(share=0.3, wind_m_s=18.0, direction_deg=-35.0, boil_s=0.25),
)


def mean_wind_m_s(layers: Sequence[Layer] = LAYERS) -> float:
    """Return the wind that carries the turbulence on the whole: its mean as the power 5/3.

    Source: Roddier 1981, Progress in Optics 19, 281.
    """
    shares = sum(layer.share for layer in layers)
    power = sum(layer.share / shares * layer.wind_m_s ** (5.0 / 3.0) for layer in layers)
    return float(power**0.6)
