"""Words and choices of a sheet: what is small, what a close-up shows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import pytest

import simview
from simview.demo import kit_path
from simview.errors import SimviewError
from simview.kit import Sky
from simview.picture import captions, limit_bars
from simview.picture.drawing import sheet, text, tongue
from simview.picture.drawing.canvas import Canvas
from simview.picture.views import judged, ladder
from simview.power.faint import is_glow
from simview.scene import long_exposure_photo, targets
from simview.scene.scene import Target


@dataclass
class Beam:
    true_field_arcmin: float


@dataclass
class Look:
    beam: Beam


def looks(*fields_arcmin):
    return [Look(Beam(f)) for f in fields_arcmin]


def thing(kind, size_arcsec):
    if kind == "double":
        return targets.target("double", double=(size_arcsec, 90.0, 6.0, 6.0))
    return Target(name="x", title="X", kind=kind, size_arcsec=size_arcsec, paint=None)


@pytest.mark.parametrize(
    ("kind", "size_arcsec", "fields", "small"),
    [
        ("planet", 47.0, (18.0, 30.0, 30.0), True),
        ("planet", 47.0, (4.0, 110.0), True),
        ("double", 2.3, (7.5,), True),
        ("deep-sky", 80.0, (40.0, 60.0), True),
        ("stars", 6600.0, (390.0, 60.0), False),
        ("moon", 1865.0, (60.0, 100.0), False),
        # Small through one kit only: its neighbour shows it large enough.
        ("moon", 1865.0, (390.0, 60.0), False),
    ],
)
def test_close_ups_are_for_what_is_small_in_every_view(kind, size_arcsec, fields, small):
    assert captions.is_small(thing(kind, size_arcsec), looks(*fields)) is small


def test_close_up_holds_the_object_with_room_around_it():
    views = looks(30.0, 60.0)
    assert captions.patch_arcsec(thing("planet", 47.0), views) == pytest.approx(61.1)
    assert captions.patch_arcsec(thing("double", 2.0), views) > 2.0 * 3.0


def test_cluster_is_shown_in_part_unless_it_is_asked_for_whole():
    cluster, views = thing("stars", 600.0), looks(60.0)
    assert captions.patch_arcsec(cluster, views) < 300.0
    assert captions.patch_arcsec(cluster, views, whole=True) > 600.0


def test_close_up_never_shows_more_than_the_narrowest_view():
    # The whole Moon, 31 arcmin, in a field of 10: the square that fits into that circle.
    patch = captions.patch_arcsec(thing("moon", 1865.0), looks(60.0, 10.0))
    assert patch == pytest.approx(600.0 / 2.0**0.5)


# The longest that eye, print and display have to say.
LONGEST = (
    "Eye: 40 years, astigmatic by 1.5 dioptres, 0.5 dioptres out of focus, pupil 7.1 mm, adapted "
    "to the view. This print alone: 100 times less light is drawn 45 times darker, a star 6.8 "
    "times fainter. Each view has an exposure of its own. Look from 2 sheet heights away; white "
    "of 100 cd/m²."
)


def buildable():
    for name in targets.names():
        try:
            yield targets.target(name)
        except SimviewError:
            # Free ones (any double, any field, a photograph) have no more to say than the named.
            continue


@lru_cache(maxsize=1)
def longest_first():
    """What each target's caption says at its longest, and one target that says it."""
    found = {}
    for target in buildable():
        said = [captions.air(Sky(air="short")), LONGEST, captions.BRIGHTNESS, *target.notes]
        if target.luminance_cd_m2 is not None and not is_glow(target):
            # Told on sheets of one view, which has no exposure beside others.
            said[1] = LONGEST.replace(" Each view has an exposure of its own.", "")
            said.append(limit_bars.STRIPE)
        if target.kind == "deep-sky":
            said.append(long_exposure_photo.NOTE)
        found[" ".join(said)] = target.name
    return sorted(found.items(), key=lambda each: -len(each[0]))


@pytest.mark.parametrize("unit", [0.5, 2.0 / 3.0, 0.75, 1.0, 2.0])
def test_every_caption_fits_whole_in_type_that_a_hall_reads(unit):
    # The narrowest sheet of its unit is 1920 units wide.
    room = round(unit * 1920.0) - 2 * round(unit * sheet.MARGIN)
    # All of them in one size; in the others, where only the rounding differs, the longest.
    for said, name in longest_first()[: None if unit == 1.0 else 20]:
        size, lines = text.block(
            said,
            room,
            round(unit * sheet.CAPTION_ROOM),
            largest_px=round(unit * sheet.CAPTION),
            smallest_px=round(unit * sheet.LEAST),
        )
        assert size >= round(18 * unit), name
        assert not lines[-1].endswith(text.ELLIPSIS), name


def test_by_day_nobody_speaks_of_the_night_sky():
    assert "mag" in captions.air(Sky())
    assert "mag" not in captions.air(Sky(), by_day=True)


def test_beside_the_moon_nobody_speaks_of_a_dark_sky_or_of_its_faintest_star():
    moonlit = captions.air_before(simview.target("moon"), Sky())
    assert "50° high" in moonlit
    assert "mag" not in moonlit
    kit = simview.load_kit(kit_path("demo:tabletop-150"))
    names = {
        target: [name for name, _ in captions.rows(simview.look(kit, target, power=75))]
        for target in ("moon", "saturn")
    }
    assert "faintest star" not in names["moon"]
    assert "faintest star" in names["saturn"]


def test_star_fields_tell_field_and_faintest_star():
    @dataclass
    class View:
        beam: Beam
        target: Target
        numbers: dict[str, float]

    view = View(Beam(40.0), thing("stars", 600.0), {"limiting_magnitude": 12.04})
    assert captions.field_rows(view) == (("true field", "40′"), ("faintest star", "mag 12.0"))
    view.target = thing("planet", 40.0)
    assert captions.field_rows(view) == ()


def test_air_before_a_thing_on_the_ground_is_its_own():
    house = captions.air_before(
        targets.target("daytime", shimmer="strong"), Sky(seeing_arcsec=9.0, air="long")
    )
    told = "(the average of many seconds, wander included)"
    assert house.startswith(f"Air along the ground: seeing 6.4″ {told}. Visibility 20 km")
    assert "shimmer strong" in house
    assert "haze" not in captions.air_before(targets.target("daytime"), Sky(air="none"))
    night = Sky(seeing_arcsec=9.0, air="moment")
    assert "one typical moment" in captions.air_before(targets.target("jupiter"), night)
    assert "zenith" in captions.air_before(targets.target("bars"), Sky())


def test_limits_on_a_sheet_are_detail_as_each_part_comes_in() -> None:
    """One definition a sheet: the last bar is the finest detail that stands above."""
    kit = simview.load_kit(kit_path("demo:tabletop-150"))
    seen = simview.look(kit, "saturn", power=150)
    found = limit_bars.limits(seen)
    assert limit_bars.limits_heading(seen) == "Finest stripe, step by step"
    assert [limit.name for limit in found][:3] == ["eye at 150×", "and aperture", "and air"]
    assert found[-1].arcsec == pytest.approx(seen.numbers["finest_detail_arcsec"])
    # A double has no detail: there the bars are the width of a star, and the last is the view's.
    pair = simview.look(kit, "castor", power=150)
    assert limit_bars.limits_heading(pair) == "A star's width, best moments"
    found = limit_bars.limits(pair)
    names = [limit.name for limit in found]
    assert names == ["aperture", "and air", "and air's prism", "and mount", "and eye"]
    assert found[-1].arcsec == pytest.approx(pair.numbers["resolution_arcsec"])
    average = simview.look(kit, "castor", power=150, sky=Sky(air="long", altitude_deg=90.0))
    assert limit_bars.limits_heading(average) == "A star's width, step by step"
    # Straight up the air is no prism.
    straight_up = [limit.name for limit in limit_bars.limits(average)]
    assert straight_up == ["aperture", "and air", "and mount", "and eye"]


def test_the_last_bar_is_the_whole_and_rules() -> None:
    kit = simview.Kit(
        telescope=simview.Telescope(aperture_mm=60.0, focal_length_mm=700.0),
        eyepieces=(simview.Eyepiece(focal_length_mm=6.0),),
    )
    for name in ("saturn", "castor"):
        told = judged.judge_view(kit, simview.target(name))
        seen = told.panels[0].view
        for bars in (told.panels[0].limits, limit_bars.short_limits(seen)):
            assert [one.rules for one in bars] == [False] * (len(bars) - 1) + [True]
            assert [one.arcsec for one in bars] == sorted(one.arcsec for one in bars)
    # A narrow table has room for three bars: the mount's step is told with the last.
    shaky = replace(kit, mount=simview.Mount(shake_arcsec=4.0))
    wanted = {
        "saturn": (
            ["eye at 117×", "and aperture", "and air", "and mount"],
            ["eye", "+ aperture", "+ the rest"],
        ),
        "castor": (
            ["aperture", "and air", "and mount", "and eye"],
            ["aperture", "+ air", "+ the rest"],
        ),
    }
    for name, (whole, narrow) in wanted.items():
        unsteady = simview.look(shaky, name, power=117.0)
        full, short = limit_bars.limits(unsteady), limit_bars.short_limits(unsteady)
        assert ([one.name for one in full], [one.name for one in short]) == (whole, narrow)
        assert short[-1].arcsec == full[-1].arcsec


@pytest.mark.parametrize("language", ["en", "de", "fr", "es"])
@pytest.mark.parametrize(
    "verdict", ["split", "elongated", "notched", "touching", "just split", "split, one faint"]
)
def test_row_of_a_pair_fits_into_a_ladder_of_six_uncut(language: str, verdict: str) -> None:
    canvas = Canvas((1920, 1080))
    column = ladder.ladder_geometry(canvas.size, [50.0] * 6).column_px
    with tongue.speaking(language):
        apart = tongue.say(
            "{verdict}, {apart}′ apart", verdict=tongue.say(verdict), apart=tongue.decimal("2.8")
        )
        words = (tongue.say("the pair"), apart)
    least = canvas.px(15)
    assert sum(text.width_px(word, least) for word in words) + 0.4 * least <= column


def test_bars_of_a_glow_are_the_same_thing_at_every_power() -> None:
    # At 30 times the eye makes out coarse detail on this glow, at 75 times none.
    kit = simview.load_kit(kit_path("demo:tabletop-150"))
    low, high = (simview.look(kit, "m13", power=power) for power in (30, 75))
    assert low.numbers["finest_detail_arcsec"]
    assert not high.numbers["finest_detail_arcsec"]
    assert limit_bars.limits_heading(low) == limit_bars.limits_heading(high)
    for one, other in zip(limit_bars.limits(low)[:2], limit_bars.limits(high)[:2], strict=True):
        assert (one.name, one.arcsec) == (other.name, pytest.approx(other.arcsec, rel=1e-3))


@pytest.mark.parametrize("count", range(1, 8))
def test_pages_of_few_targets_are_filled(count: int) -> None:
    """Pictures with their words cover most of the sheet's content, whatever the number."""
    from simview.picture.drawing.canvas import Canvas
    from simview.picture.views.contact_layout import grid_of

    canvas = Canvas((1920, 1080))
    grid = grid_of(canvas, ["A target (M 1)"] * count)
    words = 274 if grid.beside else 0
    rows = -(-count // grid.columns)
    assert grid.columns * rows - count <= 1
    assert grid.columns * (grid.side_px + words) >= 0.5 * 1808
    assert rows * grid.side_px >= 0.5 * 760


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(95.4, "95 s"), (119.0, "119 s"), (150.0, "2.5 min"), (1080.0, "18 min"), (7000.0, "117 min"),
     (9000.0, "2.5 h")],
)  # fmt: skip
def test_time_across_the_field_is_told_to_a_few_per_cent(seconds, told):
    # Two and a half minutes are not two: an observer who counts would find the program wrong.
    assert captions._duration(seconds) == told


@pytest.mark.parametrize(
    ("target", "power", "own_mm", "told"),
    [
        ("jupiter", 150.0, None, False),
        ("jupiter", 150.0, 4.0, True),
        ("m31", 15.0, None, True),
        ("m31", 60.0, None, False),
    ],
)
def test_pupil_is_told_where_it_cuts_the_beam_or_was_asked_for(target, power, own_mm, told):
    kit = simview.load_kit(kit_path("demo:tabletop-150"))
    observer = simview.Observer(pupil_mm=own_mm)
    seen = simview.look(kit, simview.target(target), power=power, observer=observer)
    assert ("pupil" in captions.eye(seen)) is told
