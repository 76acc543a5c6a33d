"""look(): the whole light path."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.eye.glare import scattered_fraction
from simview.scene.scene import Scene, Stars, Target
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux, luminance_cd_m2

SCOPE = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3)
KIT = simview.Kit(
    telescope=SCOPE,
    eyepieces=(
        simview.Eyepiece(focal_length_mm=25.0, transmission=1.0),
        simview.Eyepiece(focal_length_mm=5.0, transmission=1.0),
    ),
    layout="refractor",
)
VACUUM = simview.Sky(air="none", altitude_deg=90.0, sky_mag_arcsec2=22.0)


def one_star(magnitude=3.0):
    def paint(pixel_arcsec, pixels):
        at = np.zeros(1)
        stars = Stars(
            x_arcsec=at,
            y_arcsec=at,
            magnitude=np.array([magnitude]),
            temperature_k=np.array([6500.0]),
        )
        planes = np.zeros((3, pixels, pixels), np.float32)
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec, stars=stars)

    return Target(
        name="star", title="A star", kind="stars", size_arcsec=60.0, paint=paint, magnitude=3.0
    )


def white_wall(luminance=1000.0):
    def paint(pixel_arcsec, pixels):
        planes = np.full((3, pixels, pixels), luminance, np.float32)
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec)

    return Target(
        name="wall",
        title="A white wall",
        kind="chart",
        size_arcsec=36000.0,
        paint=paint,
        luminance_cd_m2=luminance,
    )


@pytest.mark.parametrize("eyepiece", [0, 1])
@pytest.mark.parametrize("pixels_per_degree", [6, 30])
def test_view_keeps_a_stars_light_when_scale_and_power_change(eyepiece, pixels_per_degree):
    view = simview.look(KIT, one_star(), eyepiece=eyepiece, sky=VACUUM)
    retina = view.retina(pixels_per_degree=pixels_per_degree, pixels=240)
    pixel_sr = (3600.0 / pixels_per_degree / view.beam.power / ARCSEC_PER_RADIAN) ** 2
    # The eye, not the exit pupil, may limit the beam: the effective aperture counts.
    used = view.beam.used_pupil_mm
    area = math.pi / 4.0 * used**2 * (1.0 - view.beam.obstruction**2)
    wanted = illuminance_lux(3.0) * area * SCOPE.transmission
    # The kernel's soft window ends at 28 lambda/D, past which an obstructed pupil's image
    # still holds a little more than 1 % of the light; the skirt of the eye's own optics at an
    # exit pupil of 5 mm takes as much again.
    got = float(retina.points[1].sum()) * pixel_sr
    assert got == pytest.approx(wanted, rel=0.03)
    assert got < wanted


def test_view_of_a_wall_has_the_troland_of_the_used_pupil_and_never_more_than_the_eyes_own():
    wall = white_wall()
    for eyepiece in (0, 1):
        view = simview.look(KIT, wall, eyepiece=eyepiece, sky=VACUUM)
        retina = view.retina(pixels_per_degree=6, pixels=120)
        used = view.beam.used_pupil_mm
        area = math.pi / 4.0 * used**2 * (1.0 - view.beam.obstruction**2)
        wanted = (1000.0 + luminance_cd_m2(22.0)) * area * SCOPE.transmission
        # What the eye scatters past the edge of the field is missing in its middle.
        wanted *= 1.0 - scattered_fraction(view.beam.apparent_field_deg / 2.0, 100.0, 40.0)
        assert float(retina.extended[1][60, 60]) == pytest.approx(wanted, rel=0.015)
        naked = 1000.0 * math.pi / 4.0 * view.eye.pupil_mm**2
        assert float(retina.extended[1].max()) < naked


def test_view_of_a_white_wall_is_grey_when_nothing_colours_the_light():
    mirror = replace(SCOPE, obstruction=0.0)
    kit = replace(KIT, telescope=mirror)
    retina = simview.look(kit, white_wall(), eyepiece=1, sky=VACUUM).retina(
        pixels_per_degree=6, pixels=120
    )
    x, y, z, _ = (float(plane[60, 60]) for plane in retina.extended)
    # IEC 61966-2-1: the white of sRGB is D65, x = 0.3127, y = 0.3290.
    assert x / (x + y + z) == pytest.approx(0.3127, abs=0.002)
    assert y / (x + y + z) == pytest.approx(0.3290, abs=0.002)


def test_view_is_turned_when_the_telescope_turns_it():
    def paint(pixel_arcsec, pixels):
        planes = np.zeros((3, pixels, pixels), np.float32)
        stars = Stars(
            x_arcsec=np.array([120.0]),
            y_arcsec=np.array([200.0]),
            magnitude=np.array([2.0]),
            temperature_k=np.array([6500.0]),
        )
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec, stars=stars)

    target = replace(one_star(), paint=paint)
    newtonian = replace(KIT, layout="newtonian")
    retina = simview.look(newtonian, target, sky=VACUUM).retina(pixels_per_degree=20, pixels=400)
    row, column = np.unravel_index(int(retina.points[1].argmax()), (400, 400))
    # West and north of the centre on the sky is left and below in a view turned by 180 degrees.
    pixel = 3600.0 / 20 / 30
    assert column - 200 == pytest.approx(-120.0 / pixel, abs=1.5)
    assert row - 200 == pytest.approx(200.0 / pixel, abs=1.5)


def test_numbers_have_all_fixed_names():
    numbers = simview.look(KIT, simview.target("jupiter")).numbers
    assert set(numbers) >= {
        "power",
        "exit_pupil_mm",
        "true_field_arcmin",
        "apparent_field_deg",
        "drift_seconds",
        "resolution_arcsec",
        "relative_brightness",
        "limiting_magnitude",
        "finest_detail_arcsec",
    }


def test_resolution_is_the_airy_width_when_air_and_eye_add_nothing():
    kit = replace(KIT, telescope=replace(SCOPE, obstruction=0.0))
    view = simview.look(kit, simview.target("jupiter"), power=1500.0, sky=VACUUM)
    airy = 1.028994 * 550e-6 / 150.0 * ARCSEC_PER_RADIAN
    # White light mixes widths of 420 to 690 nm; at an exit pupil of 0.1 mm the eye adds its
    # acuity, 52 arcsec / 1500, in quadrature.
    assert view.numbers["resolution_arcsec"] == pytest.approx(airy, rel=0.05)


def test_both_engines_show_the_same_view():
    views = [
        simview.look(KIT, simview.target("jupiter"), power=150.0, engine=engine)
        for engine in ("native", "poppy")
    ]
    native, poppy = (v.retina(pixels_per_degree=12, pixels=120).extended[1] for v in views)
    # poppy samples the same grey pupil; the two transforms differ by rounding and by how each
    # averages over a pixel.
    assert np.abs(native - poppy).max() < 2e-3 * native.max()


def test_image_is_square_and_holds_the_field():
    view = simview.look(KIT, simview.target("jupiter"), eyepiece=1)
    image = view.image(pixels_per_degree=8)
    assert image.size == (408, 408)
    assert image.mode == "RGB"


def _starry(offset_deg, power):
    """Return one star at an apparent distance above the middle, as an object 30 deg wide."""

    def paint(pixel_arcsec, pixels):
        stars = Stars(
            x_arcsec=np.zeros(1),
            y_arcsec=np.array([offset_deg * 3600.0 / power]),
            magnitude=np.array([3.0]),
            temperature_k=np.array([6500.0]),
        )
        planes = np.zeros((3, pixels, pixels), np.float32)
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec, stars=stars)

    return replace(one_star(), paint=paint, size_arcsec=30.0 * 3600.0 / power)


def _spread_px(plane):
    row, column = np.unravel_index(int(plane.argmax()), plane.shape)
    # Rounding noise far away would outweigh the image in a second moment.
    near = plane[row - 15 : row + 16, column - 15 : column + 16]
    y, x = np.indices(near.shape)
    total = near.sum()
    cy, cx = (near * y).sum() / total, (near * x).sum() / total
    return math.sqrt((near * ((y - cy) ** 2 + (x - cx) ** 2)).sum() / total)


def test_view_blurs_a_star_at_the_edge_when_the_eyepiece_is_simple():
    fast = simview.Kit(
        telescope=simview.Telescope(aperture_mm=80.0, focal_length_mm=640.0, obstruction=0.0),
        eyepieces=(simview.Eyepiece(focal_length_mm=20.0, design="huygens"),),
        layout="refractor",
    )
    widths = {}
    for traced in (True, False):
        for offset in (0.0, 13.0):
            view = simview.look(fast, _starry(offset, 32.0), sky=VACUUM, traced=traced)
            retina = view.retina(pixels_per_degree=12, pixels=420)
            widths[traced, offset] = _spread_px(retina.points[1])
    assert widths[False, 13.0] == pytest.approx(widths[False, 0.0], rel=0.02)
    # A Huygens at f/8 blurs by several arcmin 13 deg off axis; a pixel is 5 arcmin.
    assert widths[True, 13.0] > 1.15 * widths[True, 0.0]


def test_view_is_dark_outside_the_field_stop_when_the_eyepiece_is_traced():
    kit = replace(KIT, eyepieces=(simview.Eyepiece(focal_length_mm=25.0, design="kellner"),))
    retina = simview.look(kit, white_wall(), sky=VACUUM).retina(pixels_per_degree=6, pixels=360)
    luminous = retina.extended[1]
    # The eye's own scatter still reaches out there, a few thousandths of the field's light.
    assert luminous[2, 2] < 0.03 * luminous[180, 180]


def half_lit(luminance=1000.0):
    """Bright to the left of the middle, dark to the right."""

    def paint(pixel_arcsec, pixels):
        planes = np.zeros((3, pixels, pixels), np.float32)
        planes[:, :, : pixels // 2] = luminance
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec)

    return Target(
        name="half",
        title="Half of everything",
        kind="chart",
        size_arcsec=36000.0,
        paint=paint,
        luminance_cd_m2=luminance,
    )


def test_close_up_is_veiled_by_light_that_it_does_not_show():
    view = simview.look(KIT, half_lit(), power=150.0, sky=VACUUM)
    wide = view.expose(pixels_per_degree=8.0, pixels=420)
    # Close to the edge of light, 1.6 degrees wide: its dark half gets the glow of a whole field.
    alone = view.expose(pixels_per_degree=100.0, pixels=160)
    with_veil = view.expose(pixels_per_degree=100.0, pixels=160, veil=wide.veil)
    # 0.5 degrees into the dark; in the wide view that is 4 pixels.
    in_wide = wide.extended[1, 210, 210 + 4]
    assert in_wide > 0.0
    for close in (alone, with_veil):
        # Pixels of 1/6 and 1/8 degree at half a degree from an edge: 15 %.
        assert close.extended[1, 80, 80 + 50] == pytest.approx(in_wide, rel=0.15)


def test_far_side_of_a_field_is_not_black():
    view = simview.look(KIT, half_lit(), power=150.0, sky=VACUUM)
    row = view.expose(pixels_per_degree=8.0, pixels=420).extended[1, 210]
    # From light to the far edge of the field, 25 degrees away: falling, never to nothing.
    dark = row[210 + 8 : 410]
    assert np.all(np.diff(dark) < 0.0)
    assert dark[-1] > 5e-4 * row[100]


def test_no_light_no_veil():
    view = simview.look(KIT, one_star(), power=150.0, sky=VACUUM)
    assert view.expose(pixels_per_degree=8.0, pixels=420).veil is None
