"""The light path's transfer curve against closed forms and against the point spread."""

from dataclasses import replace

import numpy as np
import pytest

from simview.eye import transfer
from simview.eye.optics import diffraction_transfer
from simview.eye.transfer import transfer_curve
from simview.kit import Mount, Sky, Telescope, Wavefront
from simview.scene.spectrum import band_centres_nm
from simview.telescope.spread import spread_stack

STILL = Mount(kind="fixed")
SPACE = Sky(air="none", altitude_deg=90.0, extinction_mag=0.0)


def mirror(**more):
    return Telescope(**({"aperture_mm": 100.0, "focal_length_mm": 800.0} | more))


def test_perfect_telescope_has_the_clear_pupils_transfer():
    kept = transfer_curve(mirror(), SPACE, STILL)
    f = np.linspace(0.02, 0.75, 30)
    waves = band_centres_nm(transfer.BANDS)
    weight = transfer._weights(SPACE, waves)
    expected = sum(
        w * diffraction_transfer(f * 3600.0, 100.0, float(wave))
        for w, wave in zip(weight, waves, strict=True)
    )
    # 96 samples across the pupil and bilinear lags: 1e-3.
    np.testing.assert_allclose(kept(f), expected, atol=2e-3)


@pytest.mark.parametrize(
    "scope",
    [
        mirror(obstruction=0.33),
        mirror(wavefront=Wavefront(spherical=0.4)),
        mirror(wavefront=Wavefront(astigmatism=0.5, astigmatism_angle_deg=20.0)),
        mirror(wavefront=Wavefront(coma=0.6, coma_angle_deg=75.0)),
        mirror(objective="achromat", focal_length_mm=500.0),
    ],
    ids=["obstructed", "spherical", "astigmatic", "comatic", "coloured"],
)
def test_curve_agrees_with_the_point_spreads_own_transform(scope):
    waves = band_centres_nm(transfer.BANDS)
    pixel, n = 0.2, 512
    stack = spread_stack(scope, wavelengths_nm=waves, pixel_arcsec=pixel, pixels=n)
    weight = transfer._weights(SPACE, waves)
    image = np.tensordot(weight, stack.astype(float), axes=1)
    spectrum = np.fft.fftshift(np.fft.fft2(np.fft.ifftshift(image)))
    spectrum /= image.sum()
    kept = transfer_curve(scope, SPACE, STILL)
    # Mean of the signed transfer over directions, the image's shift taken out by its centroid-like
    # phase at the lowest frequency.
    place = np.fft.fftshift(np.fft.fftfreq(n, pixel))
    fx, fy = np.meshgrid(place, -place)
    for frequency in (0.1, 0.2, 0.35, 0.5):
        ring = np.abs(np.hypot(fx, fy) - frequency) < 0.75 / (n * pixel)
        modulus = np.abs(spectrum[ring]).mean()
        node = frequency / kept.cutoff_cycles_arcsec * (len(kept.signed) - 1)
        signed = np.interp(node, np.arange(len(kept.signed)), kept.signed)
        # A signed mean is never above the modulus, and close to it for these small faults; the
        # grid loses a per cent of the light, which lowers its low frequencies.
        assert signed < modulus + 0.02
        assert signed == pytest.approx(modulus, abs=0.05)


def test_air_multiplies():
    from simview.air import seeing

    sky = Sky(seeing_arcsec=2.0, altitude_deg=90.0, extinction_mag=0.0)
    still = transfer_curve(mirror(), SPACE, STILL)
    stirred = transfer_curve(mirror(), sky, STILL)
    f = np.array([0.1, 0.2, 0.3])
    at_550 = seeing.transfer(sky, wavelength_nm=550.0, frequency=f, aperture_mm=100.0)
    # Seven colours instead of 550 nm.
    np.testing.assert_allclose(stirred(f) / still(f), at_550, rtol=0.03)


def test_shake_takes_contrast():
    mount = Mount(kind="hand", shake_arcsec=1.0)
    f = np.array([0.1, 0.3])
    still = transfer_curve(mirror(), SPACE, STILL)(f)
    assert np.all(transfer_curve(mirror(), SPACE, mount)(f) < 0.9 * still)


def test_dispersion_takes_contrast_near_the_horizon():
    f = np.array([0.2, 0.4])
    low, high = (
        transfer_curve(mirror(), Sky(seeing_arcsec=0.0, altitude_deg=a, extinction_mag=0.0), STILL)
        for a in (25.0, 90.0)
    )
    assert np.all(low(f) < 0.95 * high(f))


def test_moments_have_curves_of_their_own_about_the_short_exposures():
    # Fried 1966: the short exposure is the mean over moments with tilt taken out. Noll 1976: 0.134
    # (D / r0)^(5/3) rad2 are left, here 1.7, so single moments stray far from their mean. His
    # formula's remainder against an exact removal of tilt is a few percent.
    scope = mirror()
    skies = [Sky(seeing_arcsec=2.0, air="moment", seed=seed) for seed in range(64)]
    moments = np.array([transfer_curve(scope, sky, STILL).signed for sky in skies])
    short = transfer_curve(scope, Sky(seeing_arcsec=2.0, air="short"), STILL).signed
    assert moments[:, 60].std() > 0.02
    error = moments.std(axis=0) / np.sqrt(len(moments))
    assert np.all(np.abs(moments.mean(axis=0) - short) < 4.0 * error + 0.03)


def test_spurious_resolution_is_not_detail():
    # One wave of defocus: the transfer changes sign before the cut-off.
    kept = transfer_curve(mirror(wavefront=Wavefront(defocus=1.0)), SPACE, STILL)
    assert kept.signed.min() < -0.02
    f = np.linspace(0.0, kept.cutoff_cycles_arcsec, 500)
    first = f[np.flatnonzero(kept(f) == 0.0)[0]]
    assert np.all(kept(f[f >= first]) == 0.0)


def test_nothing_passes_the_cutoff():
    kept = transfer_curve(mirror(), SPACE, STILL)
    assert kept(np.array([kept.cutoff_cycles_arcsec * 1.001, 100.0])).max() == 0.0
    assert kept(np.array([0.0])) == pytest.approx(1.0)


@pytest.mark.parametrize("constant", ["BANDS", "DIRECTIONS", "NODES", "SAMPLES"])
def test_doubling_the_sampling_changes_little(monkeypatch, constant):
    scope = mirror(
        obstruction=0.25, wavefront=Wavefront(coma=0.3, astigmatism=0.3), objective="achromat"
    )
    sky = Sky(seeing_arcsec=1.5, altitude_deg=40.0)
    monkeypatch.setattr(transfer, "_telescope", transfer._telescope.__wrapped__)
    coarse = transfer_curve.__wrapped__(scope, sky, STILL)
    old = getattr(transfer, constant)
    monkeypatch.setattr(transfer, constant, 2 * old - 1 if constant == "NODES" else 2 * old)
    fine = transfer_curve.__wrapped__(scope, sky, STILL)
    f = np.linspace(0.0, 0.7, 40)
    np.testing.assert_allclose(coarse(f), fine(f), atol=0.008)


def test_star_image_holds_its_light_and_its_width():
    kept = transfer_curve(mirror(), SPACE, STILL)
    r, image = kept.spread(30.0, 6001)
    inside = np.trapezoid(2.0 * np.pi * r * image, r)
    # An Airy pattern keeps 1 - 0.2 / (radius in lambda/D) inside: 0.993 at 27 (Rayleigh 1881).
    assert inside == pytest.approx(0.993, abs=0.006)
    width = 2.0 * r[np.flatnonzero(image < image[0] / 2.0)[0]]
    # 1.029 lambda / D at about 555 nm: 1.178 arcsec.
    assert width == pytest.approx(1.178, rel=0.02)


def test_low_in_the_sky_red_counts_for_more():
    # Clean air: Rayleigh alone, a depth of 0.1434 at 500 nm (Bodhaine et al. 1999, J. Atmos. Ocean.
    # Technol. 16, 1854, eq. 30) and the power of wavelength -4.05 in the visible. What is left out,
    # ozone, takes some 0.02 mag more at 650 than at 450 nm: a tenth of it.
    waves = np.array([450.0, 500.0, 550.0, 600.0, 650.0])
    clear = Sky(extinction_mag=0.13, altitude_deg=90.0)
    high, low = (transfer._weights(replace(clear, altitude_deg=h), waves) for h in (90.0, 14.1))
    lost_mag = -2.5 * np.log10(low / high)
    airmass = 4.07  # Kasten & Young 1989 at 14.1 deg
    rayleigh_mag = 1.0857 * 0.1434 * (500.0 / waves) ** 4.05
    wanted = (airmass - 1.0) * (rayleigh_mag[0] - rayleigh_mag[-1])
    assert lost_mag[0] - lost_mag[-1] == pytest.approx(wanted, rel=0.15)
