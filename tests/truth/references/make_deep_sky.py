"""Write deep_sky.json: what an open catalogue says of this project's showpieces.

The catalogue is OpenNGC (M. Verga, 2017 and later, CC-BY-SA-4.0), as the package PyOngc 1.2.2
carries it, compiled from NED, SIMBAD and HyperLEDA. Run by hand, with that package installed in an
environment of its own: ``python make_deep_sky.py``. Only what is compared is stored: right
ascension, declination (degrees), V, the longer diameter (arcmin) and the position angle (degrees).
"""

from __future__ import annotations

import csv
import json
import math
import re
import sqlite3
from pathlib import Path

import pyongc

HERE = Path(__file__).parent
TABLE = HERE.parents[2] / "simview" / "scene" / "data" / "deep_sky.csv"


def main() -> None:
    """Look up every row that names a Messier, NGC or IC number."""
    base = sqlite3.connect(Path(pyongc.__file__).parent / "ongc.db")
    base.row_factory = sqlite3.Row
    found = {}
    lines = [line for line in TABLE.read_text("utf-8").splitlines() if not line.startswith("#")]
    for row in csv.DictReader(lines):
        entry = _entry(base, row["title"], row["aliases"])
        if entry is not None:
            found[row["name"]] = {
                "catalogue": entry["name"],
                "ra_deg": round(math.degrees(entry["ra"]), 4),
                "dec_deg": round(math.degrees(entry["dec"]), 4),
                "magnitude": entry["vmag"],
                "major_arcmin": entry["majax"],
                "angle_deg": entry["pa"],
            }
    path = HERE / "deep_sky.json"
    path.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")


def _entry(base: sqlite3.Connection, title: str, aliases: str) -> sqlite3.Row | None:
    messier = re.search(r"\bM ?(\d+)\b", title) or re.search(r"(?:^|;)m(\d+)(?:;|$)", aliases)
    if messier:
        number = f"{int(messier[1]):03d}"
        row = base.execute("select * from objects where messier=?", (number,)).fetchone()
        if row is not None:
            return row
    other = re.search(r"(NGC|IC) ?(\d+)", title) or re.search(r"(ngc|ic)-?(\d+)", aliases)
    if other is None:
        return None
    name = f"{other[1].upper()}{int(other[2]):04d}"
    return base.execute("select * from objects where name=?", (name,)).fetchone()


if __name__ == "__main__":
    main()
