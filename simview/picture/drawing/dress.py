"""What the maker of a sheet adds to it, and what it is drawn on: title, foot, logo, ground.

It is worn for as long as one command runs, so that every sheet follows it and none has to hand
it on; nothing that is computed asks for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal

if TYPE_CHECKING:
    from PIL.Image import Image

Ground = Literal["dark", "white"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dress:
    """A sheet's dress.

    Parameters
    ----------
    title
        In place of the sheet's own; empty for that one.
    footer
        The line at the foot; None for the sheet's own, empty for none.
    ground
        "dark" for a screen, "white" for paper. Pictures of the night stay dark on both.
    logo
        Drawn small in the corner; None for none.
    vector
        True where all that is drawn is kept as shapes too, so that a PDF can hold them as such.
    """

    title: str = ""
    footer: str | None = None
    ground: Ground = "dark"
    logo: Image | None = None
    vector: bool = False

    def recipe(self) -> dict[str, Any]:
        """Return all of it that a recipe can hold, {} for a sheet's own; a logo is a file."""
        if not self.title and self.footer is None and self.ground == "dark":
            return {}
        return self.told()

    def told(self) -> dict[str, Any]:
        """Return the same, a sheet's own too."""
        return {"title": self.title, "footer": self.footer, "ground": self.ground}


PLAIN: Final = Dress()

_current: Final[ContextVar[Dress]] = ContextVar("dress", default=PLAIN)


def current() -> Dress:
    """Return what sheets wear now."""
    return _current.get()


@contextmanager
def wearing(dress: Dress) -> Iterator[None]:
    """Let all sheets drawn within, in this thread, wear this."""
    token = _current.set(dress)
    try:
        yield
    finally:
        _current.reset(token)


def of_recipe(told: Mapping[str, Any]) -> Dress:
    """Return the dress that a recipe tells of.

    Raises
    ------
    KeyError
        Where part of it is missing.
    """
    footer = told["footer"]
    return Dress(
        title=str(told["title"]),
        footer=None if footer is None else str(footer),
        ground="white" if told["ground"] == "white" else "dark",
    )
