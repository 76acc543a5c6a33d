"""The Sun is no target: whoever asks for it, in whatever words, is told how it blinds."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from simview.errors import SunError

# The Sun by name in other languages, and what is looked for on it; as written without marks.
# Common knowledge, no source.
_WORDS: Final = frozenset(
    [
        "sun",
        "sunspot",
        "sunspots",
        "helios",
        "sol",
        "solar",
        "solaire",
        "solare",
        "soleil",
        "sole",
        "soare",
        "soli",
        "sonne",
        "sonnen",
        "zon",
        "slonce",
        "slunce",
        "slnko",
        "sonce",
        "sunce",
        "sontse",
        "sonechko",
        "solntse",
        "solnce",
        "slantse",
        "ilios",
        "aurinko",
        "paike",
        "saule",
        "nap",
        "gunes",
        "gunesh",
        "aftab",
        "khorshid",
        "suraj",
        "surya",
        "shams",
        "alshams",
        "shemesh",
        "taiyang",
        "taiyo",
        "haeya",
        "taeyang",
        "matahari",
        "araw",
        "mat-troi",
        "jua",
        "solen",
        "solin",
        "sola",
        "grian",
        "haul",
        "eguzkia",
        "gjon",
        "dielli",
        "protuberance",
        "prominence",
        "prominences",
        "granulation",
        "солнце",
        "солнечный",
        "сонце",
        "слънце",
        "сунце",
        "ήλιος",
        "ηλιος",
        "הירח",
        "שמש",
        "השמש",
        "شمس",
        "الشمس",
        "خورشید",
        "सूर्य",
        "सूरज",
        "太陽",
        "太阳",
        "日食",
        "日蝕",
        "黒点",
        "太阳黑子",
        "태양",
        "해",
        "ดวงอาทิตย์",
        "արև",
        "მზე",
    ]
) - {"הירח"}

# Parts of words that speak of the Sun wherever they stand.
_PARTS: Final = re.compile(
    r"^(sonnen|solar|sunspot|zons|zonne|sol[- ]?eclip|eclipse[- ]sol|solform|aurinkon)"
    r"|[- ](sun|sonne|soleil|sol|sole|solar|solaire|solare)$"
    r"|^(sun|solar|sol)[- ]|太陽|太阳|日食|日蝕"
)


# Languages that cautions are said in, by how their words for the Sun begin.
_TONGUES: Final = (("de", r"sonne|der-?sonne"), ("fr", r"soleil|solaire"), ("es", r"sol$|el-sol"))


def language_of(word: str) -> str | None:
    """Return the language of a word for the Sun; None where it is English or not known."""
    text = word.strip().lower()
    bare = re.sub(r"^(die|la|le|el)[- ]", "", text)
    return next((code for code, form in _TONGUES if re.match(form, bare)), None)


def speaks_of_sun(word: str) -> bool:
    """Tell whether a target's name means the Sun, in any language that is known here."""
    text = word.strip().lower()
    bare = unicodedata.normalize("NFKD", text.replace("ł", "l").replace("ı", "i"))
    bare = "".join(mark for mark in bare if not unicodedata.combining(mark))
    bare = re.sub(r"^(the|die|der|das|le|la|el|il|lo|o|de|den)[- ]", "", bare)
    given = unicodedata.normalize("NFKD", text)
    return bool({text, bare, given} & _WORDS) or bool(_PARTS.search(bare))


def refuse_sun(word: str) -> None:
    """Raise where a target's name means the Sun.

    Raises
    ------
    SunError
        With the cautions.
    """
    if speaks_of_sun(word):
        raise SunError("target", got=word)
