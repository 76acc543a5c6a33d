"""How dangerous things for the Sun are put to people: each gets its stop, in every language."""

from __future__ import annotations

import textwrap
import tomllib
from pathlib import Path
from typing import Final

import measure
import pytest

from simview.advice.reading.assemble import read_advert

SAID: Final[list[dict[str, str]]] = [
    one
    for path in sorted(Path(__file__).parent.glob("sun_*.toml"))
    for one in tomllib.loads(path.read_text(encoding="utf-8"))["s"]
]


@pytest.mark.parametrize("grade", ["stop", "caution", ""])
def test_each_sentence_has_its_grade(grade: str) -> None:
    mine = [one["text"] for one in SAID if one["sun"] == grade]
    assert len(mine) >= 10
    got = {text: measure.sun_grade(read_advert(text)) for text in mine}
    # Where nothing is to be said, a warning may be noted; nothing else may.
    allowed = (grade,) if grade else ("", "note")
    assert {text: found for text, found in got.items() if found not in allowed} == {}


def narrow(text: str) -> str:
    return "\n".join(textwrap.wrap(text, 24, break_on_hyphens=False))


@pytest.mark.parametrize("how", [str.upper, str.lower, narrow])
def test_retyping_takes_no_stop_away(how: object) -> None:
    lost = [
        one["text"]
        for one in SAID
        if one["sun"] == "stop" and measure.sun_grade(read_advert(how(one["text"]))) != "stop"  # type: ignore[operator]
    ]
    assert lost == []
