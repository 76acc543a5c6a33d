"""Double stars: place, orientation, refusal of nonsense."""

from __future__ import annotations

import math

import numpy as np
import pytest

from simview.errors import SimviewError
from simview.picture.drawing import tongue
from simview.picture.retelling import titled
from simview.scene.tables import records
from simview.scene.targets import target


@pytest.mark.parametrize(
    ("angle", "x", "y"), [(0.0, 0.0, 1.0), (90.0, -1.0, 0.0), (180.0, 0.0, -1.0), (270.0, 1.0, 0.0)]
)
def test_position_angle_runs_from_north_through_east(angle: float, x: float, y: float) -> None:
    # North up, east left: at 90 deg the companion lies to the left of the primary.
    stars = target(double=(2.0, angle, 4.0, 6.0)).scene(pixel_arcsec=0.1, pixels=64).stars
    assert stars.magnitude.tolist() == [4.0, 6.0]
    assert stars.x_arcsec[1] - stars.x_arcsec[0] == pytest.approx(2.0 * x, abs=1e-9)
    assert stars.y_arcsec[1] - stars.y_arcsec[0] == pytest.approx(2.0 * y, abs=1e-9)


@pytest.mark.parametrize("row", records("doubles.csv"), ids=lambda row: row["name"])
def test_named_pair_has_its_tables_figures_and_no_double_entry(row: dict[str, str]) -> None:
    stars = target(row["name"]).scene(pixel_arcsec=1.0, pixels=256).stars
    separation = float(row["separation_arcsec"])
    assert math.hypot(
        stars.x_arcsec[1] - stars.x_arcsec[0], stars.y_arcsec[1] - stars.y_arcsec[0]
    ) == pytest.approx(separation, abs=1e-6)
    # The catalogue's own entries are gone: nobody else stands within 8 arcsec of either.
    own = 2 + len([word for word in row["companions"].split(";") if word])
    for k in range(own):
        others = np.hypot(
            stars.x_arcsec[own:] - stars.x_arcsec[k], stars.y_arcsec[own:] - stars.y_arcsec[k]
        )
        assert (others > 8.0).all()


@pytest.mark.parametrize(
    "bad", [(1.0, 2.0), ("a", 1, 2, 3), (float("nan"), 0, 5, 5), (-1, 0, 5, 5)]
)
def test_nonsense_double_is_refused(bad: tuple[object, ...]) -> None:
    with pytest.raises(SimviewError):
        target(double=bad)


def test_both_stars_of_algieba_have_the_catalogues_colour_together() -> None:
    # Bright Star Catalogue (Hoffleit & Jaschek 1991): B-V 1.15 of both together; K1 III and G7 III,
    # so that the fainter one is the yellower.
    (row,) = [row for row in records("doubles.csv") if row["name"] == "algieba"]
    magnitudes = [float(row["magnitude_a"]), float(row["magnitude_b"])]
    colours = [float(row["bv_a"]), float(row["bv_b"])]
    visual = sum(10.0 ** (-0.4 * v) for v in magnitudes)
    blue = sum(10.0 ** (-0.4 * (v + c)) for v, c in zip(magnitudes, colours, strict=True))
    assert -2.5 * math.log10(blue / visual) == pytest.approx(1.15, abs=0.02)
    assert colours[0] - colours[1] > 0.1


def test_title_of_two_close_pairs_tells_how_wide_each_is() -> None:
    # ORB6 for 2025: 2.2 arcsec for A-B (two orbits, 2.26 and 2.13), 2.4 for C-D; STFA 37: 210.
    title = target("double-double").title
    assert title == "Epsilon Lyrae, pairs of 2.2″ and 2.4″, 210″ apart"
    with tongue.speaking("de"):
        told = titled(target("double-double"))
    assert told == "Epsilon Lyrae, Paare von 2,2″ und 2,4″, 210″ auseinander"
