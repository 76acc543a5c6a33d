"""Reading the tables in scene/data: numbers, and records with a source each."""

from __future__ import annotations

import csv
from functools import lru_cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

# Where the tables lie.
DATA: Final = Path(__file__).parent / "data"


def _lines(name: str) -> list[str]:
    text = (DATA / name).read_text(encoding="utf-8")
    return [line for line in text.splitlines() if line and not line.startswith("#")]


def numbers(name: str) -> NDArray[np.float64]:
    """Return the numbers of a table, (rows, columns), without its header line."""
    return np.array([[float(cell) for cell in row.split(",")] for row in _lines(name)[1:]])


@lru_cache(maxsize=16)
def records(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of a table by the names in its header line; cells stay text."""
    return tuple(csv.DictReader(_lines(name)))
