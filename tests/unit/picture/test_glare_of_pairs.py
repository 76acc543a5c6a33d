"""Around a bright pair lies the eye's glare; behind it the sky of that exit pupil."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview import srgb
from simview.picture.prints.printing import develop_all
from simview.picture.prints.star_factors import halo_shares
from simview.picture.prints.wanted import Wanted


def printed(name, aperture_mm, exit_pupil_mm=1.0, *, scale=20.0, pixels=200, vanes=0, star_px=0.0):
    """Return a pair's surroundings as print luminance, white = 1."""
    scope = simview.Telescope(
        aperture_mm=aperture_mm,
        focal_length_mm=8.0 * aperture_mm,
        objective="mirror",
        obstruction=0.2,
        vanes=vanes,
        vane_mm=1.0,
    )
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))
    view = simview.look(kit, simview.target(name), power=aperture_mm / exit_pupil_mm)
    wanted = Wanted(view=view, pixels_per_degree=scale, pixels=pixels, star_px=star_px)
    light = srgb.linear(develop_all([wanted]).panels[0] / 255.0)
    return light @ np.array([0.2126, 0.7152, 0.0722])


def ring(light, scale, angle_deg):
    middle = light.shape[0] // 2
    y, x = np.indices(light.shape)
    away = np.hypot(x - middle, y - middle) / scale
    return float(np.median(light[np.abs(away - angle_deg) < 0.08]))


def test_star_of_magnitude_zero_blazes_and_one_of_five_does_not():
    # Rigel's glare stands far above the sky half a degree out; around the fifth magnitude there is
    # next to none (common practice, no source; the light is CIE's, tests/unit/eye/test_around.py).
    glares, plain = (printed(name, 200.0) for name in ("rigel", "epsilon1-lyrae"))
    assert ring(glares, 20.0, 0.45) > 2.5 * ring(glares, 20.0, 4.5)
    assert ring(plain, 20.0, 0.45) < 1.4 * ring(plain, 20.0, 4.5)


def test_what_a_readers_own_eye_makes_of_a_printed_star_is_not_printed():
    # A printed white sends some 1000 troland (84 cd/m2 in a pupil of 4 mm); a star whose spot has
    # as many, printed as large as it looks, has its halo from the reader's eye. One printed three
    # times as wide sends nine times the light.
    shares = halo_shares(np.array([10.0, 1000.0, 9000.0, 1e6]), 1.0)
    assert (np.diff(shares) > 0.0).all()
    assert shares[0] == pytest.approx(0.03, abs=0.001)
    assert shares[1] == pytest.approx((0.03 + 0.2) / 2.0, abs=0.001)
    assert shares[3] == pytest.approx(0.2, abs=0.001)
    assert halo_shares(np.array([9000.0]), 3.0) == pytest.approx(shares[1])
    # A picture smaller than life shows its stars as dots no smaller than that.
    assert halo_shares(np.array([1000.0]), 0.4) == pytest.approx(shares[1])


def test_loupe_of_a_bright_pair_has_a_darker_sky_the_more_it_enlarges():
    # 3 pixels are 4.8 arcmin for a reader 2 sheet heights away: 37.7 pixels a degree are life size.
    light = []
    for times in (1.5, 6.8):
        scale = 37.7 * times
        seen = printed("alnitak", 200.0, scale=scale, pixels=360, star_px=3.0)
        light.append(ring(seen, scale, 0.3))
    # What is left is the star's own image, as telescope and air spread it, and the sky.
    assert light[1] < 0.7 * light[0]


def test_spike_is_as_narrow_in_print_as_a_star_and_ghostly_near_its_threshold():
    # Alnitak's spikes in 200 mm are about as strong as an eye just makes out before its own glare
    # (docs/models/tone.md): in print a step or two of 8 bits. Rigel's, four times that, are plain.
    over = {}
    for name in ("alnitak", "rigel"):
        plain, crossed = (
            printed(name, 200.0, scale=60.0, pixels=300, vanes=v, star_px=3.0) for v in (0, 4)
        )
        line = (crossed - plain)[20:80].mean(axis=0)
        over[name] = line.max()
        if name == "rigel":
            # A star of 200 mm is some 0.8 arcsec wide: 0.044 deg at 200 times, 2.7 pixels.
            near = line[line.argmax() - 6 : line.argmax() + 7]
            assert 1.8 < near.sum() / near.max() < 4.0
    assert over["alnitak"] < 0.0015
    assert over["rigel"] > 3.0 * over["alnitak"]
    assert 0.003 < over["rigel"] < 0.02


def test_spike_of_a_whole_field_is_little_brighter_than_that_of_the_loupe():
    # Eyes add up light along a line over some angle of their own. So a line finer than they resolve
    # has to have as many times the contrast as it is narrower, not the square of that. In 200 mm at
    # 200 times it is 0.044 deg wide; in the field it is a pixel, 0.027 deg for its reader.
    light = {}
    for scale, pixels in ((15.3, 120), (37.7, 300)):
        plain, crossed = (
            printed("rigel", 200.0, scale=scale, pixels=pixels, vanes=v, star_px=3.0)
            for v in (0, 4)
        )
        rows = slice(pixels // 2 - round(2.0 * scale), pixels // 2 - round(1.4 * scale))
        light[scale] = (crossed - plain)[rows].mean(axis=0).max()
    assert light[37.7] < light[15.3] < 0.044 / 0.0265 * light[37.7]


# Observers, common practice: spikes come out of the star. What the eye scatters and what the vanes
# spread both fall outwards, so nothing along a spike rises; a step of 8 bits there is 0.0005.
@pytest.mark.parametrize(("name", "aperture_mm"), [("polaris", 150.0), ("mizar", 150.0)])
def test_spike_begins_at_its_star_and_never_rises_outwards(name, aperture_mm):
    scale = 60.0
    light = printed(name, aperture_mm, 0.75, scale=scale, pixels=360, vanes=4, star_px=3.0)
    row, column = np.unravel_index(int(light.argmax()), light.shape)
    lines = [
        light[row, column:],
        light[row, column::-1],
        light[row:, column],
        light[row::-1, column],
    ]
    out = np.mean([line[15:150] for line in lines], axis=0)
    least = np.minimum.accumulate(np.convolve(out, np.ones(5) / 5.0, "valid"))
    assert (np.convolve(out, np.ones(5) / 5.0, "valid") < least + 0.0006).all()
    assert out[0] > 2.0 * np.median(light)


def test_glare_falls_without_an_edge():
    light = printed("rigel", 200.0)
    angles = np.arange(0.6, 4.0, 0.2)
    falls = np.array([ring(light, 20.0, a) for a in angles])
    assert (np.diff(falls) < 5e-4).all()
    assert (falls[1:] > 0.6 * falls[:-1]).all()


def test_four_vanes_give_a_bright_star_four_spikes():
    # As many as vanes where these are even in number (common practice); 1 mm is common practice.
    plain, crossed = (printed("rigel", 150.0, 0.75, scale=40.0, vanes=v) for v in (0, 4))
    over = crossed - plain
    middle, y, x = 100, *np.indices(over.shape)
    away = np.hypot(x - middle, y - middle) / 40.0
    out = (away > 0.6) & (away < 0.8)
    turn = np.degrees(np.arctan2(y - middle, x - middle))[out] % 90.0
    along = np.minimum(turn, 90.0 - turn)
    # The pair's middle is the picture's, its brighter star stands 0.26 deg from it.
    upon = np.sort(over[out])[::-1]
    assert upon[:20].mean() > 0.003
    assert np.median(over[out]) < 0.0005
    assert np.median(along[over[out] > 0.003]) < 30.0


@pytest.mark.parametrize("exit_pupil_mm", [0.5, 1.0])
def test_sky_behind_a_pair_follows_the_root_of_its_light(exit_pupil_mm):
    # Half the exit pupil has a quarter of the light; brightness in the dark goes with a power of
    # 0.33 to 0.5 of it (Stevens 1957): so half to 0.63.
    dim, full = (
        ring(printed("castor", 150.0, pupil), 20.0, 4.5)
        for pupil in (exit_pupil_mm, 2.0 * exit_pupil_mm)
    )
    assert 0.45 < dim / full < 0.63
