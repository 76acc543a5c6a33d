"""From the free text of an advert to a Listing: deterministic, offline, never guessing silently.

clean.py       the text made readable without moving a single character (spans stay true)
numbers.py     numbers, lengths and their units
language.py    which language the text seems to be in
amplifiers.py  Barlow lenses and erecting prisms
eyepieces.py   eyepieces by their markings, and their barrels
optics.py      aperture, focal length and f-ratio: measures matched to the words beside them
models.py      "60700": model numbers that may hold aperture and focal length
powers.py      promised powers and power ranges
money.py       price and currency
extras.py      kind of telescope, mount, finder, solar pieces, telephone holder
conflicts.py   what does not agree with itself, and what is missing
assemble.py    read_advert(): all of these in order
"""

from __future__ import annotations
