"""Magnitudes of Moon and planets against published formulas as another library has them."""

from __future__ import annotations

import numpy as np
import pytest
from skyfield import magnitudelib

from simview.scene.brightness import moon_magnitude, planet_magnitude, saturn_magnitude


# skyfield's transcription of Mallama & Hilton 2018, Astron. Comput. 25, 10.
@pytest.mark.parametrize(
    ("r", "delta", "phase"), [(5.2, 4.2, 0.0), (4.95, 3.95, 5.0), (5.4, 6.0, 9)]
)
def test_jupiter_magnitude_is_mallama_and_hiltons(r: float, delta: float, phase: float) -> None:
    theirs = magnitudelib._jupiter_magnitude(r, delta, phase)
    assert planet_magnitude("jupiter", r, delta, phase) == pytest.approx(float(theirs), abs=1e-6)


@pytest.mark.parametrize("phase", [5.0, 60.0, 90.0, 130.0, 160.0])
def test_inner_planets_magnitudes_are_mallama_and_hiltons(phase: float) -> None:
    for name, r, delta in (("mercury", 0.39, 0.9), ("venus", 0.72, 0.6)):
        theirs = getattr(magnitudelib, f"_{name}_magnitude")(r, delta, phase)
        assert planet_magnitude(name, r, delta, phase) == pytest.approx(float(theirs), abs=1e-6)


# Without the terms of rotation and season (up to 0.06 and 0.05 mag; eq. 6 and its tables).
@pytest.mark.parametrize("phase", [0.0, 20.0, 45.0])
def test_mars_magnitude_is_mallama_and_hiltons_mean(phase: float) -> None:
    assert planet_magnitude("mars", 1.52, 0.6, phase) == pytest.approx(
        -1.601 + 0.02267 * phase - 0.0001302 * phase**2 + 5 * np.log10(1.52 * 0.6), abs=1e-6
    )


def test_far_planets_magnitudes_are_mallama_and_hiltons() -> None:
    uranus = magnitudelib._uranus_magnitude(19.3, 18.3, 1.2, 60.0, 60.0)
    ours = planet_magnitude("uranus", 19.3, 18.3, 1.2, latitude_deg=60.0)
    assert ours == pytest.approx(float(uranus), abs=1e-6)
    neptune = magnitudelib._neptune_magnitude(30.0, 29.0, 0.5, 2026.0)
    assert planet_magnitude("neptune", 30.0, 29.0, 0.5) == pytest.approx(float(neptune), abs=1e-6)


@pytest.mark.parametrize("tilt", [0.0, 8.0, 20.0, 26.0])
@pytest.mark.parametrize("phase", [0.0, 2.0, 6.0])
def test_saturn_magnitude_is_mallama_and_hiltons(tilt: float, phase: float) -> None:
    theirs = magnitudelib._saturn_magnitude(9.5, 8.6, phase, tilt, tilt, True)
    ours = saturn_magnitude(9.5, 8.6, phase, tilt, tilt)
    assert ours == pytest.approx(float(theirs), abs=1e-6)


# Krisciunas & Schaefer 1991, PASP 103, 1033, eq. 9 after Allen: V = -12.73 + 0.026 a + 4e-9 a^4, an
# older curve from other observers, which has no surge below 7 deg. Within a tenth of a magnitude.
@pytest.mark.parametrize("phase", [7.0, 20.0, 40.0, 60.0, 90.0, 120.0, 150.0])
def test_moon_magnitude_agrees_with_allens_phase_curve(phase: float) -> None:
    allen = -12.73 + 0.026 * phase + 4e-9 * phase**4
    assert moon_magnitude(phase) == pytest.approx(allen, abs=0.11)


def test_full_moon_surges() -> None:
    # Buratti, Hillier & Wang 1996, Icarus 124, 490 (memory): more than 40 % brighter between 4 deg
    # and the smallest phases. The coefficients are good from 1.55 deg: some 20 % of it.
    surge = 10.0 ** (0.4 * (moon_magnitude(4.0) - moon_magnitude(1.55)))
    smooth = 10.0 ** (0.4 * (moon_magnitude(14.0) - moon_magnitude(11.55)))
    assert 1.12 < surge < 1.35
    assert surge > 1.06 * smooth


def test_waxing_half_moon_is_brighter_than_a_waning_one() -> None:
    # Russell 1916, ApJ 43, 103; Rougier 1933 (memory): first quarter 0.1 to 0.2 mag brighter than
    # last quarter, for the western seas are darker and wider.
    first, last = (moon_magnitude(90.0, sun_longitude_deg=way * 90.0) for way in (1.0, -1.0))
    assert 0.08 < last - first < 0.25


def test_moon_is_brighter_when_nearer() -> None:
    # 1 % larger is 2 % more light, 0.0216 mag.
    assert moon_magnitude(10.0, 1883.2) - moon_magnitude(10.0) == pytest.approx(-0.0216, abs=3e-4)
