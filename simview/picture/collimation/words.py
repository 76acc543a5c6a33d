"""What the sheet on collimation says: of a primary, of a folded telescope's mirror, of a flat."""

from __future__ import annotations

import math
from typing import Final

from simview.kit import Kit
from simview.picture import captions
from simview.picture.collimation.mirror_back import AnyScrews, turn_words
from simview.picture.drawing.sheet import SheetText
from simview.picture.views.compose import FOOTER
from simview.telescope.flat_screws import WIDER, FlatScrews
from simview.units import focus_shift_mm

# What leans clearly less than a picture: a sixth less is plain to see. A choice.
CLEARLY: Final = 5.0 / 6.0

_FRONT = (
    "The secondary is drawn from the tube's front, where its screws are; the star as on the sky, "
    "seen from behind the tube: left and right are exchanged. "
)


def sheet_text(kit: Kit, screws: AnyScrews, travel_waves: float) -> SheetText:
    """Return title, subtitle and caption."""
    scope = screws.scope
    side = "outside" if travel_waves > 0 else "inside"
    mm = abs(focus_shift_mm(travel_waves, scope.focal_ratio))
    title = "Collimation: which screw moves the dark middle where"
    if isinstance(screws, FlatScrews):
        title = "A Newtonian's secondary: which screw moves its shadow where"
    return SheetText(
        title=title,
        subtitle=f"{captions.instrument(kit)}: a star {abs(travel_waves):g} waves "
        f"({mm:.2g} mm) {side} focus, the {_mirror(screws)} turned by its three screws",
        caption=f"{_drawn(screws)}{forward_words(screws)}{hand_words(travel_waves)}"
        f"The star is kept in the middle. Screws on a circle of {screws.circle_mm:.0f} mm, "
        f"{screws.pitch_mm:g} mm a turn. {_source(kit, screws)} No air, no eye.{_then(screws)}",
        footer=FOOTER,
    )


def hand_words(travel_waves: float | None) -> str:
    """Return how a hand before the tube tells the way in which an eyepiece turns the view.

    `travel_waves` is None where the star may be on either side of focus.

    The light of one side of the tube crosses over in the focus: the disc shows that side as the
    sky does outside focus, on the other side inside.

    Checked by: tests/truth/test_hand_before_tube.py
    """
    outside = "on that screw's side of the disc"
    inside = "on the opposite side"
    here = f"outside focus, as here, its shadow falls {outside} (inside focus, {inside})"
    if travel_waves is None:
        here = f"outside focus its shadow falls {outside}, inside focus {inside}"
    elif travel_waves < 0.0:
        here = (
            f"inside focus, as here, its shadow falls {inside} of the disc"
            " (outside focus, on its own)"
        )
    return (
        "An eyepiece turns or mirrors the star's view; a hand before the tube's mouth, on a "
        f"screw's side, tells how: {here}. "
    )


def forward_words(screws: AnyScrews) -> str:
    """Return what the screws' two ways are: those of `tilt` in simview.telescope.screws."""
    part = "mirror"
    if isinstance(screws, FlatScrews):
        part = "secondary's holder"
    elif screws.before_secondary:
        part = "secondary"
    return f"Forward: the screw's side of the {part} moves towards the sky; back: away from it. "


def _then(screws: AnyScrews) -> str:
    """Return where a Newtonian's owner goes on."""
    if isinstance(screws, FlatScrews) or screws.traced is not None:
        return ""
    return " When this is done, see to the secondary: simview collimate KIT --secondary."


def _mirror(screws: AnyScrews) -> str:
    return "secondary mirror" if screws.before_secondary else "primary mirror"


def _drawn(screws: AnyScrews) -> str:
    if isinstance(screws, FlatScrews):
        return f"{_FRONT}Loosen one screw as you tighten the others. "
    if screws.before_secondary:
        return f"{_FRONT}Never loosen all three screws at once: the mirror may fall. "
    return (
        "Mirror and star are both drawn as seen along the tube from behind the mirror, "
        "looking at the sky. "
    )


def _source(kit: Kit, screws: AnyScrews) -> str:
    if isinstance(screws, FlatScrews):
        return (
            f"Tolerance: light beside the shadow a {_TENTHS[WIDER]} wider on one side, a choice. "
            f"A flat set off on purpose, as for f/5 and faster, keeps "
            f"its shadow {screws.offset_mm:.1f} mm off, away from the focuser: leave it there."
        )
    if screws.traced is None:
        return (
            "Tolerance: third-order coma of a paraboloid, a quarter wave (550 nm, peak to valley, "
            "tilt removed) at 48 F³ × wavelength / 4 off the axis; Schroeder, Astronomical "
            "Optics, section 5.3."
        )
    return (
        "Tolerance: a quarter wave of coma (550 nm, peak to valley, tilt removed), by exact rays "
        f"through a {str(kit.layout).title()} of these numbers."
    )


_TENTHS = {0.1: "tenth"}


def sentences_for(
    screws: AnyScrews, way: str, step: float, travel_waves: float
) -> tuple[tuple[str, str], ...]:
    """Return what to do, three sentences with the word that leads each.

    Parameters
    ----------
    way
        Where the right screw sends the star.
    step
        The part of a turn to begin with.
    travel_waves
        Where the star is looked at.
    """
    side = "inside" if travel_waves < 0.0 else "outside"
    look = (
        f"A bright star, high up, in the middle of the field, {side} focus: to which side does the "
        "dark middle lean?"
    )
    if travel_waves > 0.0:
        look += " The light is narrow and bright there. If no dark middle shows, go farther out."
    back = "Bring the star back to the middle; look again."
    if isinstance(screws, FlatScrews):
        return _flat_sentences(screws, way, step, travel_waves)
    return (
        ("Look", look),
        (
            "Turn",
            f"the screw that sends the star {way}, or nearly (try each a little, either way): "
            f"{turn_words(step)}, half as much each time the lean reaches the other half. {back}",
        ),
        (
            "Stop",
            "when it leans clearly less than in the second picture of the bottom row: the light "
            f"{at_most_words(screws, travel_waves)}.",
        ),
    )


def at_most_words(screws: AnyScrews, travel_waves: float) -> str:
    """Return how unlike the light beside the dark middle may be on its two sides, to stop."""
    ratio = screws.band_ratio(complex(CLEARLY * screws.tolerance_arcmin), travel_waves)
    if not math.isfinite(ratio):
        return "goes all round"
    return f"at most {ratio:.2g} times as wide on one side as on the other"


def band_words(ratio: float) -> str:
    """Return how wide the light is on its widest side against its narrowest."""
    if not math.isfinite(ratio):
        return "one side only"
    return "even" if round(ratio, 2) == 1.0 else f"{ratio:.2g} to 1"


def _flat_sentences(
    screws: FlatScrews, way: str, step: float, travel_waves: float
) -> tuple[tuple[str, str], ...]:
    outside = way == "to that same side"
    here, there = ("outside", "inside") if outside else ("inside", "outside")
    cut = "away from a cut side" if outside else "to a cut side"
    lean = "to the side of the lean" if outside else "away from the lean"
    return (
        (
            "Look",
            f"Collimate the primary first. Then, a little {here} focus: is the disc cut off on one "
            "side by a tenth of its radius or more? If not, to which side does the dark middle "
            f"lean? Only a lean that turns over {there} focus counts.",
        ),
        (
            "Turn",
            f"the screw that sends the star {cut}, or {lean}: {turn_words(step)}, half as much "
            "each time the side changes. Bring the star back, collimate the primary again; look "
            "again.",
        ),
        (
            "Stop",
            "when no side is cut off so far and the middle leans clearly less than in the bottom "
            f"row's second picture: the light {at_most_words(screws, travel_waves)}.",
        ),
    )


def told_heading(screws: AnyScrews) -> str:
    """Return what stands above the drawing of the mirror."""
    if screws.before_secondary:
        return "The secondary from the tube's front"
    return "The mirror from behind, as you face the sky"


def matters_heading(screws: AnyScrews) -> str:
    """Return what stands above the row of tolerances."""
    turn = turn_words(screws.tolerance_turns)
    if isinstance(screws, FlatScrews):
        return f"Near enough: within {screws.tolerance_mm:.2g} mm = {turn} of one screw"
    if screws.traced is not None:
        return f"Near enough: within {screws.tolerance_arcmin:.2g}′ of tilt = {turn} of one screw"
    return (
        f"Near enough at f/{screws.scope.focal_ratio:.3g}: "
        f"within 48 F³ λ/4 = {screws.tolerance_mm:.3g} mm = {turn}"
    )
