"""The figures of a star test, against closed forms and exact integrals."""

from __future__ import annotations

import pytest

import simview
from simview.picture.startest.star_figures import by_name, encircled_airy, figures_of, worst_fault
from simview.telescope.faults import apply_faults, parse


def scope(**more: object) -> simview.Telescope:
    return simview.Telescope(aperture_mm=150.0, focal_length_mm=900.0, **more)


def test_perfect_circle_has_83_8_percent_of_its_light_in_the_airy_disc() -> None:
    # Born & Wolf, section 8.5.2: 1 - J0^2 at the first zero of J1, 0.8378.
    assert encircled_airy(scope()) == pytest.approx(0.8378, abs=3e-4)


def test_row_holds_what_scripts_lean_on() -> None:
    found = apply_faults(scope(), [parse("coma=0.25")])
    row = figures_of(found.scope).row(found.faults)
    assert list(row)[:5] == ["faults", "strehl", "rms_waves", "pv_waves", "encircled_airy"]
    assert row["faults"] == {"coma": 0.25}
    # Coma of a quarter wave, tilt removed: exact diffraction integral, 0.9256.
    assert row["strehl"] == pytest.approx(0.9256, abs=1e-3)
    assert row["pv_waves"] == pytest.approx(0.25, abs=1e-3)
    # PV over RMS of coma with tilt removed, (3 r^3 - 2 r) cos: sqrt(32) (by integration).
    assert row["rms_waves"] == pytest.approx(0.25 / 32.0**0.5, rel=2e-3)


def test_white_light_tells_what_colour_costs() -> None:
    lens = simview.Telescope(aperture_mm=80.0, focal_length_mm=400.0, objective="achromat")
    figures = figures_of(lens, with_contrast=False)
    # The longitudinal colour of a thin f/5 doublet costs several tenths in blue and red.
    assert figures.strehl_white < 0.93 * figures.strehl
    mirror = figures_of(scope(), with_contrast=False)
    assert mirror.strehl_white == pytest.approx(1.0, abs=1e-3)


def test_worst_fault_is_the_one_that_costs_most() -> None:
    faults = [parse(w) for w in ("coma=0.2", "astigmatism=0.6", "vanes=2")]
    assert worst_fault(scope(), faults) == faults[1]


def test_faultless_telescope_has_no_worst_fault() -> None:
    assert worst_fault(scope(), ()) is None
    assert worst_fault(scope(), [parse("coma=0")]) is None
    own = scope(wavefront=simview.Wavefront(astigmatism=0.5))
    found = worst_fault(own, ())
    assert found is not None
    assert found.name == "astigmatism"
    # Hardly any error: nothing to speak of.
    assert worst_fault(scope(wavefront=simview.Wavefront(coma=0.02)), ()) is None


def test_faults_of_one_name_are_counted() -> None:
    faults = [parse("zone=0.1"), parse("zone=0.2,radius=0.3"), parse("coma=0.1")]
    assert by_name(faults) == {"zone": 0.1, "zone 2": 0.2, "coma": 0.1}
