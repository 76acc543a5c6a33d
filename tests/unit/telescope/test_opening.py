"""Effective stop, sampling, symmetry, colour defocus."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.errors import SimviewError
from simview.telescope import opening as room
from simview.telescope.colour_focus import best_visual_focus_mm
from simview.telescope.exposure import Setting
from simview.telescope.phase_map import resampled
from simview.telescope.terms import Extras
from simview.units import waves_of_defocus


def scope(**more):
    return simview.Telescope(aperture_mm=100.0, focal_length_mm=1000.0, **more)


def test_eye_that_stops_the_telescope_down_sees_a_larger_shadow():
    stop = room.stop_for(scope(obstruction=0.3, vanes=4, vane_mm=1.0), aperture_mm=50.0)
    assert (stop.aperture_mm, stop.obstruction, stop.shape.vane_ratio) == (50.0, 0.6, 0.02)
    assert stop.crop == 0.5


def test_internal_stop_makes_the_working_aperture():
    stop = room.stop_for(scope(stop_mm=70.0))
    assert stop.aperture_mm == 70.0
    assert stop.crop == pytest.approx(0.7)


@pytest.mark.parametrize("aperture", [0.0, 120.0, float("nan"), 30.1])
def test_impossible_effective_apertures_are_refused(aperture):
    with pytest.raises(SimviewError):
        room.stop_for(scope(obstruction=0.3), aperture_mm=aperture)


@pytest.mark.parametrize(
    ("faults", "vanes", "wanted"),
    [
        ({}, 0, (True, True)),
        ({"spherical": 0.3, "defocus": 2.0, "astigmatism": 0.2}, 4, (True, True)),
        ({"coma": 0.3}, 0, (True, False)),
        ({"coma": 0.3, "coma_angle_deg": 90.0}, 0, (False, True)),
        ({"coma": 0.3, "coma_angle_deg": 30.0}, 0, (False, False)),
        ({}, 3, (False, True)),
        ({"astigmatism": 0.2, "astigmatism_angle_deg": 20.0}, 0, (False, False)),
    ],
)
def test_mirror_symmetry_is_found(faults, vanes, wanted):
    stop = room.stop_for(scope(obstruction=0.2, vanes=vanes, vane_mm=2.0))
    front = room.opening(stop, simview.Wavefront(**faults), 64)
    assert (front.even_y, front.even_x) == wanted
    whole = front.whole(front.amplitude)
    assert whole.shape == (64, 64)
    assert whole.sum() == pytest.approx(front.light)


def test_samples_grow_with_grid_and_slope_and_then_say_the_limit():
    assert room.samples_for(10.0, 0.0) == 256
    assert room.samples_for(150.0, 0.0) >= 390
    assert room.samples_for(10.0, 120.0) >= 480
    with pytest.raises(SimviewError, match="2048"):
        room.samples_for(10.0, 600.0)


def test_steepest_slope_is_that_of_the_polynomial():
    # spherical 4 A (r^4 - r^2): slope 4 A (4 r^3 - 2 r) = 8 A at the rim, 8.8 A a bit beyond it
    assert room.steepest(simview.Wavefront(spherical=1.0), 1.0) == pytest.approx(8.4, rel=0.06)
    assert room.steepest(simview.Wavefront(defocus=1.0), 0.5) == pytest.approx(0.5, rel=0.05)


def test_colour_defocus_is_against_the_best_visual_focus():
    lens = scope(objective="achromat")
    waves = np.array([450.0, 546.07, 650.0])
    got = room.defocus_by_colour(lens, room.stop_for(lens), waves, 0.0)
    best = best_visual_focus_mm(lens)
    for wave, value in zip(waves, got, strict=True):
        wanted = -waves_of_defocus(lens.focus_shift_mm(wave) - best, 10.0, wave)
        assert value == pytest.approx(wanted, rel=1e-9)
    # blue and red focus farther out than where the eye focuses: seen from inside their focus
    assert got[0] < 0.0 < got[1]
    assert got[2] < 0.0


def test_stopping_down_by_half_quarters_the_defocus():
    lens = scope(objective="achromat")
    full = room.defocus_by_colour(lens, room.stop_for(lens), np.array([450.0]), 1.0)
    half = room.defocus_by_colour(lens, room.stop_for(lens, 50.0), np.array([450.0]), 1.0)
    assert half[0] == pytest.approx(full[0] / 4.0)


def test_resampled_screen_keeps_smooth_shapes():
    x = (np.arange(64) + 0.5) / 32 - 1.0
    plane = np.sin(2.0 * x)[None, :] * np.cos(1.5 * x)[:, None]
    y = (np.arange(200) + 0.5) / 100 - 1.0
    wanted = np.sin(2.0 * y)[None, :] * np.cos(1.5 * y)[:, None]
    got = resampled(plane, 200)
    # cubic convolution: third order; the outermost samples lie outside the old ones
    np.testing.assert_allclose(got[8:-8, 8:-8], wanted[8:-8, 8:-8], atol=2e-5)
    assert resampled(plane, 64) is plane


def test_best_focus_lies_in_the_green_for_fast_lenses_and_between_colours_for_slow_ones():
    fast = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, objective="achromat")
    slow = simview.Telescope(aperture_mm=50.0, focal_length_mm=1500.0, objective="achromat")
    in_fast = best_visual_focus_mm(fast) / 750.0
    in_slow = best_visual_focus_mm(slow) / 1500.0
    assert -10e-6 < in_fast < 40e-6
    assert in_fast < in_slow < 300e-6
    assert best_visual_focus_mm(scope()) == 0.0


@pytest.mark.parametrize("tilt", [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.25, -0.5)])
def test_tilt_turns_the_phase_by_so_many_waves_from_the_middle_to_the_rim(tilt):
    front = room.opening(room.stop_for(scope()), simview.Wavefront(), 64, lopsided=True)
    real, imaginary = front.field(front.amplitude, 1.0, 0.0, tilt)
    inside = front.amplitude > 0.5
    x, y = (np.broadcast_to(each, inside.shape)[inside] for each in (front.x, front.y))
    turns = tilt[0] * x + tilt[1] * y
    found = np.arctan2(imaginary[inside], real[inside])
    np.testing.assert_allclose(np.cos(found - 2.0 * np.pi * turns), 1.0, atol=1e-5)
    assert np.ptp(turns) > 0.5


def test_a_settings_slope_is_that_of_its_wavefront_its_colour_and_its_tilt():
    # W = a r^2 rises by 2 a waves a radius at the rim, 4 a a diameter; a wedge's tilt adds twice
    # its slope; all in the shortest wave's own waves.
    waves = np.array([550.0])
    mirror = scope()
    plain = Setting(scope=mirror, stop=room.stop_for(mirror), waves=waves, colour=np.array([0.0]))
    assert plain.slope() == pytest.approx(0.0, abs=1e-9)
    assert replace(plain, colour=np.array([-3.0])).slope() == pytest.approx(12.0)
    faulty = scope(wavefront=simview.Wavefront(defocus=0.5))
    assert replace(plain, scope=faulty).slope() == pytest.approx(2.0, rel=0.06)
    blue = replace(plain, scope=faulty, waves=np.array([440.0, 550.0]), colour=np.zeros(2))
    assert blue.slope() == pytest.approx(2.5, rel=0.06)
    wedged = replace(plain, extras=Extras(wedge_arcmin=5.0), waves=np.array([450.0]))
    assert wedged.slope() == pytest.approx(2.0 * float(np.abs(wedged.tilt()).max()))
    assert wedged.slope() > 1.0
