"""Which part of the front opening is in effect: all, or what a stop or the eye leaves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from simview.errors import FitError, require_range
from simview.kit import Telescope
from simview.telescope.pupil import Shape
from simview.telescope.terms import NO_EXTRAS, Extras

# Shadows smaller than this against the aperture change nothing that can be computed.
_LEAST_SHADOW: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """The effective opening of a telescope: its diameter, what hides it, what dew leaves clear."""

    aperture_mm: float
    crop: float
    shape: Shape
    clear: float = 1.0

    @property
    def obstruction(self) -> float:
        """Diameter of the shadow against this opening."""
        return self.shape.obstruction

    @property
    def vane_ratio(self) -> float:
        """Thickness of a vane against this opening."""
        return self.shape.vane_ratio


def stop_for(
    scope: Telescope,
    aperture_mm: float | None = None,
    obstruction: float | None = None,
    extras: Extras = NO_EXTRAS,
) -> Stop:
    """Return the opening that is in effect.

    Parameters
    ----------
    aperture_mm
        Effective aperture, when the eye stops the telescope down; None for the working one.
    obstruction
        Diameter of the secondary against *that* aperture; None computes it.
    extras
        Faults that hide parts of the pupil or move its shadow.

    Raises
    ------
    RangeError, FitError
        When the aperture is larger than the telescope's or all of it lies in the shadow.
    """
    full = scope.working_aperture_mm
    diameter = full if aperture_mm is None else float(aperture_mm)
    require_range("effective aperture_mm", diameter, 0.1, full * (1.0 + 1e-9), unit="mm")
    crop = diameter / scope.aperture_mm
    own = scope.obstruction if extras.obstruction is None else extras.obstruction
    shadow = own / crop
    shadow = shadow if obstruction is None else float(obstruction)
    if not 0.0 <= shadow <= 0.98:
        raise FitError(
            "effective aperture",
            got=f"{diameter:g} mm, {100 * shadow:.0f} % of its width in the secondary's shadow",
            allowed="a shadow up to 98 % of the width",
            remedy="use a higher power",
        )
    shadow = shadow if shadow > _LEAST_SHADOW else 0.0
    shape = Shape(
        obstruction=shadow,
        vanes=scope.vanes,
        vane_ratio=min(scope.vane_mm / diameter, 0.5) if scope.vanes else 0.0,
        shadow_x=extras.shadow_x / crop,
        shadow_y=extras.shadow_y / crop,
        clips=extras.clips,
        clip_width=extras.clip_width / crop,
        clip_depth=max(0.0, 0.5 - (0.5 - extras.clip_depth) / crop),
        lit_x=extras.lit_x / crop,
        lit_y=extras.lit_y / crop,
        lit_radius=extras.lit_radius / crop,
    )
    return Stop(aperture_mm=diameter, crop=crop, shape=shape, clear=extras.clear)
