"""The power room's small machinery: where what it asks for ends, and its floors, done by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.errors import RangeError
from simview.eye.starimage import Blur
from simview.eye.stations import Station, stations
from simview.eye.thresholds import Aid
from simview.kit import Eyepiece, Kit, Observer, Sky, Telescope
from simview.power.detail import finest_period_arcsec
from simview.power.pairs import pair_curve
from simview.power.parts import _least_transfer
from simview.power.splitting import judge, split
from simview.scene.targets import target

KIT = Kit(
    telescope=Telescope(aperture_mm=100.0, focal_length_mm=1000.0),
    eyepieces=(Eyepiece(focal_length_mm=10.0),),
)
AID = Aid(power=200.0, exit_pupil_mm=0.5, eye_pupil_mm=6.0)
CASTOR = target("castor")
SIGMA_OF_WIDTH = 2.0 * math.sqrt(2.0 * math.log(2.0))


def gaussian(sigma: float):
    return lambda r: (
        np.exp(-(np.asarray(r, float) ** 2) / 2.0 / sigma**2) / 2.0 / math.pi / sigma**2
    )


def finest(**told: float) -> float | None:
    how = {
        "power": 100.0, "troland": 300.0, "contrast": 0.2,
        "object_apparent_deg": 1.0, "used_pupil_mm": 1.0,
    }  # fmt: skip
    return finest_period_arcsec(lambda f: np.exp(-f), **{**how, **told})


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [("power", 1e-3, 1e9), ("contrast", 0.0, 1.0), ("troland", 0.0, 1e9)],
)
def test_finest_detail_is_asked_for_within_its_ranges(name: str, low: float, high: float) -> None:
    for end in (low, high):
        finest(**{name: end})
    for beyond in (math.nextafter(low, -1.0), math.nextafter(high, math.inf)):
        with pytest.raises(RangeError, match=name):
            finest(**{name: beyond})
    with pytest.raises(RangeError, match="object_apparent_deg"):
        finest(object_apparent_deg=0.0)


def test_pairs_are_judged_from_a_hundredth_of_an_arcsecond_to_ten_degrees() -> None:
    for apart in (0.0099, 36000.5, -1.0, math.nan):
        with pytest.raises(RangeError, match="separation_arcsec"):
            split(apart, (5.0, 5.0), gaussian(1.0), AID, aperture_mm=100.0)
        with pytest.raises(RangeError, match="separation_arcsec"):
            pair_curve(
                KIT,
                target("castor"),
                separation_arcsec=apart,
                magnitudes=(5.0, 5.0),
                powers=(50.0,),
            )
    assert split(0.01, (5.0, 5.0), gaussian(1.0), AID, aperture_mm=100.0).verdict == "single"
    # Stars a degree wide, ten degrees apart.
    split(36000.0, (5.0, 5.0), gaussian(1500.0), AID, aperture_mm=100.0)


@pytest.mark.parametrize(
    ("apart", "counts"), [(2.05, False), (2.20, False), (2.35, True), (3.0, True)]
)
def test_gap_that_telescope_and_air_hardly_leave_counts_as_none(apart: float, counts: bool) -> None:
    # Two Gaussians of sigma 1: 2 exp(-s^2 / 8) in the middle, 1 + exp(-s^2 / 2) at the stars.
    # Dawes' dip of 3.3 % is a contrast of 0.0165: reached from s = 2.22 on. Nerves that see more
    # than there is do not open it.
    s = np.linspace(-apart / 2.0, 1.5 * apart, 20001)
    line = np.exp(-(s**2) / 2.0) + np.exp(-((s - apart) ** 2) / 2.0)
    middle = 2.0 * math.exp(-(apart**2) / 8.0)
    real = float((line.max() - middle) / (line.max() + middle))
    assert (real > 0.0165) is counts
    blur = Blur(
        spread=gaussian(1.0),
        width_arcsec=SIGMA_OF_WIDTH,
        aperture_mm=100.0,
        perceived=gaussian(0.6),
    )
    told = judge(apart, (5.0, 5.0), blur, AID)
    assert (told.gap > 0.0) is counts
    plain = judge(apart, (5.0, 5.0), replace(blur, perceived=None), AID)
    assert plain.gap == pytest.approx(real if counts else 0.0, abs=2e-4)


def dimmed(place: Station, light: float) -> Station:
    return replace(place, eye=replace(place.eye, object_cd_m2=light, sky_cd_m2=1e-9))


def test_contrast_that_must_be_left_grows_with_the_dark_past_all_there_is() -> None:
    # Barten's photon noise: in dim light sensitivity goes with the root of the light, however
    # little that is; where more than all contrast would have to be left, nothing is seen.
    (place,) = stations(
        KIT, target("jupiter"), powers=(100.0,), sky=Sky(air="none"), observer=Observer()
    )
    jupiter = target("jupiter")
    dim, darker = (_least_transfer(dimmed(place, light), jupiter) for light in (1e-5, 1e-7))
    assert dim > 1.0
    # The pupil and the cones' share change the light on the retina by some tens of per cent.
    assert darker / dim == pytest.approx(10.0, rel=0.25)
    bright = _least_transfer(place, jupiter)
    assert 0.0 < bright < 0.2


def test_lone_pair_is_of_the_first_two_stars() -> None:
    from simview.power.multiple import Pair

    pair = Pair(name="", separation_arcsec=2.0, magnitudes=(3.0, 4.0))
    assert pair.places == (0, 1)
    assert pair.middle_arcsec == (0.0, 0.0)
    (castor,) = simview.power.multiple.pairs_of(target("castor"))
    stars = target("castor").scene(pixel_arcsec=1.0, pixels=32).stars
    first, second = castor.places
    assert stars.magnitude[first] <= stars.magnitude[second]
    assert castor.magnitudes == (stars.magnitude[first], stars.magnitude[second])
