"""The air before things on the ground: what of the night's air must not act there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from simview.air import extinction, glow, level, refraction, shimmer
from simview.errors import RangeError
from simview.kit import Sky
from simview.scene.targets import target

NIGHT = Sky(seeing_arcsec=3.0, altitude_deg=20.0, extinction_mag=0.4, sky_mag_arcsec2=18.0)
WAVES = np.array([450.0, 550.0, 650.0])


def test_object_in_the_sky_keeps_its_sky() -> None:
    assert level.sky_before(target("jupiter"), NIGHT) is NIGHT
    assert level.sky_before(target("bars"), NIGHT) is NIGHT
    jupiter = target("jupiter")
    assert level.shown(jupiter, NIGHT, 100.0) is jupiter


def test_nothing_of_the_night_acts_by_day() -> None:
    air = level.sky_before(target("daytime"), NIGHT)
    assert extinction.transmission(air, WAVES) == pytest.approx(np.ones(3))
    assert refraction.dispersion_arcsec(air, WAVES) == pytest.approx(np.zeros(3), abs=1e-9)
    # Against 6000 cd/m2 of a scene by day.
    assert glow.luminance_cd_m2(air) < 1e-3


def test_seeing_is_the_shimmers_whatever_the_night_has() -> None:
    shown = target("daytime", distance_m=300.0, shimmer="moderate")
    expected = shimmer.seeing_arcsec(1e-14, 300.0)
    for night in (NIGHT, replace(NIGHT, seeing_arcsec=0.5, altitude_deg=80.0)):
        assert level.sky_before(shown, night).seeing_arcsec == pytest.approx(expected)


def test_conversion_of_the_sky_is_settled_at_once() -> None:
    shown = target("daytime", shimmer="strong")
    once = level.sky_before(shown, replace(NIGHT, air="moment"))
    assert level.sky_before(shown, once) == once


def test_too_much_blur_is_refused_with_the_way_out() -> None:
    with pytest.raises(RangeError, match="at most 20 arcsec; take a shorter distance"):
        level.sky_before(target("daytime", distance_m=5000.0, shimmer=1e-12), NIGHT)


def test_without_air_there_is_no_haze() -> None:
    shown = target("daytime", distance_m=2000.0, visibility_km=3.0)
    clear = level.shown(shown, replace(NIGHT, air="none"), 100.0)
    hazy, sharp = (np.ptp(t.paint(1.0, 300).planes[1]) for t in (shown, clear))
    # exp(-3.912 x 2 / 3) = 0.074.
    assert hazy / sharp == pytest.approx(0.074, rel=0.02)


def test_moment_bends_the_picture_the_same_way_at_any_sampling() -> None:
    shown = target("daytime", shimmer="strong")
    bent = level.shown(shown, replace(NIGHT, air="moment", seed=5), 60.0)
    assert "moment" in bent.notes[-1]
    fine, coarse = bent.paint(1.0, 800).planes[1], bent.paint(2.0, 400).planes[1]
    straight = shown.paint(1.0, 800).planes[1]
    # Pixel n // 2 has its middle at 0: coarse pixels lie half a fine one up and left of pairs.
    pairs = fine.reshape(400, 2, 400, 2).mean(axis=(1, 3))
    unbent = straight.reshape(400, 2, 400, 2).mean(axis=(1, 3))

    def differ(a: np.ndarray, b: np.ndarray) -> float:
        return float(np.sqrt(np.mean((a - b)[20:-20, 20:-20] ** 2)))

    assert differ(pairs, coarse) < 0.6 * differ(unbent, coarse)
    other = level.shown(shown, replace(NIGHT, air="moment", seed=6), 60.0).paint(2.0, 400)
    assert differ(other.planes[1], coarse) > 0.0


def test_still_air_and_long_looks_leave_the_picture_straight() -> None:
    still = target("daytime", shimmer="none")
    assert level.shown(still, replace(NIGHT, air="moment"), 60.0) is still
    strong = target("daytime", shimmer="strong")
    assert level.shown(strong, NIGHT, 60.0) is strong
