"""A talk's file, read with every key checked; what is wrong is told with its line."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any, Final, cast

from simview.errors import RangeError, SimviewError, nearest, require_choice
from simview.picture.drawing.tongue import LANGUAGES
from simview.picture.drawing.tongue import known as known_language
from simview.picture.slides.plan import check_slide
from simview.talk.records import Known, Paper, Talk, TalkSlide
from simview.textfile import parse_toml, read_text

# A choice: an evening's worth.
MOST_SLIDES: Final = 200
MOST_LINES: Final = 6

_TALK: Final = (
    "title",
    "author",
    "date",
    "language",
    "footer",
    "paper",
    "logo",
    "size",
    "slides_a_page",
    "sources",
    "defaults",
    "slide",
)
_SLIDE: Final = ("name", "title", "notes", "command", "kit", "kits", "lines", "picture", "live")

# Commands whose views the live page shows.
_LIVE: Final = ("view", "ladder", "compare")

# What stands for the talk's day: in words, and as a slide's own date.
DAY: Final = "{date}"
OF_THE_TALK: Final = "talk"

# Keys of commands that a talk settles for all of its slides.
_OWN: Final = (
    "title",
    "footer",
    "logo",
    "paper",
    "ground",
    "lang",
    "size",
    "for",
    "out",
    "force",
    "quiet",
)


def read_talk(file: Path, known: Known) -> Talk:
    """Read a talk's file.

    Parameters
    ----------
    known
        The commands that can make a slide, and their options.

    Raises
    ------
    SimviewError
        Names the file, the line, and what is wrong there.
    """
    text = read_text(file, what="talk file")
    told = parse_toml(text, where=str(file), what="talk file")
    reader = _Reader(file=file, lines=text.splitlines(), known=known)
    return dated(reader.talk(told))


# Letters of a file's name that is made from a title, whole words.
_LONGEST_NAME: Final = 40

# Stands for the table of defaults where blocks are counted: 0 is the head, slides from 1.
_DEFAULTS: Final = -1


@dataclass(frozen=True, kw_only=True)
class _Reader:
    file: Path
    lines: Sequence[str]
    known: Known

    def talk(self, told: Mapping[str, Any]) -> Talk:
        self._check(told, _TALK, block=0)
        rows = told.get("slide", [])
        if not isinstance(rows, list) or not rows or not all(isinstance(r, dict) for r in rows):
            raise self._wrong("slides", 0, "slide", got="none", allowed="[[slide]] for each slide")
        if len(rows) > MOST_SLIDES:
            raise RangeError("slides", got=len(rows), allowed=f"1 to {MOST_SLIDES}")
        defaults = told.get("defaults", {})
        if not isinstance(defaults, dict):
            raise self._wrong("defaults", 0, "defaults", got=defaults, allowed="a table [defaults]")
        every = {key for options in self.known.values() for key in options}
        self._check(defaults, ("kit", "kits", *sorted(every - set(_OWN))), block=_DEFAULTS)
        slides = [self._slide(row, n, defaults) for n, row in enumerate(rows, 1)]
        language = self._text(told, "language", 0) or "en"
        if known_language(language) != language.partition("-")[0].lower():
            raise self._wrong("language", 0, "language", got=language, allowed=", ".join(LANGUAGES))
        self._unlike(slides)
        return Talk(
            file=self.file,
            title=self._text(told, "title", 0) or self.file.stem,
            author=self._text(told, "author", 0),
            day=self._day(told.get("date")),
            language=language,
            footer=self._text(told, "footer", 0) if "footer" in told else None,
            paper=cast(Paper, require_choice("paper", told.get("paper", "dark"), _PAPERS)),
            logo=self._path(told, "logo", 0),
            size=self._size(told.get("size", "1920x1080")),
            per_page=self._per_page(told.get("slides_a_page", 3)),
            sources=self._texts(told, "sources", 0),
            slides=tuple(slides),
        )

    def _slide(self, row: Mapping[str, Any], number: int, defaults: Mapping[str, Any]) -> TalkSlide:
        title = self._text(row, "title", number)
        if not title:
            raise self._wrong("title", number, "title", got="none", allowed="the point, in words")
        command = self._text(row, "command", number)
        lines, picture = self._texts(row, "lines", number), self._path(row, "picture", number)
        ways = [bool(command), bool(lines), picture is not None]
        if sum(ways) != 1:
            raise self._wrong(
                "slide without a picture" if not any(ways) else "slide of two kinds",
                number,
                "title",
                got=title,
                allowed="one of: command, lines, picture",
            )
        if len(lines) > MOST_LINES:
            raise self._wrong(
                "lines", number, "lines", got=len(lines), allowed=f"1 to {MOST_LINES} lines"
            )
        options = self._options(row, number, command, defaults) if command else {}
        if not command:
            self._check(row, _SLIDE, block=number)
        return TalkSlide(
            name=self._name(row, number, title),
            number=number,
            line=self._line(number, ""),
            title=" ".join(title.split()),
            notes=self._text(row, "notes", number).strip(),
            command=command,
            options=options,
            lines=lines,
            picture=picture,
            live=self._live(row, number, command, options),
        )

    def _live(
        self, row: Mapping[str, Any], number: int, command: str, options: Mapping[str, Any]
    ) -> bool:
        value = row.get("live", False)
        if not isinstance(value, bool):
            raise self._wrong("live", number, "live", got=value, allowed="true or false")
        named = isinstance(options.get("target"), str)
        if value and (command not in _LIVE or not named):
            raise self._wrong(
                "live",
                number,
                "live",
                got=command or "no command",
                allowed=f"{', '.join(_LIVE)} with one target by its name",
            )
        return value

    def _options(
        self, row: Mapping[str, Any], number: int, command: str, defaults: Mapping[str, Any]
    ) -> dict[str, Any]:
        """Return a slide's own keys over the defaults that its command takes."""
        if command not in self.known:
            near = nearest(command, self.known)
            raise self._wrong(
                "command",
                number,
                "command",
                got=command,
                allowed=", ".join(self.known),
                remedy=f"did you mean {near!r}?" if near else "",
            )
        takes = self.known[command]
        usable = [key for key in takes if key not in _OWN]
        self._check(row, [*_SLIDE, *usable], block=number)
        own = {key: value for key, value in row.items() if key in (*usable, "kit", "kits")}
        from_defaults = {
            key: value
            for key, value in defaults.items()
            if key in (*usable, "kit", "kits") and key not in own
        }
        if "kit" in own or "kits" in own:
            from_defaults = {k: v for k, v in from_defaults.items() if k not in ("kit", "kits")}
        return {**from_defaults, **own}

    def _name(self, row: Mapping[str, Any], number: int, title: str) -> str:
        name = self._text(row, "name", number)
        if not name:
            # Letters lose their marks: names of files travel to other systems.
            plain = unicodedata.normalize("NFKD", title.casefold())
            plain = "".join(c for c in plain if not unicodedata.combining(c))
            words = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
            if len(words) > _LONGEST_NAME:
                words = words[: _LONGEST_NAME + 1].rpartition("-")[0] or words[:_LONGEST_NAME]
            return words or f"slide-{number}"
        if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]{0,60}", name):
            raise self._wrong(
                "name", number, "name", got=name, allowed="letters, digits and hyphens, up to 61"
            )
        return name

    def _unlike(self, slides: Sequence[TalkSlide]) -> None:
        seen: dict[str, TalkSlide] = {}
        for slide in slides:
            first = seen.setdefault(slide.name.lower(), slide)
            if first is not slide:
                raise self._wrong(
                    "two slides with one name",
                    slide.number,
                    "name",
                    got=slide.name,
                    remedy=f"slide {first.number} (line {first.line}) has it: give each a name",
                )

    def _check(self, told: Mapping[str, Any], keys: Sequence[str], *, block: int) -> None:
        for key in told:
            if key not in keys:
                near = nearest(key, keys)
                raise self._wrong(
                    "unknown key",
                    block,
                    key,
                    got=key,
                    remedy=f"did you mean {near!r}?" if near else "",
                )

    def _text(self, told: Mapping[str, Any], key: str, block: int) -> str:
        value = told.get(key, "")
        if not isinstance(value, str):
            raise self._wrong(key, block, key, got=value, allowed="a text in quotes")
        return value

    def _texts(self, told: Mapping[str, Any], key: str, block: int) -> tuple[str, ...]:
        value = told.get(key, [])
        if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
            raise self._wrong(key, block, key, got=value, allowed="a list of texts")
        return tuple(" ".join(each.split()) for each in value)

    def _path(self, told: Mapping[str, Any], key: str, block: int) -> Path | None:
        name = self._text(told, key, block)
        if not name:
            return None
        path = self.file.parent / name
        if not path.is_file():
            raise self._wrong(key, block, key, got=name, allowed="a file that is there")
        return path

    def _day(self, told: Any) -> date:
        """Return the day of the talk; today where the file has none."""
        if told is None:
            return date.today()
        if isinstance(told, date):  # TOML's own; a point in time is one too
            return told.date() if isinstance(told, datetime) else told
        try:
            return date.fromisoformat(str(told))
        except ValueError:
            raise self._wrong("date", 0, "date", got=told, allowed="as in 2027-03-12") from None

    def _size(self, told: Any) -> tuple[int, int]:
        found = re.fullmatch(r"(\d{3,5})x(\d{3,5})", str(told))
        if not found:
            raise self._wrong("size", 0, "size", got=told, allowed='as in size = "1920x1080"')
        return check_slide((int(found[1]), int(found[2])))

    def _per_page(self, told: Any) -> int:
        if isinstance(told, bool) or not isinstance(told, int) or not 2 <= told <= 6:
            raise self._wrong(
                "slides_a_page", 0, "slides_a_page", got=told, allowed="2 to 6, whole"
            )
        return told

    def _wrong(self, what: str, block: int, key: str, **told: Any) -> SimviewError:
        return SimviewError(what, where=f"{self.file}, line {self._line(block, key)}", **told)

    def _line(self, block: int, key: str) -> int:
        """Return the line of a key in the n-th slide, or before the first; of its head if none."""
        heads = [n for n, line in enumerate(self.lines, 1) if re.match(r"\s*\[\[slide\]\]", line)]
        ends = [*heads, len(self.lines) + 1]
        start = heads[block - 1] if 0 < block <= len(heads) else 1
        end = ends[block] if block < len(ends) else len(self.lines) + 1
        if block == _DEFAULTS:
            head = re.compile(r"\s*\[defaults\]")
            start = next((n for n, line in enumerate(self.lines, 1) if head.match(line)), 1)
            end = len(self.lines) + 1
        if key:
            pattern = re.compile(rf"\s*\[*[\"']?{re.escape(key)}[\"']?\s*[\].=]")
            for number in range(start, end):
                if pattern.match(self.lines[number - 1]):
                    return number
        return start


def dated(talk: Talk) -> Talk:
    """Return a talk with its day written wherever its file has `{date}`, and `date = "talk"`."""
    from babel.dates import format_date

    tongue = known_language(talk.language)
    said = str(format_date(talk.day, "long", locale={"en": "en_GB"}.get(tongue, tongue)))

    def filled(words: str) -> str:
        return words.replace(DAY, said)

    slides = tuple(
        replace(
            slide,
            title=filled(slide.title),
            notes=filled(slide.notes),
            lines=tuple(filled(line) for line in slide.lines),
            options={
                key: talk.day.isoformat() if key == "date" and value == OF_THE_TALK else value
                for key, value in slide.options.items()
            },
        )
        for slide in talk.slides
    )
    footer = None if talk.footer is None else filled(talk.footer)
    return replace(talk, title=filled(talk.title), slides=slides, footer=footer)


_PAPERS: Final = ("dark", "white")
