"""What must hold for every sky, every kit and every mount."""

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from simview.air import extinction, glow, refraction, screens, seeing, turbulence
from simview.errors import SimviewError
from simview.eyepiece.orientation import orient, signs
from simview.eyepiece.train import beam, choices
from simview.kit import Amplifier, Eyepiece, Kit, Mount, Sky, Telescope
from simview.telescope import mount as mounts

outer_scales = st.one_of(st.just(math.inf), st.floats(1.0, 1000.0))
skies = st.builds(
    Sky,
    seeing_arcsec=st.floats(0.0, 20.0),
    sky_mag_arcsec2=st.floats(3.0, 22.5),
    altitude_deg=st.floats(3.0, 90.0),
    air=st.sampled_from(["long", "short", "moment", "none"]),
    outer_scale_m=outer_scales,
    extinction_mag=st.floats(0.0, 2.0),
    elevation_m=st.floats(-500.0, 9000.0),
    temperature_c=st.floats(-60.0, 60.0),
)
telescopes = st.builds(
    Telescope,
    aperture_mm=st.floats(40.0, 400.0),
    focal_length_mm=st.floats(650.0, 3000.0),
    obstruction=st.floats(0.0, 0.4),
    transmission=st.floats(0.3, 1.0),
)
eyepieces = st.builds(
    Eyepiece,
    focal_length_mm=st.floats(4.0, 40.0),
    apparent_field_deg=st.one_of(st.none(), st.floats(20.0, 100.0)),
    design=st.sampled_from(["huygens", "plossl", "wide"]),
    barrel=st.sampled_from(["0.965in", "1.25in", "2in"]),
)
amplifiers = st.builds(
    Amplifier,
    factor=st.floats(1.2, 4.0),
    kind=st.sampled_from(["barlow", "erecting-prism"]),
    barrel=st.just("2in"),
)
kits = st.builds(
    Kit,
    telescope=telescopes,
    eyepieces=st.lists(eyepieces, min_size=1, max_size=3).map(tuple),
    amplifiers=st.lists(amplifiers, max_size=2).map(tuple),
    focuser=st.just("2in"),
)
pupils = st.floats(2.0, 8.0)
frequencies = np.linspace(0.0, 2.0, 9)


@given(sky=skies, wavelength_nm=st.floats(400.0, 700.0), aperture_mm=st.floats(5.0, 2000.0))
def test_air_never_adds_contrast_and_never_touches_the_total(sky, wavelength_nm, aperture_mm):
    cut_off = aperture_mm * 1e-3 / (wavelength_nm * 1e-9) / 206264.806
    kept = seeing.transfer(
        sky,
        wavelength_nm=wavelength_nm,
        frequency=frequencies / 2.0 * cut_off,
        aperture_mm=aperture_mm,
    )
    assert kept[0] == 1.0
    assert np.all((kept >= 0.0) & (kept <= 1.0))


@given(outer_scale_m=outer_scales, r0_m=st.floats(0.005, 1.0))
def test_structure_function_grows_with_the_baseline_and_never_past_kolmogorov(outer_scale_m, r0_m):
    baseline = np.geomspace(1e-4, 100.0, 60)
    found = turbulence.structure_rad2(baseline, r0_m, outer_scale_m)
    # Flat beyond the outer scale, but for rounding.
    assert np.all(np.diff(found) >= -1e-6 * found[1:])
    assert np.all(found <= turbulence.structure_rad2(baseline, r0_m) * (1.0 + 1e-9))


@given(sky=skies)
def test_air_takes_light_and_adds_some(sky):
    kept = extinction.transmission(sky, np.array([420.0, 550.0, 690.0]))
    assert np.all((kept > 0.0) & (kept <= 1.0))
    assert glow.luminance_cd_m2(sky) > 0.0


@given(sky=skies)
def test_dispersion_puts_blue_above_red(sky):
    blue, red = refraction.dispersion_arcsec(sky, np.array([450.0, 650.0]))
    if sky.air == "none":
        assert blue == red == 0.0
    else:
        assert blue >= 0.0 >= red


@settings(max_examples=25)
@given(sky=skies, samples=st.integers(8, 40), seed=st.integers(0, 2**32 - 1))
def test_screen_is_finite_and_has_no_piston(sky, samples, seed):
    screen = screens.screen_nm(samples, 100.0, sky, np.random.default_rng(seed))
    assert np.all(np.isfinite(screen))
    assert abs(screen.mean()) <= 1e-9 * (1.0 + np.abs(screen).max())


@given(kit=kits, eye_pupil_mm=pupils)
def test_every_choice_of_pieces_gives_a_beam_that_hangs_together(kit, eye_pupil_mm):
    for power, choice in choices(kit):
        number = next(i for i, piece in enumerate(kit.eyepieces) if piece is choice.eyepiece)
        try:
            found = beam(
                kit, eyepiece=number, amplifiers=choice.amplifiers, eye_pupil_mm=eye_pupil_mm
            )
        except SimviewError:
            continue
        check_beam(kit, found, eye_pupil_mm)
        assert math.isclose(found.power, power)


@given(kit=kits, eye_pupil_mm=pupils, share=st.floats(0.05, 1.0))
def test_every_power_asked_for_is_given_within_two_percent(kit, eye_pupil_mm, share):
    lowest = max(1.0, kit.telescope.focal_length_mm / 100.0)
    highest = 20.0 * kit.telescope.aperture_mm
    power = lowest + share * (highest - lowest)
    found = beam(kit, power=power, eye_pupil_mm=eye_pupil_mm)
    check_beam(kit, found, eye_pupil_mm)
    assert abs(found.power / power - 1.0) <= 0.02 + 1e-12
    if not found.in_the_box:
        assert math.isclose(found.power, power)


def check_beam(kit, found, eye_pupil_mm):
    scope = kit.telescope
    assert math.isclose(found.exit_pupil_mm * found.power, scope.working_aperture_mm)
    assert found.used_pupil_mm == min(found.exit_pupil_mm, eye_pupil_mm)
    assert math.isclose(found.aperture_mm, found.used_pupil_mm * found.power)
    assert math.isclose(
        found.obstruction * found.aperture_mm, scope.obstruction * scope.aperture_mm
    )
    assert 0.0 < found.transmission <= scope.transmission
    # Whatever the condition, the field is neither wider than the eyepiece shows nor than 46 mm.
    assert found.true_field_arcmin > 0.0
    assert found.true_field_arcmin * found.power / 60.0 <= found.apparent_field_deg * (1.0 + 1e-9)
    assert found.apparent_field_deg <= 100.0 + 1e-9


@given(
    word=st.sampled_from(["upright", "turned", "mirrored", "turned-mirrored"]), n=st.integers(1, 9)
)
def test_turning_keeps_every_pixel(word, n):
    picture = np.arange(n * n).reshape(n, n)
    turned = orient(picture, word)
    assert sorted(turned.ravel()) == list(range(n * n))
    assert turned[n // 2, n // 2] == picture[n // 2, n // 2]
    assert signs(word) in {(1, 1), (-1, -1), (-1, 1), (1, -1)}


@given(
    tap=st.floats(0.0, 3600.0),
    shake=st.floats(0.0, 100.0),
    hertz=st.floats(0.1, 100.0),
    damping=st.floats(0.001, 1.0),
    threshold=st.floats(0.01, 100.0),
)
def test_mount_only_takes_contrast_and_comes_to_rest(tap, shake, hertz, damping, threshold):
    mount = Mount(tap_arcsec=tap, shake_arcsec=shake, frequency_hz=hertz, damping=damping)
    for kind in ("blur", "double"):
        kept = mounts.shake_transfer(mount, frequencies, frequencies, kind)
        assert math.isclose(kept[0], 1.0)
        assert np.all(np.abs(kept) <= 1.0 + 1e-12)
    end = mounts.settle_seconds(mount, threshold)
    assert end >= 0.0
    assert mounts.tap_amplitude_arcsec(mount, end) <= threshold * (1.0 + 1e-9)
