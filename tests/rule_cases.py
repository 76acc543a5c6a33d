"""A listing without a flaw, and what one rule says of a listing, for the tests of the rules."""

from __future__ import annotations

from simview.advice.limits import case_of
from simview.advice.listing import Listing, OfferedEyepiece, OfferedMount
from simview.advice.rules.book import RULES

LENS = Listing(
    name="Lens telescope 90/900",
    layout="refractor",
    objective="achromat",
    aperture_mm=90.0,
    focal_length_mm=900.0,
    eyepieces=tuple(OfferedEyepiece(focal_length_mm=f, design="plossl") for f in (25.0, 10.0)),
    barrel="1.25in",
    mount=OfferedMount(kind="altazimuth", slow_motion=True),
)


def told(rule: str, listing: Listing) -> tuple[str, str]:
    """Return what one rule says, and its sum."""
    (one,) = [one for one in RULES if one.name == rule]
    found = one.find(case_of(listing))
    assert found is not None
    return str(found.says), str(found.arithmetic)
