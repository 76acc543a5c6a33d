"""Letters that the answer's own font lacks: a font of this computer that draws them, if any."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from pathlib import Path
from typing import Final

# Families that hold many scripts, tried first. Names of fonts as they come with the systems, from
# memory; every other font is looked into after them.
_FIRST: Final = re.compile(
    r"cjk|fallback|unifont|arial ?unicode|gothic|zenhei|yahei|simsun|malgun|heiti|noto ?sans", re.I
)
# OS/2 table, bit 1 of fsType: the font may not be embedded (OpenType specification, 1.9).
_NO_EMBEDDING: Final = 0x0002


@lru_cache(maxsize=512)
def font_for(letter: str) -> Path | None:
    """Return a font file of this computer that draws the letter and may be embedded.

    Only letters are asked for: a picture sign is better named than drawn by chance, and a mark
    that joins its neighbour is nothing by itself. What is found depends on the computer, so the
    same answer can show a name in its own script here and numbers in its place there.

    Parameters
    ----------
    letter
        One character.

    Returns
    -------
    pathlib.Path or None
        The file; None where no font holds the letter, or it is no letter.

    Examples
    --------
    >>> font_for("🔭") is None
    True
    """
    if not unicodedata.category(letter).startswith("L"):
        return None
    code = ord(letter)
    return next((path for path in _files() if code in _held(path)), None)


@lru_cache(maxsize=1)
def _files() -> tuple[Path, ...]:
    """Return the computer's font files, the likely ones first."""
    from matplotlib.font_manager import findSystemFonts

    found = sorted({Path(one) for one in findSystemFonts()})
    return tuple(sorted(found, key=lambda path: _FIRST.search(path.name) is None))


@lru_cache(maxsize=4096)
def _held(path: Path) -> frozenset[int]:
    """Return the characters that a file holds; none if it is damaged or may not be embedded."""
    from fontTools.ttLib import TTFont, TTLibError

    try:
        with path.open("rb") as file, TTFont(file, lazy=True, fontNumber=0) as font:
            if "glyf" not in font or font["OS/2"].fsType & _NO_EMBEDDING:
                return frozenset()
            return frozenset(font.getBestCmap() or ())
    except (OSError, TTLibError, KeyError, ValueError, AttributeError):
        return frozenset()
