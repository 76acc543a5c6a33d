"""What must hold of scenes, whatever is asked for."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from simview.errors import SimviewError
from simview.scene.photo import resampled
from simview.scene.star_catalogue import project, stars_in
from simview.scene.star_colour import rgb_of_temperature, temperature_of_bv
from simview.scene.sunlit_terrain import open_to_light
from simview.scene.targets import entries, names, target

NAMES = [entry.name for entry in entries() if not entry.free]
anything = st.one_of(
    st.floats(), st.integers(), st.text(max_size=12), st.none(), st.lists(st.floats(), max_size=5)
)


@settings(max_examples=40)
@given(st.sampled_from(NAMES), st.floats(-2.5, 2.5), st.integers(1, 40))
def test_any_target_paints_finite_light_at_any_sampling(
    name: str, exponent: float, pixels: int
) -> None:
    shown = target(name)
    pixel = shown.size_arcsec / 30.0 * 10.0**exponent
    scene = shown.scene(pixel_arcsec=pixel, pixels=pixels)
    assert scene.planes.shape == (3, pixels, pixels)
    assert np.isfinite(scene.planes).all()
    assert (scene.planes >= 0.0).all()
    assert np.isfinite(scene.stars.magnitude).all()
    assert ((scene.stars.temperature_k >= 1000.0) & (scene.stars.temperature_k <= 50000.0)).all()


@settings(max_examples=80)
@given(st.text(max_size=20))
def test_any_word_is_a_target_or_a_clear_refusal(word: str) -> None:
    try:
        shown = target(word)
    except SimviewError as error:
        told = str(error)
    else:
        told = shown.title
        assert shown.name in names()
    assert told
    assert "\n" not in told


@settings(max_examples=100)
@given(
    st.sampled_from(["jupiter", "saturn", "moon", "venus", "bars", "siemens", "daytime", "double"]),
    st.sampled_from(
        ["diameter_arcsec", "phase_deg", "tilt_deg", "seed", "contrast", "period_arcsec", "double",
         "distance_m", "width_arcmin", "date", "latitude_deg", "meridian_deg", "spokes"]
    ),
    anything,
)  # fmt: skip
def test_any_value_is_taken_or_clearly_refused(name: str, option: str, value: object) -> None:
    try:
        shown = target(name, **{option: value})
    except SimviewError:
        return
    assert math.isfinite(shown.size_arcsec)
    assert shown.size_arcsec > 0.0
    assert shown.magnitude is None or math.isfinite(shown.magnitude)


@given(st.floats(0.0, 360.0), st.floats(-90.0, 90.0), st.floats(0.0, 359.9), st.floats(0.01, 20.0))
def test_projection_keeps_distances_near_the_centre(
    ra: float, dec: float, angle: float, away: float
) -> None:
    # A place `away` degrees from the centre lies tan(away) from it on the plane.
    dec0, turn, far = math.radians(dec), math.radians(angle), math.radians(away)
    sin_dec = math.sin(dec0) * math.cos(far) + math.cos(dec0) * math.sin(far) * math.cos(turn)
    dec1 = math.asin(max(-1.0, min(1.0, sin_dec)))
    over = math.atan2(
        math.sin(turn) * math.sin(far) * math.cos(dec0),
        math.cos(far) - math.sin(dec0) * math.sin(dec1),
    )
    x, y, _ = project(
        np.array([ra + math.degrees(over)]), np.array([math.degrees(dec1)]), (ra, dec)
    )
    assert math.hypot(float(x[0]), float(y[0])) == pytest.approx(
        math.tan(far) * 206264.806, rel=1e-5, abs=1e-3
    )


@given(st.floats(0.0, 360.0), st.floats(-90.0, 90.0))
def test_larger_field_holds_all_stars_of_the_smaller(ra: float, dec: float) -> None:
    small = stars_in(ra, dec, half_width_arcsec=900.0)
    large = stars_in(ra, dec, half_width_arcsec=1800.0)
    inside = (np.abs(large.x_arcsec) <= 900.0) & (np.abs(large.y_arcsec) <= 900.0)
    np.testing.assert_allclose(np.sort(small.magnitude), np.sort(large.magnitude[inside]))


@given(st.floats(-0.4, 4.0), st.floats(-0.4, 4.0))
def test_redder_stars_are_cooler_and_redder(one: float, other: float) -> None:
    blue, red = sorted((one, other))
    hot, cool = temperature_of_bv([blue, red])
    assert hot >= cool
    first, second = rgb_of_temperature([hot, cool])
    assert first[0] <= second[0] + 1e-9
    assert first[2] >= second[2] - 1e-9


@given(st.integers(4, 40), st.integers(4, 40), st.floats(0.3, 9.0))
def test_resampled_picture_keeps_its_light(ny: int, nx: int, ratio: float) -> None:
    rng = np.random.default_rng(ny * 100 + nx)
    source = rng.random((ny, nx, 3)).astype(np.float32)
    pixels = 2 * math.ceil(max(ny, nx) / ratio) + 8
    result = resampled(source, ratio, pixels)
    # Exact where pixels are averaged; magnified, the grid meets the picture's edge anywhere.
    close = 2e-3 if ratio >= 1.0 else 0.05
    assert result.sum() * ratio**2 == pytest.approx(float(source.sum()), rel=close)


@given(st.integers(2, 60), st.floats(-0.5, 3.0), st.integers(0, 1000))
def test_higher_sun_never_darkens_the_ground(n: int, slope: float, seed: int) -> None:
    ground = np.random.default_rng(seed).normal(0.0, 1.0, (3, n)).astype(np.float32)
    low = open_to_light(ground, 1.0, slope)
    high = open_to_light(ground, 1.0, slope + 0.5)
    assert (low >= 0.0).all()
    assert (low <= 1.0).all()
    # Fully lit ground stays lit when the light rises.
    assert (high[low == 1.0] == 1.0).all()
