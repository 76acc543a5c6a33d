"""Marks look at fewer powers than a curve shows, and find the same."""

import pytest

import simview
from simview.eye.stations import highest, stations
from simview.power.finest import detail_curve, judging_curve
from simview.scene.targets import target


# The Moon's light closes the eye's pupil at low powers; Saturn's hardly does.
@pytest.mark.parametrize(("name", "fewer"), [("moon", 10), ("saturn", 0)])
def test_powers_that_are_left_out_change_no_mark_of_a_surface(name, fewer):
    seen, sky, observer = target(name), simview.Sky(seeing_arcsec=1.5), simview.Observer()
    scope = simview.Telescope(
        aperture_mm=130.0,
        focal_length_mm=900.0,
        obstruction=0.3,
        wavefront=simview.Wavefront(spherical=0.3),
    )
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))
    whole = detail_curve(kit, seen, sky=sky, observer=observer)
    short = judging_curve(kit, seen, sky=sky, observer=observer)
    assert len(short.powers) <= len(whole.powers) - fewer
    for what in ("best_period_arcsec", "best_power", "enough_from", "carries", "worse_above"):
        assert getattr(short, what) == getattr(whole, what)


@pytest.mark.parametrize(("obstruction", "stop_mm"), [(0.3, None), (0.5, 70.0)])
def test_highest_station_is_the_last_of_all_that_is_not_dark(obstruction, stop_mm):
    scope = simview.Telescope(
        aperture_mm=130.0, focal_length_mm=900.0, obstruction=obstruction, stop_mm=stop_mm
    )
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))
    how = {"sky": simview.Sky(), "observer": simview.Observer()}
    lit = [place for place in stations(kit, target("castor"), **how) if not place.dark]
    assert highest(kit, target("castor"), **how) == lit[-1]


def test_narrow_beams_come_from_the_whole_aperture_to_the_last_digit():
    # 150 mm over a power, times that power, is 149.99999999999997 at some of them.
    scope = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3)
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))
    places = stations(kit, target("saturn"), sky=simview.Sky(), observer=simview.Observer())
    narrow = {
        place.path.beam.aperture_mm
        for place in places
        if place.path.beam.exit_pupil_mm <= place.eye.pupil_mm
    }
    assert narrow == {150.0}
    assert any(150.0 / place.power * place.power != 150.0 for place in places)
