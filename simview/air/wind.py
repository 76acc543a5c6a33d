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


# The air over a site near sea level at night, in three parts: 0 to 0.5 km, 0.5 to 5 km and above.
# Their shares are the integrals of the Hufnagel-Valley profile "5/7", which is the profile of just
# the seeing that a Sky has by itself (r0 of 5 cm, 2.0 arcsec):
#
#     Cn2(h) = 0.00594 (W / 27)^2 (1e-5 h)^10 exp(-h / 1000) + 2.7e-16 exp(-h / 1500)
#              + 1.7e-14 exp(-h / 100)        h in m, W = 21 m/s
#
# and their winds are the means, as the power 5/3, of Bufton's v(h) = vg + 30 exp(-((h - 9400) /
# 4800)^2) m/s. The wind at the ground, vg = 3 m/s, is the one that goes with the profile: W is the
# RMS wind from 5 to 20 km (from memory), and 2.75 m/s make it 21.0, 3 m/s 21.2. Directions and
# boil times are choices, not measurements: a wind that veers with height, and patterns that last
# longer below.
# Source: Hufnagel 1974, Topical Meeting on Optical Propagation through Turbulence, WA1; Valley
# 1980, Appl. Opt. 19, 574; Bufton 1973, Appl. Opt. 12, 1785; all as Andrews & Phillips 2005, Laser
# Beam Propagation through Random Media, chapter 12, give them.
# Checked by: tests/truth/test_wind.py
LAYERS: Final = (
    Layer(share=0.807, wind_m_s=3.7, direction_deg=20.0, boil_s=0.5),
    Layer(share=0.129, wind_m_s=6.2, direction_deg=-5.0, boil_s=0.35),
    Layer(share=0.064, wind_m_s=25.1, direction_deg=-35.0, boil_s=0.25),
)


def mean_wind_m_s(layers: Sequence[Layer] = LAYERS) -> float:
    """Return the wind that carries the turbulence on the whole: its mean as the power 5/3.

    Source: Roddier 1981, Progress in Optics 19, 281.
    """
    shares = sum(layer.share for layer in layers)
    power = sum(layer.share / shares * layer.wind_m_s ** (5.0 / 3.0) for layer in layers)
    return float(power**0.6)
