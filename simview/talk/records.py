"""What a talk is, as its file says it, and what has been made of a slide."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, Literal

Paper = Literal["dark", "white"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TalkSlide:
    """One slide, as the file says it.

    Parameters
    ----------
    name
        Of its files; unlike all others.
    number
        From 1.
    line
        Where it begins in the file.
    title
        As written on it.
    notes
        For the speaker.
    command
        What makes its picture: "view", "compare" ...; empty for words or a picture of one's own.
    options
        The keys and values for that command, defaults included.
    lines
        Of a slide of words.
    picture
        One's own picture; None for none.
    live
        True where the slide leads to the same view on the page of `simview live`.
    """

    name: str
    number: int
    line: int
    title: str
    notes: str = ""
    command: str = ""
    options: Mapping[str, Any] = field(default_factory=dict)
    lines: tuple[str, ...] = ()
    picture: Path | None = None
    live: bool = False

    @property
    def place(self) -> str:
        """Where it stands, for messages."""
        return f"slide {self.number} {self.name!r}, line {self.line}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Talk:
    """A talk, as its file says it.

    Parameters
    ----------
    file
        It was read from here; names of other files are looked up beside it.
    title, author, language
        For the files' own properties and the handout's head.
    day
        When it is given: that of the file, or the day on which it is made.
    footer
        At the foot of every slide; None for what commands write there themselves.
    size
        Of every slide, pixels.
    sources
        Lines for the end of the handout.
    """

    file: Path
    title: str
    slides: tuple[TalkSlide, ...]
    day: date
    author: str = ""
    language: str = "en"
    footer: str | None = None
    paper: Paper = "dark"
    logo: Path | None = None
    size: tuple[int, int] = (1920, 1080)
    per_page: int = 3
    sources: tuple[str, ...] = ()

    @property
    def home(self) -> Path:
        """The folder that names of files are looked up in."""
        return self.file.parent


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """What a command made of a slide.

    Parameters
    ----------
    files
        Contents by the ending of the name: ".png" always, ".mp4" or ".gif" for a film.
    tells
        The slide in words, for those who do not see it.
    small_print
        What is assumed.
    """

    files: Mapping[str, bytes]
    tells: str = ""
    small_print: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A slide whose files lie in the talk's folder.

    Parameters
    ----------
    picture
        PNG; of a film its first frame.
    film
        MP4 or GIF, or None.
    link
        Of the live page with the same view; empty for none.
    """

    slide: TalkSlide
    picture: Path
    film: Path | None = None
    tells: str = ""
    small_print: str = ""
    link: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """How a command takes one option.

    Parameters
    ----------
    flag
        As it is typed: "--sky-mag"; empty for an argument without one.
    key
        As it stands in a talk's file: "sky_mag".
    again
        True where it comes once for each value, False where values stand with commas between.
    switch
        True where it takes no value.
    is_file
        True where its value names a file.
    """

    flag: str
    key: str = ""
    again: bool = False
    switch: bool = False
    is_file: bool = False


# Each command's options by the key that the file uses.
Known = Mapping[str, Mapping[str, Option]]
