"""The conventions of docs/conventions.md, each a sentence and its proof.

Each test's docstring is the sentence; the last test compares them with the page.
"""

from __future__ import annotations

import dataclasses
import math
import re
import sys
from pathlib import Path

import numpy as np
import pytest
from zernike_basis import zernike_basis, zernike_of

import simview
from simview import kit as kit_module
from simview.air import extinction, seeing
from simview.eyepiece.beam import Beam
from simview.eyepiece.orientation import orient, orientation, signs
from simview.scene import doubles, star_catalogue
from simview.telescope.pupil import pupil
from simview.telescope.wavefront import path_waves
from simview.units import LUX_AT_V0, focus_shift_mm, illuminance_lux, waves_of_defocus

SCOPE = simview.Telescope(aperture_mm=100.0, focal_length_mm=1000.0)

# Ends of names, one for each quantity that the records carry.
UNITS = ("_mm", "_m", "_nm", "_arcsec", "_arcmin", "_deg", "_mag", "_mag_arcsec2", "_hz", "_c")
UNITS += ("_years", "_k", "_cd_m2", "_dioptre")
# Pure numbers, ratios, and faults in waves, as docs/conventions.md says.
PURE = {"power", "obstruction", "transmission", "factor", "damping", "acuity", "field_factor"}
PURE |= {"focal_ratio", "claimed_power", "price"}
PURE |= {"defocus", "spherical", "coma", "astigmatism", "trefoil", "noll"}


def in_disc(samples):
    x = (np.arange(samples) - (samples - 1) / 2.0) / (samples / 2.0)
    x, y = np.meshgrid(x, -x)
    return x, y, np.hypot(x, y) <= 1.0


def star(scope=SCOPE, **options):
    options = {"pixel_arcsec": 0.2, "pixels": 64, "precise": True, **options}
    return simview.point_spread(scope, **options)


def test_units():
    """A quantity has one unit, and the unit stands in its name."""
    records = [
        thing
        for thing in vars(kit_module).values()
        if dataclasses.is_dataclass(thing) and isinstance(thing, type)
    ]
    assert len(records) >= 9
    for record in [*records, Beam]:
        for field in dataclasses.fields(record):
            if "float" in str(field.type) and field.name not in PURE:
                assert field.name.endswith(UNITS), f"{record.__name__}.{field.name}"


def test_magnitudes():
    """Magnitudes are V, outside the air."""
    assert illuminance_lux(0.0) == LUX_AT_V0
    # What reaches the ground at 550 nm, the middle of V, is less by the sky's own extinction.
    sky = simview.Sky(extinction_mag=0.28, altitude_deg=30.0)
    kept = float(extinction.transmission(sky, np.array([550.0]))[0])
    assert kept == pytest.approx(10.0 ** (-0.4 * 0.28 * extinction.airmass(30.0)))


def test_obstruction():
    """Obstruction is the secondary's diameter divided by the aperture's."""
    open_area = pupil(256, obstruction=0.4).sum() / pupil(256).sum()
    assert open_area == pytest.approx(1.0 - 0.4**2, abs=1e-9)


def test_seeing():
    """Seeing is the long-exposure width at 500 nm at the zenith, of the air alone and without an
    outer scale.
    """
    from scipy.special import j0

    sky = simview.Sky(seeing_arcsec=2.0, altitude_deg=90.0, outer_scale_m=math.inf, air="long")
    nodes, weights = np.polynomial.legendre.leggauss(200)
    frequency = 1.0 + nodes  # cycles/arcsec: at 2 the transfer is below 1e-9
    kept = seeing.transfer(sky, wavelength_nm=500.0, frequency=frequency, aperture_mm=5e3)

    def light(radius):
        return float((weights * frequency * kept) @ j0(2.0 * math.pi * radius * frequency))

    # Half of it is left at half the width: 1 arcsec from the centre.
    assert light(1.0) / light(0.0) == pytest.approx(0.5, abs=1e-5)


@pytest.mark.parametrize("pixels", [64, 65])
def test_centre(pixels):
    """A picture is an array (ny, nx), row 0 at the top, and its centre is pixel n // 2."""
    image = star(pixels=pixels).image
    assert np.unravel_index(image.argmax(), image.shape) == (pixels // 2, pixels // 2)
    # Row 0 is the top: a wavefront that rises upwards (Noll 3, sine) moves the star upwards.
    tilted = dataclasses.replace(SCOPE, wavefront=simview.Wavefront(noll={3: 0.5}))
    row, column = np.unravel_index(star(tilted, pixels=pixels).image.argmax(), image.shape)
    assert row < pixels // 2
    assert column == pixels // 2


def test_north():
    """On the sky north is up and east is left, as with the naked eye."""
    north = doubles.pair((10.0, 0.0, 1.0, 2.0)).scene(pixel_arcsec=1.0, pixels=16).stars
    assert north.y_arcsec[1] - north.y_arcsec[0] == pytest.approx(10.0)
    # Position angles run from north through east; x grows to the right, which is west.
    east = doubles.pair((10.0, 90.0, 1.0, 2.0)).scene(pixel_arcsec=1.0, pixels=16).stars
    assert east.x_arcsec[1] - east.x_arcsec[0] == pytest.approx(-10.0)
    # Right ascension grows to the east.
    x, y, _ = star_catalogue.project(np.array([10.1, 10.0]), np.array([0.0, 0.1]), (10.0, 0.0))
    assert x[0] == pytest.approx(-360.0, rel=1e-3)
    assert y[1] == pytest.approx(360.0, rel=1e-3)


def test_orientation():
    """A Newtonian turns the view by 180 degrees, a star diagonal mirrors it, an erecting prism or a
    binocular shows it upright.
    """
    newtonian = simview.Kit(telescope=SCOPE)
    prism = simview.Amplifier(factor=1.5, kind="erecting-prism")
    refractor = dataclasses.replace(SCOPE, objective="achromat")
    assert signs(orientation(newtonian)) == (-1, -1)
    assert signs(orientation(dataclasses.replace(newtonian, diagonal=simview.Diagonal()))) == (
        -1,
        1,
    )
    assert signs(orientation(simview.Kit(telescope=refractor, amplifiers=(prism,)), (0,))) == (1, 1)
    glass = simview.Kit(binocular=simview.Binocular(power=10.0, aperture_mm=50.0))
    assert signs(orientation(glass)) == (1, 1)
    assert signs(orientation(simview.Kit())) == (1, 1)


def test_turned_once():
    """The view is turned once, in the eyepiece room, and the centre pixel stays where it is."""
    for pixels in (64, 65):
        centred = star(pixels=pixels).image
        turned = orient(centred, "turned")
        assert np.unravel_index(turned.argmax(), turned.shape) == (pixels // 2, pixels // 2)
    # The whole light path: a star to the north stands below the centre in a Newtonian.
    binocular = simview.Kit(binocular=simview.Binocular(power=10.0, aperture_mm=50.0))
    newtonian = simview.Kit(telescope=SCOPE, eyepieces=(simview.Eyepiece(focal_length_mm=25.0),))
    rows = []
    for kit in (binocular, newtonian):
        view = simview.look(kit, doubles.pair((120.0, 0.0, 8.0, 1.0)), sky=simview.Sky(air="none"))
        shown = view.retina(pixels_per_degree=20.0, pixels=128).points[1]
        rows.append(np.unravel_index(shown.argmax(), shown.shape)[0])
    assert rows[0] < 64 < rows[1]


def test_waves():
    """Wavefront coefficients are waves at 550 nm."""
    # A quarter wave of defocus at 550 nm is a fifth of a wave at 687.5 nm: sinc^2(1/4) and
    # sinc^2(1/5), Born & Wolf, section 8.8.
    blurred = dataclasses.replace(SCOPE, wavefront=simview.Wavefront(defocus=0.25))
    for wavelength_nm, waves in ((550.0, 0.25), (687.5, 0.2)):
        found = star(blurred, wavelengths_nm=[wavelength_nm]).strehl
        assert found == pytest.approx(np.sinc(waves) ** 2, abs=1e-4)


# Name of the fault, Noll index of the one mode that it is.
NAMED = [("defocus", 4), ("spherical", 11), ("coma", 8), ("astigmatism", 6), ("trefoil", 10)]


@pytest.mark.parametrize(("name", "index"), NAMED)
def test_faults(name, index):
    """Named faults are peak-to-valley over the full circle, at best focus and with tilt removed."""
    samples = 512
    x, y, inside = in_disc(samples)
    path = path_waves(simview.Wavefront(**{name: 1.0}), samples)[inside]
    # The outermost samples lie up to half a sample inside the rim, where the slope is up to 8.
    assert np.ptp(path) == pytest.approx(1.0, abs=8.0 / samples)
    # It is one mode alone: neither defocus nor tilt is mixed in.
    basis = zernike_basis(11, x[inside], y[inside]).T
    modes = np.linalg.lstsq(basis, path, rcond=None)[0]
    others = [k for k in range(1, 11) if k + 1 != index]
    assert abs(modes[index - 1]) > 0.1
    assert np.abs(modes[others]).max() < 2e-3


@pytest.mark.parametrize("index", [2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 14, 22])
def test_noll(index):
    """Noll entries are RMS waves with Noll's index and normalisation."""
    x, y, inside = in_disc(128)
    path = path_waves(simview.Wavefront(noll={index: 0.1}), 128)
    # An independent library's polynomial of that index, times 0.1.
    expected = 0.1 * zernike_of(index, x, y)
    assert path[inside] == pytest.approx(expected[inside], abs=1e-9)
    # 128 samples find the mean square over the disc within 1 %.
    assert math.sqrt((path[inside] ** 2).mean()) == pytest.approx(0.1, rel=0.01)


def test_inside_focus():
    """Inside focus, the eyepiece nearer the objective than best focus, is negative defocus."""
    assert waves_of_defocus(-0.1, 10.0) < 0.0
    assert focus_shift_mm(-1.0, 10.0) < 0.0
    # A lens brings blue light together nearer to itself than green; so an eyepiece that stands
    # in the green focus must move inwards for blue.
    lens = simview.Telescope(aperture_mm=30.0, focal_length_mm=900.0, objective="singlet")
    assert lens.focus_shift_mm(486.13) < 0.0
    inwards = star(lens, wavelengths_nm=[486.13], defocus_waves=-0.5).strehl
    outwards = star(lens, wavelengths_nm=[486.13], defocus_waves=0.5).strehl
    assert inwards > outwards


def test_sum():
    """A point spread sums to the fraction of the light that its grid catches, never silently to
    1.
    """
    from scipy.special import j0, j1

    def encircled(radius_arcsec):
        # Rayleigh 1881: 1 - J0^2 - J1^2 for a clear pupil.
        v = math.pi * 100.0 / 550e-6 * radius_arcsec / 206264.806
        return 1.0 - j0(v) ** 2 - j1(v) ** 2

    for pixels in (16, 64, 256):
        half = pixels / 2.0 * 0.2
        total = star(pixels=pixels).image.sum()
        # A square holds more than the circle in it and less than the circle around it.
        assert encircled(half) < total < encircled(half * math.sqrt(2.0)) < 1.0


def test_page_says_what_is_proved_here():
    page = Path(__file__).parents[2] / "docs" / "conventions.md"
    said = set(re.findall(r"^\* (.*)$", page.read_text(encoding="utf-8"), re.MULTILINE))
    tests = [thing for name, thing in vars(sys.modules[__name__]).items() if name[:5] == "test_"]
    proved = {" ".join(test.__doc__.split()) for test in tests if test.__doc__}
    assert said == proved
    assert len(said) == len(tests) - 1
