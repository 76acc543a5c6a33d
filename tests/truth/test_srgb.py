"""The screen's coding against colour-science's own, which follows IEC 61966-2-1:1999."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
from colour_reference import STORED, lab, linear

import simview
from simview import srgb

CODING = STORED["coding"]


def test_coding_is_the_standards_both_ways() -> None:
    light = np.array(CODING["light"])
    np.testing.assert_allclose(srgb.coded(light), CODING["coded"], atol=1e-12)
    np.testing.assert_allclose(srgb.linear(light), CODING["linear"], atol=1e-12)


def test_formulas_that_other_tests_take_are_the_librarys() -> None:
    codes = np.array(CODING["codes"])
    np.testing.assert_allclose(linear(255.0 * np.array(CODING["light"])), CODING["linear"])
    # The library rounds D65's chromaticity to four places, the matrix follows from it.
    np.testing.assert_allclose(lab(linear(codes)), CODING["lab"], atol=0.03)


def test_there_and_back_leaves_every_code_value_as_it_was() -> None:
    codes = np.arange(256) / 255.0
    back = np.rint(255.0 * srgb.coded(srgb.linear(codes)))
    np.testing.assert_array_equal(back, np.arange(256))


# What is written down once must not be typed again elsewhere: the coding's constants here; an inch
# and the arcseconds of a radian in units.py.
ONCE = {
    "srgb.py": re.compile(r"12\.92|1\.055|0\.0031308|0\.04045"),
    "units.py": re.compile(r"\b25\.4\b|\b206[_,]?26[45]\b|180\.0 \* 3600\.0|3600\.0 / math\.pi"),
}


def test_codings_and_conversions_are_written_down_once() -> None:
    package = Path(simview.__file__).parent
    found = []
    for path in package.rglob("*.py"):
        lines = path.read_text("utf-8").splitlines()
        for home, pattern in ONCE.items():
            found += [
                f"{path.relative_to(package)}:{number}: {line.strip()}"
                for number, line in enumerate(lines, 1)
                if path.name != home and pattern.search(line.partition("#")[0])
            ]
    assert not found
