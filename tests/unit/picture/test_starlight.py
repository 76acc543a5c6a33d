"""A star's light becomes colour: white stays white, filters keep their hue, nothing is clipped."""

from __future__ import annotations

import numpy as np
import pytest

from simview.errors import ChoiceError, RangeError
from simview.picture.startest.starlight import coloured, printed, star_colour, white_level

# CIE standard illuminant D65, the white of sRGB. Source: IEC 61966-2-1.
D65 = (0.9505, 1.0, 1.0890)


@pytest.mark.parametrize("defocus", [0.0, 6.0, 40.0])
def test_white_light_sums_to_the_white_of_the_display(defocus: float) -> None:
    light = star_colour("white", defocus_waves=defocus)
    assert light.xyz.sum(axis=0) == pytest.approx(D65, abs=2e-4)
    assert light.shares.sum() == pytest.approx(1.0, abs=1e-4)


def test_more_defocus_takes_finer_bands_up_to_a_limit() -> None:
    # White is 420 to 690 nm. Defocus in waves goes as 550 nm / wavelength, so half a wave between
    # neighbours asks for 2 x 270 / 550 bands a wave: 14 for 14 waves, 28 for 28, 39 for 40.
    waves = (0.0, 14.0, 20.0, 28.0, 40.0, 400.0)
    counts = [len(star_colour("white", defocus_waves=w).xyz) for w in waves]
    assert counts == [11, 14, 20, 28, 31, 31]


def test_neighbouring_bands_differ_by_half_a_wave_of_defocus_at_most() -> None:
    for waves in (2.0, 6.0, 12.0, 30.0):
        nm = star_colour("white", defocus_waves=waves).wavelengths_nm
        # Defocus in waves of each colour is inversely proportional to the wavelength.
        steps = np.abs(np.diff(waves * 550.0 / nm))
        assert np.median(steps) < 0.51


@pytest.mark.parametrize(
    ("name", "strongest"), [("red", 0), ("green", 1), ("blue", 2), ("640", 0), ("530nm", 1)]
)
def test_filtered_star_prints_in_its_own_colour(name: str, strongest: int) -> None:
    light = star_colour(name)
    star = np.full((1, 1, 1), 1.0)
    stack = np.repeat(star, len(light.wavelengths_nm), axis=0)
    code = printed(coloured(stack, light), 1.0)[0, 0].astype(int)
    assert code.argmax() == strongest
    assert code[strongest] > code.min() + 40


def test_white_star_prints_without_a_tint() -> None:
    light = star_colour("white")
    stack = np.ones((len(light.wavelengths_nm), 64, 64))
    code = printed(coloured(stack, light), 2.0).astype(float).mean(axis=(0, 1))
    assert np.ptp(code) < 1.0
    # Half of the light: sRGB code 187.5 (IEC 61966-2-1).
    assert code.mean() == pytest.approx(187.5, abs=1.0)


def test_print_keeps_luminance_where_a_colour_is_made_paler() -> None:
    light = star_colour("500")
    stack = np.full((1, 64, 64), 0.3)
    code = printed(coloured(stack, light), 1.0).astype(float).mean(axis=(0, 1)) / 255.0
    linear = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    assert float(linear @ (0.2126, 0.7152, 0.0722)) == pytest.approx(0.3, rel=0.02)


def test_compressed_print_follows_the_stated_power() -> None:
    light = star_colour("white")
    grey = [np.full((len(light.wavelengths_nm), 64, 64), v) for v in (0.4, 0.004)]
    codes = [printed(coloured(g, light), 1.0, power=0.45).astype(float).mean() for g in grey]
    linear = [((c / 255.0 + 0.055) / 1.055) ** 2.4 for c in codes]
    assert linear[0] / linear[1] == pytest.approx(100.0**0.45, rel=0.02)


def test_white_level_is_not_set_by_one_hot_pixel() -> None:
    disc = np.full((100, 100), 1.0)
    disc[50, 50] = 3.0
    assert 1.0 <= white_level(disc) < 1.5
    # But a star in focus, where everything lies in the peak, is not burnt out.
    point = np.full((100, 100), 1e-5)
    point[50, 50] = 1.0
    assert white_level(point) >= 0.25


def test_unknown_light_is_refused() -> None:
    with pytest.raises(ChoiceError, match="puce"):
        star_colour("puce")
    with pytest.raises(RangeError, match="300"):
        star_colour("300")
