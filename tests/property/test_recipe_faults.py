"""A recipe that was tampered with gives one line, whatever stands in it."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simview.cli.kits import read as read_kit
from simview.errors import SimviewError
from simview.kit import Observer, Sky
from simview.picture import recipe
from simview.scene.targets import target

JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=5,
)

KIT = read_kit("demo:tabletop-150").kit
COMMANDS = {
    "ladder": {"powers": [30.0, 75.0]},
    "compare": {"choices": [[0, None]]},
    "view": {"eyepiece": 0, "power": None},
}


def good(command: str) -> dict[str, Any]:
    return recipe.write(
        command,
        [KIT],
        target("jupiter", diameter_arcsec=40.0),
        sky=Sky(),
        observer=Observer(),
        size=[960, 540],
        engine="native",
        **COMMANDS[command],
    )


def outcome(given: dict[str, Any]) -> str:
    try:
        recipe.read(given)
    except SimviewError as error:
        return str(error)
    return "read"


@pytest.mark.parametrize("command", COMMANDS)
def test_untouched_recipe_is_read(command: str) -> None:
    assert outcome(good(command)) == "read"


@pytest.mark.parametrize("command", COMMANDS)
def test_recipe_that_lacks_a_part_is_told(command: str) -> None:
    for key in ("kits", "target", "conditions", "command"):
        broken = good(command)
        del broken[key]
        assert "recipe" in outcome(broken)


@given(st.sampled_from(sorted(COMMANDS)), st.data())
def test_recipe_with_junk_in_it_gives_one_line(command: str, data: st.DataObject) -> None:
    broken = copy.deepcopy(good(command))
    key = data.draw(st.sampled_from(sorted(broken)))
    value = broken[key]
    if isinstance(value, dict) and value and data.draw(st.booleans()):
        value[data.draw(st.sampled_from(sorted(value)))] = data.draw(JUNK)
    elif isinstance(value, list) and value and data.draw(st.booleans()):
        value[0] = data.draw(JUNK)
    else:
        broken[key] = data.draw(JUNK)
    assert len(outcome(broken).splitlines()) == 1
