"""The eye's small machinery against sums, integrals and circles done by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import j0

import simview
from simview.eye import filters, glare, scatter, starimage, unseen
from simview.eye.around import around_stars
from simview.eye.closescatter import close_transfer
from simview.eye.dots import star_planes
from simview.eye.kernels import (
    MOST_FINE,
    REACH_AIRY,
    REACH_BLUR,
    SAMPLE_AIRY,
    Grid,
    _window,
    choose_grid,
    spectral_weights,
)
from simview.eye.optics import (
    aberration_transfer,
    diffraction_transfer,
    human_transfer,
    in_phase,
    star_transfer,
)
from simview.eye.retina import Exposure, Retina, enlarged
from simview.eye.unseen import _spread_out, _unseen_tint
from simview.scene.scene import Scene, Stars
from simview.units import ARCSEC_PER_RADIAN
from simview.view import follow

LUMINANCE = np.array([0.2126, 0.7152, 0.0722])  # IEC 61966-2-1
LUX_OF_V0 = 2.54e-6  # Crumey 2014


def points(*rows: tuple[float, float, float], radius: float | None = None) -> Stars:
    """Stars of x, y in arcsec and magnitude."""
    x, y, magnitude = np.array(rows, float).T
    return Stars(
        x_arcsec=x,
        y_arcsec=y,
        magnitude=magnitude,
        temperature_k=np.full(len(x), 6500.0),
        radius_arcsec=None if radius is None else np.full(len(x), radius),
    )


# Optics of the eye ---------------------------------------------------------------------------


def watson(u: float, pupil: float) -> tuple[float, float]:
    """Return the whole eye's transfer, and the clear pupil's part of it.

    Watson 2013: sqrt(D) (1 + (u / u1)^2)^-0.62, u1 = 21.95 - 5.512 d + 0.3922 d^2; D the clear
    pupil's at 555 nm, whose cut-off is pi d / (180 lambda).
    """
    nu = u / (pupil * 1e-3 * math.pi / (555e-9 * 180.0))
    corner = 21.95 - 5.512 * pupil + 0.3922 * pupil**2
    clear = 2.0 / math.pi * (math.acos(nu) - nu * math.sqrt(1.0 - nu**2))
    return math.sqrt(clear) * (1.0 + (u / corner) ** 2) ** -0.62, clear


@pytest.mark.parametrize("pupil", [2.0, 3.0, 4.5, 6.0, 6.3, 7.0, 9.0])
def test_eye_passes_watsons_formula_in_the_middle_of_its_range(pupil: float) -> None:
    # Past the last pupil that he fitted, 6 mm, a pupil counts as 6 + tanh((d - 6) / 0.5) / 2.
    held = pupil if pupil <= 6.0 else 6.0 + 0.5 * math.tanh(2.0 * (pupil - 6.0))
    for u in (12.0, 20.0, 30.0):
        whole, clear = watson(u, held)
        assert float(aberration_transfer(u, pupil)) == pytest.approx(whole / clear, rel=1e-6)
        own = watson(u, pupil)[1]
        assert float(diffraction_transfer(u, pupil)) == pytest.approx(own, rel=1e-9)
        assert float(human_transfer(u, pupil)) == pytest.approx(whole / clear * own, rel=1e-6)
    assert float(in_phase(293.0 / held**1.5, pupil)) == pytest.approx(0.5)


@pytest.mark.parametrize("pupil", [2.0, 3.0, 4.0, 5.5])
def test_share_in_phase_is_a_half_at_293_over_the_pupil_to_three_halves(pupil: float) -> None:
    half = 293.0 / pupil**1.5
    assert float(in_phase(half, pupil)) == pytest.approx(0.5)
    assert float(in_phase(half / 2.0, pupil)) == pytest.approx(1.0 / (1.0 + 0.5**3.5))
    assert float(in_phase(2.0 * half, pupil)) == pytest.approx(1.0 / (1.0 + 2.0**3.5))
    for u in (half / 2.0, half):
        wanted = float(aberration_transfer(u, pupil) * in_phase(u, pupil))
        assert float(star_transfer(u, pupil)) == pytest.approx(wanted)
    assert float(star_transfer(half, 1.0)) == 1.0


# Filters -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "wavelength", "share"),
    # The part of each cell of 5 nm that lies within the band, times what passes there.
    [
        ("oxygen", 495.0, 0.9 * 4.5 / 5.0),
        ("oxygen", 500.0, 0.9),
        ("oxygen", 505.0, 0.9 * 2.5 / 5.0),
        ("oxygen", 510.0, 0.0),
        ("narrow-band", 480.0, 0.92 * 0.5 / 5.0),
        ("narrow-band", 505.0, 0.92 * 3.5 / 5.0),
        ("hydrogen", 480.0, 0.9 * 1.0 / 5.0),
        ("hydrogen", 490.0, 0.9 * 3.0 / 5.0),
        ("town-light", 430.0, 0.9 * 0.5),
        ("town-light", 535.0, 0.9 * 0.5),
        ("town-light", 580.0, 0.0),
        ("town-light", 630.0, 0.9 * 0.5),
        ("town-light", 700.0, 0.9),
        ("none", 550.0, 1.0),
    ],
)
def test_filters_pass_their_bands_cell_by_cell(name: str, wavelength: float, share: float) -> None:
    told = filters.curve(name)[round((wavelength - 380.0) / 5.0)]
    assert told == pytest.approx(share, abs=0.001)


# Scatter -------------------------------------------------------------------------------------


@pytest.mark.parametrize("frequency", [0.0, 0.4, 1.5, 4.0])
def test_scatter_close_by_transfers_as_its_hankel_integral(frequency: float) -> None:
    # 2 pi int veil(t) nearness(t) J0(2 pi f t) t dt over angles in deg, as a share of the light.
    def ring(angle: float) -> float:
        inside = math.cos(math.pi / 2.0 * min(max((angle - 0.3) / 0.9, 0.0), 1.0)) ** 2
        veil = float(scatter.veil_per_lux(angle, 40.0))
        return 2.0 * math.pi * angle * veil * inside * float(j0(2.0 * math.pi * frequency * angle))

    wanted = quad(ring, 0.1, 1.2, points=[0.3], limit=400, epsrel=1e-7)[0] * math.radians(1.0) ** 2
    told = float(close_transfer(np.array(frequency), 40.0))
    assert told == pytest.approx(wanted, abs=1e-5, rel=1e-3)
    # No eye resolves 30 cycles/deg of a glow a degree wide.
    assert float(close_transfer(np.array(31.0), 40.0)) == 0.0


def test_scatter_counts_as_near_within_a_third_of_a_degree_and_not_past_one_and_a_fifth() -> None:
    told = glare.nearness(np.array([0.0, 0.3, 0.525, 0.75, 0.975, 1.2, 5.0]))
    wanted = [1.0, 1.0, math.cos(math.pi / 8.0) ** 2, 0.5, math.sin(math.pi / 8.0) ** 2, 0.0, 0.0]
    np.testing.assert_allclose(told, wanted, atol=1e-12)


# Images of stars -----------------------------------------------------------------------------


@pytest.mark.parametrize("width", [0.7, 3.0, 40.0])
def test_width_of_a_star_is_its_images_full_width_at_half_height(width: float) -> None:
    def gaussian(radius: np.ndarray) -> np.ndarray:
        return np.exp(-4.0 * math.log(2.0) * (radius / width) ** 2)

    assert starimage.star_width(gaussian, 100.0) == pytest.approx(width, rel=1e-3)


def test_star_with_its_scatter_is_its_image_and_the_veil_of_one_lux() -> None:
    # Far from the star, 100 times: 0.02 deg on the sky are 2 deg at the eye. A lux at the eye veils
    # by veil(2 deg) cd/m2; on the sky's own scale of squares that is (100 / rad)^2 of it.
    def image(radius: np.ndarray) -> np.ndarray:
        return np.where(radius < 1.0, 1.0 / math.pi, 0.0)

    whole = starimage.blurred(image, 100.0, aperture_mm=400.0, age_years=60.0)
    told = float(whole.spread(np.array(72.0)))
    veil = float(scatter.veil_per_lux(math.hypot(2.0, 0.1 * 1.16), 60.0))
    assert told == pytest.approx(veil * (100.0 / ARCSEC_PER_RADIAN) ** 2, rel=0.02)
    assert float(whole.spread(np.array(0.5))) == pytest.approx(1.0 / math.pi, rel=0.01)
    assert whole.width_arcsec == pytest.approx(2.0, rel=0.02)


# Planes of light -----------------------------------------------------------------------------


def test_small_disc_is_as_wide_as_it_is_and_keeps_its_light_and_place() -> None:
    # An even disc's mean square along any line is a quarter of its radius squared.
    tint = np.array([[0.8, 1.1, 0.6]])
    planes = star_planes(points((6.0, -3.0, 5.0), radius=4.0), tint, 0.5, 80)
    pixel_sr = (0.5 / ARCSEC_PER_RADIAN) ** 2
    lux = LUX_OF_V0 * 10.0**-2.0
    assert planes.sum(axis=(1, 2)) * pixel_sr == pytest.approx(lux * tint[0], rel=1e-4)
    light = planes[1].astype(float) / planes[1].sum()
    y, x = np.indices((80, 80)) - 40
    right, up = float((light * x).sum()) * 0.5, -float((light * y).sum()) * 0.5
    assert (right, up) == (pytest.approx(6.0, abs=0.02), pytest.approx(-3.0, abs=0.02))
    # Sharing among four pixels widens by p^2 f (1 - f), 1/6 of a pixel's square on the mean.
    spread = [float((light * (axis * 0.5 - c) ** 2).sum()) for axis, c in ((x, right), (-y, up))]
    assert spread == [pytest.approx(4.0 + 0.25 / 6.0, rel=0.02)] * 2
    assert float((light * (x * 0.5 - right) * (-y * 0.5 - up)).sum()) == pytest.approx(
        0.0, abs=0.03
    )
    # Nothing lies outside the disc but what the pixels at its edge share.
    far = np.hypot(x * 0.5 - 6.0, -y * 0.5 + 3.0) > 4.0 + 0.75
    assert light[far].sum() == 0.0


def test_stars_without_a_width_stay_points_beside_one_that_has_it() -> None:
    both = replace(points((0.0, 0.0, 6.0), (9.0, 0.0, 6.0)), radius_arcsec=np.array([0.0, 2.0]))
    planes = star_planes(both, np.ones((2, 3)), 1.0, 40)
    assert (planes[0][:, :24] > 0.0).sum() == 1
    assert (planes[0][:, 24:] > 0.0).sum() > 12
    left, right = planes[0][:, :24].sum(), planes[0][:, 24:].sum()
    assert right == pytest.approx(left, rel=1e-4)


def exposure(**more: object) -> Exposure:
    """A sky of 3 td with one brighter pixel, pixels of 2 arcsec; all kernels hold one pixel."""
    extended = np.full((4, 20, 20), 3.0, np.float32)
    extended[1, 4, 13] = 50.0
    lens = np.zeros((4, 3, 4, 4), np.float32)
    lens[:, :, 2, 2] = np.array([0.9, 1.0, 1.1, 2.0])[:, None] * LUMINANCE * 40.0
    wide = lens.copy() / 2.0
    wide[:, :, 2, 1] = lens[:, :, 2, 2] / 2.0
    stars = points((6.0, 12.0, 4.0), (-8.0, 2.0, 6.0), (500.0, 0.0, 1.0))
    scene = Scene(planes=np.zeros((3, 24, 24), np.float32), pixel_arcsec=2.0, stars=stars)
    told: dict[str, object] = {
        "extended": extended,
        "scene": scene,
        "lens": lens,
        "star_lens": wide,
        "spot_arcsec": 5.0,
        "orientation": "upright",
        "pixels_per_degree": 30.0,
        "eye_pupil_mm": 5.0,
    }
    return Exposure(**(told | more))  # type: ignore[arg-type]


def test_light_behind_stars_is_that_of_their_own_pixels() -> None:
    # 6 arcsec to the right are 3 pixels, 12 up are 6: column 13, row 4. Far outside: none.
    assert exposure().behind_stars().tolist() == [50.0, 3.0, 0.0]


def test_star_fills_its_spot_and_peaks_in_its_pixel() -> None:
    # Of white light of 1 cd/m2 the lens brings 40 td to Y; a star of E lux over s sr has E / s.
    one = exposure()
    lux = LUX_OF_V0 * 10.0 ** (-0.4 * 4.0)
    spot = math.pi / 4.0 * (5.0 / ARCSEC_PER_RADIAN) ** 2
    # 6500 K is close to the white of the primaries.
    assert one.star_spots()[0] == pytest.approx(40.0 * lux / spot, rel=0.03)
    assert one.spot_of(4.0) == pytest.approx(float(one.star_spots()[0]), rel=1e-6)
    assert one.spot_of(6.5) == pytest.approx(float(one.star_spots()[0]) / 10.0, rel=1e-6)
    pixel = (2.0 / ARCSEC_PER_RADIAN) ** 2
    assert one.star_peaks()[0] == pytest.approx(0.5 * 40.0 * lux / pixel, rel=0.03)
    assert one.star_spots()[0] / one.star_spots()[1] == pytest.approx(10.0**0.8, rel=1e-6)


def test_stars_light_goes_to_points_and_beyond_by_their_cores() -> None:
    one = exposure()
    whole = one.retina().points
    assert one.retina().beyond is None
    factors, cores = np.array([1.0, 0.5, 1.0]), np.array([0.25, 1.0, 1.0])
    told = one.retina(factors, cores)
    assert told.beyond is not None
    both = told.points + told.beyond
    # The first has a quarter of its light in points, the second, printed by half, all of it.
    bright, dim = np.unravel_index(np.argsort(whole[1].ravel())[[-1, -3]], whole[1].shape)
    places = list(zip(bright, dim, strict=True))
    assert told.points[1][places[0]] == pytest.approx(0.25 * whole[1][places[0]], rel=1e-4)
    assert both[1][places[0]] == pytest.approx(whole[1][places[0]], rel=1e-4)
    assert told.points[1][places[1]] == pytest.approx(0.5 * whole[1][places[1]], rel=1e-4)
    assert told.beyond[1][places[1]] == 0.0
    np.testing.assert_array_equal(told.extended, one.extended)


def test_stars_light_below_the_least_is_none() -> None:
    whole = exposure().retina().points
    least = 0.3 * float(whole[1].max())
    left = exposure().retina(least_td=least).points
    kept = whole[1] >= least
    assert 0 < np.count_nonzero(kept) < np.count_nonzero(whole[1] > 0.0)
    np.testing.assert_array_equal(left, whole * kept)


def test_light_around_a_star_is_the_veil_of_its_lux_at_its_place() -> None:
    # Pixels of 2 arcmin. All of a star, were it in one of them, has 40 E / s td; a pixel at
    # an angle t from it has the CIE's veil at (t^2 + 0.1^2)^(1/2) of it, by its own solid angle.
    only = replace(exposure().scene, stars=points((6.0, 12.0, 4.0)))
    (told,) = around_stars(exposure(scene=only), 1.0)
    assert np.unravel_index(int(told.argmax()), told.shape) == (4, 13)
    whole = 40.0 * LUX_OF_V0 * 10.0**-1.6 / (2.0 / ARCSEC_PER_RADIAN) ** 2
    for row, column in ((4, 13), (4, 3), (14, 13), (9, 18)):
        away = math.hypot(row - 4, column - 13) / 30.0
        veil = float(scatter.veil_per_lux(math.hypot(away, 0.1), 40.0))
        wanted = whole * veil * math.radians(1.0 / 30.0) ** 2
        # The light of 6500 K beside the primaries' white: 3 %.
        assert float(told[row, column]) == pytest.approx(wanted, rel=0.04)


def test_evened_field_is_divided_by_its_fading() -> None:
    fading = np.linspace(0.5, 1.0, 400, dtype=np.float32).reshape(20, 20)
    even = exposure(extended=np.full((4, 20, 20), 3.0, np.float32) * fading, fading=fading).evened()
    np.testing.assert_allclose(even.extended, 3.0, rtol=1e-6)
    assert even.fading is None
    plain = exposure()
    assert plain.evened() is plain
    assert plain.less_veil(0.5) is plain


@pytest.mark.parametrize("share", [1.0, 0.4])
def test_veil_taken_off_an_even_field_leaves_each_channel_its_own(share: float) -> None:
    # Of an even field's light the part s lands close by and k is not scattered: what is there, less
    # the veil from afar, is s + k of its own; so s / (s + k) of that was scattered close by.
    own, far = np.array([8.0, 10.0, 6.0, 20.0]), np.array([1.0, 2.0, 1.5, 5.0])
    veil = glare.Veil(
        planes=np.tile(far.astype(np.float32)[:, None, None], (1, 40, 40)),
        pixels_per_degree=10.0,
        middle=20.0,
        kept=0.85,
        age_years=40.0,
        pigment=0.5,
    )
    even = np.tile(own.astype(np.float32)[:, None, None], (1, 20, 20))
    near = glare._close_share(40.0, 0.5, 3.0)
    assert near == pytest.approx(float(close_transfer(np.array(0.0), 40.0)), rel=0.03)
    told = exposure(extended=even, veil=veil).less_veil(share).extended[:, 10, 10]
    scattered = far + (own - far) * near / (near + 0.85)
    left = own - share * scattered
    # X, Y and Z keep their hue: all three by what is left of Y.
    assert told[:3] == pytest.approx(own[:3] * left[1] / own[1], rel=2e-3)
    assert told[3] == pytest.approx(left[3], rel=2e-3)
    # A surface of the hidden limit's own light is half lost in the veil (o^3 / (o^2 + l^2)).
    hides = float((own[1] - scattered[1]) / scattered[1])
    hidden = exposure(extended=even, veil=veil).less_veil(1.0, hides).extended[1, 10, 10]
    assert hidden == pytest.approx((own[1] - scattered[1]) / 2.0, rel=3e-3)


def test_close_up_of_a_plane_that_rises_evenly_rises_evenly() -> None:
    # Cubic convolution holds polynomials of the first degree (Keys 1981).
    y, x = np.indices((40, 40), np.float32) - 20.0
    plane = (100.0 + 2.0 * x - 1.0 * y)[None].repeat(4, axis=0)
    one = Retina(
        extended=plane, points=0.0 * plane, beyond=plane, pixels_per_degree=10.0, eye_pupil_mm=5.0
    )
    close = enlarged(one, 40.0, 48)
    y, x = (np.indices((48, 48)) - 24.0) / 4.0
    np.testing.assert_allclose(close.extended[1], 100.0 + 2.0 * x - y, rtol=1e-5)
    assert close.beyond is not None
    np.testing.assert_allclose(close.beyond[2], 100.0 + 2.0 * x - y, rtol=1e-5)
    assert (close.pixels_per_degree, close.eye_pupil_mm) == (40.0, 5.0)
    assert enlarged(replace(one, beyond=None), 40.0, 48).beyond is None


# Grids of kernels ----------------------------------------------------------------------------


@pytest.mark.parametrize("pixel", [0.05, 0.3, 2.0, 15.0])
@pytest.mark.parametrize("aperture", [30.0, 100.0, 300.0])
@pytest.mark.parametrize("blur", [0.5, 5.0])
def test_grid_reaches_as_far_as_light_and_samples_what_the_aperture_passes(
    pixel: float, aperture: float, blur: float
) -> None:
    airy = ARCSEC_PER_RADIAN * 550e-6 / aperture
    grid = choose_grid(pixel, aperture, blur)
    reach = 2.0 * max(REACH_AIRY * airy, REACH_BLUR * blur, 3.0 * pixel)
    assert grid.size % 2 == 0
    assert grid.fine_size % 2 == 0
    assert grid.fine_size <= MOST_FINE
    across = grid.size * pixel
    # No wider than the next good length for transforms, 4 % or two pixels on.
    assert min(reach, 768 * pixel) <= across * (1.0 + 1e-9)
    assert across <= max(1.06 * reach, reach + 4.0 * pixel, 8.0 * pixel)
    if not 700 <= grid.fine_size <= 768:
        assert grid.fine_arcsec <= SAMPLE_AIRY * airy * (1.0 + 1e-9)
    # Not much finer than that: within one more cut, or pixels as they are.
    if grid.enough is not None:
        assert grid.split == 1
        assert grid.enough < 0.85 * grid.size
        assert grid.fine_arcsec >= 0.85 * SAMPLE_AIRY * airy
    assert grid.fine_arcsec == pytest.approx(across / grid.fine_size)
    if grid.split > 1:
        assert pixel / (grid.split - 1) > SAMPLE_AIRY * airy


def test_kernel_of_a_galaxy_holds_all_the_light_of_one_twice_as_fine() -> None:
    # A wide exit pupil: pixels that do not sample the light lost 0.25 % of it, and erred by 2.6e-4
    # of the peak.
    view = follow(simview.find_kit("demo:tabletop-150").kit, simview.target("andromeda"))
    grid = view.path.grid(3.119)
    assert grid.fine_size > 768
    kernel = view.path.kernels(grid)
    finer = view.path.kernels(replace(grid, split=2 * grid.split))
    assert kernel.sum(axis=(2, 3)) == pytest.approx(finer.sum(axis=(2, 3)), rel=2e-6)
    assert np.abs(kernel - finer).max() < 1.5e-4 * finer.max()


def test_skirt_and_sampling_of_kernels_rest_on_airys_pattern() -> None:
    # A clear aperture's pattern falls on the mean as 4 / (pi^4 x^3) of its middle (x in lambda / D;
    # Born & Wolf 8.5.2): 1e-6 of it at 28 to 35. Its frequencies end at D / lambda: at 430 nm half
    # of lambda / D is 0.39 of that at 550 nm.
    assert 4.0 / math.pi**4 / REACH_AIRY**3 == pytest.approx(1e-6, rel=1.0)
    assert REACH_AIRY**3 > 2e4
    assert 0.9 * 0.5 * 433.5 / 550.0 < SAMPLE_AIRY < 0.5 * 433.5 / 550.0


def test_window_is_open_to_seven_tenths_and_shut_at_the_edge() -> None:
    window = _window(40)
    y, x = (np.indices((40, 40)) - 20.0) / 20.0
    radius = np.hypot(x, y)
    assert np.all(window[radius <= 0.7] == 1.0)
    assert np.all(window[radius >= 1.0] < 1e-12)
    # Half way between, at 0.85, half of the light: a cosine squared.
    assert window[20, 20 + 17] == pytest.approx(0.5, abs=1e-6)
    assert window[20, 20 + 15] == pytest.approx(math.cos(math.pi / 12.0) ** 2, abs=1e-6)


def test_colours_fall_into_bands_of_equal_width() -> None:
    # A line of light at one wavelength of the table counts in the band of 27 nm that holds it.
    for wavelength, band in (
        (400.0, 0),
        (420.0, 0),
        (445.0, 0),
        (450.0, 1),
        (555.0, 5),
        (770.0, 9),
    ):
        light = np.zeros((3, 81))
        light[1, round((wavelength - 380.0) / 5.0)] = 2.0
        told = spectral_weights(light, np.ones((4, 81)), 10)
        assert np.flatnonzero(told[1, 1]).tolist() == [band]
        # 683 and 1700 lm/W times 5 nm times 2.
        assert told[0, 1, band] == pytest.approx(6830.0)
        assert told[3, 1, band] == pytest.approx(17000.0)
        assert not told[:, [0, 2]].any()


def test_frequencies_of_a_grid_end_where_its_fine_pixels_do() -> None:
    grid = Grid(size=10, pixel_arcsec=3.0, split=4)
    fx, fy = grid.frequencies()
    assert (fx.shape, fy.shape) == ((1, 21), (40, 1))
    assert float(fx.max()) == pytest.approx(0.5 / 0.75)
    assert float(fx[0, 1]) == pytest.approx(1.0 / 30.0)
    assert float(np.abs(fy).max()) == pytest.approx(0.5 / 0.75)
    few = replace(grid, kept=5).frequencies()
    assert (few[0].shape, few[1].shape) == ((1, 5), (9, 1))


# An even and an odd number of rows, with all frequencies and with the lowest alone.
@pytest.mark.parametrize(("size", "kept"), [(40, None), (15, None), (40, 5), (40, 20), (15, 7)])
def test_what_is_alike_up_and_down_is_found_for_half_of_the_rows(size: int, kept) -> None:
    grid = Grid(size=size, pixel_arcsec=3.0, split=1, kept=kept)
    assert len(grid.upper()[1]) < 0.6 * len(grid.frequencies()[1])
    whole, half = (np.hypot(*axes) for axes in (grid.frequencies(), grid.upper()))
    np.testing.assert_array_equal(grid.mirrored(half), whole)


# Unseen stars --------------------------------------------------------------------------------


def unseen_light(scene: Scene, limit: float, *, pixels: int, spread_px: float) -> np.ndarray:
    """Light of the stars fainter than `limit`, spread out, cd/m2."""
    tint = _unseen_tint(scene.stars, 10.0 ** (0.4 * (limit - scene.stars.magnitude)))
    return _spread_out(scene, tint, pixels=pixels, spread_px=spread_px)


@pytest.mark.parametrize("spread", [24.0, 60.0])
def test_light_of_an_unseen_star_is_spread_as_widely_as_asked(spread: float) -> None:
    one = Scene(
        planes=np.zeros((3, 400, 400), np.float32), pixel_arcsec=20.0, stars=points((0, 0, 15.0))
    )
    plane = unseen_light(one, 10.0, pixels=200, spread_px=spread)[1].astype(float)
    row = plane[100]
    # A Gaussian: its mean square is its width squared over 8 ln 2, and a star's cell adds a bit.
    place = np.arange(200) - 100.0
    middle = (row * place).sum() / row.sum()
    square = (row * (place - middle) ** 2).sum() / row.sum()
    if spread < 30.0:
        assert square == pytest.approx(spread**2 / (8.0 * math.log(2.0)), rel=0.03)
    assert (row >= row.max() / 2.0).sum() == pytest.approx(spread, abs=2.0)


def test_haze_behind_a_telescope_is_spread_twice_as_wide_as_before_the_naked_eye() -> None:
    # 1.66 deg (a disc of 2 deg's area): 2 sqrt(ln 2); power is apparent over true scale.
    assert 2.0 * math.sqrt(math.log(2.0)) == pytest.approx(unseen.SPREAD_DEG, abs=0.006)
    for power, wide in ((1.0, 1.0), (4.0, 1.0), (4.1, 2.0), (100.0, 2.0)):
        one = exposure(pixels_per_degree=3600.0 / (2.0 * power))
        assert unseen._spread_deg(one) == pytest.approx(1.66 * wide)


def test_haze_of_a_view_is_as_wide_on_its_pixels_as_it_is_at_the_eye() -> None:
    # 5 pixels a degree behind a telescope: twice 1.66 deg are 16.6 pixels, full at half its height.
    scene = Scene(
        planes=np.zeros((3, 204, 204), np.float32), pixel_arcsec=2.0, stars=points((0, 0, 15.0))
    )
    dark = np.zeros((4, 200, 200), np.float32)
    told = unseen.with_unseen(exposure(extended=dark, scene=scene, pixels_per_degree=5.0), 10.0)
    row = told.extended[1, 100]
    assert (row >= row.max() / 2.0).sum() == pytest.approx(16.6, abs=1.5)
    pixel_sr = (2.0 / ARCSEC_PER_RADIAN) ** 2
    # All of its light, through a lens that brings 40 td of a candela.
    whole = told.extended[1].sum() * pixel_sr
    assert whole == pytest.approx(40.0 * LUX_OF_V0 * 10.0**-6.0, rel=0.03)
    assert unseen.with_unseen(exposure(extended=dark, scene=scene), None).extended is dark
