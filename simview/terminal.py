"""All that is printed passes here: to any terminal, in any encoding, whoever wrote the words.

Three things happen to a text on its way out. What would command the terminal, or turn the
direction of writing, is shown as its number, never obeyed. A letter that the terminal's encoding
lacks is said in words. And a standard output that is closed or full becomes one clear error.
"""

from __future__ import annotations

import codecs
import json
import re
import sys
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any, Final, TextIO

# Marks that embed, override or isolate a direction of writing. Source: Unicode Standard Annex 9.
_DIRECTION: Final = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
# Those, all controls (C0, C1 and delete) but the line feed and the tabulator, marks without width,
# line separators, interlinear marks, and the tags of plane 14.
_UNSEEN: Final = (
    f"{_DIRECTION}\u200b\u2028\u2029\u2060-\u2064\ufeff\ufff9-\ufffb\U000e0000-\U000e007f"
    "\x00-\x08\x0b-\x1f\x7f-\x9f"
)

# Letters written from right to left: Hebrew to Arabic Extended-A, their presentation forms, and
# the historic scripts of plane 1 and the Arabic mathematical letters.
_RIGHT: Final = "\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff"
# A run of them with whatever stands between that is no letter of the other direction.
_WORDS: Final = f"[{_RIGHT}](?:[^A-Za-z\u00c0-\u058f\n{_UNSEEN}]*[{_RIGHT}])*"
_ISOLATE, _END = "\u2067", "\u2069"
_RUN: Final = re.compile(f"{_ISOLATE}?({_WORDS}){_END}?")
# What is isolated already turns nothing, whoever wrote it, and stays.
_MARKS: Final = re.compile(f"{_ISOLATE}{_WORDS}{_END}|[{_UNSEEN}]")

# What stands in for signs that an encoding lacks, where their Unicode names would read badly.
_STAND_INS: Final = {
    "×": "x",
    "″": '"',
    "′": "'",
    "–": "-",
    "—": "-",
    "−": "-",
    "‐": "-",
    "…": "...",
    "“": '"',
    "”": '"',
    "„": '"',
    "‘": "'",
    "’": "'",
    "‚": "'",
    "«": '"',
    "»": '"',
    "‹": "<",
    "›": ">",
    "→": "->",
    "←": "<-",
    "≤": "<=",
    "≥": ">=",
    "≈": "about ",
    "±": "+-",
    "°": " deg",
    "µ": "micro",
    "·": "*",
    "•": "*",
    "€": "EUR",
    "£": "GBP",
    "ß": "ss",
    "æ": "ae",
    "Æ": "Ae",
    "ø": "o",
    "Ø": "O",
    "ł": "l",
    "đ": "d",
    "þ": "th",
    _ISOLATE: "",
    _END: "",
    "\u00a0": " ",
    "\u202f": " ",
    "\u2009": " ",
}
_HANDLER: Final = "simview-words"
_NAMED: Final = re.compile(r"(?:GREEK|CYRILLIC) (SMALL|CAPITAL) LETTER ([A-Z]+)$")


class OutputError(OSError):
    """Standard output does not take what is printed: it is closed, or its disk is full."""


def visible(text: str) -> str:
    r"""Return a text with every control and mark that is not seen shown as its number.

    Parameters
    ----------
    text
        Anybody's words. Line feeds stay; a tabulator becomes a space.

    Examples
    --------
    >>> visible("a\x1b[8mb")
    'a‹U+001B›[8mb'
    """
    return _MARKS.sub(_number, text.replace("\t", " "))


def _number(mark: re.Match[str]) -> str:
    return mark[0] if len(mark[0]) > 1 else f"‹U+{ord(mark[0]):04X}›"


def isolated(text: str) -> str:
    """Return a text in which words written from right to left turn nothing around them.

    Each run of such words stands between U+2067 and U+2069. Source: Unicode Standard Annex 9,
    section 2.4 (explicit directional isolates).
    """
    return _RUN.sub(lambda run: f"{_ISOLATE}{run[1]}{_END}", text)


def reordered(text: str, turn: Any) -> str:
    """Return an isolated text as it is drawn from left to right, without the marks.

    Parameters
    ----------
    turn
        What brings one run from the order of reading to that of drawing.
    """
    drawn = re.sub(f"{_ISOLATE}(.*?){_END}", lambda run: turn(run[1]), text, flags=re.DOTALL)
    return drawn.replace(_ISOLATE, "").replace(_END, "")


def said(letter: str) -> str:
    """Return in ASCII what stands for a letter that an encoding lacks.

    Examples
    --------
    >>> said("α"), said("é"), said("望"), said("½")
    ('alpha', 'e', '<U+671B>', '1/2')
    """
    if letter in _STAND_INS:
        return _STAND_INS[letter]
    code = ord(letter)
    if 0xDC80 <= code <= 0xDCFF:  # a byte of a name that is not UTF-8
        return f"<0x{code - 0xDC00:02X}>"
    plain = unicodedata.normalize("NFKD", letter).replace("\u2044", "/")
    plain = "".join(part for part in plain if ord(part) < 128)
    if plain.strip():
        return plain
    named = _NAMED.match(unicodedata.name(letter, ""))
    if named:
        return named[2].capitalize() if named[1] == "CAPITAL" else named[2].lower()
    return f"<U+{code:04X}>"


def _in_words(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(map(said, error.object[error.start : error.end])), error.end


@contextmanager
def safe() -> Iterator[None]:
    """Return a context in which nothing that is printed fails for want of a letter."""
    codecs.register_error(_HANDLER, _in_words)
    changed = []
    for stream in (sys.stdout, sys.stderr):
        turn = getattr(stream, "reconfigure", None)
        if turn is not None:
            changed.append((stream, turn, stream.errors))
            turn(errors=_HANDLER)
    try:
        yield
    finally:
        for _, turn, errors in changed:
            with suppress(OSError, ValueError):  # closed meanwhile, or it takes nothing more
                turn(errors=errors)


def tell(text: object = "", *, flush: bool = False) -> None:
    """Print a result to standard output.

    Raises
    ------
    OutputError
        If it is closed, or full.
    BrokenPipeError
        If nobody reads any longer.
    """
    if sys.stdout is None:
        raise OutputError("standard output is closed")
    try:
        print(isolated(visible(str(text))), flush=flush)
    except BrokenPipeError:
        raise
    except (OSError, ValueError) as error:
        raise OutputError(getattr(error, "strerror", None) or str(error)) from None


def tell_json(value: Any) -> None:
    """Print plain values as JSON, every letter that is not safe to print as its escape."""
    if sys.stdout is None:
        raise OutputError("standard output is closed")
    try:
        print(json_text(value, ascii_only=not _utf(sys.stdout)))
    except BrokenPipeError:
        raise
    except (OSError, ValueError) as error:
        raise OutputError(getattr(error, "strerror", None) or str(error)) from None


def json_text(value: Any, *, ascii_only: bool = False) -> str:
    """Return plain values as JSON whose texts command no terminal that it is shown on."""
    text = json.dumps(value, indent=2, ensure_ascii=ascii_only)
    # Outside of texts JSON holds none of these but the line feed.
    return _MARKS.sub(lambda marks: "".join(map(_escape, marks[0])), text)


def _escape(letter: str) -> str:
    code = ord(letter)
    if letter not in (_ISOLATE, _END) and not _MARKS.match(letter):
        return letter
    if code <= 0xFFFF:
        return f"\\u{code:04x}"
    high, low = divmod(code - 0x10000, 0x400)
    return f"\\u{0xD800 + high:04x}\\u{0xDC00 + low:04x}"


def _utf(stream: TextIO) -> bool:
    encoding = getattr(stream, "encoding", None)
    return encoding is None or encoding.lower().replace("-", "").startswith("utf")


def remark(text: str) -> None:
    """Print one line to standard error; where that cannot be, nothing happens."""
    pass_on(f"simview: {' '.join(text.split())}")


def pass_on(text: str) -> None:
    """Print to standard error what is a remark already, such as those of another process."""
    if sys.stderr is None or not text.strip():
        return
    try:
        print(isolated(visible(text.rstrip("\n"))), file=sys.stderr, flush=True)
    except (OSError, ValueError):
        return
