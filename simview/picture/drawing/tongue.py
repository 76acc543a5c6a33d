"""The language of the words on slides.

English words are the catalogues' keys (gettext's PO files, `simview/picture/tongues/`); `say` looks
them up in the language that is spoken while a command runs. A word that a catalogue lacks stays
English: tests/unit/picture/test_slide_words.py refuses such a catalogue.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

_HOME: Final = Path(__file__).parents[1] / "tongues"

ENGLISH: Final = "en"
LANGUAGES: Final = (ENGLISH, *sorted(path.stem for path in _HOME.glob("*.po")))

_spoken: Final[ContextVar[str]] = ContextVar("language", default=ENGLISH)


def spoken() -> str:
    """Return the language that is spoken now."""
    return _spoken.get()


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Let all slides drawn within, in this thread, speak a language of `LANGUAGES`."""
    token = _spoken.set(language)
    try:
        yield
    finally:
        _spoken.reset(token)


def known(language: str) -> str:
    """Return the language of `LANGUAGES` that a tag such as "de-AT" names; English for others."""
    short = language.replace("_", "-").partition("-")[0].lower()
    return short if short in LANGUAGES else ENGLISH


def say(key: str, **values: Any) -> str:
    """Return a text of the catalogue with its places filled in."""
    words = key if spoken() == ENGLISH else _catalogue(spoken()).get(key, key)
    return words.format(**values) if values else words


def N_(key: str) -> str:  # noqa: N802 - gettext's own name for it
    """Mark a text for the catalogues where it is written down and said later."""
    return key


def decimal(figure: str) -> str:
    """Return a figure with the language's decimal mark: a comma in all but English."""
    return figure if spoken() == ENGLISH else figure.replace(".", ",")


@lru_cache(maxsize=4)
def _catalogue(language: str) -> Mapping[str, str]:
    from babel.messages.pofile import read_po

    with (_HOME / f"{language}.po").open("rb") as file:
        read = read_po(file, locale=language)
    return {str(entry.id): str(entry.string) for entry in read if entry.id and entry.string}
