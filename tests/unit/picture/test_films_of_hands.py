"""Films of what a hand does or leaves undone: the sky drifts on, focus and power are turned."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.errors import SimviewError
from simview.picture.drawing import tongue
from simview.picture.films import again as film
from simview.picture.films.motion import Motion, Shaken
from simview.picture.films.power_film import PowerFilm, power_film
from simview.picture.films.star_film import StarFilm, star_film
from simview.picture.films.view_film import ViewFilm, view_film
from simview.picture.slides.film_slide import picture_side, slide_film
from simview.picture.slides.records import Wish
from simview.units import ARCSEC_PER_RADIAN

SCOPE = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.25)
FIXED = simview.Mount(kind="fixed")
KIT = simview.Kit(
    name="Try",
    telescope=SCOPE,
    mount=FIXED,
    eyepieces=(simview.Eyepiece(focal_length_mm=10.0, apparent_field_deg=50.0, design="plossl"),),
)
CALM = simview.Sky(air="none")
EYE = simview.Observer()


def drifting(power: float, rate: float, frames: int = 4) -> ViewFilm:
    motion = Motion(
        sky=CALM, mount=FIXED, frames=frames, frames_per_second=1.0, drift_arcsec_s=rate
    )
    return ViewFilm(
        kit=KIT,
        target=simview.target("mars"),
        motion=motion,
        observer=EYE,
        power=power,
        whole_field=True,
        side=256,
    )


def across(frame: np.ndarray) -> float:
    """Where the planet stands, pixels right of the middle."""
    light = frame.astype(float).sum(axis=2)
    light = np.maximum(light - 0.6 * light.max(), 0.0)
    return float(light.sum(axis=0) @ (np.arange(256) - 128) / light.sum())


def test_planet_drifts_by_the_suns_days_and_the_stars() -> None:
    """The sky turns by 1296000 arcsec in 86164.09 s (IERS: the mean sidereal day), to the west.

    West is to the right with north up; a Newtonian turns the view by 180 degrees.
    """
    rate = 1296000.0 / 86164.09
    asked = drifting(75.0, rate * 8.0)
    places = [across(frame) for frame in view_film(asked, bare=True).frames]
    steps = np.diff(places) * asked.width_arcsec / 256.0
    assert steps == pytest.approx([-8.0 * rate] * 3, rel=0.02)


def test_command_takes_the_rate_of_the_objects_own_declination(tmp_path: object) -> None:
    from simview.cli.commands.film import MotionOptions

    view = drifting(75.0, 0.0).view
    rate, frames = MotionOptions(drift=True).leaving(view)
    declination = math.radians(view.target.declination_deg)
    assert rate == pytest.approx(1296000.0 / 86164.09 * math.cos(declination), rel=1e-3)
    # Half the field of 40 arcmin takes 80 s: the film shows the first 20 of them.
    assert frames == 20 * 15
    # At 450 times the field is 6.7 arcmin, and half of it is passed in 13.3 s.
    near = drifting(450.0, 0.0).view
    field = 60.0 * near.beam.true_field_arcmin
    _, frames = MotionOptions(drift=True).leaving(near)
    assert frames is not None
    assert frames / 15.0 == pytest.approx((0.5 * field + 0.6 * 17.9) / rate, abs=0.1)


def test_what_stands_on_the_ground_does_not_drift() -> None:
    from simview.cli.commands.film import MotionOptions

    view = replace(drifting(75.0, 0.0), target=simview.target("daytime")).view
    with pytest.raises(SimviewError, match="--drift"):
        MotionOptions(drift=True).leaving(view)


def test_focus_passes_from_inside_to_outside_and_back() -> None:
    motion = Motion(sky=CALM, frames=8, focus_waves=3.0)
    travels = [motion.travel_waves(n) for n in range(8)]
    assert travels[0] == -3.0
    assert travels[4] == 3.0
    assert travels[2] == pytest.approx(0.0, abs=1e-12)
    assert travels[6] == pytest.approx(0.0, abs=1e-12)


def test_star_out_of_focus_is_as_wide_as_geometry_says() -> None:
    """A path error W r^2 bends the edge's rays by 4 W wavelengths / aperture: a disc 8 W wide."""
    waves = 6.0
    motion = Motion(sky=CALM, mount=FIXED, frames=4, focus_waves=waves)
    asked = StarFilm(kit=KIT, motion=motion, side=256, colour="550")
    shaken = Shaken.over(motion, 150.0)
    y, x = np.indices((asked.pixels, asked.pixels)) - asked.pixels // 2
    radii = []
    for number in (0, 1):
        light = asked.planes(shaken, number)[..., 1]
        inside = np.hypot(x, y) * asked.pixel_arcsec
        radii.append(math.sqrt(float((light * inside**2).sum() / light.sum())))
    # Light spreads evenly over a ring from a quarter of its outer radius on: its mean square is
    # (1 + 1/16) / 2 of that. Diffraction throws a few per cent of it farther out.
    outer = 4.0 * waves * 550e-6 / 150.0 * ARCSEC_PER_RADIAN
    assert radii[0] == pytest.approx(outer * math.sqrt((1.0 + 0.25**2) / 2.0), rel=0.05)
    assert radii[1] < 0.4 * radii[0]


def test_planet_is_sharp_in_focus_and_blurred_beside_it() -> None:
    motion = Motion(sky=CALM, mount=FIXED, frames=4, focus_waves=2.0)
    asked = ViewFilm(
        kit=KIT,
        target=simview.target("jupiter"),
        motion=motion,
        observer=EYE,
        power=150.0,
        side=128,
    )
    frames = [frame.astype(float).sum(axis=2) for frame in view_film(asked, bare=True).frames]
    edges = [np.abs(np.diff(frame, axis=1)).max() for frame in frames]
    assert edges[1] > 1.5 * edges[0]
    assert edges[1] > 1.5 * edges[2]


def power(**more: object) -> PowerFilm:
    given: dict[str, object] = {
        "kit": KIT,
        "target": simview.target("jupiter"),
        "sky": CALM,
        "observer": EYE,
        "power": 50.0,
        "to_power": 200.0,
        "frames": 4,
        "side": 256,
    }
    return PowerFilm(**{**given, **more})  # type: ignore[arg-type]


def test_planet_grows_with_the_power_and_dims_by_its_square() -> None:
    asked = power()
    assert [asked.power_at(n) for n in range(4)] == pytest.approx([50.0, 100.0, 200.0, 100.0])
    made = power_film(asked, bare=True)
    assert made.counts == ("50×", "100×", "200×", "100×")
    frames = [frame.astype(float).sum(axis=2) for frame in made.frames]
    sizes = []
    for frame in frames[:3]:
        middle = np.median(frame[124:132, 124:132])
        sizes.append(math.sqrt((frame > 0.5 * middle).sum()))
    assert sizes[1] / sizes[0] == pytest.approx(2.0, rel=0.08)
    assert sizes[2] / sizes[1] == pytest.approx(2.0, rel=0.08)
    assert np.median(frames[0][124:132, 124:132]) > np.median(frames[2][124:132, 124:132])
    told = made.figures["steps"]
    assert told[0]["relative_brightness"] / told[-1]["relative_brightness"] == pytest.approx(
        16.0, rel=0.01
    )


@pytest.mark.parametrize("of", ["drift", "focus", "power"])
def test_film_is_made_again_from_its_recipe(of: str) -> None:
    if of == "power":
        first = power_film(power(frames=2, side=128))
    elif of == "drift":
        first = view_film(replace(drifting(75.0, 60.0, frames=2), side=128))
    else:
        motion = Motion(sky=CALM, mount=FIXED, frames=2, focus_waves=2.0)
        first = star_film(StarFilm(kit=KIT, motion=motion, side=128, colour="550"))
    second = film.again(first.recipe)
    for one, other in zip(first.frames, second.frames, strict=True):
        assert np.array_equal(one, other)


def test_slide_counts_the_power_and_speaks_its_language() -> None:
    size = (960, 540)
    side = picture_side(size, "A title")
    with tongue.speaking("de"):
        made = slide_film(power_film(power(frames=2, side=side), bare=True), Wish(title="T"), size)
        first, second = made.frames
    words = np.s_[80:200, side + 60 :]
    assert first.shape == (540, 960, 3)
    assert not np.array_equal(first[words], second[words])
    assert made.recipe["slide"]["language"] == "de"
    again = film.again(made.recipe)
    assert np.array_equal(next(iter(again.frames)), first)
