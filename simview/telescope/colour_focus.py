"""The colours of a telescope: where each comes to a focus, and which focus an eye chooses."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from simview.glass import focus_shifts_mm
from simview.kit import Telescope


def shifts_mm(scope: Telescope, wavelengths_nm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return `Telescope.focus_shift_mm` for an array of wavelengths."""
    waves = np.asarray(wavelengths_nm, dtype=np.float64)
    return focus_shifts_mm(scope.objective, scope.focal_length_mm, waves)


def luminosity(wavelength_nm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return V(lambda), the eye's daylight response, as a sum of two lobes; peak near 1.

    Source: Wyman, Sloan and Shirley 2013, J. Computer Graphics Techniques 2(2), 1, multi-lobe
    fit of the CIE 1931 y-bar (within 0.01 everywhere).
    Checked by: tests/truth/test_glass.py (against the CIE table of colour-science)
    """
    wide = np.where(wavelength_nm < 568.8, 46.9, 40.5)
    narrow = np.where(wavelength_nm < 530.9, 16.3, 31.1)
    return np.asarray(
        0.821 * np.exp(-0.5 * ((wavelength_nm - 568.8) / wide) ** 2)
        + 0.286 * np.exp(-0.5 * ((wavelength_nm - 530.9) / narrow) ** 2)
    )


@lru_cache(maxsize=64)
def best_visual_focus_mm(scope: Telescope) -> float:
    """Return where an eye focuses white light, in mm against the focus at 546.07 nm.

    It is the focus that gives the highest peak of a star's image, added up over 400 to 700 nm
    with the weight V(lambda) of an equal-energy star: the sum of V sinc^2(W) / lambda^2 over
    the defocus W in waves of each colour. Slow lenses find the middle of their colours, fast
    ones the green and yellow where the curve turns.

    Source: peak of a defocused star, Born & Wolf, Principles of Optics, section 8.8; the choice
    of criterion is ours.
    Checked by: tests/truth/test_best_focus.py
    """
    if scope.objective == "mirror":
        return 0.0
    waves = np.arange(400.0, 701.0, 5.0)
    shift = shifts_mm(scope, waves)
    weight = luminosity(waves) / waves**2
    ratio = scope.focal_length_mm / scope.working_aperture_mm
    per_mm = 1.0 / (8.0 * ratio**2 * waves * 1e-6)

    def peak(focus: NDArray[np.float64]) -> NDArray[np.float64]:
        defocus = (shift[None, :] - focus[:, None]) * per_mm
        return np.asarray(np.sinc(defocus) ** 2 @ weight)

    seen = shift[luminosity(waves) > 0.02]
    trial = np.linspace(seen.min(), seen.max(), 801)
    for _ in range(3):
        best = trial[int(np.argmax(peak(trial)))]
        step = trial[1] - trial[0]
        trial = np.linspace(best - step, best + step, 81)
    return float(best)
