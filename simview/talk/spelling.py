"""A slide's keys as the words of a command, as they would be typed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from simview.errors import SimviewError
from simview.picture.drawing import tongue
from simview.talk.records import Known, Option, Talk, TalkSlide


def spelled(slide: TalkSlide, talk: Talk, known: Known) -> list[str]:
    """Return the command that makes a slide's picture, without its output.

    Raises
    ------
    SimviewError
        For a value that cannot be typed.
    """
    takes = known[slide.command]
    told = [slide.command, *_kits(slide, talk, takes)]
    for key, value in slide.options.items():
        if key not in ("kit", "kits"):
            told += _option(key, takes[key], value, talk, slide)
    if "for" in takes:
        told += ["--for", "slide", "--title", slide.title, "--ground", talk.paper]
        told += ["--lang", tongue.known(talk.language)]
        if talk.footer is not None:
            told += ["--footer", talk.footer]
        if talk.logo is not None:
            told += ["--logo", str(talk.logo)]
    if "slide_size" in takes and "slide_size" not in slide.options:
        told += ["--slide-size", "1280x720"]
    elif "slide_size" not in takes and "size" in takes:
        told += ["--size", f"{talk.size[0]}x{talk.size[1]}"]
    return told


def _kits(slide: TalkSlide, talk: Talk, takes: Mapping[str, Option]) -> list[str]:
    """Return the kits as this command takes them: as its arguments, or behind an option."""
    given = slide.options.get("kits", slide.options.get("kit", []))
    words = [given] if isinstance(given, str) else given
    if not isinstance(words, list) or not all(isinstance(word, str) for word in words):
        raise SimviewError("kits", got=given, allowed="a text, or a list of texts")
    flag = next((takes[key].flag for key in ("kits", "kit", "telescope") if key in takes), "")
    kits = [_beside(word, talk) for word in words]
    return [part for kit in kits for part in ((flag, kit) if flag else (kit,))]


def _beside(word: str, talk: Talk) -> str:
    """Return a file's name as seen from here, where it lies beside the talk's file."""
    there = talk.home / word
    return str(there) if word and there.is_file() else word


def _option(key: str, option: Option, value: Any, talk: Talk, slide: TalkSlide) -> list[str]:
    if option.switch:
        if not isinstance(value, bool):
            raise SimviewError(key, got=value, allowed="true or false")
        return [option.flag] if value else []
    if isinstance(value, Mapping):
        pairs = [f"{name}={_joined(each)}" for name, each in value.items()]
        return [word for pair in pairs for word in (option.flag, pair)]
    if option.again:
        values = value if isinstance(value, list) else [value]
        return [word for each in values for word in (option.flag, _word(each))]
    if key == "labels" and isinstance(value, list):
        return [option.flag, "|".join(map(_word, value))]
    word = _joined(value)
    if not option.flag:
        return [_beside(word, talk)]
    return [option.flag, _beside(word, talk) if option.is_file else word]


def _joined(value: Any) -> str:
    return ",".join(map(_word, value)) if isinstance(value, list) else _word(value)


def _word(value: Any) -> str:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        # TOML's own dates are texts to the commands.
        if hasattr(value, "isoformat"):
            return str(value.isoformat())
        raise SimviewError("value", got=value, allowed="a text or a number")
    return value if isinstance(value, str) else f"{value:.12g}"
