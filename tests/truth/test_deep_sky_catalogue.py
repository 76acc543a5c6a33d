"""The showpieces' places, brightness and angles against an open catalogue.

Source: OpenNGC (Verga 2017 and later), compiled from NED, SIMBAD and HyperLEDA; what is compared is
stored in references/deep_sky.json by the script beside it. The project's own table was typed from
memory of other lists, which its `source` column names: this is the check from outside, and what
it finds to agree closely the column calls "compared".
"""

from __future__ import annotations

import csv
import json
import math
from importlib.resources import files
from pathlib import Path
from statistics import median

import pytest

STORED = json.loads((Path(__file__).parent / "references" / "deep_sky.json").read_text("utf-8"))
TABLE = files("simview.scene").joinpath("data/deep_sky.csv").read_text("utf-8").splitlines()
ROWS = {row["name"]: row for row in csv.DictReader(r for r in TABLE if not r.startswith("#"))}

# More than one catalogued thing, or a large one of which the catalogue names a part.
PARTS = {"double-cluster": "both clusters' middle", "rosette": "NGC 2237 is its western part"}

# Where the two lists differ by more than a quarter of a magnitude, and what the table follows.
OTHER_MAGNITUDES = {
    "double-cluster": "the catalogue's 3.7 is each naked-eye patch's",
    "ngc-869": "as above",
    "ngc-884": "as above",
    "m5": "Harris 1996, edition 2010",
    "m22": "Harris 1996, edition 2010",
    "omega-centauri": "Harris 1996, edition 2010",
    "ngc-6397": "Harris 1996, edition 2010",
    "ngc-6752": "Harris 1996, edition 2010",
    "sombrero": "RC3: the total, asymptotic magnitude; the catalogue's is within an aperture",
    "m87": "RC3, as above",
    "sculptor": "RC3, as above",
    "centaurus-a": "RC3, as above",
    "ngc-4565": "RC3, as above",
    "m83": "RC3, as above",
    "m77": "RC3, as above",
    "ngc-6543": "visual magnitude: the eye takes in the [O III] lines at the edge of the V band",
    "ngc-2392": "as above",
    "omega-nebula": "the catalogue's is its star cluster's",
    "trifid": "the catalogue's is its northern, bluish part's",
    "eagle": "the catalogue's is its star cluster's",
    "m78": "no two lists agree about it",
    "tarantula": "the catalogue's is its star cluster's",
}


def test_most_of_the_showpieces_are_compared() -> None:
    assert len(STORED) >= 80
    assert set(STORED) <= set(ROWS)


def test_showpieces_stand_where_the_catalogue_has_them() -> None:
    astray = {}
    for name in set(STORED) - set(PARTS):
        ours, theirs = ROWS[name], STORED[name]
        north = float(ours["dec_deg"]) - theirs["dec_deg"]
        east = float(ours["ra_deg"]) - theirs["ra_deg"]
        off = 60.0 * math.hypot(east * math.cos(math.radians(theirs["dec_deg"])), north)
        # An open cluster's or a nebula's middle is a matter of taste: a seventh of its size.
        if off >= max(0.15 * float(ours["major_arcmin"]), 0.5):
            astray[name] = off
    assert astray == {}


def test_is_as_bright_as_the_catalogue_has_it() -> None:
    differ = {
        name: float(ROWS[name]["magnitude"]) - theirs["magnitude"]
        for name, theirs in STORED.items()
        if theirs["magnitude"] is not None
    }
    far = {name for name, step in differ.items() if abs(step) > 0.25}
    assert far == set(OTHER_MAGNITUDES), "say in the list what the table follows"
    near = [abs(step) for name, step in differ.items() if name not in far]
    assert len(near) > 50
    assert median(near) < 0.05


def test_long_ones_lie_as_the_catalogue_has_them() -> None:
    compared = 0
    for name, theirs in STORED.items():
        row = ROWS[name]
        if theirs["angle_deg"] is None or not row["minor_arcmin"]:
            continue
        if float(row["minor_arcmin"]) > 0.8 * float(row["major_arcmin"]):
            continue
        apart = abs((float(row["angle_deg"]) - theirs["angle_deg"] + 90.0) % 180.0 - 90.0)
        assert apart <= 7.0, name
        compared += 1
    assert compared > 15


def test_what_the_table_calls_compared_agrees_closely() -> None:
    compared = [name for name, row in ROWS.items() if "compared" in row["source"]]
    assert len(compared) >= 35
    wrong = []
    for name in compared:
        ours, theirs = ROWS[name], STORED[name]
        # Both lists round to a tenth of a magnitude.
        if float(ours["magnitude"]) != pytest.approx(theirs["magnitude"], abs=0.051):
            wrong.append(f"{name}: magnitude")
        size = pytest.approx(theirs["major_arcmin"], rel=0.051)
        if "size compared" in ours["source"] and float(ours["major_arcmin"]) != size:
            wrong.append(f"{name}: size")
    assert wrong == []
