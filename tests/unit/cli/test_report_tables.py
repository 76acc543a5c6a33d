"""Figures as JSON and as text."""

from __future__ import annotations

import json

import numpy as np

from simview.cli.columns import side_by_side
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


def test_every_line_of_a_column_ends_where_the_column_does() -> None:
    says = ["too narrow or too dim", "1"]
    lines = side_by_side(["limit", "n"], [says, ["none", "20"], ["-", "300.5"]], 30)
    assert lines == [
        "limit  too narrow  none      -",
        "       or too dim",
        "n               1    20  300.5",
    ]


def test_sentences_are_broken_to_the_terminal_and_numbers_never(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    says = "the gap is too narrow or too dim for the eye at this power"
    steps = [{"power": 30.0, "limit": says}, {"power": 450.25, "limit": "[none]"}]
    told = table({"steps": steps})
    assert max(map(len, told.splitlines())) <= 80
    assert " ".join(told.split()).count("450.2") == 1
    assert "[none]" in told
    # Eight wide columns do not fit into 80: each number still stands whole on its line.
    wide = table(
        {"steps": [{"width_arcsec": 1234.5 + k, "kit": "Tabletop reflector"} for k in range(8)]}
    )
    assert wide.splitlines()[0].split() == [
        "width_arcsec",
        *(f"{1234.5 + k:.4g}" for k in range(8)),
    ]
    assert " ".join(wide.split()).count("reflector") == 8
