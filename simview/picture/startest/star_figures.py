"""The figures of a star test: what the optics keep of a perfect star."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from simview.kit import Sky, Telescope
from simview.picture.startest.starlight import star_colour
from simview.picture.startest.words import own_faults
from simview.telescope.contrast_transfer import Contrast, contrast
from simview.telescope.faults import Afflicted, Fault, apply_faults
from simview.telescope.opening import REFERENCE_NM, stop_for
from simview.telescope.quality import pv_waves, rms_waves, strehl
from simview.telescope.star import point_spread
from simview.telescope.terms import NO_EXTRAS, Extras
from simview.units import ARCSEC_PER_RADIAN

# First dark ring of a clear circle, wavelength / aperture. Source: Born & Wolf, section 8.5.2.
AIRY_RADIUS: Final = 1.2197

# Pixels across for the light in the Airy disc, and their side in wavelength / aperture.
_PIXELS: Final = 64
_PIXEL: Final = 0.25

# Names of the frequencies at which contrast is told, parts of the aperture's limit.
_NAMES: Final = ("quarter", "half", "three_quarters")

# A telescope that keeps this much of a perfect star's peak, in white light, shows no fault that
# the air would let through. A choice.
FAULTLESS: Final = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class StarFigures:
    """What a telescope keeps of a perfect star.

    Parameters
    ----------
    strehl
        Peak against the same pupil without error, 550 nm.
    strehl_white
        The same in white light: what colour errors cost is in it.
    rms_waves, pv_waves
        Of the wavefront at 550 nm, tilt removed.
    encircled_airy
        Share of all light inside the perfect, unobstructed telescope's first dark ring, 550 nm.
    contrast
        None where it was not asked for.
    """

    strehl: float
    strehl_white: float
    rms_waves: float
    pv_waves: float
    encircled_airy: float
    contrast: Contrast | None

    def row(self, faults: Sequence[Fault]) -> dict[str, Any]:
        """Return one row for JSON."""
        row: dict[str, Any] = {
            "faults": by_name(faults),
            "strehl": self.strehl,
            "rms_waves": self.rms_waves,
            "pv_waves": self.pv_waves,
            "encircled_airy": self.encircled_airy,
            "strehl_white": self.strehl_white,
        }
        if self.contrast is not None:
            told = zip(_NAMES, self.contrast.at_parts, strict=True)
            row |= {f"mtf_{name}": value for name, value in told}
        return row


def by_name(faults: Sequence[Fault]) -> dict[str, float]:
    """Return faults as name to amount; a name that comes again is counted: "zone 2"."""
    found: dict[str, float] = {}
    for fault in faults:
        name, number = fault.name, 1
        while name in found:
            number += 1
            name = f"{fault.name} {number}"
        found[name] = fault.amount
    return found


def figures_of(
    scope: Telescope,
    *,
    extras: Extras = NO_EXTRAS,
    sky: Sky | None = None,
    with_contrast: bool = True,
) -> StarFigures:
    """Return the figures of a telescope in focus.

    Checked by: tests/unit/picture/test_star_figures.py
    """
    return StarFigures(
        strehl=strehl(scope, sky=sky, extras=extras),
        strehl_white=strehl_white(scope, sky=sky, extras=extras),
        rms_waves=rms_waves(scope, extras=extras),
        pv_waves=pv_waves(scope, extras=extras),
        encircled_airy=encircled_airy(scope, extras=extras, sky=sky),
        contrast=contrast(scope, extras=extras) if with_contrast else None,
    )


def strehl_white(scope: Telescope, *, extras: Extras = NO_EXTRAS, sky: Sky | None = None) -> float:
    """Return the Strehl ratio in white light, weighted as an eye weighs it."""
    light = star_colour("white")
    # Every other band: the peak in white light is a smooth sum.
    return strehl(
        scope,
        wavelengths_nm=light.wavelengths_nm[::2].tolist(),
        weights=light.shares[::2].tolist(),
        sky=sky,
        extras=extras,
    )


def encircled_airy(
    scope: Telescope, *, extras: Extras = NO_EXTRAS, sky: Sky | None = None
) -> float:
    """Return the share of all light inside a perfect clear circle's first dark ring, 550 nm."""
    unit = REFERENCE_NM * 1e-6 / stop_for(scope, extras=extras).aperture_mm * ARCSEC_PER_RADIAN
    star = point_spread(
        scope, pixel_arcsec=_PIXEL * unit, pixels=_PIXELS, sky=sky, precise=True, extras=extras
    )
    return star.encircled(AIRY_RADIUS * unit)


def worst_fault(
    scope: Telescope, faults: Sequence[Fault], layout: str | None = None
) -> Fault | None:
    """Return the fault that costs most of a star's peak by itself; None where none matters.

    Without faults that were asked for, those of the telescope's own wavefront are weighed. Faults
    that cost nothing in focus (a shadow off the centre, vanes) count only among themselves.
    """
    asked = [fault for fault in faults if fault.amount or fault.name == "cooling"]
    own = own_faults(scope.wavefront)
    if not asked:
        kept = _kept(apply_faults(scope, ()))
        asked = list(own) if kept < FAULTLESS else []
    if len(asked) < 2:
        return asked[0] if asked else None
    from dataclasses import replace

    from simview.kit import Wavefront

    bare = replace(scope, wavefront=Wavefront())
    return min(
        asked, key=lambda fault: round(_kept(apply_faults(bare, (fault,), layout=layout)), 4)
    )


def _kept(found: Afflicted) -> float:
    return strehl(
        found.scope, wavelengths_nm=(470.0, 550.0, 630.0), sky=found.sky, extras=found.extras
    )
