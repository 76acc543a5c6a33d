"""A plain sky prints even up to the field stop, though the eyepiece spreads it thinner there."""

from __future__ import annotations

import numpy as np

import simview
from simview.picture.prints.printing import develop_all, measured
from simview.picture.prints.wanted import Wanted
from simview.scene.scene import Scene, Stars, Target

SIDE = 400


def empty(pixel_arcsec: float, pixels: int) -> Scene:
    """Paint one star far from the field, and nothing else."""
    star = Stars(
        x_arcsec=np.array([9e5]),
        y_arcsec=np.zeros(1),
        magnitude=np.array([6.0]),
        temperature_k=np.array([6500.0]),
    )
    planes = np.zeros((3, pixels, pixels), np.float32)
    return Scene(planes=planes, pixel_arcsec=pixel_arcsec, stars=star)


def test_plain_sky_is_even_in_print_up_to_nine_tenths_of_the_field() -> None:
    scope = simview.Telescope(aperture_mm=60.0, focal_length_mm=600.0)
    piece = simview.Eyepiece(focal_length_mm=20.0, apparent_field_deg=50.0, design="plossl")
    kit = simview.Kit(telescope=scope, eyepieces=(piece,))
    target = Target(
        name="sky", title="Sky", kind="stars", size_arcsec=9000.0, paint=empty, magnitude=6.0
    )
    view = simview.look(kit, target, eyepiece=0, sky=simview.Sky(sky_mag_arcsec2=19.0))
    wanted = Wanted(view=view, pixels_per_degree=SIDE / 51.0, pixels=SIDE, star_px=2.0)
    rows, columns = np.mgrid[:SIDE, :SIDE] - SIDE // 2
    away = np.hypot(rows, columns) / wanted.pixels_per_degree / 25.0
    middle, rim = away < 0.2, (away > 0.8) & (away < 0.9)
    # On the retina the light does fall: this eyepiece's power grows towards the edge, and with it
    # the area over which the same light is spread (ISO 14132-1's angular distortion).
    light = wanted.expose().extended[1]
    assert 0.75 < light[rim].mean() / light[middle].mean() < 0.95
    print_ = develop_all([wanted]).panels[0].astype(float).mean(axis=2)
    assert abs(print_[rim].mean() - print_[middle].mean()) < 0.5


def test_dark_behind_a_field_is_measured_alike_in_small_pictures() -> None:
    # In a picture of 116 pixels the soft edge of the field and the glare beyond it fill a quarter.
    scope = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, objective="mirror")
    piece = simview.Eyepiece(focal_length_mm=25.0, apparent_field_deg=50.0)
    kit = simview.Kit(telescope=scope, eyepieces=(piece,))
    view = simview.look(kit, "m13", power=30)
    small, large = (
        measured(view, view.expose(pixels_per_degree=side / 50.0, pixels=side)).levels
        for side in (116, 378)
    )
    assert abs(small.background_td / large.background_td - 1.0) < 0.02
    assert abs(small.background_scotopic_td / large.background_scotopic_td - 1.0) < 0.02
