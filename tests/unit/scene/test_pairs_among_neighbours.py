"""A double of the table stands among the catalogue's stars, and none of its stars twice."""

from __future__ import annotations

import numpy as np
import pytest

from simview.scene.tables import records
from simview.scene.targets import target

# Stars that a look at the sky shows beside these pairs, as bright as one of theirs: the other pair
# of Epsilon Lyrae, the two of Theta-2 Orionis. (Common practice, no source.)
OTHERS = {"epsilon1-lyrae": 2, "epsilon2-lyrae": 2, "trapezium": 2}


@pytest.mark.parametrize("row", records("doubles.csv"), ids=lambda row: row["name"])
def test_no_star_of_a_pair_stands_twice(row) -> None:
    stars = target(row["name"]).paint(2.0, 256).stars
    own = 2 + len([word for word in row["companions"].split(";") if word])
    near = np.hypot(stars.x_arcsec, stars.y_arcsec) < 225.0
    others = stars.magnitude[own:][near[own:] & (stars.magnitude[own:] < 7.0)]
    alike = sum(np.abs(stars.magnitude[:own] - other).min() < 1.2 for other in others)
    assert alike == OTHERS.get(row["name"], 0)


def test_pair_is_centred_on_its_middle() -> None:
    stars = target("albireo").paint(2.0, 256).stars
    assert stars.x_arcsec[:2].sum() == pytest.approx(0.0, abs=1e-9)
    assert stars.y_arcsec[:2].sum() == pytest.approx(0.0, abs=1e-9)


def test_alcor_stands_beside_mizar() -> None:
    # Alcor (V 4.0) is 708.5 arcsec from Mizar A, position angle 71 deg (WDS STF 1744 AC, as known
    # from memory).
    stars = target("mizar").paint(4.0, 512).stars
    (alcor,) = np.flatnonzero((np.abs(stars.magnitude - 4.0) < 0.1) & (stars.y_arcsec > 100.0))
    west = stars.x_arcsec[alcor] - stars.x_arcsec[0]
    north = stars.y_arcsec[alcor] - stars.y_arcsec[0]
    assert np.hypot(west, north) == pytest.approx(708.5, abs=2.0)
    assert np.degrees(np.arctan2(-west, north)) == pytest.approx(71.0, abs=1.0)
