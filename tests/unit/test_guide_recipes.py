"""A target and a marking added as the guide for contributors says, and by nothing else.

Its fault is in `telescope/test_fault_table.py`, its output in `picture/test_outputs.py`.
"""

from __future__ import annotations

import re
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

import simview
from simview.advice.reading.assemble import read_advert
from simview.eyepiece import markings
from simview.picture.again import redo
from simview.picture.views import compose
from simview.scene import targets

GUIDE = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")


def code_in(heading: str) -> list[str]:
    part = GUIDE.partition(f"## {heading}\n")[2].partition("\n## ")[0]
    return [textwrap.dedent(code) for code in re.findall(r"```python\n(.*?)```", part, re.DOTALL)]


@pytest.fixture
def _with_a_bar(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    module_text, entry_text = code_in("Add a scene")
    module = ModuleType("simview.scene.bar")
    exec(module_text, vars(module))
    monkeypatch.setitem(sys.modules, module.__name__, module)
    (entry,) = eval(f"({entry_text})", vars(targets))
    monkeypatch.setattr(targets, "_DRAWN", (*targets._DRAWN, entry))
    caches = (targets.entries, targets._words)
    for cache in caches:
        cache.cache_clear()
    yield
    for cache in caches:
        cache.cache_clear()


@pytest.mark.usefixtures("_with_a_bar")
def test_target_of_the_guide_is_painted_listed_drawn_and_made_again() -> None:
    bar = simview.target("bar", width_arcsec=30.0)
    scene = bar.scene(pixel_arcsec=0.7, pixels=128)
    # 30 arcsec of 100 cd/m2: the mean over each pixel's area keeps the sum exact.
    assert scene.planes[1, 0].sum() * 0.7 == pytest.approx(3000.0, rel=1e-6)
    assert "bar" in [each.name for each in simview.targets("bar")]
    kit = simview.find_kit("demo:tabletop-150").kit
    sheet = compose.view(kit, bar, power=75.0, size=(960, 540))
    assert sheet.figures["finest_detail_arcsec"] > 0.0
    assert redo(sheet.recipe).image.tobytes() == sheet.image.tobytes()


def test_marking_of_the_guide_is_read_on_barrels_and_in_offers(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (entry_text,) = code_in("Add letters on an eyepiece")
    (more,) = eval(f"({entry_text})", vars(markings))
    with pytest.raises(simview.SimviewError):
        markings.read_marking("SO9")
    table = (*markings.MARKINGS, more)
    by_word = {word: each for each in table for word in each.words}
    monkeypatch.setattr(markings, "MARKINGS", table)
    monkeypatch.setattr(markings, "_BY_WORD", by_word)
    designs = {word: each.design for word, each in by_word.items()}
    monkeypatch.setattr(markings, "DESIGNS", designs)
    assert markings.read_marking("SO9") == (more, 9.0)
    assert (
        read_advert("Refractor 70/700, eyepiece super ortho 9 mm").eyepieces[0].focal_length_mm
        == 9.0
    )
