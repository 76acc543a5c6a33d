"""From troland to print: dimming shows, discs keep detail, stars keep their width."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from colour_reference import STORED

from simview.eye.reference import pupil_mm
from simview.eye.retina import Retina
from simview.picture.prints import choices, hue, response, tone

# XYZ of equal-energy-like white as sRGB knows it, and V' about twice Y (sky light).
WHITE = np.array([0.9505, 1.0, 1.0890, 2.0])
PPD = 5.0  # coarse enough that hue is not averaged


def view(luminance, *, ppd=PPD, pupil=6.0, hue=WHITE, points=None):
    """A retina from a map of Y in troland."""
    luminance = np.asarray(luminance, float)
    planes = (np.asarray(hue)[:, None, None] * luminance).astype(np.float32)
    none = np.zeros_like(planes) if points is None else points.astype(np.float32)
    return Retina(extended=planes, points=none, pixels_per_degree=ppd, eye_pupil_mm=pupil)


def planet(light, *, sky=0.02, side=96, belts=0.25):
    """A striped disc over a sky, Y in troland."""
    y, x = np.mgrid[:side, :side] - side // 2
    disc = light * np.where(y // 6 % 2, 1.0, 1.0 - belts)
    return np.where(x**2 + y**2 < (side // 5) ** 2, disc, sky * light / 1000.0)


def luminance(image):
    """Mean linear luminance of an 8-bit picture, display white 1. Decoded by the standard."""
    code = image / 255.0
    linear = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    return linear @ np.array([0.2126, 0.7152, 0.0722])


def sheet_of(views):
    """Adaptation of a sheet and its views printed, as the sheets do it."""
    adapted = tone.adaptation(views)
    return adapted, [tone.develop(v, adapted.for_view(tone.levels(v).white_td)) for v in views]


@pytest.fixture(scope="module")
def ladder():
    """The same planet with 1, 1/4, 1/25 and 1/225 of the light."""
    views = [view(planet(light)) for light in (2000.0, 500.0, 80.0, 2000.0 / 225)]
    return sheet_of(views)


def test_brightest_surface_prints_where_it_shall(ladder):
    _, prints = ladder
    # 3 %: the rods' small share comes on top, and 8 bits.
    assert luminance(prints[0]).max() == pytest.approx(choices.WHITE_PRINT, rel=0.03)


def test_each_dimmer_view_prints_darker(ladder):
    _, prints = ladder
    discs = [float(luminance(p)[44:52, 44:52].mean()) for p in prints]
    assert all(b < 0.7 * a for a, b in itertools.pairwise(discs))
    # Even the dimmest is in print: well above the sheet's ground (code 6).
    assert prints[-1][48, 48].min() > 20


def test_useful_views_are_well_lit_and_the_dimmest_nearly_dark():
    # 1/7 of the light well lit, 1/30 dim but readable, 1/400 nearly dark; in codes of 8 bits, of
    # the disc's bright stripes. Display black is 0, the sheet's ground about 6.
    views = [view(planet(20000.0 / dimmer)) for dimmer in (1.0, 7.0, 30.0, 400.0)]
    _, prints = sheet_of(views)
    bright, well, dim, dark = (float(p[40:56, 48].max(axis=0).mean()) for p in prints)
    assert 225.0 < bright < 250.0  # dazzles, with room left for a red or blue light
    assert 130.0 < well < 0.8 * bright
    assert 90.0 < dim < 0.8 * well
    assert 35.0 < dark < 70.0


def test_belts_show_well_in_all_views(ladder):
    _, prints = ladder
    shown = []
    for p in prints:
        dark, bright = np.percentile(luminance(p)[34:62, 48], [10, 90])
        shown.append(1.0 - dark / bright)
    # 25 % in light: twenty twenty-firsts of it at the least (0.75 ^ 0.952 = 0.76), save in the
    # dimmest, where the cones' own noise counts against nothing but rods see the belts as well.
    assert min(shown[:3]) > 0.2
    assert 0.12 < shown[3] < 0.26


def test_glow_around_a_bright_disc_prints_darker_than_a_dim_disc():
    # An eye adapts to each view: a tenth of a bright disc's light beside it is a glow, and prints
    # darker than a disc of that light, which fills its own view.
    glowing = np.maximum(planet(20000.0), 2000.0)
    _, (bright, dim) = sheet_of([view(glowing), view(planet(2000.0))])
    assert luminance(bright)[:8, :8].mean() < 0.6 * luminance(dim).max()


def test_close_up_prints_as_its_view_does():
    # The close-up of a dim corner is printed by its view's white, not by its own.
    whole, corner = view(planet(5000.0)), view(np.full((96, 96), 50.0), ppd=30 * PPD)
    adapted = tone.adaptation([whole, corner])
    own = adapted.for_view(max(tone.levels(v).white_td for v in (whole, corner)))
    assert own == replace(adapted, disc_td=5000.0)
    assert luminance(tone.develop(corner, own)).mean() < 0.05


def test_night_views_are_left_to_the_rods():
    # Nothing brighter than a nebula: no view adapts away from the others.
    views = [view(np.full((64, 64), light)) for light in (0.03, 0.004)]
    adapted = tone.adaptation(views)
    assert all(adapted.for_view(tone.levels(v).white_td) == adapted for v in views)


def test_sky_is_neither_black_nor_grey(ladder):
    _, prints = ladder
    sky = prints[0][:8, :8].mean()
    assert 5.0 < sky < 40.0


def test_sky_darkens_with_power(ladder):
    _, prints = ladder
    skies = [luminance(p)[:8, :8].mean() for p in prints]
    assert all(b < a for a, b in itertools.pairwise(skies))


def test_one_adaptation_serves_all_views_in_any_order():
    views = [view(planet(light)) for light in (900.0, 30.0, 200.0)]
    assert tone.adaptation(views) == tone.adaptation(views[::-1])


def test_adaptation_follows_from_the_whole_sheet():
    dim, bright = view(planet(50.0)), view(planet(5000.0))
    alone, together = tone.adaptation([dim]), tone.adaptation([dim, bright])
    # Beside a brighter view the same light prints darker.
    assert luminance(tone.develop(dim, together)).max() < luminance(tone.develop(dim, alone)).max()


def test_close_up_does_not_pass_for_sky():
    wide = view(planet(1000.0))
    # A patch of the disc's own glow, 30 times narrower, all of it brighter than the sky.
    close = view(np.full((96, 96), 5.0), ppd=30 * PPD)
    assert tone.adaptation([wide, close]).rod_half_td == tone.adaptation([wide]).rod_half_td


def test_dark_sky_alone_prints_dark_and_a_city_sky_lighter():
    # 0.0076 and 0.19 td of Y: about 21.5 and 18 mag/arcsec2 in a 6.5 mm pupil.
    prints = []
    for light in (0.0076, 0.19):
        sky = view(np.full((64, 64), light))
        prints.append(tone.develop(sky, tone.adaptation([sky])).mean())
    assert 15.0 < prints[0] < 45.0
    assert prints[0] + 10.0 < prints[1] < 90.0


def test_what_lies_outside_a_field_stop_is_no_sky():
    y, x = np.mgrid[:200, :200] - 100
    stopped = np.where(np.hypot(x, y) < 90, 0.05, 1e-9)
    open_ = np.full((200, 200), 0.05)
    assert tone.levels(view(stopped)).background_td == pytest.approx(
        tone.levels(view(open_)).background_td, rel=1e-3
    )


def test_night_loses_colour():
    reddish = np.array([1.3, 1.0, 0.4, 1.0])
    night = view(np.full((64, 64), 0.005), hue=reddish)
    codes = tone.develop(night, tone.adaptation([night])).reshape(-1, 3).mean(axis=0)
    assert np.ptp(codes) < 0.5


def test_daylight_keeps_its_colour():
    reddish = np.array([1.1, 1.0, 0.5, 1.0])
    day = view(np.full((64, 64), 20000.0), hue=reddish, pupil=2.5)
    red, green, blue = tone.develop(day, tone.adaptation([day])).reshape(-1, 3).mean(axis=0)
    assert red > green + 10.0 > blue + 30.0


def test_white_light_prints_neutral():
    day = view(np.full((64, 64), 20000.0), pupil=2.5)
    red, green, blue = tone.develop(day, tone.adaptation([day])).reshape(-1, 3).mean(axis=0)
    assert red == pytest.approx(green, abs=1.0)
    assert blue == pytest.approx(green, abs=1.0)


def test_a_shaded_bright_surface_is_no_flat_white():
    ramp = np.tile(np.linspace(0.7, 1.0, 128), (128, 1)) * 30000.0
    adapted = tone.adaptation([view(ramp)])
    columns = tone.develop(view(ramp), adapted).mean(axis=(0, 2))
    assert columns.max() < 250.0
    # 30 % of light across the ramp: at least 20 codes, rising all the way.
    assert columns[-1] - columns[0] > 20.0
    assert np.all(np.diff(columns.reshape(16, 8).mean(axis=1)) > 0.5)


def test_star_keeps_its_shape_and_width():
    y, x = np.mgrid[:65, :65] - 32
    blur = np.exp(-(x**2 + y**2) / (2.0 * 4.0**2))
    sky = np.full((65, 65), 0.01)
    peak = 3.0  # above the faintest by a magnitude: far from white
    adapted = tone.adaptation([view(sky)], star_peaks_td=[peak])
    factor = float(tone.star_factors(np.array([peak]), adapted)[0])
    points = WHITE[:, None, None] * blur * peak * factor
    lit = luminance(tone.develop(view(sky, points=points), adapted))
    dark = luminance(tone.develop(view(sky), adapted))
    profile = (lit - dark)[32] / (lit - dark)[32, 32]
    # Half of the middle's print lies at half of the middle's light: 4 x 1.1774 px.
    half = np.interp(0.5, profile[32:][::-1], np.arange(33.0)[::-1])
    assert half == pytest.approx(4.0 * 1.1774, rel=0.05)


def test_colours_are_those_of_srgb():
    # The standard rounds to four places.
    assert np.allclose(tone.XYZ_TO_RGB, STORED["coding"]["xyz_to_rgb"], atol=5e-4)


def test_colour_fades_between_the_foveas_threshold_and_cone_vision():
    cd_m2 = np.array([0.00012, 0.02, 6.0])
    # The same retinal light through any pupil has the same colour; see test_nebula_colour.py.
    kept = hue.colourfulness(cd_m2 * np.pi / 4.0 * pupil_mm(cd_m2) ** 2)
    # It begins softly: a fiftieth of a hue does not show.
    assert kept[0] == pytest.approx(0.0, abs=0.02)
    assert 0.3 < kept[1] < 0.7
    assert kept[2] == 1.0


def test_cones_answer_by_naka_and_rushton():
    # Far above the cones' own noise the curve is E / (E + s): its response at s is half of that
    # at infinity, and the logarithmic slope there a half.
    adapted = tone.adaptation([view(planet(5000.0)), view(planet(10.0))])
    half = choices.HEADROOM * adapted.white_td
    at, far = response.cone_print(np.array([half, 1e12 * half]), adapted)
    assert at / far == pytest.approx(0.5, rel=1e-3)
    up, down = response.cone_print(half * np.array([1.01, 1 / 1.01]), adapted)
    assert np.log(up / down) / np.log(1.01**2) == pytest.approx(0.5, rel=1e-3)


def test_large_views_print_as_small_ones_do():
    # Above a certain size the work is split among threads and pieces: the same picture must come.
    rng = np.random.default_rng(5)
    whole = view(10.0 ** rng.uniform(-2.0, 4.0, (520, 520)), ppd=30.0)
    adapted = tone.adaptation([whole])
    printed = tone.develop(whole, adapted)
    assert np.array_equal(printed, tone.develop(whole, adapted))
    narrow = Retina(
        extended=whole.extended[:, :, :300],
        points=whole.points[:, :, :300],
        pixels_per_degree=30.0,
        eye_pupil_mm=6.0,
    )
    # Only hue near the cut edge may differ; luminance, within a step of dither, may not.
    part = tone.develop(narrow, adapted)[:, :280].astype(int)
    assert np.abs(part - printed[:, :280]).max() <= 1


def test_view_is_not_changed_by_printing():
    given = view(planet(100.0), ppd=60.0)
    before = given.extended.copy()
    tone.develop(given, tone.adaptation([given]))
    assert np.array_equal(given.extended, before)


def test_sheet_without_views_is_refused():
    with pytest.raises(ValueError, match="at least one view"):
        tone.adaptation([])


# The last is the Sun's ground in an eye's whole pupil, 6e10 troland, and more.
@pytest.mark.parametrize("light", [0.0, 1e-12, 1e11])
def test_darkness_and_glare_print_without_a_fuss(light):
    extreme = view(np.full((32, 32), light))
    printed = tone.develop(extreme, tone.adaptation([extreme]))
    assert printed.shape == (32, 32, 3)
    assert (printed.max() == 0) == (light < 1e-3)


@pytest.mark.parametrize(
    ("light", "peaks", "words"),
    [
        (1000.0, (), ("100 times less light is drawn", "in another view")),
        (
            0.0,
            (50.0, 3.0),
            (
                "This print alone: a star that gives 100 times less light",
                "fainter",
            ),
        ),
        (1000.0, (50.0,), ("100 times less light is drawn", "in another view")),
    ],
)
def test_caption_says_how_light_is_compressed(light, peaks, words):
    views = [view(np.maximum(planet(light), 0.01))]
    said = tone.adaptation(views, star_peaks_td=peaks).says()
    assert ("This print alone: 100 times less light is drawn " in said) is (light > 0.0)
    assert all(word in said for word in words)
    # Beside a bright disc stars print by its light, and no one sentence holds for them.
    assert ("star" in said) is (light == 0.0)


def test_caption_of_a_single_view_speaks_of_no_others():
    assert "views" not in tone.adaptation([view(planet(1000.0))]).says(several=False)


def test_a_moon_that_fills_its_view_stays_in_print():
    # Low power: the whole disc on a dark sky. High power: nothing but disc, a fiftieth the light.
    _, (_, part) = sheet_of([view(planet(20000.0)), view(np.full((96, 96), 400.0))])
    assert luminance(part).mean() > 0.08


def test_caption_tells_the_truth_about_surfaces():
    bright, dim = view(planet(30000.0)), view(planet(300.0))
    adapted, prints = sheet_of([bright, dim])
    between = float(adapted.says().split("in another view ")[1].split()[0])
    within = float(adapted.says().split("light is drawn ")[1].split()[0])
    # White patches printed by the whole chain, rods and 8 bits included: 5 %.
    tops = [luminance(p).max() for p in prints]
    assert tops[0] / tops[1] == pytest.approx(between, rel=0.05)
    # A hundredth of the light inside the bright view; its code, about 28, has steps of 4 %: 10 %.
    patch = view(np.full((96, 96), 300.0))
    assert tops[0] / luminance(tone.develop(patch, adapted)).mean() == pytest.approx(
        within, rel=0.1
    )


@pytest.mark.parametrize("tint", [(0.9505, 1.0, 1.089), (1.25, 1.0, 0.45)])
def test_orange_disc_keeps_the_contrast_of_a_white_one(tint):
    # A display's red ends before its white does: Mars' dark areas must not be lost there. The
    # cones' curve alone, half full at twenty times the white, leaves of a step of 1.4 in light from
    # there ln(1.4 x 20.714 / 21) / ln 1.4 = 0.959 of its logarithm.
    light = np.full((160, 160), 3000.0)
    light[:, 80:] /= 1.4
    planes = np.stack([*(light * part for part in tint), 2.0 * light])
    given = view(planes)
    level = tone.levels(given)
    own = tone.adaptation([given]).for_view(level.white_td, level)
    printed = luminance(tone.develop(given, own))
    step = printed[:, :70].mean() / printed[:, 90:].mean()
    assert math.log(step) / math.log(1.4) == pytest.approx(0.959, abs=0.04)
    assert tone.develop(given, own).max() < 250
