"""What optics that nobody describes usually are, by what is asked and promised for them.

An offer that does not describe its optics is shown twice: at best, without fault, and as such
telescopes usually are. Nobody publishes how cheap telescopes are made; every figure here is a
choice from practice at clubs' evenings, marked as such, and the answer says which of the two is
shown.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from simview.advice.delivered import focal_length_mm
from simview.advice.listing import Listing
from simview.advice.rules.optics_rules import (
    QUARTER_WAVE,
    SHORT_TUBE,
    has_corrector,
    spherical_error_waves,
)
from simview.advice.speech import Said, say
from simview.kit import Wavefront
from simview.power.rules import useful_powers

# Wavefront error left by making and mounting, peak to valley at 550 nm, shared between spherical
# aberration and astigmatism, by how carefully such things are made. Choices; what a
# good one has left shows at no eyepiece.
USUAL_WAVES: Final = {"good": 0.0, "plain": 0.30, "cheap": 0.60}

# Moulded plastic lenses: astigmatism from the mould on top. A choice.
PLASTIC_WAVES: Final = 1.0

# How much of the fast sphere's error a lens in the focuser leaves: well made, and as it usually is.
# Choices; the lens is there to cancel the error and leaves some from its own making and place.
CORRECTOR_LEAVES: Final = (0.15, 0.5)

# Below this much money per mm of aperture an instrument is made to a price. A choice, for
# currencies that are worth about as much as each other.
CHEAP_PER_MM: Final = 0.9
_ALIKE: Final = ("EUR", "USD", "GBP", "CHF", "CAD", "AUD")

# More error than this is not drawn, waves: the picture is a blur long before.
MOST_WAVES: Final = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Optics:
    """How good the optics are.

    Parameters
    ----------
    best, likely
        Their errors at best, and as they usually are; equal where the offer settles it.
    says
        Why so, in a sentence; empty where the offer settles it.
    """

    best: Wavefront
    likely: Wavefront
    says: Said | None = None


def optics_of(listing: Listing) -> Optics:
    """Return how good an offer's optics are, at best and likely.

    Checked by: tests/unit/advice/test_likely.py
    """
    aperture, focal = listing.aperture_mm, focal_length_mm(listing)
    if listing.spherical_waves is not None:
        measured = Wavefront(spherical=listing.spherical_waves)
        return Optics(best=measured, likely=measured)
    if listing.plastic_optics:
        mould = Wavefront(astigmatism=PLASTIC_WAVES)
        return Optics(best=mould, likely=mould)
    if aperture is None or focal is None:
        return Optics(best=Wavefront(), likely=Wavefront())
    if has_corrector(listing, focal):
        return _stretched(listing, aperture, focal)
    return _untold(listing, aperture, focal)


def _untold(listing: Listing, aperture: float, focal: float) -> Optics:
    made = making(listing)
    usual = _made(USUAL_WAVES[made])
    if _mirror(listing):
        sphere = min(spherical_error_waves(aperture, focal / aperture), MOST_WAVES)
        if listing.mirror == "spherical":
            return Optics(
                best=Wavefront(spherical=sphere),
                likely=Wavefront(spherical=sphere, astigmatism=usual.astigmatism),
            )
        if listing.mirror is None and made == "cheap" and sphere > QUARTER_WAVE:
            return Optics(best=Wavefront(), likely=Wavefront(spherical=sphere), says=_SPHERE)
    return Optics(best=Wavefront(), likely=usual, says=_SAYS[made])


def _made(waves: float) -> Wavefront:
    """Share an error between the two commonest faults; their squares add."""
    share = waves / math.sqrt(2.0)
    return Wavefront(spherical=share, astigmatism=share)


def _mirror(listing: Listing) -> bool:
    return listing.layout == "newtonian" or (
        listing.objective == "mirror" and listing.layout is None
    )


def _stretched(listing: Listing, aperture: float, focal: float) -> Optics:
    """Return what a lens in the focuser leaves of its fast sphere's error."""
    tube = listing.tube_length_mm or 0.5 * focal
    sphere = spherical_error_waves(aperture, min(tube, SHORT_TUBE * focal) / aperture)
    best, likely = (min(share * sphere, MOST_WAVES) for share in CORRECTOR_LEAVES)
    return Optics(
        best=Wavefront(spherical=best), likely=Wavefront(spherical=likely), says=_STRETCHED
    )


def making(listing: Listing) -> str:
    """Return how carefully such a thing is usually made: "good", "plain" or "cheap".

    Promises beyond the aperture, old thin eyepieces and a price below what careful work costs speak
    for the one; named optics for the other.
    """
    points = 0
    claim, aperture = listing.claimed_power, listing.stop_mm or listing.aperture_mm
    if claim is not None and aperture is not None:
        excess = claim / useful_powers(aperture)[1]
        points += 2 if excess > 2.0 else 1 if excess > 1.05 else 0
    if listing.barrel == "0.965in":
        points += 1
    if any(piece.design in ("huygens", "ramsden") for piece in listing.eyepieces):
        points += 1
    if listing.price is not None and aperture and listing.currency in _ALIKE:
        points += 1 if listing.price < CHEAP_PER_MM * aperture else 0
    if listing.objective == "apochromat" or listing.mirror == "parabolic":
        points -= 1
    if any(piece.design in ("plossl", "orthoscopic", "wide") for piece in listing.eyepieces):
        points -= 1
    return "cheap" if points >= 2 else "plain" if points == 1 else "good"


_SAYS: Final = {
    "good": say(
        "The offer does not say how well the optics are made; offers that promise no more than this"
        " one usually hold good ones. The pictures show that."
    ),
    "plain": say(
        "The offer does not say how well the optics are made. At such a price and with such"
        " promises they are usually middling, and that is what the pictures show; at best it shows"
        " more."
    ),
    "cheap": say(
        "The offer does not say how well the optics are made. At such a price and with such"
        " promises they are usually poor, and that is what the pictures show; at best it shows"
        " more."
    ),
}
_SPHERE: Final = say(
    "The offer does not name the mirror's shape. At such a price and with such promises it is"
    " usually spherical, and that is what the pictures show; at best it shows more."
)
_STRETCHED: Final = say(
    "The pictures show the lens in the focuser as such lenses usually are: it mends about half of"
    " what the fast mirror does wrong. At best it shows more."
)
