"""Star test, poster, collimation and films as wholes; nothing is asserted about time.

    pytest tests/benchmarks/test_star_pictures.py --benchmark-enable --benchmark-only \
        --benchmark-group-by=group --benchmark-columns=median,iqr,rounds
"""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview import demo
from simview.kitfile import load_kit_file
from simview.picture.collimation.collimation_asked import collimation
from simview.picture.collimation.collimation_film import animation
from simview.picture.collimation.collimation_sheet import collimate
from simview.picture.films.motion import Motion
from simview.picture.films.moving import Moving, save_moving
from simview.picture.films.star_film import StarFilm, star_film
from simview.picture.films.view_film import ViewFilm, view_film
from simview.picture.startest.atlas import atlas, subject
from simview.picture.startest.fits import fits_bytes
from simview.picture.startest.patterns import StarTest
from simview.picture.startest.star_sheet import startest
from simview.telescope.faults import parse

pytestmark = pytest.mark.benchmark

FRAMES, SIDE = 64, 512
KIT = load_kit_file(demo.asset("kits/tabletop-150.toml")).kit
SKY = simview.Sky(seeing_arcsec=2.0, air="moment")
MOTION = Motion(sky=SKY, mount=KIT.mount, frames=FRAMES, slow=4.0)


@pytest.mark.benchmark(group="star-test sheet, 1920 x 1080")
@pytest.mark.parametrize("fault", ["coma=0.3", "miscollimation=8arcmin@60"])
def test_sheet(benchmark, fault):
    test = StarTest(kit=KIT, faults=(parse(fault),))
    made = benchmark.pedantic(startest, args=(test,), rounds=3, warmup_rounds=1)
    assert made.image.size == (1920, 1080)


@pytest.mark.benchmark(group="star test as FITS")
def test_fits(benchmark):
    test = StarTest(kit=KIT, faults=(parse("coma=0.3"),))
    assert benchmark.pedantic(fits_bytes, args=(test,), rounds=3, warmup_rounds=1)


@pytest.mark.benchmark(group="poster, 3508 x 2480")
@pytest.mark.parametrize("telescope_type", ["newtonian", "refractor"])
def test_poster(benchmark, telescope_type):
    made = benchmark.pedantic(atlas, args=(subject(telescope_type),), rounds=3, warmup_rounds=1)
    assert made.image.size == (3508, 2480)


@pytest.mark.benchmark(group="collimation")
def test_collimation_sheet(benchmark):
    made = benchmark.pedantic(collimate, args=(collimation(KIT),), rounds=3, warmup_rounds=1)
    assert made.image.size == (1920, 1080)


@pytest.mark.benchmark(group="collimation")
def test_collimation_animation(benchmark):
    def run():
        return len(list(animation(collimation(KIT)).frames))

    assert benchmark.pedantic(run, rounds=3, warmup_rounds=1) > 40


FILMS = {
    "star in focus": lambda: star_film(StarFilm(kit=KIT, motion=MOTION, side=SIDE)),
    "star 5 waves out": lambda: star_film(
        StarFilm(kit=KIT, motion=MOTION, side=SIDE, travel_waves=5.0)
    ),
    "jupiter, 150 times": lambda: view_film(
        ViewFilm(
            kit=KIT,
            target=simview.target("jupiter"),
            motion=MOTION,
            observer=simview.Observer(),
            power=150.0,
            side=SIDE,
        )
    ),
    "the Moon, whole field, 100 times": lambda: view_film(
        ViewFilm(
            kit=KIT,
            target=simview.target("moon"),
            motion=MOTION,
            observer=simview.Observer(),
            power=100.0,
            whole_field=True,
            side=SIDE,
        )
    ),
}


@pytest.mark.benchmark(group="film: 64 frames of 512 x 512, with all that is set up before them")
@pytest.mark.parametrize("name", FILMS)
def test_film(benchmark, name):
    def run():
        return sum(1 for _ in FILMS[name]().frames)

    assert benchmark.pedantic(run, rounds=3, warmup_rounds=1) == FRAMES


@pytest.mark.benchmark(group="film: 60 more frames of 512 x 512, all set up")
@pytest.mark.parametrize("name", FILMS)
def test_frames_alone(benchmark, name):
    def begin():
        frames = iter(FILMS[name]().frames)
        for _ in range(4):
            next(frames)
        return (frames,), {}

    count = benchmark.pedantic(lambda frames: sum(1 for _ in frames), setup=begin, rounds=3)
    assert count == FRAMES - 4


@pytest.fixture(scope="module")
def frames():
    return list(FILMS["star in focus"]().frames)


@pytest.mark.benchmark(group="film: 64 frames of 512 x 512, encoding alone")
@pytest.mark.parametrize("name", ["film.webp", "film.png", "frames"])
def test_encoding(benchmark, frames, name, tmp_path):
    moving = Moving(frames=frames, count=FRAMES, frames_per_second=15.0)
    number = iter(range(100))

    def run():
        folder = tmp_path / str(next(number))
        folder.mkdir()
        return save_moving(moving, folder / name)

    assert benchmark.pedantic(run, rounds=3, warmup_rounds=1).exists()
    assert np.shape(frames[0]) == (584, 512, 3)
