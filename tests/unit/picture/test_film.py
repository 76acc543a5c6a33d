"""Films: what moves, how far, by chance that can be had again; and what stands still."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.air.moments import EYE_SECONDS
from simview.errors import RangeError, SimviewError
from simview.picture.films import again as film
from simview.picture.films.camera import shifted
from simview.picture.films.frame import check_side, draw_strip, frame_size
from simview.picture.films.motion import Motion, Shaken, tilt_nm
from simview.picture.films.star_film import StarFilm, moved, star_film
from simview.picture.films.view_film import ViewFilm, view_film
from simview.telescope.faults import parse
from simview.telescope.spread import spread_stack
from simview.telescope.star import point_spread
from simview.units import ARCSEC_PER_RADIAN

SCOPE = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.25)
KIT = simview.Kit(name="Try", telescope=SCOPE, mount=simview.Mount(kind="fixed"))
UNIT = 550e-6 / 150.0 * ARCSEC_PER_RADIAN
CALM = simview.Sky(air="none")
ROUGH = simview.Sky(seeing_arcsec=2.0, air="moment")


def star(sky: simview.Sky = CALM, frames: int = 3, **more: object) -> StarFilm:
    timing = {
        key: more.pop(key) for key in ("mount", "moments", "slow", "touched_s") if key in more
    }
    motion = Motion(sky=sky, frames=frames, **({"mount": KIT.mount} | timing))
    return StarFilm(kit=KIT, motion=motion, **({"side": 128, "colour": "550"} | more))


def centre(image: np.ndarray) -> tuple[float, float]:
    """The star's centre in pixels from the middle pixel: right, up. Squared, so that wings rest."""
    light = np.maximum(np.asarray(image, float) - 0.2 * image.max(), 0.0) ** 2
    n = len(light)
    place = np.arange(n) - n // 2
    total = light.sum()
    return float(light.sum(axis=0) @ place / total), float(-(light.sum(axis=1) @ place) / total)


def test_star_stands_still_without_air_and_shake() -> None:
    frames = list(star_film(star(), bare=True).frames)
    assert len(frames) == 3
    assert all(np.array_equal(frame, frames[0]) for frame in frames)
    assert centre(frames[0].sum(axis=2)) == pytest.approx((0.0, 0.0), abs=0.6)


def test_one_frame_is_the_point_spread_through_that_screen() -> None:
    asked = star(ROUGH, frames=8)
    shaken = Shaken.over(asked.motion, 150.0)
    assert shaken.air is not None
    screen = shaken.air.screen_nm(float(asked.motion.times(5)[0])).astype(float)
    plain = spread_stack(
        SCOPE,
        wavelengths_nm=[550.0],
        pixel_arcsec=asked.pixel_arcsec,
        pixels=asked.pixels,
        screen_nm=screen,
    )[0]
    shown = asked.planes(shaken, 5)[..., 1]
    assert np.abs(shown - plain).max() < 1e-5 * plain.max()


def test_tilt_moves_a_star_to_the_right_and_upwards() -> None:
    wanted = np.array([0.7, 0.4])
    image = spread_stack(
        SCOPE,
        wavelengths_nm=[550.0],
        pixel_arcsec=0.2 * UNIT,
        pixels=96,
        screen_nm=tilt_nm(wanted, 150.0),
    )[0]
    found = np.array(centre(image)) * 0.2 * UNIT
    assert found == pytest.approx(wanted, abs=0.02)


@pytest.mark.parametrize("kind", ["star", "view"])
def test_picture_follows_the_mounts_path(kind: str) -> None:
    # A slow swing of some arcsec and no damping to speak of.
    mount = simview.Mount(kind="tripod", tap_arcsec=6.0, frequency_hz=0.5, damping=0.001)
    motion = Motion(sky=CALM, mount=mount, frames=9, frames_per_second=4.0, touched_s=0.0)
    path = motion.path()
    assert np.ptp(path[:, 1]) > 9.0
    if kind == "star":
        asked = StarFilm(kit=KIT, motion=motion, side=256, colour="550", power=1500.0)
        turn, frames = 1.0, list(star_film(asked, bare=True).frames)
        scale = 256 / asked.width_arcsec
    else:
        # A telescope turns the view by 180 degrees.
        view = ViewFilm(
            kit=KIT,
            target=simview.target(double=(0.5, 0.0, 3.0, 9.0)),
            motion=motion,
            observer=simview.Observer(),
            power=100.0,
            side=256,
        )
        view.__dict__["width_arcsec"] = 30.0
        turn, frames = -1.0, list(view_film(view, bare=True).frames)
        scale = 256 / 30.0
    found = np.array([centre(frame.sum(axis=2)) for frame in frames]) / scale * turn
    # The path from frame to frame; half a pixel of either grid.
    assert np.diff(found, axis=0) == pytest.approx(np.diff(path, axis=0), abs=0.25)


def test_shaken_film_moves_smoothly_between_whole_pixels() -> None:
    asked = star()
    path = np.array([[0.0, 0.0], [0.3, 0.0], [0.5, 0.0]]) * asked.pixel_arcsec
    shaken = Shaken(motion=asked.motion, aperture_mm=150.0, air=None, path=path)
    places = [centre(asked.planes(shaken, k)[..., 1])[0] for k in range(3)]
    assert np.diff(places) == pytest.approx([0.3, 0.2], abs=0.02)


def test_seed_gives_the_same_film_again_and_another_seed_another() -> None:
    def frames(seed: int) -> np.ndarray:
        sky = replace(ROUGH, seed=seed)
        return np.stack(list(star_film(star(sky, frames=4), bare=True).frames))

    assert np.array_equal(frames(1), frames(1))
    assert not np.array_equal(frames(1), frames(2))


def test_mean_of_a_long_film_is_the_long_exposure() -> None:
    # 240 moments far apart, 30 from each of eight skies, for one sky's moments share its patches of
    # air. A sky's mean scatters by a sixth (measured), that of eight by 6 %.
    total = 0.0
    for seed in range(8):
        rough = replace(ROUGH, altitude_deg=90.0, seeing_arcsec=1.5, seed=seed)
        asked = star(rough, frames=30, slow=0.2)
        shaken = Shaken.over(asked.motion, 150.0)
        total = total + np.sum([asked.planes(shaken, k)[..., 1] for k in range(30)], axis=0)
    mean = total / 240.0
    sky = replace(ROUGH, altitude_deg=90.0, seeing_arcsec=1.5, air="long")
    long = point_spread(SCOPE, pixel_arcsec=asked.pixel_arcsec, pixels=asked.pixels, sky=sky).image
    assert mean.max() == pytest.approx(long.max(), rel=0.12)
    half = [(plane > 0.5 * plane.max()).sum() ** 0.5 for plane in (mean, long)]
    assert half[0] == pytest.approx(half[1], rel=0.12)


def test_frame_of_many_moments_is_their_mean() -> None:
    many = star(ROUGH, frames=2, moments=4)
    times = many.motion.times(1)
    assert len(times) == 4
    assert times.mean() == pytest.approx(1.5 / many.motion.rate)
    assert np.ptp(times) == pytest.approx(0.75 * EYE_SECONDS)
    shaken = Shaken.over(many.motion, 150.0)
    assert shaken.air is not None
    singles = [
        spread_stack(
            SCOPE,
            wavelengths_nm=[550.0],
            pixel_arcsec=many.pixel_arcsec,
            pixels=many.pixels,
            screen_nm=shaken.air.screen_nm(float(t)).astype(float),
        )[0]
        for t in times
    ]
    mean = np.mean(singles, axis=0)
    assert np.abs(many.planes(shaken, 1)[..., 1] - mean).max() < 1e-5 * mean.max()


def test_neighbouring_frames_of_a_usual_film_are_alike() -> None:
    # Windows of 0.05 s that begin 1/60 s apart share two thirds of their air. Two frozen instants
    # 1/60 s apart share next to nothing: the air forgets itself in some 2 ms (Roddier 1981).
    def likeness(moments: int) -> float:
        asked = star(ROUGH, frames=12, slow=4.0, moments=moments)
        shaken = Shaken.over(asked.motion, 150.0)
        planes = np.array([asked.planes(shaken, k)[..., 1] for k in range(12)])
        steps = (planes - planes.mean(axis=0)).reshape(12, -1)
        one, next_ = steps[:-1], steps[1:]
        return float((one * next_).sum() / np.sqrt((one**2).sum() * (next_**2).sum()))

    assert likeness(6) > 0.5
    assert likeness(1) < 0.4


def test_slower_film_shows_less_of_life() -> None:
    fast, slow = (Motion(sky=ROUGH, frames=30, slow=s) for s in (1.0, 4.0))
    assert fast.figures(150.0)["seconds_of_life"] == pytest.approx(2.0)
    assert slow.figures(150.0)["seconds_of_life"] == pytest.approx(0.5)
    assert "4× slowed" in slow.says()


def test_figures_tell_the_air_in_fried_s_terms() -> None:
    told = Motion(sky=replace(ROUGH, altitude_deg=90.0)).figures(150.0)
    # 0.976 x 500 nm / 2 arcsec: 50.3 mm (Tokovinin 2002: seeing 0.98 wavelength / r0).
    assert told["fried_r0_mm"] == pytest.approx(50.3, rel=5e-3)
    assert told["aperture_over_r0"] == pytest.approx(150.0 / 50.3, rel=5e-3)


def view(sky: simview.Sky = CALM, **more: object) -> ViewFilm:
    motion = Motion(sky=sky, mount=simview.Mount(kind="fixed"), frames=2)
    given = {"target": simview.target("jupiter"), "power": 120.0, "side": 128} | more
    return ViewFilm(kit=KIT, motion=motion, observer=simview.Observer(), **given)


def test_still_view_is_the_view_itself() -> None:
    from simview.picture.films.camera import Camera
    from simview.picture.prints import tone

    asked = view()
    camera = Camera(asked)
    frame = camera.frame(0).astype(int)
    itself = tone.develop(camera.still.retina(), camera.adaptation)[1:-1, 1:-1].astype(int)
    # Five bands of light instead of ten, no glass, and the print's own noise of one step.
    assert np.abs(frame - itself).mean() < 2.0
    assert frame.max() > 120


def test_air_makes_a_view_boil() -> None:
    frames = list(view_film(view(ROUGH), bare=True).frames)
    assert np.abs(frames[0].astype(int) - frames[1]).mean() > 0.5


def test_whole_field_shows_its_edge() -> None:
    wide = view(whole_field=True)
    assert wide.shows_stop
    frame = next(iter(view_film(wide, bare=True).frames))
    assert (frame[2, 2] == frame[-3, -3]).all()
    assert not view().shows_stop
    assert wide.width_arcsec == pytest.approx(wide.view.beam.true_field_arcmin * 60.0)


@pytest.mark.parametrize("of", ["star", "view"])
def test_film_from_its_recipe_is_the_same(of: str) -> None:
    if of == "star":
        mount = simview.Mount(kind="tripod", tap_arcsec=4.0)
        asked = star(
            replace(ROUGH, seed=9), mount=mount, touched_s=0.1, faults=(parse("coma=0.3@20"),)
        )
        first = star_film(replace(asked, kit=replace(KIT, mount=mount)))
    else:
        first = view_film(view(replace(ROUGH, seed=9)))
    second = film.again(first.recipe)
    assert second.figures == first.figures
    for one, other in zip(first.frames, second.frames, strict=True):
        assert np.array_equal(one, other)


@pytest.mark.parametrize(
    "spoil",
    [{"command": "ladder"}, {"of": "dog"}, {"kits": []}, {"motion": {}}, {"side": "wide"}],
    ids=str,
)
def test_spoilt_recipe_is_refused(spoil: dict[str, object]) -> None:
    with pytest.raises(SimviewError):
        film.again(star_film(star()).recipe | spoil)


@pytest.mark.parametrize(
    "wrong",
    [
        {"frames": 0},
        {"frames": -3},
        {"frames": 10**6},
        {"frames": 2.5},
        {"frames_per_second": 0.0},
        {"frames_per_second": math.nan},
        {"slow": 0.0},
        {"moments": 0},
        {"moments": 1000},
        {"layers": ()},
        {"touched_s": -1.0},
    ],
    ids=str,
)
def test_motion_out_of_range_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(SimviewError):
        Motion(sky=ROUGH, **wrong)


def test_what_cannot_be_sampled_is_refused_before_any_frame() -> None:
    with pytest.raises(RangeError, match="less travel or weaker faults"):
        star_film(star(faults=(parse("turned-down-edge=20,width=0.01"),)))


@pytest.mark.parametrize("side", [0, 127, 129, 4096, True])
def test_odd_sides_are_refused(side: int) -> None:
    with pytest.raises(RangeError):
        check_side(side)


@pytest.mark.parametrize("side", [128, 256, 512, 1080])
def test_strip_fits_below_the_picture(side: int) -> None:
    from simview.picture.films.frame import Strip

    words = Strip(first="A very long name of a telescope " * 4, second="air", pixels_per_arcsec=7.0)
    strip = draw_strip(words, side)
    assert strip.shape == (frame_size(side, bare=False)[1] - side, side, 3)
    assert strip.shape[0] % 2 == 0
    assert strip.max() > 200


def test_moved_pictures_are_dark_and_moved_veils_go_on_at_the_edge() -> None:
    image = np.arange(16.0).reshape(4, 4)
    right_up = moved(image, 1, 1)
    assert (right_up[:3, 1:] == image[1:, :3]).all()
    assert right_up[3].sum() == right_up[:, 0].sum() == 0.0
    assert moved(image, 9, 0).sum() == 0.0
    veil = shifted(image[None].astype(np.float32), 1, 1)[0]
    assert (veil[:3, 1:] == image[1:, :3]).all()
    assert (veil[3, 1:] == image[3, :3]).all()
