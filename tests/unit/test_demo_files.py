"""The demo's files: found, complete, and invented."""

from __future__ import annotations

import pytest

from simview import demo
from simview.errors import ChoiceError
from simview.kitfile import load_kit


def test_demo_holds_the_kits_of_its_story() -> None:
    assert demo.kit_names() == [
        "binoculars-10x50",
        "maksutov-127",
        "naked-eye",
        "reflector-114",
        "reflector-130",
        "refractor-70",
        "refractor-80",
        "refractor-90",
        "rocker-200",
        "schmidt-cassegrain-203",
        "tabletop-114",
        "tabletop-150",
        "tabletop-76",
        "toy-refractor-50",
    ]


def test_readme_of_the_demo_names_every_file() -> None:
    readme = demo.asset("README.txt").read_text(encoding="utf-8")
    assert [n for n in demo.assets() if n != "README.txt" and n not in readme] == []


def test_demo_kits_say_that_they_are_invented() -> None:
    kits = {n: demo.asset(n).read_text("utf-8") for n in demo.assets() if n.startswith("kits/")}
    assert len(kits) == len(demo.kit_names())
    assert [name for name, text in kits.items() if not text.startswith("# Invented")] == []


def test_word_without_prefix_is_a_path() -> None:
    assert demo.kit_path("tabletop-150").name == "tabletop-150"
    assert load_kit(demo.kit_path("demo:tabletop-150")).name == "Tabletop reflector 150/750"


def test_unknown_demo_kit_offers_the_nearest() -> None:
    with pytest.raises(ChoiceError, match=r"did you mean demo:tabletop-150\?"):
        demo.kit_path("demo:tabeltop-150")
    with pytest.raises(ChoiceError, match=r"did you mean 'README.txt'\?"):
        demo.asset("readme.txt")


def test_no_path_leads_out_of_the_demo() -> None:
    with pytest.raises(ChoiceError):
        demo.asset("../pyproject.toml")
    with pytest.raises(ChoiceError):
        demo.kit_path("demo:../adverts/present-450x")
