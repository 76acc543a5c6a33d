"""The pages on vetting tell what the program does: good files, and no rule left out."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path

import pytest

from simview.advice.letterhead import load_letterhead
from simview.advice.listingtoml import Offer, parse_listing
from simview.advice.rules.book import RULES
from simview.advice.stock import load_shelf
from simview.advice.verdict import vet
from simview.demo import folder

DOCS = Path(__file__).parents[3] / "docs"
VET = (DOCS / "vet.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"~~~toml\n(.*?)~~~", VET, re.DOTALL)


def test_listing_on_the_page_is_a_good_one() -> None:
    assert vet(parse_listing(BLOCKS[0], where="vet.md")).verdict == "leave it"


def test_shelf_on_the_page_is_a_good_one(tmp_path: Path) -> None:
    (tmp_path / "kits").mkdir()
    kit = (folder() / "kits/tabletop-114.toml").read_text(encoding="utf-8")
    (tmp_path / "kits/tabletop-114.toml").write_text(kit, encoding="utf-8")
    (tmp_path / "shelf.toml").write_text(BLOCKS[1], encoding="utf-8")
    assert len(load_shelf(tmp_path / "shelf.toml").items) == 3


def test_letterhead_on_the_page_is_a_good_one(tmp_path: Path) -> None:
    path = tmp_path / "head.toml"
    path.write_text(BLOCKS[2], encoding="utf-8")
    assert load_letterhead(path).name == "Astronomy Club"


@pytest.mark.parametrize("key", [spot.name for spot in dataclasses.fields(Offer)])
def test_page_tells_every_key_of_an_offer(key: str) -> None:
    assert f"`{key}`" in VET


def test_page_on_rules_tells_every_rule_with_its_ground() -> None:
    page = (DOCS / "models/rules.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| ([^|]+) \| ([^|]+) \| ([^|]+) \|$", page, re.MULTILINE)
    told = {name: ground for name, _, ground in rows}
    for rule in RULES:
        assert told[rule.name] == f"{rule.label}: {rule.cites}"
