"""A mask: a ring of cardboard over the front, where the optics gain from one."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from simview.advice.rules.optics_rules import QUARTER_WAVE, SIDGWICK, WAVELENGTH_MM, colour_index
from simview.advice.sights import PLANET
from simview.advice.speech import N_, Said, length, say
from simview.kit import Kit, Observer, Sky, Telescope
from simview.units import MM_PER_INCH

# A mask must make the finest detail this much finer to be worth cutting: a choice.
WORTH_CUTTING: Final = 0.93

# Masks that are tried, as parts of the aperture.
MASKS: Final = (0.9, 0.85, 0.8, 0.75, 0.7, 0.65, 0.6, 0.55, 0.5, 0.45, 0.4)

# Powers per mm of aperture at which a mask is judged.
TRIED_PER_MM: Final = (0.2, 0.3, 0.45, 0.7, 1.0, 1.4, 2.0)

# No mask leaves the secondary's shadow wider than this part of the aperture.
WIDEST_SHADOW: Final = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Mask:
    """A ring of cardboard over the front.

    Parameters
    ----------
    diameter_mm
        Of the hole.
    why
        What it gains, with the figures.
    sum
        The arithmetic.
    """

    diameter_mm: float
    why: str
    sum: str


def best_mask(kit: Kit, sky: Sky, observer: Observer) -> Mask | None:
    """Return the hole through which most detail on a planet shows, where a mask gains anything.

    The whole light path is computed for each hole: colour, spherical aberration, diffraction,
    air and eye. Where detail gains nothing but an achromat's colour is strong, the hole that
    brings it to Sidgwick's criterion is returned.
    """
    scope = kit.telescope
    if scope is None:
        return None
    full = _finest(kit, sky, observer)
    tried = [
        (finest, hole)
        for hole in _holes(scope)
        if (finest := _finest(_masked(kit, hole), sky, observer))
    ]
    best = min(tried, key=lambda one: one[0], default=None)
    if best is not None and best[0] < WORTH_CUTTING * (full or math.inf):
        return Mask(
            diameter_mm=round(best[1]),
            why=say(_MASK_FINE, hole=length(round(best[1])), gain=_gain(full, best[0])),
            sum=f"{'—' if full is None else f'{full:.1f}″'} → {best[0]:.1f}″",
        )
    return _colour_mask(scope)


def _holes(scope: Telescope) -> list[float]:
    secondary = scope.obstruction * scope.aperture_mm
    holes = [share * scope.working_aperture_mm for share in MASKS]
    return [hole for hole in holes if hole >= 25.0 and secondary <= WIDEST_SHADOW * hole]


def _masked(kit: Kit, hole_mm: float) -> Kit:
    """Return the kit behind a mask: third-order spherical aberration falls as hole^4."""
    scope = kit.telescope
    if scope is None:
        return kit
    share = hole_mm / scope.aperture_mm
    wavefront = replace(scope.wavefront, spherical=scope.wavefront.spherical * share**4)
    masked = replace(
        scope,
        aperture_mm=hole_mm,
        stop_mm=None,
        obstruction=min(scope.obstruction / share, 0.8),
        wavefront=wavefront,
    )
    return replace(kit, telescope=masked)


def _finest(kit: Kit, sky: Sky, observer: Observer) -> float | None:
    """Return the finest detail on a planet at the kit's powers that the full aperture carries."""
    from simview.power.finest import detail_curve
    from simview.scene.targets import target

    aperture = 50.0 if kit.telescope is None else kit.telescope.working_aperture_mm
    powers = [aperture * per_mm for per_mm in TRIED_PER_MM]
    curve = detail_curve(kit, target(PLANET), powers=powers, sky=sky, observer=observer)
    return None if curve.best_period_arcsec is None else curve.best_period_arcsec / 2.0


def _colour_mask(scope: Telescope) -> Mask | None:
    if scope.objective != "achromat":
        return None
    index = colour_index(scope.aperture_mm, scope.focal_ratio)
    if index >= SIDGWICK:
        return None
    hole = math.sqrt(scope.focal_length_mm * MM_PER_INCH / SIDGWICK)
    return Mask(
        diameter_mm=round(hole),
        why=say(
            "A cardboard ring with a hole of {hole} over the front tames the violet fringes on the"
            " Moon and Venus. Take it off for everything faint.",
            hole=length(round(hole)),
        ),
        sum=f"√({scope.focal_length_mm:g} mm × {MM_PER_INCH:g} / {SIDGWICK:g})"
        f" = {hole:.0f} mm (Sidgwick)",
    )


_MASK_FINE: Final = N_(
    "A cardboard ring with a hole of {hole} over the front: planets show {gain}, at the price of"
    " light. Take it off for everything faint."
)


def _gain(full: float | None, masked: float) -> Said:
    """Return how much finer detail gets behind a mask, as people say it."""
    if full is None:
        return say("detail where there was none")
    ratio = full / masked
    if ratio >= 1.8:
        return say("detail about twice as fine")
    return say("clearly finer detail") if ratio >= 1.25 else say("slightly finer detail")


def sphere_mask_mm(focal_length_mm: float) -> float:
    """Return the hole behind which a spherical mirror is good to a quarter wave.

    Source: PV = D / (2048 F^3 lambda) = D^4 / (2048 f^3 lambda), solved for D.
    Checked by: tests/truth/test_trade_rules.py
    """
    return float((QUARTER_WAVE * 2048.0 * focal_length_mm**3 * WAVELENGTH_MM) ** 0.25)
