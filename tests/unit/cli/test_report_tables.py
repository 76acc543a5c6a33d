"""Figures as JSON and as text."""

from __future__ import annotations

import json

import numpy as np

from simview.cli.report import clean, table


def test_figures_become_plain_json_without_nan() -> None:
    figures = {"a": np.float64(1.5), "b": np.arange(2), "c": float("nan"), "d": (1, float("inf"))}
    assert clean(figures) == {"a": 1.5, "b": [0, 1], "c": None, "d": [1, None]}
    json.dumps(clean(figures), allow_nan=False)


def test_rows_of_figures_stand_side_by_side() -> None:
    text = table({"enough_from": 40.0, "steps": [{"power": 30.0, "empty": False}, {"power": 90.0}]})
    assert text.splitlines() == [
        "enough_from  40",
        "",
        "power  30  90",
        "empty  no   -",
    ]
