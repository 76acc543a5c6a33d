"""What the rooms below say in English, told in the language spoken: titles, notes, reasons.

Scenes and judgements know no language: they hand up a sentence each. Its template stands here, as
gettext's catalogues want it, and what stands in the template's places is kept.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from simview.picture.drawing.tongue import ENGLISH, N_, decimal, say, spoken
from simview.scene.scene import Target

# What captions say of objects, and why something is not seen.
SENTENCES: Final = (
    N_("{body}: size and magnitude published ({source}); {drawn}."),
    N_(
        "Saturn: sizes, rings, magnitude published ({source}); bands and ringlets drawn after"
        " published contrasts."
    ),
    N_("Moons at published distances; places in their orbits invented."),
    N_("Size, phase and tilt computed for {moment}, {height}."),
    N_("Size, phase and tilt computed for {moment}."),
    N_("On {moment} {height}."),
    N_(
        "Moon: ground measured from orbit, to {crater} km ({size}); small craters and three rilles"
        " sharpened, finer detail invented; light by phase: {source}."
    ),
    N_(
        "Moon: ground measured from orbit, to {crater} km ({size}); this view is finer: craters and"
        " rilles sharpened, finer detail invented; light by phase: {source}."
    ),
    N_("Chart: invented, exact geometry, black on white paper in daylight shade."),
    N_("The scene is invented."),
    N_("Double star: separation, magnitudes and colours as given, no real pair."),
    N_("Double star: figures published, epoch {epoch} ({catalogue})."),
    N_("Stars to V {limit}: real ({source})."),
    N_("Fainter stars: invented, by published counts ({source})."),
    N_("Faint members: invented, light and number published ({source})."),
    N_("Cluster: light and profile published ({source}); its stars invented."),
    N_("Galaxy: light, size, tilt, colour published ({source}); arms and dust drawn."),
    N_("Nebula: light and size published; shape drawn after common descriptions."),
    N_(
        "Picture {file}: the user's own; width and surface brightness as given, its own blur is"
        " still in it."
    ),
    N_("One moment: each part of the picture is shifted its own way, its blur is average."),
    N_("Photograph: as long exposures look, stretched and deepened; a drawing, not data."),
    N_("Photograph: your own picture, stretched and deepened as long exposures are."),
    N_(
        "Visibility {km} km: the haze leaves {share} % of contrast ({source}); no shimmer (Fried"
        " 1966)."
    ),
    N_(
        "Visibility {km} km: the haze leaves {share} % of contrast ({source}); shimmer {strength},"
        " even along the way (Fried 1966)."
    ),
    N_("no power splits the pair: {why}"),
    N_("no detail of this contrast can be made out at any of these powers"),
    N_("the companion is too faint beside the bright star"),
    N_("the two images run together, whatever the power"),
    N_("the gap is too narrow or too dim for the eye at any power"),
    N_("the secondary's shadow fills the eye's pupil"),
)

# What stands in those sentences' places.
PARTS: Final = (
    N_(
        "belts at published latitudes; clouds, and the place of the Great Red Spot, invented. Moons"
        " at published distances; places in their orbits invented"
    ),
    N_("belts at published latitudes; clouds, and the place of the Great Red Spot, invented"),
    N_("dark areas at their published places, simplified; caps after the season"),
    N_("surface plain"),
    N_("colour after {source}"),
    N_("{degrees}° above the horizon"),
    N_("below the horizon: drawn all the same"),
    N_("slight"),
    N_("moderate"),
    N_("strong"),
)

# What catalogues of doubles say besides a pair's designation.
CATALOGUE: Final = (
    N_("two ORB6 orbits, {first} and {second} arcsec"),
    N_("orbit {source}"),
    N_("separation, magnitudes WDS"),
    N_("magnitude of B {low} to {high}"),
    N_("V of both from photometry, A varies {low} to {high}"),
    N_("V of B {source}"),
    N_("A varies {low} to {high}"),
    N_("A varies"),
    N_("moves quickly"),
    N_("moves slowly"),
    N_("stars {names}"),
)

# What stands for a name, where there is none.
_NAMELESS: Final = N_("Double star")

# What titles say behind an object's name.
BEHIND: Final = (
    N_("rings {size}"),
    N_("open {degrees}°"),
    N_("{share} % lit"),
    N_("waxing"),
    N_("waning"),
    N_("middle period {size}"),
    N_("{count} spokes"),
    N_("{metres} m away"),
    N_("all four"),
    N_("pairs of {first} and {second}"),
    N_("{size} apart"),
    N_("{size} wide"),
    N_("V {first} and {second}"),
    N_("eastern arc ({designation})"),
)

_ON_THE_MOON: Final = " on the Moon"
_FIELD: Final = re.compile(r"Star field at RA (?P<ra>.+) h, Dec (?P<dec>.+)°")
_FIGURE: Final = re.compile(r"[+−-]?\d+(\.\d+)?[″′°]?")


def retold(words: str, templates: Sequence[str] = SENTENCES) -> str:
    """Return a sentence in the language spoken, or as it is where no template fits it.

    Checked by: tests/unit/picture/test_retelling.py
    """
    if spoken() == ENGLISH:
        return words
    for key in templates:
        match = _pattern(key).fullmatch(words)
        if match is not None:
            return say(key, **{name: _part(name, told) for name, told in match.groupdict().items()})
    return words


def _part(name: str, words: str) -> str:
    if name == "catalogue":
        return "; ".join(retold(part, CATALOGUE) for part in words.split("; "))
    if name == "why":
        return retold(words)
    if name == "body":
        return say(words)
    if name in ("source", "file", "moment", "designation", "names"):
        return words
    if name == "size" or _FIGURE.fullmatch(words):
        return decimal(words)
    return retold(words, PARTS)


@lru_cache(maxsize=256)
def _pattern(key: str) -> re.Pattern[str]:
    written = re.escape(key).replace(r"\{", "{").replace(r"\}", "}")
    return re.compile(re.sub(r"\{(\w+)\}", r"(?P<\1>.+?)", written))


def spoken_words(words: str, **told: str) -> str:
    """Return what another room words, with its figures, in the language spoken."""
    return say(words, **{name: decimal(value) for name, value in told.items()})


def titled(target: Target) -> str:
    """Return an object's title in the language spoken: "Saturn, Ringe 44,1″, 20° offen"."""
    if spoken() == ENGLISH:
        return target.title
    field = _FIELD.fullmatch(target.title)
    if field is not None:
        ra, dec = (decimal(field[name]) for name in ("ra", "dec"))
        return say("Star field at RA {ra} h, Dec {dec}°", ra=ra, dec=dec)
    head, *parts = target.title.split(", ")
    told = [decimal(p) if _FIGURE.fullmatch(p) else retold(p, BEHIND) for p in parts]
    return ", ".join([named(head), *told])


def named(head: str) -> str:
    """Return an object's name in the language spoken; what is no name of ours stays as it is."""
    if spoken() == ENGLISH:
        return head
    if head.endswith(_ON_THE_MOON):
        return say("{place} on the Moon", place=head.removesuffix(_ON_THE_MOON))
    plain, bracket, rest = head.partition(" (")
    return f"{say(plain)}{bracket}{rest}"
