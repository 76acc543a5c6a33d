"""How an eye sets itself behind an instrument, and one kit at many powers: done by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from simview.air import glow
from simview.errors import SimviewError
from simview.eye import reference
from simview.eye.acuity import critical_angle_arcsec
from simview.eye.pupil_size import diameter_mm
from simview.eye.state import EyeState, objective_of, settle
from simview.eye.stations import Station, at_power, base_beam, highest, powers_of, stations
from simview.eyepiece.beam import Beam
from simview.kit import Binocular, Eyepiece, Kit, Observer, Sky, Telescope
from simview.scene.scene import Target
from simview.scene.targets import target

SCOPE = Telescope(aperture_mm=200.0, focal_length_mm=1000.0, obstruction=0.3)
KIT = Kit(telescope=SCOPE, eyepieces=(Eyepiece(focal_length_mm=10.0, apparent_field_deg=50.0),))
SKY = Sky(sky_mag_arcsec2=20.0, extinction_mag=0.25, altitude_deg=30.0)
AIR_AT_30 = 1.994  # Kasten & Young 1989
MIDDLE_AGED = Observer(age_years=45.0)


def beam(power: float, pupil: float = 7.0, kit: Kit = KIT) -> Beam:
    return at_power(base_beam(kit), objective_of(kit, base_beam(kit)), power, pupil)


@pytest.mark.parametrize(
    ("power", "pupil", "used", "aperture", "shadow"),
    # 200 mm with a shadow of 60: at 100 times 2 mm leave it, at 20 times 10 mm, of which an eye of
    # 5 mm takes 5: 100 mm of the mirror, 0.6 of them in shadow. At 8 times 40 mm: all in shadow.
    [(100.0, 6.0, 2.0, 200.0, 0.3), (20.0, 5.0, 5.0, 100.0, 0.6), (8.0, 5.0, 5.0, 40.0, 1.0)],
)
def test_beam_at_a_power_is_what_the_pupil_takes_of_it(
    power: float, pupil: float, used: float, aperture: float, shadow: float
) -> None:
    found = beam(power, pupil)
    assert (found.power, found.eye_pupil_mm) == (power, pupil)
    assert found.exit_pupil_mm == pytest.approx(200.0 / power)
    assert found.used_pupil_mm == pytest.approx(used)
    assert found.aperture_mm == pytest.approx(aperture)
    assert found.obstruction == pytest.approx(shadow)
    # 50 deg of apparent field at that power, in arcmin.
    assert found.true_field_arcmin == pytest.approx(50.0 * 60.0 / power)


def test_stopped_down_telescope_has_the_beam_of_its_stop() -> None:
    stopped = replace(SCOPE, stop_mm=100.0)
    found = at_power(base_beam(Kit(telescope=stopped)), stopped, 50.0, 7.0)
    assert (found.exit_pupil_mm, found.aperture_mm, found.obstruction) == (2.0, 100.0, 0.6)


def test_curve_runs_from_seven_millimetres_to_a_quarter() -> None:
    told = powers_of(KIT, 200.0, None)
    assert len(told) == 60
    assert told[0] == pytest.approx(200.0 / 7.0)
    assert told[-1] == pytest.approx(800.0)
    steps = np.diff(np.log(told))
    assert np.allclose(steps, steps[0])
    # A very small one begins at once and has an octave at least.
    assert powers_of(KIT, 0.4, None)[::59] == (pytest.approx(1.0), pytest.approx(2.0))
    pair = Kit(binocular=Binocular(power=8.0, aperture_mm=40.0))
    assert powers_of(pair, 40.0, None) == (8.0,)
    assert powers_of(Kit(), 6.0, None) == (1.0,)
    assert powers_of(KIT, 200.0, (1.0, 30.0, 1e5)) == (1.0, 30.0, 1e5)
    for wrong in ((0.99, 2.0), (2.0, 1.001e5), (), (50.0, 50.0), (60.0, 50.0)):
        with pytest.raises(SimviewError):
            powers_of(KIT, 200.0, wrong)


def test_highest_station_is_the_last_that_is_not_dark() -> None:
    jupiter = target("jupiter")
    found = highest(KIT, jupiter, sky=SKY, observer=MIDDLE_AGED)
    assert found is not None
    assert found.power == pytest.approx(800.0)
    assert not found.dark
    # A shadow of 0.95 of the beam and more leaves no view: by the record alone.
    for shadow, dark in ((0.949, False), (0.95, True), (1.0, True)):
        path = replace(found.path, beam=replace(found.path.beam, obstruction=shadow))
        assert Station(path=path, eye=found.eye).dark is dark


def test_curve_without_powers_keeps_one_eyepieces_light_and_powers_have_their_own() -> None:
    dim = Eyepiece(focal_length_mm=25.0, design="huygens")
    kit = replace(KIT, eyepieces=(KIT.eyepieces[0], dim))
    jupiter = target("jupiter")
    how = {"sky": SKY, "observer": MIDDLE_AGED}
    own = [s.path.beam.transmission for s in stations(kit, jupiter, powers=(40.0, 100.0), **how)]
    one = [
        s.path.beam.transmission
        for s in stations(kit, jupiter, powers=(40.0, 100.0), one_glass=True, **how)
    ]
    assert one[0] == one[1] == own[1]
    assert own[0] != own[1]


# Stars of which nothing is known but that they are points.
POINTS = replace(target("castor"), magnitude=None)


def settled(what: Target, power: float, **observer: float | int) -> tuple[EyeState, Beam]:
    seen_by = replace(MIDDLE_AGED, **observer)  # type: ignore[arg-type]
    return settle(beam(power), what, SKY, seen_by, binocular=False), beam(power)


def entering(light: float, exit_pupil: float, pupil: float) -> float:
    """A beam thinner than the pupil fills it in part: as bright a light over all of it."""
    return light * min(1.0, exit_pupil / pupil) ** 2


@pytest.mark.parametrize("power", [30.0, 60.0, 200.0])
def test_pupil_before_a_dark_sky_answers_to_the_light_that_enters_it(power: float) -> None:
    eye, out = settled(POINTS, power)
    through = out.transmission * (1.0 - out.obstruction**2)
    sky = glow.luminance_cd_m2(SKY) * through
    field = math.pi / 4.0 * 50.0**2

    def off(pupil: float) -> float:
        return pupil - diameter_mm(entering(sky, 200.0 / power, pupil), field, 45.0, 1)

    # Four rounds of a slow law: within a hundredth of where all rounds end.
    assert eye.pupil_mm == pytest.approx(brentq(off, 1.5, 8.0), abs=0.02)
    assert eye.object_cd_m2 is None
    assert eye.eyes == 1


def test_pupil_before_the_moon_answers_to_its_share_of_the_field() -> None:
    moon = target("moon")
    eye, out = settled(moon, 60.0)
    through = out.transmission * (1.0 - out.obstruction**2)
    sky = glow.luminance_cd_m2(SKY) * through
    assert moon.luminance_cd_m2 is not None
    disc = moon.luminance_cd_m2 * 10.0 ** (-0.4 * 0.25 * AIR_AT_30) * through + sky
    side = min(moon.size_arcsec * 60.0 / 3600.0, 50.0)
    mean = sky + (disc - sky) * (side / 50.0) ** 2

    def off(pupil: float) -> float:
        wide = math.pi / 4.0 * 50.0**2
        return pupil - diameter_mm(entering(mean, 200.0 / 60.0, pupil), wide, 45.0, 1)

    assert eye.pupil_mm == pytest.approx(brentq(off, 1.5, 8.0), abs=0.02)
    # On the retina, as the observers of thresholds would have it.
    used = min(200.0 / 60.0, eye.pupil_mm)
    wanted = float(reference.as_seen_by(disc, used, 45.0))
    assert eye.object_cd_m2 == pytest.approx(wanted, rel=1e-3)
    assert eye.sky_cd_m2 == pytest.approx(float(reference.as_seen_by(sky, used, 45.0)), rel=1e-6)
    assert eye.acuity_arcsec == pytest.approx(float(critical_angle_arcsec(wanted)), rel=1e-3)


def test_sharpness_before_a_star_goes_by_its_light_in_a_spot_of_four_arcminutes() -> None:
    castor = target("castor")
    assert castor.magnitude is not None
    eye, out = settled(castor, 100.0, pupil_mm=5.0)
    lux = 2.54e-6 * 10.0 ** (-0.4 * castor.magnitude)  # Crumey 2014: of V 0
    spot = math.pi / 4.0 * math.radians(4.0 / 60.0) ** 2
    light = lux * out.transmission * (1.0 - 0.3**2) * 100.0**2 / spot
    seen = float(reference.as_seen_by(light, 2.0, 45.0))
    assert eye.pupil_mm == 5.0
    assert eye.acuity_arcsec == pytest.approx(float(critical_angle_arcsec(seen)), rel=1e-6)
    half = settled(castor, 100.0, pupil_mm=5.0, acuity=0.5)[0]
    assert half.acuity_arcsec == pytest.approx(2.0 * eye.acuity_arcsec)
    assert half.sight == 0.5


def test_two_eyes_look_through_a_binocular_unless_told() -> None:
    for asked, binocular, eyes in ((None, False, 1), (None, True, 2), (1, True, 1), (2, False, 2)):
        found = settle(beam(50.0), POINTS, SKY, Observer(eyes=asked), binocular=binocular)
        assert found.eyes == eyes


def test_binocular_and_naked_eye_have_objectives_of_their_own() -> None:
    pair = Kit(binocular=Binocular(power=8.0, aperture_mm=40.0))
    assert pair.binocular is not None
    own = objective_of(pair, base_beam(pair))
    assert (own.aperture_mm, own.objective) == (40.0, "achromat")
    assert own.focal_length_mm == pytest.approx(40.0 * pair.binocular.focal_ratio)
    assert own.transmission == pair.binocular.transmission
    bare = base_beam(Kit())
    for pupil, wide in ((6.5, 6.5), (2.0, 4.0)):
        eye = objective_of(Kit(), replace(bare, eye_pupil_mm=pupil))
        assert (eye.aperture_mm, eye.transmission) == (wide, 1.0)
    assert objective_of(KIT, bare) is SCOPE
