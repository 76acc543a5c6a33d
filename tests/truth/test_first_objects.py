"""The first list's double stars against the survey's own stars at their places.

Source: Høg et al. 2000, "The Tycho-2 Catalogue of the 2.5 million brightest stars", A&A 355, L27,
as the package holds it: each star's place and V, measured by the satellite.
"""

from __future__ import annotations

import numpy as np
import pytest

from simview.advice.tonight import first_objects
from simview.scene.star_catalogue import zone

TURN = 360.0 / 2.0**32
PAIRS = [row for row in first_objects() if "Tycho-2" in row["source"]]


def test_most_of_the_doubles_are_compared() -> None:
    assert len(PAIRS) >= 13


@pytest.mark.parametrize("row", PAIRS, ids=lambda row: row["name"])
def test_double_of_the_first_list_has_the_surveys_magnitudes_and_separation(
    row: dict[str, str],
) -> None:
    ra, dec = float(row["ra_deg"]), float(row["dec_deg"])
    near = zone(ra, dec, 0.03)
    first, second = near[np.argsort(near["v"])[:2]]
    # Listed to a tenth; Tycho's V of red giants is a tenth off (his filters end before 600 nm).
    assert float(row["magnitude"]) == pytest.approx(first["v"] / 1000.0, abs=0.16)
    assert float(row["magnitude_b"]) == pytest.approx(second["v"] / 1000.0, abs=0.16)
    if "separation" in row["source"]:
        return  # they turn about one another, or move: the list says where that is from
    east = (int(second["ra"]) - int(first["ra"])) * TURN * np.cos(np.radians(dec)) * 3600.0
    north = (int(second["dec"]) - int(first["dec"])) * TURN * 3600.0
    assert float(row["separation_arcsec"]) == pytest.approx(np.hypot(east, north), abs=0.25)
