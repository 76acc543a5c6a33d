"""Momentary screens against the theory of turbulence, within their own statistical error.

Each comparison is two-sided. Tolerance: four standard errors of the mean, the error taken from the
scatter of the screens themselves, plus what is stated for the method (1 %).
"""

import math

import numpy as np
import pytest
from zernike_basis import zernike_basis

from simview.air import screens, seeing, turbulence
from simview.kit import Sky

SAMPLES = 48
COUNT = 1000


@pytest.fixture(scope="module")
def endless():
    """COUNT screens with an infinite outer scale, for an aperture of 1 and r0 of 1, in rad."""
    rng = np.random.default_rng(20240101)
    return np.stack([screens.unit_screen(SAMPLES, math.inf, rng) for _ in range(COUNT)])


def disc(samples):
    """Places of the samples in the unit disc, and which lie inside."""
    place = (np.arange(samples) - samples // 2 + 0.5 * (1 - samples % 2)) / (samples / 2.0)
    y, x = np.meshgrid(place, place, indexing="ij")
    return x, y, np.hypot(x, y) <= 1.0


def mean_and_error(values):
    return values.mean(axis=0), values.std(axis=0, ddof=1) / math.sqrt(len(values))


def promised(samples, outer_scale):
    """Structure function that the recipe itself promises: every cell's power x 2 (1 - cos).

    (2 samples - 1) square, for all steps from 1 - samples to samples - 1; centre in the middle.
    """
    recipe = screens._recipe(samples, outer_scale)
    n = len(recipe.fine)
    covariance = np.fft.irfft2((recipe.fine.astype(float) / n) ** 2, s=(n, n)) * n**2
    steps = np.arange(1 - samples, samples)
    total = 2.0 * (covariance[0, 0] - covariance[np.ix_(steps % n, steps % n)])
    y, x = steps[:, None] / samples, steps / samples
    for frequency, amplitude in recipe.waves:
        turn = np.exp(2j * math.pi * np.outer(steps / samples, frequency))
        power = 2.0 * amplitude**2
        total += power.sum() - (turn @ power @ turn.T).real
    return total + recipe.tilt**2 * (x**2 + y**2)


class TestStructureFunction:
    @pytest.mark.parametrize("samples", [48, 120])
    @pytest.mark.parametrize("outer_scale", [math.inf, 125.0, 10.0])
    def test_promised_by_the_recipe_is_the_theoretical_one(self, samples, outer_scale):
        # No chance in it: von Karman's structure function (Tokovinin 2002) against the sum over
        # the recipe's cells, for every pair of samples. 1 % as the module says; a plain
        # transform is off by up to 80 % at the far end.
        steps = np.arange(1 - samples, samples)
        baseline = np.hypot(steps[:, None], steps) / samples
        theory = turbulence.structure_rad2(baseline, 1.0, outer_scale)
        found = promised(samples, outer_scale)
        apart = baseline > 0.0
        assert found[apart] == pytest.approx(theory[apart], rel=0.01)

    @pytest.mark.parametrize("step", [1, 4, 12, 24, 40])
    def test_measured_on_the_screens_is_the_theoretical_one(self, endless, step):
        # Kolmogorov: 6.8839 (r / r0)^(5/3), Fried 1966.
        across = ((endless[:, :, step:] - endless[:, :, :-step]) ** 2).mean(axis=(1, 2))
        down = ((endless[:, step:] - endless[:, :-step]) ** 2).mean(axis=(1, 2))
        theory = 6.8839 * (step / SAMPLES) ** (5.0 / 3.0)
        for values in (across, down):
            mean, error = mean_and_error(values)
            assert mean == pytest.approx(theory, abs=4.0 * error + 0.01 * theory)
            # The error is small enough for the comparison to mean something.
            assert error < 0.05 * theory


# Noll 1976, J. Opt. Soc. Am. 66, 207, table IV: modes removed and residual as printed; and the
# same to four figures from D(r) = 6.8839 (r/r0)^(5/3), which his last digits miss.
NOLL = [
    (1, 1.0299, 1.0324),
    (3, 0.134, 0.1347),
    (4, 0.111, 0.1114),
    (6, 0.0648, 0.0650),
    (11, 0.0377, 0.0378),
    (21, 0.0208, 0.0208),
]


class TestNollResiduals:
    @pytest.mark.parametrize(("removed", "printed", "exact"), NOLL)
    def test_promised_by_the_recipe_are_nolls(self, removed, printed, exact):
        # No chance in it: the mean residual follows from the structure function alone.
        x, y, inside = disc(SAMPLES)
        row, column = np.nonzero(inside) + np.array(SAMPLES - 1)
        structure = promised(SAMPLES, math.inf)
        first_row, first_column = np.nonzero(inside)
        covariance = -0.5 * structure[row[:, None] - first_row, column[:, None] - first_column]
        modes = np.linalg.qr(zernike_basis(removed, x[inside], y[inside]).T)[0]
        taken = np.einsum("ij,ij->", modes, covariance @ modes)
        found = (np.trace(covariance) - taken) / len(row)
        # 1.3 % is the recipe's own, 0.3 % the ragged rim of 48 samples (theory summed over the
        # same samples).
        assert found == pytest.approx(exact, rel=0.015)
        # He printed the same within 0.6 %.
        assert found == pytest.approx(printed, rel=0.02)

    @pytest.mark.parametrize(("removed", "printed", "exact"), NOLL)
    def test_measured_on_the_screens_are_nolls(self, endless, removed, printed, exact):
        x, y, inside = disc(SAMPLES)
        basis = zernike_basis(removed, x[inside], y[inside]).T
        flat = endless[:, inside].T
        left = flat - basis @ np.linalg.lstsq(basis, flat, rcond=None)[0]
        mean, error = mean_and_error((left**2).mean(axis=0))
        assert mean == pytest.approx(exact, abs=4.0 * error + 0.015 * exact)
        assert mean == pytest.approx(printed, abs=4.0 * error + 0.02 * printed)
        assert error < 0.03 * exact

    def test_tilts_have_nolls_variance_in_both_axes(self, endless):
        x, y, inside = disc(SAMPLES)
        basis = zernike_basis(3, x[inside], y[inside]).T
        modes = np.linalg.lstsq(basis, endless[:, inside].T, rcond=None)[0]
        for tilt in (modes[1], modes[2]):
            mean, error = mean_and_error(tilt**2)
            # Noll 1976: 0.448 (D / r0)^(5/3); 0.44888 to more figures.
            assert mean == pytest.approx(0.44888, abs=4.0 * error + 0.0045)
        # The two tilts are independent: their correlation is 0 within its error.
        assert abs(np.corrcoef(modes[1], modes[2])[0, 1]) < 4.0 / math.sqrt(COUNT)

    def test_outer_scale_takes_its_part_of_the_tilt(self):
        # 1 - 1.42 (D / L0)^(1/3) of the tilt is left (Sasiela 1994, from memory), which for
        # L0 = 125 D is 0.716.
        rng = np.random.default_rng(7)
        samples = 24
        x, _, inside = disc(samples)
        tilts = []
        for _ in range(1000):
            screen = screens.unit_screen(samples, 125.0, rng)
            tilts.append((screen[inside] @ x[inside]) / (x[inside] @ x[inside]) / 2.0)
        mean, error = mean_and_error(np.square(tilts))
        assert mean / 0.44888 == pytest.approx(0.716, abs=4.0 * error / 0.44888 + 0.01)


class TestLongExposure:
    def test_mean_transfer_of_many_moments_is_the_long_exposure(self):
        # Two roads to one thing: the mean over moments of the transfer function of a telescope
        # looking through screens, and the formula of Fried 1966 with von Karman's structure
        # function. Along one axis, as the mean over the pupil of exp i (phi(x + b) - phi(x)).
        sky = Sky(seeing_arcsec=2.0, altitude_deg=90.0, outer_scale_m=25.0, air="long")
        rng = np.random.default_rng(11)
        samples, aperture_mm, count = 32, 100.0, 1200
        wavelength_nm = 550.0
        stack = np.stack([screens.screen_nm(samples, aperture_mm, sky, rng) for _ in range(count)])
        field = np.exp(2j * math.pi * stack / wavelength_nm)
        for step in (2, 8, 16, 24):
            pairs = (field[:, :, step:] * field[:, :, :-step].conj()).real.mean(axis=(1, 2))
            mean, error = mean_and_error(pairs)
            baseline_m = step / samples * aperture_mm * 1e-3
            frequency = np.array([baseline_m / (wavelength_nm * 1e-9) / 206264.806])
            expected = seeing.transfer(
                sky, wavelength_nm=wavelength_nm, frequency=frequency, aperture_mm=aperture_mm
            )[0]
            # 1 % of the structure function is 1 % of the exponent.
            method = 0.01 * expected * -math.log(expected)
            assert mean == pytest.approx(expected, abs=4.0 * error + method)
