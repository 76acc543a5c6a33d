"""The same pupil through hcipy's Fraunhofer propagator (Por et al. 2018, SPIE 10703, 1070342).

Its pattern is kept in references/hcipy.json; references/make_stars.py computes it again.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np

import simview

STORED = json.loads(
    (Path(__file__).parent / "references" / "hcipy.json").read_text(encoding="utf-8")
)


def test_aberrated_pattern_is_hcipys():
    telescope = simview.Telescope(
        aperture_mm=100.0,
        focal_length_mm=1000.0,
        obstruction=0.3,
        wavefront=simview.Wavefront(spherical=0.3, coma=0.6, coma_angle_deg=40.0, astigmatism=0.25),
    )
    # Row 0 has no partner in hcipy's grid, whose rows count upwards.
    theirs = np.array(STORED["pattern"]["rows_from_1"])
    pixel, pixels = STORED["pattern"]["pixel_arcsec"], theirs.shape[1]
    ours = simview.point_spread(telescope, pixel_arcsec=pixel, pixels=pixels, precise=True).image[
        1:
    ]
    ratio = ours.sum() / theirs.sum()
    # hcipy's 8 x 8 grey edge, field read mid-sample: a few 1e-5 of the peak at 512 samples
    np.testing.assert_allclose(ours, theirs * ratio, atol=1e-4 * ours.max())
