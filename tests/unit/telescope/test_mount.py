"""Shake, settling and drift. Common practice where no source is named."""

import math

import numpy as np
import pytest

from simview.kit import Mount
from simview.telescope import mount as rooms
from simview.telescope.mount import shake_transfer

ALONG = np.linspace(0.0, 1.0, 11)
NOUGHT = np.zeros(11)


class TestSettling:
    def test_takes_no_time_when_the_touch_is_below_the_threshold(self):
        assert rooms.settle_seconds(Mount(tap_arcsec=5.0), 5.0) == 0.0

    def test_takes_longer_at_a_higher_power(self):
        mount = Mount(tap_arcsec=60.0)
        times = [rooms.settle_seconds_at(mount, power) for power in (10.0, 50.0, 200.0)]
        assert times == sorted(times)
        # 60 arcsec at 200 times is 200 arcmin at the eye; 1 arcmin is steady.
        rate = 2.0 * math.pi * 5.0 * 0.03
        assert times[-1] == pytest.approx(math.log(200.0) / rate)

    def test_amplitude_has_fallen_to_the_threshold_when_it_is_over(self):
        mount = Mount(tap_arcsec=30.0, frequency_hz=3.0, damping=0.02)
        end = rooms.settle_seconds(mount, 1.0)
        assert rooms.tap_amplitude_arcsec(mount, end) == pytest.approx(1.0)

    def test_fixed_mount_never_moves(self):
        fixed = Mount(kind="fixed", tap_arcsec=30.0, shake_arcsec=5.0)
        assert rooms.settle_seconds(fixed, 0.1) == 0.0
        assert rooms.apparent_motion_arcmin(fixed, 100.0, 0.0) == 0.0
        assert np.array_equal(shake_transfer(fixed, ALONG, ALONG, "double"), np.ones(11))


class TestApparentMotion:
    def test_is_power_times_the_motion_on_the_sky(self):
        # Half an arcsec at 120 times is one arcmin at the eye.
        assert rooms.apparent_motion_arcmin(Mount(shake_arcsec=0.5), 120.0) == pytest.approx(1.0)

    def test_counts_the_swing_after_a_touch(self):
        mount = Mount(tap_arcsec=6.0)
        found = rooms.apparent_motion_arcmin(mount, 100.0, 0.0)
        assert found == pytest.approx(100.0 * 6.0 / math.sqrt(2.0) / 60.0)
        assert rooms.apparent_motion_arcmin(mount, 100.0) == 0.0


class TestHands:
    def test_hands_tremble_as_much_as_is_usual_unless_the_kit_says_otherwise(self):
        assert rooms.shake_rms_arcsec(Mount(kind="hand")) == rooms.HAND_TREMOR_ARCSEC
        assert rooms.shake_rms_arcsec(Mount(kind="hand", shake_arcsec=9.0)) == 9.0
        assert rooms.shake_rms_arcsec(Mount()) == 0.0

    def test_ten_times_by_hand_shows_what_six_times_shows_on_a_stand(self):
        # What the tremor was chosen for: 1 arcmin at the eye is 6 arcsec at ten times; with the
        # tremor's full width added in squares it is 10 arcsec, as at six times.
        tremor = 2.3548 * rooms.HAND_TREMOR_ARCSEC
        assert math.hypot(6.0, tremor) == pytest.approx(10.0, rel=1e-3)


class TestTransfer:
    def test_blur_is_a_gaussian_of_the_jitters_size(self):
        found = shake_transfer(Mount(shake_arcsec=0.4), ALONG, NOUGHT)
        assert found == pytest.approx(np.exp(-2.0 * (math.pi * 0.4 * ALONG) ** 2))

    def test_blur_is_the_mean_over_many_random_positions(self):
        rng = np.random.default_rng(2)
        places = rng.normal(0.0, 0.4, (40000, 2))
        wanted = np.array([[0.3, 0.0], [0.2, 0.5]])
        mean = np.cos(2.0 * math.pi * places @ wanted.T).mean(axis=0)
        found = shake_transfer(Mount(shake_arcsec=0.4), wanted[:, 0], wanted[:, 1])
        # Statistical error of 40000 draws: at most 0.7 / 200 each; four of them.
        assert found == pytest.approx(mean, abs=0.014)

    def test_blur_ignores_a_touch_long_ago(self):
        assert np.array_equal(shake_transfer(Mount(tap_arcsec=60.0), ALONG, ALONG), np.ones(11))

    def test_double_image_is_doubled_up_and_down_only(self):
        mount = Mount(tap_arcsec=2.0, damping=0.001)
        assert shake_transfer(mount, ALONG, NOUGHT, "double") == pytest.approx(np.ones(11))
        found = shake_transfer(mount, NOUGHT, np.array([0.25]), "double")
        # J0(pi) = -0.3042: contrast is reversed there (Abramowitz & Stegun, table 9.1).
        # The amplitude dies by 0.6 % over the period, which is worth 0.003 here.
        assert found[0] == pytest.approx(-0.3042, abs=4e-3)

    def test_double_image_has_its_two_bright_places_at_the_turning_points(self):
        mount = Mount(tap_arcsec=5.0, damping=0.001)
        n, pixel = 512, 0.1
        frequency = np.fft.rfftfreq(n, pixel)
        smooth = np.exp(-2.0 * (math.pi * 0.3 * frequency) ** 2)
        kept = shake_transfer(mount, np.zeros_like(frequency), frequency, "double")
        light = np.fft.fftshift(np.fft.irfft(kept * smooth, n))
        place = (np.arange(n) - n // 2) * pixel
        brightest = abs(place[light.argmax()])
        # Blurred by 0.3 arcsec, the peaks lie a little inside the turning points.
        assert 4.4 < brightest < 5.0
        assert light[n // 2] < 0.4 * light.max()
        assert light.sum() == pytest.approx(1.0)

    def test_double_image_closes_up_with_time(self):
        mount = Mount(tap_arcsec=5.0)
        early, late = (
            shake_transfer(mount, NOUGHT, ALONG, "double", seconds=s)[2] for s in (0.0, 8.0)
        )
        assert late > 0.99 > early

    def test_steady_jitter_blurs_the_double_image_too(self):
        both = Mount(tap_arcsec=2.0, shake_arcsec=0.4)
        alone = shake_transfer(Mount(tap_arcsec=2.0), NOUGHT, ALONG, "double")
        blur = shake_transfer(both, NOUGHT, ALONG)
        assert shake_transfer(both, NOUGHT, ALONG, "double") == pytest.approx(alone * blur)
