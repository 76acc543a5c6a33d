"""What the power room says of an offered or owned kit, asked once for each."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from simview.advice.listing import Listing
from simview.advice.offerkit import offer_kit
from simview.advice.rules.rule import Case
from simview.errors import FitError
from simview.kit import Kit, Observer, Sky

if TYPE_CHECKING:
    from simview.advice.stock import Shelf
    from simview.power.records import Marks

# What a telescope's powers are judged on where no object is named: the one that everybody looks at.
OBJECT: Final = "jupiter"


def limits_of(
    kit: Kit, name: str = OBJECT, sky: Sky | None = None, observer: Observer | None = None
) -> Marks:
    """Return the three limits of power of a kit on a named object, as every command tells them.

    Parameters
    ----------
    sky, observer
        None takes the kit's own, else the usual ones.
    """
    # What the pieces are called and cost changes no limit.
    plain = replace(kit, name="", price=None, claimed_power=None)
    return _limits(plain, name, sky, observer)


@lru_cache(maxsize=64)
def _limits(kit: Kit, name: str, sky: Sky | None, observer: Observer | None) -> Marks:
    from simview.power.marks import marks
    from simview.scene.targets import target

    return marks(kit, target(name), sky=sky, observer=observer)


def case_of(listing: Listing, shelf: Shelf | None = None) -> Case:
    """Return an offer on the bench, its limits of power asked of the power room."""
    made = offer_kit(listing) if listing.instrument == "telescope" else None
    found = None
    if made is not None:
        try:
            found = limits_of(made.kit)
        except FitError:  # pieces that do not go together are a rule's business, and said there
            found = None
    return Case(listing=listing, shelf=shelf, marks=found)
