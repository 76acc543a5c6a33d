"""Galaxies' discs: bright at their published edge as published, M 82's as long as measured."""

from __future__ import annotations

import pytest
from disc_edges import edge_b_mag_arcsec2

from simview.scene.galaxies import Galaxy
from simview.scene.sky import row_of

# A disc's light against its isophote of 25 B mag/arcsec2 (RC3): B(0) + 1.0857 R25 / h = 25.
BRIGHT = ("m82", "whirlpool", "m66", "sculptor", "ngc-4565", "m83")


@pytest.mark.parametrize("name", BRIGHT)
def test_disc_has_the_isophote_that_its_radius_means(name: str) -> None:
    assert edge_b_mag_arcsec2(Galaxy.of(row_of(name))) == pytest.approx(25.0, abs=0.05)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        # Ichikawa et al. 1995, AJ 109, 2038: 47 arcsec in K, dust makes it longer in blue light.
        ("m82", 45.0, 75.0),
        # Puche, Carignan & van Gorkom 1991, AJ 101, 456: 2.4 kpc at 2.5 Mpc: 198 arcsec.
        ("sculptor", 150.0, 220.0),
        # Wu et al. 2002, AJ 123, 1364: some 8 kpc at 14.5 Mpc: 114 arcsec (all three: memory).
        ("ngc-4565", 90.0, 140.0),
    ],
)
def test_disc_is_as_long_as_measured(name: str, low: float, high: float) -> None:
    assert low < Galaxy.of(row_of(name)).scale_arcsec < high


def test_disc_of_little_light_keeps_freemans_length() -> None:
    galaxy = Galaxy.of(row_of("m101"))
    assert galaxy.scale_arcsec == pytest.approx(galaxy.radius_arcsec / 3.09)
