"""Faults as slides speak of them: each by its trade's name, with its amount in its own unit."""

from __future__ import annotations

from typing import Final

from simview.picture.drawing.tongue import N_, decimal, say
from simview.telescope.faults import Fault

_NAMES: Final = {
    "defocus": N_("defocus"),
    "spherical": N_("spherical aberration"),
    "undercorrection": N_("undercorrection"),
    "overcorrection": N_("overcorrection"),
    "coma": N_("coma"),
    "astigmatism": N_("astigmatism"),
    "trefoil": N_("trefoil"),
    "pinched": N_("pinching"),
    "turned-down-edge": N_("turned-down edge"),
    "turned-up-edge": N_("turned-up edge"),
    "zone": N_("a zone"),
    "roughness": N_("roughness"),
    "miscollimation": N_("miscollimation"),
    "secondary-shift": N_("secondary shifted"),
    "secondary-tilt": N_("secondary tilted"),
    "corrector-shift": N_("corrector shifted"),
    "back-focus": N_("focus moved back"),
    "mirror-spacing": N_("mirrors' distance"),
    "lens-spacing": N_("lenses' distance"),
    "off-axis": N_("off the axis"),
    "decentred-lens": N_("decentred lens"),
    "wedge": N_("a wedge in the lens"),
    "colour": N_("colour error"),
    "off-centre-shadow": N_("shadow off centre"),
    "secondary": N_("a secondary"),
    "vanes": N_("vanes"),
    "clips": N_("clips"),
    "dew": N_("dew"),
    "plume": N_("a plume of warm air"),
    "seeing": N_("seeing"),
}
# Of views through a mirror that is still warm, for the speaker.
WARM_MIRROR: Final = N_(
    "The seeing includes the warm air over the mirror; the plume that rises from it is left out."
)
_SIGNS: Final = {"arcmin": "′", "arcsec": "″", "mm": " mm", "%": " %"}


def fault_name(name: str) -> str:
    """Return a fault's name, as it is typed, in the language spoken."""
    if name.startswith("noll "):
        return say("Zernike form {number}", number=name.removeprefix("noll "))
    return say(_NAMES[name])


def fault_words(fault: Fault, *, brief: bool = False) -> str:
    """Return a fault with its amount; its direction and settings are left out.

    Parameters
    ----------
    brief
        True above a panel, where "After 20 minutes" has to do.
    """
    amount = decimal(f"{fault.amount:g}".replace("-", "−"))
    if fault.name == "cooling":
        return _since(fault.amount, brief=brief)
    named = fault_name(fault.name)
    if fault.unit == "waves":
        return say("{waves} waves of {fault}", waves=amount, fault=named)
    if fault.unit == "rms":
        return say("{fault}, {waves} waves RMS", waves=amount, fault=named)
    if fault.unit == "ratio":
        return say("{fault} of {share} of the aperture", share=amount, fault=named)
    return f"{named} {amount}{_SIGNS[fault.unit]}"


def _since(minutes: float, *, brief: bool) -> str:
    if not minutes:
        return say("just carried out")
    if brief:
        return say("after {minutes} min", minutes=decimal(f"{minutes:g}"))
    if minutes == 1.0:
        return say("one minute after it was carried out")
    return say("{minutes} minutes after it was carried out", minutes=decimal(f"{minutes:g}"))
