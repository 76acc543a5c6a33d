"""The letterhead: a club's own name, address and words, as a TOML file."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from string import Formatter
from typing import Any

from simview.advice.speech import ENGLISH, Tongue
from simview.errors import ChoiceError, SimviewError, nearest

_TEMPLATES = Path(__file__).parent / "templates"


@dataclass(frozen=True, slots=True, kw_only=True)
class Letterhead:
    """Who answers, and in which words.

    Parameters
    ----------
    name, address, contact
        At the head; the address line by line.
    greeting, closing, signature, date
        Around the answer; empty ones are left out.
    words
        Replaces any of the program's own headings and sentences (templates/words.toml).
    """

    name: str = ""
    address: tuple[str, ...] = ()
    contact: str = ""
    greeting: str = ""
    closing: str = ""
    signature: str = ""
    date: str = ""
    words: Mapping[str, str] = field(default_factory=dict)


@lru_cache(maxsize=1)
def own_words() -> dict[str, str]:
    """Return the program's own headings and sentences by their names."""
    text = (_TEMPLATES / "words.toml").read_text(encoding="utf-8")
    return {key: str(value) for key, value in tomllib.loads(text).items()}


def load_letterhead(path: str | Path) -> Letterhead:
    """Return the letterhead in a TOML file.

    Raises
    ------
    SimviewError
        Names file and key, what was got and what is allowed.
    """
    from simview.table import build
    from simview.textfile import read_toml

    table = read_toml(path, what="letterhead file")
    words = table.pop("words", {})
    head = build(Letterhead, table, where=str(path))
    return Letterhead(
        **{name: getattr(head, name) for name in _PLAIN}, words=_checked(words, f"{path}: [words]")
    )


_PLAIN = ("name", "address", "contact", "greeting", "closing", "signature", "date")


def _checked(words: Any, where: str) -> dict[str, str]:
    known = own_words()
    if not isinstance(words, Mapping):
        raise SimviewError("words", got=words, allowed="a table [words]", where=where)
    for key, value in words.items():
        if key not in known:
            near = nearest(key, known)
            raise ChoiceError(
                f"unknown word {key}",
                got=value,
                allowed=", ".join(known),
                remedy=f"did you mean {near!r}?" if near else "",
                where=where,
            )
        if not isinstance(value, str):
            raise SimviewError(key, got=value, allowed="a text in quotes", where=where)
        _require_places(key, value, known[key], where)
    return dict(words)


def _require_places(key: str, value: str, own: str, where: str) -> None:
    """Check that a sentence fills in only what the program's own sentence fills in."""
    allowed = _places(own)
    try:
        wanted = _places(value)
    except ValueError:
        wanted = {"{"}
    # "{distance:>300000000}" would write 300 MB: a name alone, nothing after it.
    if _formatted(value):
        wanted = {":"}
    if not wanted <= allowed:
        raise SimviewError(
            key,
            got=value,
            allowed=f"only {', '.join(f'{{{name}}}' for name in sorted(allowed))} in curly brackets"
            if allowed
            else "no curly brackets",
            where=where,
        )


def _places(sentence: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(sentence) if name is not None}


def _formatted(sentence: str) -> bool:
    """Return whether any place asks for a format or a conversion."""
    try:
        return any(spec or turned for _, _, spec, turned in Formatter().parse(sentence))
    except ValueError:
        return True


def words_of(head: Letterhead | None, tongue: Tongue = ENGLISH) -> dict[str, str]:
    """Return every heading and sentence, a club's own before the program's."""
    own = {key: tongue.word(text) for key, text in own_words().items()}
    return {**own, **(head.words if head is not None else {})}
