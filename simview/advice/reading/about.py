"""Whether a text speaks of a telescope at all."""

from __future__ import annotations

import re
from typing import Final

from simview.advice.listing import Listing
from simview.advice.reading.clean import Page

# Words that only instruments for the sky or for far things have, in the readers' words.
_INSTRUMENT: Final = re.compile(
    r"\b(?:telescopes?|refractors?|reflectors?|refracting|reflecting|newtonians?|dobsonians?"
    r"|maksutovs?|cassegrains?|catadioptric|binoculars?|monoculars?|spotting ?scopes?|barlows?"
    r"|finder ?scopes?|astronomical|eyepieces?|focusers?|apochromat\w*|achromat\w*"
    r"|scopes?|ota|rocker box|star diagonal|lunettes?|spyglass(?:es)?)\b"
)

# Other things that share words with telescopes: a camera's lens, spectacles, a microscope.
_ELSE: Final = re.compile(
    r"\b(?:microscopes?|camera|zoom lens|spectacles|glasses|sunglasses|umbrella|ladder|parasol"
    r"|rifle|periscope|hose|baton|crane|forklift|mirror frame)\b"
)
_OWN: Final = re.compile(
    r"\b(?:telescopes?|refractors?|reflectors?|newtonians?|dobsonians?|binoculars?|monoculars?"
    r"|spotting ?scopes?|maksutovs?|scopes?)\b"
)


# "3 inch mirror", "lens 30 mm", and nothing else: the question is about a telescope's.
_LONE: Final = re.compile(
    r"\W*(?:[\d.,/ -]+ ?(?:mm|cm|inch(?:es)?|in|\"|'')[ -]*(?:mirror|lens)"
    r"|(?:mirror|lens)\W*[\d.,/]+ ?(?:mm|cm|inch(?:es)?|in|\"|''))\W*"
)
# No such question is longer, characters; on a long text the pattern would take minutes.
LONGEST_LONE: Final = 200
_FILTERS: Final = ("eyepiece filter", "eclipse glasses", "filter")


def about_telescope(page: Page, listing: Listing) -> bool:
    """Tell whether a text is about a telescope, binoculars or their pieces.

    Parameters
    ----------
    page
        The text in the readers' words, untouched.
    listing
        What was read of it.
    """
    if _ELSE.search(page.whole) and not _OWN.search(page.whole):
        return False
    short = len(page.whole) <= LONGEST_LONE
    named = (short and _LONE.fullmatch(page.whole)) or _INSTRUMENT.search(page.whole)
    if named or listing.binocular_power is not None:
        return True
    if any(piece.marking for piece in listing.eyepieces) or _in_another_script(page):
        return True
    if listing.promises or any(kind in _FILTERS for kind in listing.solar):
        return True  # colours of galaxies, a Sun filter: nothing is risked on these
    if listing.aperture_mm is not None and listing.focal_length_mm is not None:
        return True
    return listing.aperture_mm is not None and bool(re.search(r"\baperture\b", page.whole))


def _in_another_script(page: Page) -> bool:
    """Tell a text that no word table can read; it gets the benefit of the doubt."""
    letters = [letter for letter in page.lines.text[:20000] if letter.isalpha()]
    return sum(letter > "\u024f" for letter in letters) > 0.4 * max(len(letters), 1)
