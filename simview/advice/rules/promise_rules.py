"""What the box promises to the eye: colours, flags, photographs; and what an eye sees instead."""

from __future__ import annotations

from typing import Final

from simview.advice.rules.rule import Case, Outcome, Rule
from simview.advice.speech import number, say
from simview.units import ARCSEC_PER_RADIAN

# Longer side of a flag as it was set up on the Moon, m (3 by 5 feet), and how far away it is, m.
# Source: encyclopaedias' article "Lunar Flag Assembly" (3 by 5 feet, 0.91 by 1.52 m), after
# Platoff 1993, "Where No Flag Has Gone Before", NASA Contractor Report 188251; mean distance of the
# Moon, 384 400 km.
FLAG_M: Final = 1.5
MOON_M: Final = 3.844e8

# Dawes' limit is 116 arcsec mm / aperture.
DAWES_ARCSEC_MM: Final = 116.0


def _colour(case: Case) -> Outcome | None:
    if "colour" not in case.listing.promises:
        return None
    return Outcome(
        grade="caution",
        says=say(
            "Galaxies or nebulae in colour are promised. No eye sees that at any telescope of this"
            " size: in faint light the eye itself is colour-blind. Nebulae and galaxies are patches"
            " of grey light, and lovely ones; colour you do see on planets and on bright stars."
        ),
    )


def _flag(case: Case) -> Outcome | None:
    if "flag" not in case.listing.promises:
        return None
    arcsec = FLAG_M / MOON_M * ARCSEC_PER_RADIAN
    needed_m = DAWES_ARCSEC_MM / arcsec / 1000.0
    return Outcome(
        grade="caution",
        says=say(
            "The offer promises the flag on the Moon. To see it as a dot would take a telescope"
            " {wide} metres wide. What you do see is better than a flag: craters and mountains with"
            " their shadows.",
            wide=number(10.0 * round(needed_m / 10.0)),
        ),
        arithmetic=f"{FLAG_M:g} m / 384 400 km = {arcsec:.4f}″; 116 / {arcsec:.4f} ="
        f" {needed_m:.0f} m",
    )


def _galaxies(case: Case) -> Outcome | None:
    found = case.listing.promises
    if "galaxies" not in found or "colour" in found:
        return None
    return Outcome(
        grade="note",
        says=say(
            "Galaxies and nebulae are patches of faint grey light to the eye, in any telescope."
            " Under a dark sky that is a fine sight; under street lamps most of them vanish."
        ),
    )


def _phone(case: Case) -> Outcome | None:
    listing = case.listing
    if listing.photography or "photographs" in listing.promises:
        return Outcome(grade="note", says=_PHOTOGRAPHS)
    return Outcome(grade="note", says=_HOLDER) if listing.phone_holder else None


_HOLDER: Final = say(
    "A holder for a telephone comes with it. Held still, a telephone takes the Moon well, and"
    " planets as small bright discs; nebulae and galaxies stay out of its reach. Look with your own"
    " eye first."
)
_PHOTOGRAPHS: Final = say(
    "Photographs are promised. A telephone at the eyepiece takes the Moon well, and planets"
    " as small discs. The colourful pictures on boxes were exposed for hours through other"
    " instruments; the eye never sees their colours."
)

# Power from which Saturn's ring stands clear of the ball: common practice, no source.
RING_POWER: Final = 25.0


def _binoculars(case: Case) -> Outcome | None:
    listing = case.listing
    power = max(listing.binocular_power or 0.0, *listing.claimed_powers, 0.0)
    if listing.instrument != "binocular" or not 0.0 < power < RING_POWER:
        return None
    return Outcome(
        grade="note",
        says=say(
            "They show the Moon's larger craters, star clusters, the Milky Way and, held still,"
            " Jupiter's four moons as points beside it. Saturn's ring asks for about 25 times: for"
            " that you need a telescope."
        ),
    )


RULES: Final = (
    Rule(
        name="colour promised",
        title=say("Colours of the deep sky"),
        label="published source",
        cites=say(
            "rods see no colour: Stockman & Sharpe 2006, into the twilight zone (from memory)"
        ),
        changes_mind=say("An offer that says what an eye sees."),
        weigh=_colour,
    ),
    Rule(
        name="flag promised",
        title=say("The flag on the Moon"),
        label="formula",
        cites=say("angle = size / distance; Dawes 1867: 116 arcsec / aperture in mm"),
        changes_mind=say("An offer that says what an eye sees."),
        weigh=_flag,
    ),
    Rule(
        name="galaxies promised",
        title=say("Galaxies"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say("An offer that says what an eye sees."),
        weigh=_galaxies,
    ),
    Rule(
        name="photographs",
        title=say("Photographs"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say("A mount with a drive, and a camera meant for it."),
        weigh=_phone,
    ),
    Rule(
        name="binoculars",
        title=say("What binoculars show"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say("A telescope of 25 times and more."),
        weigh=_binoculars,
    ),
)
