"""From an offer to a kit that can be looked through: what is assumed is said."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from simview.advice.delivered import USUAL_ERECTING_FACTOR, as_eyepiece, focal_length_mm
from simview.advice.likely import optics_of
from simview.advice.listing import Listing, OfferedMount
from simview.advice.speech import number, say
from simview.kit import (
    Amplifier,
    Barrel,
    Binocular,
    Diagonal,
    Eyepiece,
    Kit,
    Mount,
    MountKind,
    Objective,
    Telescope,
)
from simview.starters import FOLDED_RATIO, secondary_mm

# Secondary's diameter over the aperture, where nobody has measured it: common practice, no source.
USUAL_OBSTRUCTION: Final = {"newtonian": 0.27, "cassegrain": 0.33}

# What comes with a telescope whose offer names no eyepieces, mm: common practice, no source.
USUAL_EYEPIECES_MM: Final = (25.0, 10.0)

# Light that the objective's glass or mirrors pass: common practice, no source.
USUAL_TRANSMISSION: Final = {"mirror": 0.82, "achromat": 0.90, "apochromat": 0.92, "singlet": 0.91}

# Below this a telescope whose kind is not said is taken for a lens telescope, mm: a choice.
LENS_BELOW_MM: Final = 100.0

# What a light touch does to each kind of mount: amplitude on the sky in arcsec, frequency in Hz,
# damping ratio. Common practice, no source; good to a factor of two. "small" is a table-top or
# miniature tripod.
USUAL_MOUNTS: Final[dict[str, tuple[MountKind, float, float, float]]] = {
    "small": ("tripod", 120.0, 4.0, 0.03),
    "tripod": ("tripod", 80.0, 4.0, 0.03),
    "altazimuth": ("altazimuth", 60.0, 5.0, 0.04),
    "equatorial": ("equatorial", 60.0, 5.0, 0.04),
    "rocker": ("rocker", 40.0, 6.0, 0.08),
    "hand": ("hand", 0.0, 5.0, 0.03),
    "fixed": ("fixed", 0.0, 5.0, 0.03),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferKit:
    """A kit made from an offer, and what had to be assumed for it.

    Parameters
    ----------
    kit
        The offer as such things usually are.
    best
        The offer with everything that it does not say at its best.
    assumed
        What `kit` assumes, in words.
    optics
        How good the optics are taken to be, in a sentence; empty where the offer settles it.
    """

    kit: Kit
    best: Kit
    assumed: tuple[str, ...]
    optics: str = ""


def offer_kit(listing: Listing) -> OfferKit | None:
    """Return the offer as a kit, or None where too little is said to look through it."""
    assumed: list[str] = []
    if listing.instrument != "telescope":
        kit = _hand_held(listing, assumed)
        return None if kit is None else OfferKit(kit=kit, best=kit, assumed=tuple(assumed))
    scope = _telescope(listing, assumed)
    if scope is None:
        return None
    optics = optics_of(listing)
    barrel = listing.barrel or "1.25in"
    kit = Kit(
        telescope=replace(scope, wavefront=optics.likely),
        eyepieces=_eyepieces(listing, scope, assumed),
        amplifiers=_amplifiers(listing, barrel, assumed),
        diagonal=_diagonal(listing, barrel),
        mount=offer_mount(listing.mount, assumed),
        name=listing.name,
        layout=listing.layout,
        focuser=barrel,
        claimed_power=listing.claimed_power,
        price=listing.price,
        currency=listing.currency,
    )
    best = replace(
        kit,
        telescope=replace(scope, wavefront=optics.best),
        eyepieces=kit.eyepieces if listing.eyepieces else _good_pair(scope, barrel),
        mount=_firm() if listing.mount is None or listing.mount.kind is None else kit.mount,
    )
    return OfferKit(kit=kit, best=best, assumed=tuple(assumed), optics=optics.says or "")


def _good_pair(scope: Telescope, barrel: Barrel) -> tuple[Eyepiece, ...]:
    """Return a long and a short eyepiece that leave nothing to wish."""
    sizes = (min(32.0, 5.0 * scope.focal_ratio), max(4.0, 0.8 * scope.focal_ratio))
    return tuple(Eyepiece(focal_length_mm=size, design="plossl", barrel=barrel) for size in sizes)


def _firm() -> Mount:
    kind, tap, hertz, damping = USUAL_MOUNTS["rocker"]
    return Mount(kind=kind, tap_arcsec=tap, frequency_hz=hertz, damping=damping)


def _hand_held(listing: Listing, assumed: list[str]) -> Kit | None:
    power, aperture = listing.binocular_power, listing.aperture_mm
    if (
        power is None
        or aperture is None
        or not (2.0 <= power <= 60.0 and 10.0 <= aperture <= 250.0)
    ):
        return None
    if listing.mount is None:
        assumed.append(say("held by hand"))
    mount = Mount(kind="hand") if listing.mount is None else offer_mount(listing.mount, assumed)
    return Kit(
        binocular=Binocular(
            power=power, aperture_mm=aperture, true_field_deg=listing.true_field_deg
        ),
        mount=mount,
        name=listing.name,
        price=listing.price,
        currency=listing.currency,
    )


def _telescope(listing: Listing, assumed: list[str]) -> Telescope | None:
    aperture, focal = listing.aperture_mm, focal_length_mm(listing)
    if aperture is None or focal is None or not 1.5 <= focal / aperture <= 200.0:
        return None
    objective = _objective(listing, aperture, assumed)
    # A plain mirror that says no more is a Newtonian: its secondary hangs on a spider.
    plain = objective == "mirror" and listing.layout is None and focal / aperture < FOLDED_RATIO
    newtonian = listing.layout == "newtonian" or plain
    if newtonian:
        assumed.append(say("four thin vanes"))
    obstruction = listing.obstruction
    if obstruction is None:
        obstruction = (
            USUAL_OBSTRUCTION.get(listing.layout or "", 0.0) if objective == "mirror" else 0.0
        )
        if plain:
            obstruction = secondary_mm(aperture, focal) / aperture
        if obstruction:
            assumed.append(
                say(
                    "a secondary mirror of {share} % of the aperture",
                    share=number(100.0 * obstruction),
                )
            )
    return Telescope(
        aperture_mm=aperture,
        focal_length_mm=focal,
        obstruction=obstruction,
        # Four vanes of a millimetre: common practice, no source.
        vanes=4 if newtonian else 0,
        vane_mm=1.0 if newtonian else 0.0,
        objective=objective,
        transmission=USUAL_TRANSMISSION[objective],
        stop_mm=listing.stop_mm,
    )


def _objective(listing: Listing, aperture: float, assumed: list[str]) -> Objective:
    if listing.objective is not None:
        return listing.objective
    if listing.plastic_optics and listing.layout not in ("newtonian", "cassegrain"):
        assumed.append(say("a single lens, as plastic ones are"))
        return "singlet"
    if listing.layout in ("newtonian", "cassegrain"):
        return "mirror"
    if listing.layout == "refractor" or aperture < LENS_BELOW_MM:
        assumed.append(say("a lens of two glasses"))
        return "achromat"
    assumed.append(say("a mirror"))
    return "mirror"


def _eyepieces(listing: Listing, scope: Telescope, assumed: list[str]) -> tuple[Eyepiece, ...]:
    found: list[Eyepiece] = []
    for piece in listing.eyepieces:
        for size in (piece.focal_length_mm, piece.shortest_mm):
            if size is not None:
                found.append(as_eyepiece(piece, listing.barrel, size))
    if found:
        return tuple(sorted(found, key=lambda one: -one.focal_length_mm))
    sizes = USUAL_EYEPIECES_MM
    assumed.append(say("eyepieces of {long} and {short} mm", long=sizes[0], short=sizes[1]))
    barrel = listing.barrel or "1.25in"
    return tuple(Eyepiece(focal_length_mm=size, design="unknown", barrel=barrel) for size in sizes)


def _amplifiers(listing: Listing, barrel: Barrel, assumed: list[str]) -> tuple[Amplifier, ...]:
    found = []
    for piece in listing.amplifiers:
        factor = piece.factor
        if factor is None:
            if piece.kind == "barlow":
                continue
            factor = USUAL_ERECTING_FACTOR
            assumed.append(say("an erecting prism of {factor} times", factor=factor))
        found.append(Amplifier(factor=factor, kind=piece.kind, barrel=barrel, name=piece.label))
    return tuple(found)


def _diagonal(listing: Listing, barrel: Barrel) -> Diagonal | None:
    return None if listing.diagonal is None else Diagonal(kind=listing.diagonal, barrel=barrel)


def offer_mount(offered: OfferedMount | None, assumed: list[str]) -> Mount:
    """Return the mount: measured where the offer measures, else what is usual for its kind."""
    if offered is None or offered.kind is None:
        assumed.append(say("a plain mount"))
        kind, tap, hertz, damping = USUAL_MOUNTS["altazimuth"]
        return Mount(kind=kind, tap_arcsec=tap, frequency_hz=hertz, damping=damping)
    kind, tap, hertz, damping = USUAL_MOUNTS["small" if offered.small else offered.kind]
    if offered.tap_arcsec is None:
        assumed.append(say("a mount that shakes as such mounts usually do"))
    return Mount(
        kind=kind,
        driven=offered.driven,
        slow_motion=bool(offered.slow_motion),
        tap_arcsec=tap if offered.tap_arcsec is None else offered.tap_arcsec,
        frequency_hz=offered.frequency_hz or hertz,
        damping=offered.damping or damping,
    )
