"""The image of a star in real eyes, drawn one by one, against the closed form that stands for them.

Each eye has third to fifth order faults of the size of a published survey and some astigmatism
that glasses leave, and is focused for the sharpest star. What is drawn is held to Watson's
published mean transfer first: an ensemble that had other faults than people have would fail there.
"""

import numpy as np
import pytest
from scipy import fft
from scipy.ndimage import map_coordinates
from scipy.special import erf

from simview.eye.optics import human_transfer, in_phase
from simview.kit import Eyepiece, Kit, Observer, Sky, Telescope
from simview.power.multiple import pairs_of
from simview.power.pairs import pair_curve
from simview.scene.targets import target

# RMS in micrometre over a pupil of 6 mm, and the power with which it grows with the pupil: Salmon
# & van de Pol 2006, J. Cataract Refract. Surg. 32, 2064 (2560 eyes; mean sizes of the single terms
# that stand out: coma 0.14, spherical aberration 0.13, trefoil 0.11; 0.33 in all). How much each
# order and both directions have is ours.
SPREAD = {3: (0.176, 0.143, 3), 4: (0.066, 0.072, 4), 5: (0.066, 0.066, 5)}
SPHERICAL, SPHERICAL_SPREAD = 0.10, 0.088
# Cylinder that glasses leave, dioptre RMS in each of two directions: half of the quarter steps in
# which they are made and more. Chosen, since with it the eyes have Watson's mean transfer.
CYLINDER = 0.2

EYES, SAMPLES, GRID = 40, 64, 144
WAVES = np.array([470.0, 510.0, 540.0, 570.0, 605.0])
LIGHT = np.exp(-0.5 * ((WAVES - 557.0) / 42.0) ** 2)  # V(lambda), within some per cent
U = np.arange(0.0, 62.0, 2.0)
TURNS = np.radians(np.arange(0.0, 180.0, 22.5))

# The pupil, for path differences.
_along = (np.arange(SAMPLES) + 0.5) / (SAMPLES / 2) - 1.0
_x, _y = np.meshgrid(_along, _along)
R, T = np.hypot(_x, _y), np.arctan2(_y, _x)
OPEN = R <= 1.0
FOCUS = np.sqrt(3.0) * (2.0 * R**2 - 1.0)


def modes(order):
    """Noll's polynomials of one radial order, those of one fold and of `order` folds."""
    if order == 3:
        return [(np.sqrt(8.0) * (3 * R**3 - 2 * R), 1), (np.sqrt(8.0) * R**3, 3)]
    if order == 4:
        return [(np.sqrt(10.0) * (4 * R**4 - 3 * R**2), 2), (np.sqrt(10.0) * R**4, 4)]
    return [(np.sqrt(12.0) * (10 * R**5 - 12 * R**3 + 3 * R), 1), (np.sqrt(12.0) * R**5, 5)]


def drawn(rng):
    """Return an eye: its faults as (power of the pupil, path in micrometre at 6 mm)."""
    parts = {3: 0.0, 4: 0.0, 5: 0.0}
    for order, (*sizes, power) in SPREAD.items():
        for (radial, folds), size in zip(modes(order), sizes, strict=True):
            a, b = rng.normal(scale=size / np.sqrt(2.0), size=2)
            parts[power] = parts[power] + radial * (a * np.cos(folds * T) + b * np.sin(folds * T))
    ball = np.sqrt(5.0) * (6 * R**4 - 6 * R**2 + 1)
    parts[4] = parts[4] + rng.normal(SPHERICAL, SPHERICAL_SPREAD) * ball
    a, b = rng.normal(scale=CYLINDER, size=2)
    # A cylinder of J dioptre is J r^2 / (2 sqrt 6) micrometre RMS (Thibos et al. 2004).
    folded = np.sqrt(6.0) * R**2 * (a * np.cos(2 * T) + b * np.sin(2 * T))
    parts[2] = folded * 3.0**2 / (2.0 * np.sqrt(6.0))
    return parts


def path_um(eye, pupil_mm, sphere):
    """Return the path over the pupil; `sphere` in dioptre, whose RMS is M r^2 / (4 sqrt 3)."""
    faults = sum(part * (pupil_mm / 6.0) ** power for power, part in eye.items())
    return faults + sphere * (pupil_mm / 2.0) ** 2 / (4.0 * np.sqrt(3.0)) * FOCUS


def transfer(path, pupil_mm):
    """Return (directions, frequencies) the complex transfer in white light, the image centred."""
    total = np.zeros((len(TURNS), len(U)), dtype=complex)
    for nm, share in zip(WAVES, LIGHT / LIGHT.sum(), strict=True):
        # Thibos et al. 1992, Appl. Opt. 31, 3594: the eye's focus by colour, dioptre.
        colour = 633.46 / (555.0 - 214.102) - 633.46 / (nm - 214.102)
        shifted = path + colour * (pupil_mm / 2.0) ** 2 / (4.0 * np.sqrt(3.0)) * FOCUS
        field = np.zeros((GRID, GRID), dtype=np.complex64)
        field[:SAMPLES, :SAMPLES] = np.where(OPEN, np.exp(2e3j * np.pi * shifted / nm), 0.0)
        lags = fft.fftshift(fft.ifft2(np.abs(fft.fft2(field)) ** 2))
        lag = np.outer(np.cos(TURNS), U), np.outer(np.sin(TURNS), U)
        step = nm * 1e-6 * 180.0 / np.pi / pupil_mm * SAMPLES
        at = [GRID // 2 + lag[1] * step, GRID // 2 + lag[0] * step]
        kept = map_coordinates(lags.real, at, order=1) + 1j * map_coordinates(
            lags.imag, at, order=1
        )
        total += share * kept / lags[GRID // 2, GRID // 2].real
    strength = np.abs(total[:, 1:] * total[:, :-1])
    turn = np.angle(total[:, 1:] * np.conj(total[:, :-1]))
    slope = (strength * turn).sum(axis=1) / strength.sum(axis=1)
    return total * np.exp(-1j * slope[:, None] * np.arange(len(U)))


@pytest.fixture(scope="module")
def eyes():
    rng = np.random.default_rng(11)
    return [drawn(rng) for _ in range(EYES)]


def test_drawn_eyes_have_the_faults_of_the_survey(eyes):
    # Salmon & van de Pol 2006, abstract: 0.33 micrometre in all. The largest terms of coma and of
    # trefoil are 0.14 and 0.11 on the mean, and the other direction's less: either is shared evenly
    # here. The mean size of a normal spread is 0.798 of its RMS, if it is about 0.
    mean = np.sqrt(2.0 / np.pi)
    for size, most in zip(SPREAD[3][:2], (0.14, 0.11), strict=True):
        assert 0.65 * most < mean * size / np.sqrt(2.0) < most
    z = SPHERICAL / SPHERICAL_SPREAD
    ball = SPHERICAL_SPREAD * mean * np.exp(-(z**2) / 2.0) + SPHERICAL * erf(z / np.sqrt(2.0))
    assert ball == pytest.approx(0.13, abs=0.02)
    whole = [np.sqrt(np.mean(sum(eye[k] for k in (3, 4, 5))[OPEN] ** 2)) for eye in eyes]
    assert np.mean(whole) == pytest.approx(0.33, rel=0.1)


def focused(eye, pupil_mm):
    """Return the transfer at the focus that makes a star's middle highest, nerves in it."""
    nerves = np.exp(-2.0 * (np.pi * 0.35 / 60.0 * U) ** 2) * U
    tried = [transfer(path_um(eye, pupil_mm, m), pupil_mm) for m in np.linspace(-0.5, 0.5, 9)]
    return max(tried, key=lambda kept: float((kept.real.mean(axis=0) * nerves).sum()))


@pytest.mark.parametrize("pupil_mm", [3.0, 4.5, 6.0])
def test_drawn_eyes_have_watsons_transfer_and_the_share_in_phase(eyes, pupil_mm):
    kept = np.array([focused(eye, pupil_mm) for eye in eyes])
    size, real = np.abs(kept).mean(axis=(0, 1)), kept.real.mean(axis=(0, 1))
    up_to_40 = (U > 3.0) & (U <= 40.0)
    # Watson 2013: the mean of 200 eyes. Ours are forty, so chance moves theirs by its standard
    # error; 15 % is left to how the survey's means are shared out.
    chance = np.abs(kept).mean(axis=1).std(axis=0) / np.sqrt(EYES)
    apart = np.abs(size - human_transfer(U, pupil_mm))
    assert np.all((apart < 0.15 * human_transfer(U, pupil_mm) + 2.5 * chance)[up_to_40])
    assert (real / size)[up_to_40] == pytest.approx(in_phase(U, pupil_mm)[up_to_40], abs=0.1)


def telescope(aperture_mm):
    return Kit(
        telescope=Telescope(aperture_mm=aperture_mm, focal_length_mm=8.0 * aperture_mm),
        eyepieces=(Eyepiece(focal_length_mm=10.0),),
    )


def verdict(aperture_mm, power, name_or_pair, age_years=40.0):
    pair = (
        target(name_or_pair)
        if isinstance(name_or_pair, str)
        else target("double", double=name_or_pair)
    )
    (two,) = pairs_of(pair)
    found = pair_curve(
        telescope(aperture_mm),
        pair,
        separation_arcsec=two.separation_arcsec,
        magnitudes=two.magnitudes,
        powers=[power],
        sky=Sky(),
        observer=Observer(age_years=age_years),
        closest=False,
    )
    return found.verdicts[0]


@pytest.mark.parametrize(
    ("aperture_mm", "power", "name", "split"),
    [
        # Observers' reports, common practice, no single source: ten times and a large exit pupil
        # leave Mizar's 14 arcsec a challenge, 20 do not; Castor asks for 20 to 30 and more;
        # Albireo parts in a steady binocular.
        (60.0, 9.0, "castor", False),
        (60.0, 14.0, "castor", False),
        (60.0, 30.0, "castor", True),
        (200.0, 29.0, "castor", False),
        (200.0, 60.0, "castor", True),
        (60.0, 9.0, "mizar", False),
        (60.0, 20.0, "mizar", True),
        (60.0, 12.0, "albireo", True),
    ],
)
def test_low_powers_part_what_observers_report(aperture_mm, power, name, split):
    assert (verdict(aperture_mm, power, name) == "split") is split


@pytest.mark.parametrize(
    ("arcsec", "magnitudes", "split"),
    [
        # Naked-eye pairs: Mizar and Alcor (708 arcsec) part for any good eye; epsilon Lyrae (209)
        # for the keenest alone, so not for the mean one. Common practice, no source. A telescope of
        # 7 mm that magnifies once stands for the eye.
        (708.0, (2.2, 4.0), True),
        (209.0, (4.6, 4.7), False),
    ],
)
def test_a_naked_eye_parts_what_observers_report(arcsec, magnitudes, split):
    found = verdict(10.0, 10.0 / 7.0, (arcsec * 0.7, 0.0, *magnitudes), age_years=30.0)
    assert (found == "split") is split
