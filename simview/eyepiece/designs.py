"""What is usual for an eyepiece design, where its maker says nothing.

Common practice, no single source: the apparent fields and element counts of the classic types
as the trade quotes them. The light that gets through follows from the number of surfaces
between air and glass and from the coating usual for the type.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from simview.kit import Design, Eyepiece

Coating = Literal["none", "single", "multi"]

# Light that one surface between air and glass passes. "none" is Fresnel's formula at normal
# incidence, 1 - ((n - 1) / (n + 1))^2, for n = 1.5168 (N-BK7 at 587.6 nm, Schott data sheet);
# the others are common practice for a quarter-wave layer of MgF2 and for a broad-band coating.
SURFACE_TRANSMISSION: Final[dict[Coating, float]] = {
    "none": 1.0 - (0.5168 / 2.5168) ** 2,
    "single": 0.985,
    "multi": 0.995,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """What is usual for a design.

    Parameters
    ----------
    apparent_field_deg
        Full diameter.
    surfaces
        Between air and glass.
    coating
        Of those surfaces.
    """

    apparent_field_deg: float
    surfaces: int
    coating: Coating

    @property
    def transmission(self) -> float:
        """Light that all surfaces together pass, 0 to 1."""
        return SURFACE_TRANSMISSION[self.coating] ** self.surfaces


# Common practice, no source. Fields: the middle of the range that the trade quotes (Huygens 25
# to 40, Ramsden 30 to 35, Kellner 40 to 45, orthoscopic 40 to 45, Ploessl 50 to 52, Erfle 60 to
# 68, modern wide-angle 65 to 70 deg). Surfaces: two for each cemented group. The two simple
# types are the ones that come uncoated with toys. "unknown" is taken for a Kellner-like piece.
USUAL: Final[dict[Design, Usual]] = {
    "huygens": Usual(apparent_field_deg=32.0, surfaces=4, coating="none"),
    "ramsden": Usual(apparent_field_deg=32.0, surfaces=4, coating="none"),
    "kellner": Usual(apparent_field_deg=42.0, surfaces=4, coating="single"),
    "orthoscopic": Usual(apparent_field_deg=43.0, surfaces=4, coating="single"),
    "plossl": Usual(apparent_field_deg=50.0, surfaces=4, coating="single"),
    "erfle": Usual(apparent_field_deg=64.0, surfaces=6, coating="single"),
    "wide": Usual(apparent_field_deg=68.0, surfaces=10, coating="multi"),
    "unknown": Usual(apparent_field_deg=42.0, surfaces=4, coating="single"),
}


def apparent_field_deg(eyepiece: Eyepiece) -> float:
    """Return the stated apparent field, or what is usual for the design, in degrees."""
    stated = eyepiece.apparent_field_deg
    return USUAL[eyepiece.design].apparent_field_deg if stated is None else stated


def transmission(eyepiece: Eyepiece) -> float:
    """Return the stated transmission, or what is usual for the design, 0 to 1."""
    stated = eyepiece.transmission
    return USUAL[eyepiece.design].transmission if stated is None else stated
