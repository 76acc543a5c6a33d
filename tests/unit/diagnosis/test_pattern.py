"""A star out of focus and its slopes: against the light path's engine and against differences."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from simview.diagnosis.model import Model, Plate
from simview.diagnosis.pattern import Band, pupil_of, sight, wavelets
from simview.kit import Telescope, Wavefront
from simview.telescope.spread import spread_stack

SCOPE = Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3, vanes=4, vane_mm=2.0)
LENS = Telescope(aperture_mm=80.0, focal_length_mm=900.0, objective="achromat")
MODES = (5, 6, 7, 8, 9, 10, 11)
NOLL = (0.03, -0.04, 0.06, 0.02, -0.03, 0.02, 0.08)
GREEN = Band(wavelengths_nm=(550.0,), weights=(1.0,))


@pytest.mark.parametrize(("scope", "wave"), [(SCOPE, 550.0), (LENS, 480.0), (LENS, 640.0)])
@pytest.mark.parametrize("defocus", [-4.0, 5.0])
def test_pattern_is_that_of_the_light_path(scope: Telescope, wave: float, defocus: float) -> None:
    """Two engines of this program; the light path's is held to closed forms in tests/truth."""
    pixel = 0.45 * wave * 1e-6 / scope.aperture_mm * 206264.8
    band = Band(wavelengths_nm=(wave,), weights=(1.0,))
    pupil = pupil_of(scope, MODES, 192, (0.0, 0.0, 0.0))
    mine = sight(
        pupil,
        wavelets(scope, band),
        modes=MODES,
        strengths=np.array(NOLL),
        defocus=defocus,
        pixel_arcsec=pixel,
        pixels=96,
        # The star stands on pixel n // 2 there, in the middle of the grid here.
        shift=(0.5 * pixel, -0.5 * pixel),
        wanted=None,
    ).image
    ill = replace(scope, wavefront=Wavefront(noll=dict(zip(MODES, NOLL, strict=True))))
    told = spread_stack(
        ill,
        wavelengths_nm=[wave],
        pixel_arcsec=pixel,
        pixels=96,
        defocus_waves=defocus,
        precise=True,
    )[0]
    # 192 samples across the pupil, where the other engine takes more: one percent of the peak.
    assert np.abs(mine - told).max() < 1e-2 * told.max()


def _model() -> tuple[Model, np.ndarray]:
    shape = (1, 64, 64)
    plate = Plate(
        data=np.zeros(shape), use=np.ones(shape, bool), noise=np.array([0.01]), bands=(GREEN,)
    )
    model = Model(scope=replace(SCOPE, vanes=0), plates=(plate, plate), modes=MODES)
    values = np.zeros(len(model.names))
    put = dict(zip(MODES, NOLL, strict=True))
    for k, mode in enumerate(MODES):
        values[k] = put[mode]
    told = {"scale": np.log(0.5), "tone": 0.05, "shadow": 0.01, "defocus:0": -4.0, "blur:0": 5.0}
    told |= {"defocus:1": 3.0, "blur:1": 4.0, "round:0": 1.0, "cross:1": 0.5, "fall_x:0": 0.05}
    told |= {"scale_own:1": 0.01, "light:0:0": 300.0, "light:1:0": 200.0, "sky:0:0": 0.02}
    told |= {"sky:1:0": 0.03, "x:0:0": 0.7, "y:1:0": -1.2}
    for name, value in told.items():
        values[model.names.index(name)] = value
    return model, values


@pytest.mark.parametrize("name", _model()[0].names)
def test_slope_is_the_difference_of_two_patterns(name: str) -> None:
    model, values = _model()
    k = model.names.index(name)
    step = {"light": 0.5, "shad": 0.004}.get(name.partition(":")[0][:5].rstrip("o_w"), 1e-3)
    more, less = values.copy(), values.copy()
    more[k] += step
    less[k] -= step
    free = np.ones(len(values), bool)
    for p in (0, 1):
        slope = model.views(values, free, 112)[p][0][1][k]
        pair = [model.views(v, None, 112)[p][0][0] for v in (more, less)]
        difference = (pair[0] - pair[1]) / (2.0 * step)
        if not difference.any():
            assert not slope.any()
            continue
        # The pupil's edge is grey and single precision rounds: what matters to a fit is that the
        # two point the same way and are of the same size.
        alike = float((slope * difference).sum() / np.hypot.reduce(difference.ravel()) ** 2)
        assert alike == pytest.approx(1.0, abs=0.04)
        assert np.corrcoef(slope.ravel(), difference.ravel())[0, 1] > 0.985
