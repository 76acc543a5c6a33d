"""Where an eye focuses the white light of an achromat: against diffraction added up directly.

The amplitude in the middle of a star's image is the pupil's integral over its wavefront, divided by
wavelength and focal length (Born & Wolf, Principles of Optics, 8.8.1): the light there goes as
1 / wavelength^2 times |integral|^2. Here the integral is a plain sum over rings of the pupil; the
eye's response is the CIE 1924 table, not the fit of it that the program uses.
"""

from __future__ import annotations

import numpy as np
import pytest

from simview.kit import Telescope
from simview.telescope.colour_focus import best_visual_focus_mm

# CIE 1924 photopic V(lambda) every 10 nm, 400 to 700 nm. Source: CIE 018 (table, three digits).
V = np.array(
    [
        *[0.0004, 0.0012, 0.0040, 0.0116, 0.0230, 0.0380, 0.0600, 0.0910, 0.1390, 0.2080],
        *[0.3230, 0.5030, 0.7100, 0.8620, 0.9540, 0.9950, 0.9950, 0.9520, 0.8700, 0.7570],
        *[0.6310, 0.5030, 0.3810, 0.2650, 0.1750, 0.1070, 0.0610, 0.0320, 0.0170, 0.0082],
        0.0041,
    ]
)
NM = np.arange(400.0, 701.0, 10.0)


def brightest_focus_mm(scope: Telescope) -> float:
    """Return the focus with the most light in the middle, by trying many."""
    shifts = np.array([scope.focus_shift_mm(float(nm)) for nm in NM])
    ratio = scope.focal_length_mm / scope.aperture_mm
    area = (np.arange(400) + 0.5) / 400.0  # rings of equal area, r^2
    trials = np.linspace(shifts.min(), np.median(shifts) + 2.0, 4001)
    best = []
    for focus in trials:
        # Sag of a sphere's edge: shift / (8 N^2), in waves of each colour.
        edge = (shifts - focus) / (8.0 * ratio**2) / (NM * 1e-6)
        amplitude = np.exp(2j * np.pi * edge[:, None] * area).mean(axis=1)
        best.append(float(np.sum(V * NM**-2.0 * np.abs(amplitude) ** 2)))
    return float(trials[int(np.argmax(best))])


# Achromats, and long single lenses, in which all colours count: there the 1 / wavelength^2 alone
# moves the focus by 0.09 to 0.16 of its depth.
@pytest.mark.parametrize(
    ("objective", "aperture_mm", "focal_mm"),
    [
        ("achromat", 60.0, 900.0),
        ("achromat", 102.0, 500.0),
        ("singlet", 20.0, 1000.0),
        ("singlet", 30.0, 1500.0),
    ],
)
def test_focus_is_where_diffraction_puts_most_light(
    objective: str, aperture_mm: float, focal_mm: float
) -> None:
    scope = Telescope(aperture_mm=aperture_mm, focal_length_mm=focal_mm, objective=objective)
    found = best_visual_focus_mm(scope)
    direct = brightest_focus_mm(scope)
    # The fit of V is within 0.01 of the table, which moves the focus by up to some hundredths of
    # the depth of focus, 4 N^2 lambda (a quarter wave on either side).
    depth = 4.0 * (focal_mm / aperture_mm) ** 2 * 550e-6
    assert found == pytest.approx(direct, abs=0.02 * depth)
