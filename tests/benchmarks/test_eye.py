"""How long the eye room takes. Nothing is asserted about time."""

import numpy as np
import pytest

from simview.eye.finest import detail_curve
from simview.eye.glare import veil_of
from simview.eye.transfer import transfer_curve
from simview.kit import Eyepiece, Kit, Sky, Telescope, Wavefront
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


@pytest.mark.parametrize("kept", [False, True], ids=["fresh", "kept"])
def test_detail_for_60_powers(benchmark, kept):
    jupiter = target("jupiter")
    sky = Sky(seeing_arcsec=2.0)

    def run():
        if not kept:
            transfer_curve.cache_clear()
        return detail_curve(KIT, jupiter, sky=sky)

    run()
    answer = benchmark(run)
    assert len(answer.powers) == 60
    assert answer.empty_above is not None


def test_transfer_curve_of_a_faulty_telescope(benchmark):
    curve = benchmark(transfer_curve.__wrapped__, KIT.telescope, Sky(seeing_arcsec=2.0), KIT.mount)
    assert curve.signed[0] == pytest.approx(1.0, abs=1e-3)


def test_veil_over_a_field(benchmark):
    field = np.ones((3, 400, 400), np.float32)
    veil = benchmark(veil_of, field, pixels_per_degree=7.5, field_deg=52.0, age_years=40.0)
    assert 0.8 < veil.kept < 1.0
