"""How long the eye room takes. Nothing is asserted about time."""

import numpy as np
import pytest

from simview.eye import transfer
from simview.eye.glare import veil_of
from simview.eye.starimage import _radial
from simview.eye.transfer import transfer_curve
from simview.kit import Eyepiece, Kit, Observer, Sky, Telescope, Wavefront
from simview.picture.detail.detail_sheet import detail
from simview.power.finest import detail_curve
from simview.power.pairs import pair_curve
from simview.scene.targets import target

KIT = Kit(
    telescope=Telescope(
        aperture_mm=150.0,
        focal_length_mm=750.0,
        obstruction=0.3,
        wavefront=Wavefront(spherical=0.2, coma=0.2),
    ),
    eyepieces=(Eyepiece(focal_length_mm=10.0),),
)


def forget():
    """Make transfer curves anew, of the telescope alone as well."""
    transfer_curve.cache_clear()
    transfer._telescope.cache_clear()


@pytest.mark.parametrize("kept", [False, True], ids=["fresh", "kept"])
def test_detail_for_60_powers(benchmark, kept):
    jupiter = target("jupiter")
    sky = Sky(seeing_arcsec=2.0)

    def run():
        if not kept:
            forget()
        return detail_curve(KIT, jupiter, sky=sky)

    run()
    answer = benchmark(run)
    assert len(answer.powers) == 60
    assert answer.best_period_arcsec is not None


def test_transfer_curve_of_a_faulty_telescope(benchmark):
    def run():
        forget()
        return transfer_curve(KIT.telescope, Sky(seeing_arcsec=2.0), KIT.mount)

    curve = benchmark(run)
    assert curve.signed[0] == pytest.approx(1.0, abs=1e-3)


def test_veil_over_a_field(benchmark):
    field = np.ones((3, 400, 400), np.float32)
    veil = benchmark(veil_of, field, pixels_per_degree=7.5, field_deg=52.0, age_years=40.0)
    # CIE 146: a quarter of the light scatters further than 0.1 deg in an eye of 40 years.
    assert 0.6 < veil.kept < 0.9


@pytest.mark.parametrize("kept", [False, True], ids=["fresh", "kept"])
def test_double_against_60_powers(benchmark, kept):
    castor = target("castor")
    sky = Sky(seeing_arcsec=2.0)

    def run():
        if not kept:
            forget()
            _radial.cache_clear()
        return pair_curve(KIT, castor, separation_arcsec=5.6, magnitudes=(1.9, 3.0), sky=sky)

    run()
    assert len(benchmark(run).powers) == 60


@pytest.mark.parametrize("name", ["jupiter", "castor", "pleiades", "orion-nebula"])
@pytest.mark.parametrize("size", [(1920, 1080), (3840, 2160)], ids=["1080p", "4k"])
def test_whole_sheet_of_detail(benchmark, name, size):
    shown = target(name)
    made = benchmark(detail, KIT, shown, sky=Sky(seeing_arcsec=2.0), size=size)
    assert made.image.size == size


def test_detail_through_an_astigmatic_eye(benchmark):
    # Each power has a wavefront of its own: no transfer curve serves two.
    jupiter, eye = target("jupiter"), Observer(cylinder_dioptre=1.5)

    def run():
        forget()
        return detail_curve(KIT, jupiter, observer=eye)

    assert len(benchmark(run).powers) == 60
