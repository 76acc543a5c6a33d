"""Sheets on stars look as they did when somebody looked at them and accepted them.

To change them on purpose: tests/pictures/accept_sheets.py.
"""

from __future__ import annotations

import pytest
from drawn_stars import SHEETS, thumb
from PIL import Image, ImageDraw
from test_sheets_look import ACCEPTED, BLOCK, MEAN, differences


@pytest.fixture(scope="module")
def sheets():
    return {name: draw() for name, draw in SHEETS.items()}


@pytest.mark.parametrize("name", SHEETS)
def test_star_sheet_looks_as_accepted(sheets, name):
    with Image.open(ACCEPTED / f"{name}.png") as accepted:
        mean, block = differences(thumb(sheets[name]), accepted.convert("RGB"))
    assert mean < MEAN
    assert block < BLOCK


@pytest.mark.parametrize(
    ("name", "spoil", "where", "ground"),
    [
        ("startest", "the panel in focus is missing", (420, 92, 540, 212), (0, 0, 0)),
        ("startest", "the wavefront is missing", (236, 330, 350, 446), (5, 6, 9)),
        ("startest", "a sentence is missing", (665, 330, 935, 372), (5, 6, 9)),
        ("collimate", "a screw is missing", (140, 105, 195, 160), (28, 34, 44)),
        ("startest-atlas", "a cell is missing", (250, 100, 420, 350), (252, 252, 250)),
        ("film-frame", "the words are missing", (0, 515, 512, 580), (5, 6, 9)),
    ],
)
def test_comparison_notices_when(sheets, name, spoil, where, ground):
    spoilt = sheets[name].copy()
    ImageDraw.Draw(spoilt).rectangle(where, fill=ground)
    with Image.open(ACCEPTED / f"{name}.png") as accepted:
        mean, block = differences(thumb(spoilt), accepted.convert("RGB"))
    assert mean > MEAN or block > BLOCK, spoil
