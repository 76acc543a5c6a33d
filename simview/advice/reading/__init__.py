"""From the free text of an advert to a Listing: deterministic, offline, never guessing silently.

mapped.py       a text whose characters remember where they stood as pasted
markup.py       a page's source as lines
pasted.py       tables pasted with their tabs, units that stand in a label
chat.py         conversations: questions beside their answers, no names and times
source.py       clean lines: encodings, glyphs, misprints, wrapped lines, other offers on the page
trade_words.py  the trade's words in every language (words/*.toml), said in the readers' own
spoken.py       numbers said in words, as on the telephone
passages.py     the languages of a text, passage by passage
clean.py        one advert while it is being read
numbers.py      numbers, lengths and their units
measures.py     measures and the words beside them
fittings.py     parts with a measure of their own, which are no eyepieces (fittings.toml)
models.py       "60700": model numbers that may hold aperture and focal length
evidence.py     what each measure could be: claims with weights
eyepieces.py    eyepieces by their markings or their lists, and their barrels
joint.py        the best joint reading of all measures
amplifiers.py   Barlow lenses and erecting prisms
powers.py       promised powers and power ranges
money.py        price and currency
extras.py       kind of telescope, mount, finder, telephone holder
promises.py     what the view is promised to be
solar.py        what puts the Sun and the telescope together
denied.py       whether a Sun filter is said to be absent
damage.py       what is said to be broken, cracked, mouldy or loose
about.py        whether it is about a telescope at all
conflicts.py    what does not agree with itself, and what is missing
traces.py       what is spoken of although it was not read, before it is called unsaid
assemble.py     read_advert(): all of these in order
"""

from __future__ import annotations
