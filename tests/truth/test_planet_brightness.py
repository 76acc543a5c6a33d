"""Magnitudes of Moon and planets against published formulas as another library has them."""

from __future__ import annotations

import pytest
from skyfield import magnitudelib

from simview.scene.moon import moon_magnitude
from simview.scene.planets import jupiter_magnitude, saturn_magnitude


# skyfield's transcription of Mallama & Hilton 2018, Astron. Comput. 25, 10.
@pytest.mark.parametrize(
    ("r", "delta", "phase"), [(5.2, 4.2, 0.0), (4.95, 3.95, 5.0), (5.4, 6.0, 9)]
)
def test_jupiter_magnitude_is_mallama_and_hiltons(r: float, delta: float, phase: float) -> None:
    theirs = magnitudelib._jupiter_magnitude(r, delta, phase)
    assert jupiter_magnitude(r, delta, phase) == pytest.approx(float(theirs), abs=1e-6)


@pytest.mark.parametrize("tilt", [0.0, 8.0, 20.0, 26.0])
@pytest.mark.parametrize("phase", [0.0, 2.0, 6.0])
def test_saturn_magnitude_is_mallama_and_hiltons(tilt: float, phase: float) -> None:
    theirs = magnitudelib._saturn_magnitude(9.5, 8.6, phase, tilt, tilt, True)
    ours = saturn_magnitude(9.5, 8.6, phase, tilt, tilt)
    assert ours == pytest.approx(float(theirs), abs=1e-6)


# Krisciunas & Schaefer 1991, PASP 103, 1033, eq. 9 after Allen; half-Moon -10.0 to -10.2 and full
# -12.73 (memory).
@pytest.mark.parametrize(("phase", "expected"), [(0.0, -12.73), (90.0, -10.13), (120.0, -8.78)])
def test_moon_magnitude_follows_allens_phase_curve(phase: float, expected: float) -> None:
    assert moon_magnitude(phase) == pytest.approx(expected, abs=0.01)


def test_moon_is_brighter_when_nearer() -> None:
    # 1 % larger is 2 % more light, 0.0216 mag.
    assert moon_magnitude(10.0, 1883.2) - moon_magnitude(10.0) == pytest.approx(-0.0216, abs=3e-4)
