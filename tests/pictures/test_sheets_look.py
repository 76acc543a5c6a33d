"""Sheets look as they did when somebody looked at them and accepted them.

To change them on purpose: tests/pictures/accept_sheets.py.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from drawn_views import SHEETS, thumb
from PIL import Image, ImageDraw

ACCEPTED = Path(__file__).parent / "accepted"

# Largest difference, in steps of 8 bits, that other versions of numpy and FreeType may make: on
# the mean over the whole sheet, and over any block of 8 x 8 pixels of the thumbnail (a letter's
# edge moved by a third of a pixel changes its block by about 4).
MEAN, BLOCK = 0.6, 7.0


def differences(first: Image.Image, second: Image.Image) -> tuple[float, float]:
    """Mean difference of two thumbnails, and the largest mean over a block of 8 x 8."""
    apart = np.abs(np.asarray(first, float) - np.asarray(second, float)).mean(axis=2)
    ny, nx = (n // 8 * 8 for n in apart.shape)
    blocks = apart[:ny, :nx].reshape(ny // 8, 8, nx // 8, 8).mean(axis=(1, 3))
    return float(apart.mean()), float(blocks.max())


@pytest.fixture(scope="module")
def sheets():
    return {name: draw() for name, draw in SHEETS.items()}


@pytest.mark.parametrize("name", SHEETS)
def test_sheet_looks_as_accepted(sheets, name):
    with Image.open(ACCEPTED / f"{name}.png") as accepted:
        mean, block = differences(thumb(sheets[name]), accepted.convert("RGB"))
    assert mean < MEAN
    assert block < BLOCK


@pytest.mark.parametrize(
    ("spoil", "where"),
    [
        ("a mark is missing", (700, 85, 730, 112)),
        ("a power is missing", (560, 70, 640, 112)),
        ("a close-up is missing", (426, 279, 535, 387)),
        ("a line of the caption is missing", (20, 480, 940, 494)),
    ],
)
def test_comparison_notices_when(sheets, spoil, where):
    spoilt = sheets["ladder"].copy()
    ImageDraw.Draw(spoilt).rectangle(where, fill=(5, 6, 9))
    with Image.open(ACCEPTED / "ladder.png") as accepted:
        mean, block = differences(thumb(spoilt), accepted.convert("RGB"))
    assert mean > MEAN or block > BLOCK, spoil


def test_comparison_notices_a_brighter_print(sheets):
    lighter = sheets["view"].point(lambda code: min(255, round(code * 1.1) + 1))
    with Image.open(ACCEPTED / "view.png") as accepted:
        mean, _ = differences(thumb(lighter), accepted.convert("RGB"))
    assert mean > MEAN


def test_sheets_are_the_same_in_every_run(sheets):
    again = SHEETS["compare"]()
    assert np.array_equal(np.asarray(again), np.asarray(sheets["compare"]))
