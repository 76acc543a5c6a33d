"""Slides that lead to the same view on the page of `simview live`, on this machine.

The page opens only to who has its key. A talk's folder keeps a key of its own, so that the links in
its files hold from one day to the next: `simview live --talk FOLDER` serves with that key.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlencode

from simview.demo import PREFIX
from simview.errors import FileError
from simview.talk.making import LIST, PICTURES
from simview.talk.records import Made, Talk, TalkSlide

# Where `simview live --talk` serves: the usual port of `simview live`.
PORT: Final = 8467
HOME: Final = f"http://127.0.0.1:{PORT}/"

# What the page calls the options that it has, where a slide gives one value.
_CALLED: Final = {
    "seeing": "seeing",
    "sky_mag": "sky",
    "altitude": "altitude",
    "age": "age",
    "air": "air",
}

# Endings of the files that a kit or an offer comes in.
ENDINGS: Final = (".toml", ".txt", ".text", ".md", ".html", ".htm")

# Most views that the page shows side by side.
_SIDES: Final = 2


def linked(made: Sequence[Made], key: str) -> tuple[Made, ...]:
    """Return the slides, those marked live with their links."""
    return tuple(
        replace(each, link=f"{HOME}?key={key}#{state(each.slide)}") if each.slide.live else each
        for each in made
    )


def state(slide: TalkSlide) -> str:
    """Return what the page's address says of a slide's view."""
    options = slide.options
    told: list[tuple[str, Any]] = [("room", "see"), ("object", options["target"])]
    words = [Path(word).name if _is_file(word) else word for word in _words(options)]
    powers = _listed(options.get("power", options.get("powers", [])))
    for number, word in enumerate(words[:_SIDES]):
        told.append(("kit", word))
        if powers:
            told.append(("power", powers[number if number < len(powers) else 0]))
    for key, name in _CALLED.items():
        value = options.get(key)
        if isinstance(value, str | int | float) and not isinstance(value, bool):
            told.append((name, value))
    return urlencode([*told, ("stage", "1")])


def kits(talk: Talk) -> dict[str, str]:
    """Return the kits of a talk's live slides: their names on the page, and where they lie.

    An offer's own words lie nowhere; they stand for themselves.
    """
    found = {}
    for slide in talk.slides:
        for word in _words(slide.options) if slide.live else ():
            if _is_file(word):
                found[Path(word).name] = str((talk.home / word).resolve())
            elif not word.startswith(PREFIX):
                found[word] = word
    return found


def _words(options: Mapping[str, Any]) -> list[str]:
    # Kits are no list in one text: an offer's own words may hold commas.
    given = options.get("kits", options.get("kit", []))
    return [given] if isinstance(given, str) else [str(word) for word in _listed(given)]


def _listed(value: Any) -> list[Any]:
    if isinstance(value, str):
        return [part for part in value.split(",") if part]
    return list(value) if isinstance(value, list) else [value]


def _is_file(word: str) -> bool:
    return not word.startswith(PREFIX) and word.lower().endswith(ENDINGS)


def of_folder(folder: Path) -> tuple[str, dict[str, str]]:
    """Return the key of a made talk, and its live slides' kit files by their names.

    Raises
    ------
    FileError
        Where no talk lies there, or none of its slides is marked live.
    """
    try:
        told = json.loads((folder / PICTURES / LIST).read_text(encoding="utf-8"))
        live = told["live"]
        key, files = str(live["key"]), {str(k): str(v) for k, v in live["kits"].items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise FileError(
            "no talk with live slides lies here",
            remedy="`simview talk FILE --out FOLDER` makes one",
            where=str(folder),
        ) from None
    return key, files
