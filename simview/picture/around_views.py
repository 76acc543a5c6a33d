"""What a sheet says around a view: through what, the air's prism, what brightness goes by."""

from __future__ import annotations

import re
from typing import Final

import numpy as np

from simview.air import refraction
from simview.kit import Kit
from simview.picture.captions import BRIGHTNESS, instrument
from simview.picture.drawing import text
from simview.picture.drawing.tongue import ENGLISH, N_, say, spoken
from simview.power.figures import naked_pupil_mm
from simview.power.splitting import rayleigh_arcsec
from simview.view import View

# Kinds of telescope that a name begins with where a word gave it: "Refractor 60/700".
_KIND_FIRST: Final = re.compile(r"^([A-Z][a-z]+(?: [a-z]+)*) (\d[\d.]*/\d[\d.]*)$")

# Kinds that are named after people keep their capital.
_PEOPLE: Final = ("Newton", "Dobson", "Maksutov", "Schmidt", "Cassegrain", "Gregor")

# Figures that are read with a vowel first: 8, 11, 18, 80 to 89, 800 ...
_VOWEL_FIRST: Final = re.compile(r"^(8|11(?!\d)|18(?!\d))")


def through(kit: Kit) -> str:
    """Return an instrument as it follows "seen through": in English with its article.

    A proper name keeps its place and gets none: nobody knows whether it takes one.
    """
    told = instrument(kit)
    if spoken() != ENGLISH:
        return told
    kind = _KIND_FIRST.match(told)
    if kind is not None:
        first = kind[1][0] if kind[1].startswith(_PEOPLE) else kind[1][0].lower()
        told = f"{kind[2]} {first}{kind[1][1:]}"
    if not told[:1].isdigit():
        return told
    return f"an {told}" if _VOWEL_FIRST.match(told) else f"a {told}"


# From this share of the Airy disc's diameter on a sheet says how far the air's prism draws a star
# out between the wavelengths at which an eye's response is half of its greatest (V, CIE 1924: 510
# and 610 nm). The share is a choice: there a white star is about a tenth longer than wide.
_PRISM_SHARE: Final = 0.2
_PRISM_NM: Final = (510.0, 610.0)


def prism_note(view: View) -> tuple[str, ...]:
    """Return that the air draws stars out in colours, where that shows; () elsewhere."""
    aperture_mm = view.beam.aperture_mm
    if view.target.kind not in ("double", "stars") or aperture_mm <= 0.0:
        return ()
    blue, red = refraction.dispersion_arcsec(view.sky, np.array(_PRISM_NM))
    smear = abs(float(blue - red))
    if smear < _PRISM_SHARE * 2.0 * rayleigh_arcsec(aperture_mm):
        return ()
    words = N_(
        "At {height}° the air is a prism: it draws stars out by {length}, blue towards the zenith;"
        " higher up they are rounder."
    )
    told = {"height": f"{view.sky.altitude_deg:.0f}", "length": text.angle(smear)}
    return (say(words, **told),)


def brightness_note(view: View) -> str:
    """Return against what a view's brightness is told; empty where none is."""
    if view.target.kind == "double":
        return ""
    if view.target.luminance_cd_m2 is None or view.target.by_day:
        return say(BRIGHTNESS)
    words = N_("Surface brightness: against the naked eye's view, its pupil {pupil} mm.")
    return say(words, pupil=text.figure(naked_pupil_mm(view.target, view.sky, view.observer)))
