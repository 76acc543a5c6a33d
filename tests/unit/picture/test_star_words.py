"""The words of the star test agree with what is computed, and every fault has some."""

from __future__ import annotations

import re

import numpy as np
import pytest

import simview
from simview.kitword import find_kit
from simview.picture.startest.atlas_cells import CELLS, cells_for
from simview.picture.startest.clockface import clock, marks, turned_words
from simview.picture.startest.patterns import StarTest, StarViews
from simview.picture.startest.star_contents import sheet_text
from simview.picture.startest.star_layout import Layout
from simview.picture.startest.tested import Beside, numbers, sheet_words
from simview.picture.startest.words import StarWords, in_words, key_of, own_faults, words_for
from simview.telescope.fault_kinds import KINDS
from simview.telescope.faults import Fault, apply_faults, parse
from simview.telescope.focus import through_focus
from simview.units import ARCSEC_PER_RADIAN

MIRROR = simview.Telescope(aperture_mm=150.0, focal_length_mm=900.0, obstruction=0.25)
LENS = simview.Telescope(aperture_mm=100.0, focal_length_mm=1000.0, objective="achromat")
UNIT = 550e-6 / 150.0 * ARCSEC_PER_RADIAN
PIXELS = 128


def discs(words: str, waves: float = 4.0) -> tuple[np.ndarray, np.ndarray]:
    """The star inside and outside focus, pixels of half a wavelength / aperture."""
    found = apply_faults(MIRROR, [parse(words)] if words else [])
    stack = through_focus(
        found.scope,
        (-waves, waves),
        pixel_arcsec=0.5 * UNIT,
        pixels=PIXELS,
        extras=found.extras,
        sky=found.sky,
    )
    return stack[0, 0].astype(float), stack[1, 0].astype(float)


def off(image: np.ndarray) -> np.ndarray:
    """The light's distance from the image's middle in wavelength / aperture: right, up."""
    place = 0.5 * (np.arange(PIXELS) - PIXELS // 2)
    light = image / image.sum()
    return np.array([(light.sum(axis=0) * place).sum(), -(light.sum(axis=1) * place).sum()])


def spread(image: np.ndarray) -> float:
    """Share of light outside the geometric disc."""
    place = 0.5 * (np.arange(PIXELS) - PIXELS // 2)
    far = np.hypot(place[:, None], place[None, :]) > 4.0 * 4.0 + 2.0
    return float(image[far].sum())


def rim_against_middle(image: np.ndarray) -> float:
    """Brightness of the outer quarter of the disc against that of its inner half."""
    place = 0.5 * (np.arange(PIXELS) - PIXELS // 2)
    radius = np.hypot(place[:, None], place[None, :]) / 16.0
    rim = image[(radius > 0.75) & (radius < 1.0)].mean()
    return float(rim / image[radius < 0.5].mean())


@pytest.mark.parametrize("name", sorted(KINDS))
def test_every_fault_has_words(name: str) -> None:
    fault = Fault(name="noll 11" if name == "noll" else name, amount=0.1)
    for scope in (MIRROR, LENS):
        words = words_for(fault, scope)
        assert len(words.short) <= 40
        for _, sentence in words.sentences():
            assert 20 <= len(sentence) <= 110
            assert sentence.endswith(".")


def test_signs_decide_between_what_is_named_apart() -> None:
    assert key_of(parse("spherical=0.2")) == "undercorrection"
    assert key_of(parse("spherical=-0.2")) == "overcorrection"
    assert key_of(parse("coma=0")) == "none"
    assert key_of(None) == "none"


def test_achromat_without_fault_is_not_said_to_be_the_same_on_both_sides() -> None:
    words = shown_words(LENS)
    assert "coloured" in words.look
    assert "same" not in words.look
    assert shown_words(MIRROR).look.endswith("round and evenly lit.")


def shown_words(scope: simview.Telescope) -> StarWords:
    test = StarTest(kit=simview.Kit(telescope=scope))
    views = StarViews(test=test, sizes=Layout.of((960, 540), 7).sizes((960, 540)))
    return sheet_words(test, Beside.of(views))


@pytest.mark.parametrize(
    ("angle", "hour"), [(0, "3 o'clock"), (90, "12 o'clock"), (60, "1 o'clock"), (-90, "6 o'clock")]
)
def test_clock_face_runs_the_other_way_than_angles(angle: float, hour: str) -> None:
    assert clock(angle) == hour


def test_every_fault_with_a_side_has_its_dots() -> None:
    for name, kind in KINDS.items():
        if kind.directed or name == "clips":
            assert marks([Fault(name=name, amount=0.1)]) is not None
        elif name != "noll":
            assert marks([Fault(name=name, amount=0.1)]) is None


@pytest.mark.parametrize(
    ("words", "name"), [("astigmatism=0.4@25", "astigmatism"), ("pinched=0.5@70", "trefoil")]
)
def test_dots_stand_where_the_surface_stands_high(words: str, name: str) -> None:
    from simview.telescope.quality import wavefront_map

    fault = parse(words)
    dots = marks([fault])
    assert dots is not None
    found = apply_faults(MIRROR, [fault])
    error = wavefront_map(found.scope, samples=256, extras=found.extras)
    angles = np.radians(np.arange(0.0, 360.0, 1.0))
    row = np.round(127.5 - 0.95 * 127.5 * np.sin(angles)).astype(int)
    column = np.round(127.5 + 0.95 * 127.5 * np.cos(angles)).astype(int)
    rim = error[row, column]
    # Within a few degrees of the crests: the map's samples are 1/128 of the radius.
    high = {int(a) for a in np.flatnonzero(rim > 0.94 * np.nanmax(rim))}
    assert len(high) < 60
    for angle in dots.angles_deg:
        assert round(angle) % 360 in high
    assert len(dots.angles_deg) == {"astigmatism": 2, "trefoil": 3}[name]


def test_eyepiece_hours_follow_the_kits_diagonal() -> None:
    newtonian = find_kit("demo:tabletop-150").kit
    told = turned_words(newtonian, [60.0])
    # Two mirrors turn by half a circle: 1 o'clock becomes 7; the front looks from the other side.
    assert "1 o'clock on a clock face there, 11 o'clock from the front" in told
    assert "7 o'clock in the eyepiece" in told
    # A star diagonal that points upwards leaves up and exchanges left and right.
    assert "11 o'clock in the eyepiece" in turned_words(find_kit("demo:maksutov-127").kit, [60.0])


def test_figures_with_air_say_what_they_are_of() -> None:
    views = StarViews(
        test=StarTest(kit=simview.Kit(telescope=MIRROR), faults=(parse("seeing=2"),)),
        sizes=Layout.of((960, 540), 7).sizes((960, 540)),
    )
    row = numbers(views.test, Beside.of(views))["rows"][0]
    assert row["strehl"] < 0.8 < row["strehl_alone"]
    assert "air" in row["of"]


def test_collimation_is_refused_where_the_surfaces_are_not_known() -> None:
    kit = simview.Kit(telescope=MIRROR, layout="other")
    with pytest.raises(simview.SimviewError, match="whose surfaces are known"):
        StarTest(kit=kit, faults=(parse("miscollimation=1mm"),))


def test_each_layout_is_told_its_own_screws() -> None:
    fault = parse("miscollimation=1arcmin")
    assert "primary" in words_for(fault, MIRROR, "newtonian").means
    assert "secondary" in words_for(fault, MIRROR, "schmidt-cassegrain").do
    assert "back" in words_for(fault, MIRROR, "maksutov").do
    assert "cell" in words_for(fault, LENS, "refractor").means


@pytest.mark.parametrize(
    ("word", "closed"), [("150/750", False), ("203/2032", True), ("mak 127/1500", True)]
)
def test_warm_mirror_is_told_how_much_longer_to_wait(word: str, closed: bool) -> None:
    kit = find_kit(word).kit
    scope = kit.telescope
    assert scope is not None
    # Newton's law for a disc of plate glass a sixth as thick as wide, 15 K down to 1 K: 2500 kg/m3,
    # 800 J/(kg K), 9 W/(m2 K), half of that in a closed tube. The disc itself is a little slower.
    thick = scope.aperture_mm / 6000.0
    lost_m = 0.5 * thick / (1.0 + 2.0 * thick / (scope.aperture_mm / 1000.0))
    ready = 2500.0 * 800.0 * lost_m / (4.5 if closed else 9.0) * np.log(15.0) / 60.0

    warm = words_for(parse("cooling=20"), scope, kit.layout)
    assert warm.title == "Still warm"
    told = re.fullmatch(r"Wait another (\d+) minutes: then the mirror is within 1 K.*", warm.do)
    assert told
    assert float(told[1]) == pytest.approx(ready - 20.0, rel=0.1)
    assert ("fan" in warm.do) != closed
    assert ("closed tube" in warm.do) == closed

    later = words_for(parse(f"cooling={1.25 * ready:.0f}"), scope, kit.layout)
    assert later.title == "Cooled down"
    assert "within 1 K" in later.means
    assert not any("boils" in sentence for _, sentence in later.sentences())
    assert words_for(parse(f"cooling={0.8 * ready:.0f}"), scope, kit.layout).title == "Still warm"


def test_mirror_just_carried_out_is_warm_and_a_huge_one_is_promised_nothing() -> None:
    assert words_for(parse("cooling=0"), MIRROR, "newtonian").title == "Still warm"
    huge = simview.Telescope(aperture_mm=400.0, focal_length_mm=4000.0, obstruction=0.3)
    for minutes in (20, 600):
        told = words_for(parse(f"cooling={minutes},thickness=100"), huge, "schmidt-cassegrain")
        assert told.title == "Still warm"
        assert "over 10 hours" in told.do


@pytest.mark.parametrize(
    ("typed", "since", "taken"),
    [
        (["cooling=20"], ", 20 minutes after it was carried out,", "15 K too warm; 25 mm of plate"),
        (["cooling=0"], ", just carried out,", "open tube"),
        (
            ["coma=0.2@40", "cooling=90,difference=8,borosilicate=1,thickness=30,pinch=0.5"],
            " with coma 0.2 waves at 40°, 90 minutes after it was carried out,",
            "8 K too warm; 30 mm of borosilicate glass, open tube, pinch 0.5 waves",
        ),
    ],
)
def test_sheet_of_a_warm_mirror_says_since_when_and_what_is_taken(
    typed: list[str], since: str, taken: str
) -> None:
    test = StarTest(kit=find_kit("150/750").kit, faults=tuple(map(parse, typed)), power=200.0)
    told = sheet_text(StarViews(test=test, sizes=Layout.of((960, 540), 7).sizes((960, 540))))
    assert since in told.subtitle
    assert taken in told.caption
    assert "with cooling" not in told.subtitle


def test_lens_gets_another_cure_than_a_mirror() -> None:
    assert words_for(parse("coma=0.2"), LENS).do != words_for(parse("coma=0.2"), MIRROR).do


@pytest.mark.parametrize(
    ("words", "bright_rim"),
    [("undercorrection=0.4", "inside"), ("overcorrection=0.4", "outside")],
)
def test_bright_rim_is_where_the_words_say(words: str, bright_rim: str) -> None:
    inside, outside = map(rim_against_middle, discs(words))
    told = words_for(parse(words), MIRROR).look
    assert (inside > 1.5 * outside) == (bright_rim == "inside")
    assert (outside > 1.5 * inside) == (bright_rim == "outside")
    first = told.index("outer ring is bright") < told.index("soft")
    assert first == (bright_rim == "inside")


@pytest.mark.parametrize(
    ("words", "hazy"), [("turned-down-edge=0.8", "inside"), ("turned-up-edge=0.8", "outside")]
)
def test_hazy_edge_is_where_the_words_say(words: str, hazy: str) -> None:
    inside, outside = map(spread, discs(words))
    assert (inside > 1.5 * outside) == (hazy == "inside")
    assert (outside > 1.5 * inside) == (hazy == "outside")
    told = words_for(parse(words), MIRROR).look
    assert (told.index("haze") < told.index("crisp")) == (hazy == "inside")


def test_coma_leans_the_same_way_on_both_sides() -> None:
    inside, outside = map(off, discs("coma=0.6"))
    assert np.hypot(*inside) > 0.3
    assert inside @ outside > 0.0


def test_shadow_off_the_centre_changes_sides_through_focus() -> None:
    inside, outside = map(off, discs("off-centre-shadow=8"))
    # A sixteenth of the light is missing from a place 0.16 radii of 16 off: 0.17 (geometry).
    assert np.hypot(*inside) == pytest.approx(0.17, abs=0.03)
    assert inside @ outside < 0.0


def test_astigmatic_oval_turns_by_a_right_angle() -> None:
    def stretch(image: np.ndarray) -> float:
        place = np.arange(PIXELS) - PIXELS // 2
        near = np.hypot(place[:, None], place[None, :]) < 24
        wide = (np.where(near, image, 0.0).sum(axis=0) * place**2).sum()
        return float(wide / (np.where(near, image, 0.0).sum(axis=1) * place**2).sum())

    inside, outside = (stretch(image) for image in discs("astigmatism=0.6", 1.5))
    assert inside == pytest.approx(1.0 / outside, rel=0.02)
    assert abs(np.log(inside)) > 0.3


@pytest.mark.parametrize("words", ["pinched=0.5", "roughness=0.5", "coma=0.5", "vanes=3"])
def test_these_faults_lose_no_light_to_one_side_of_focus(words: str) -> None:
    inside, outside = discs(words)
    assert spread(inside) == pytest.approx(spread(outside), rel=0.25)


def test_perfect_star_is_the_same_on_both_sides() -> None:
    inside, outside = discs("")
    # Row and column 0 have no partner on the other side of the middle.
    turned = outside[1:, 1:][::-1, ::-1]
    assert np.abs(inside[1:, 1:] - turned).max() < 1e-4 * inside.max()


def test_plume_opens_one_side_of_the_disc_and_makes_a_spike_on_the_other_side_of_focus() -> None:
    place = 0.5 * (np.arange(PIXELS) - PIXELS // 2)
    rim = (np.abs(place) > 11.0) & (np.abs(place) < 17.0)
    middle = np.abs(place) < 2.0

    def at_the_rim(image: np.ndarray) -> tuple[float, float]:
        top, bottom = (image[rim & (place * side > 0.0)][:, middle].sum() for side in (-1, 1))
        return float(top), float(bottom)

    (_, inside), (outside, _) = map(at_the_rim, discs("plume=0.6"))
    plain = at_the_rim(discs("")[0])[0]
    assert inside < 0.7 * plain
    assert outside > 1.2 * plain


def test_red_rim_is_inside_focus_and_the_blue_one_outside() -> None:
    found = apply_faults(MIRROR, [parse("colour=1.5")])
    stack = through_focus(
        found.scope,
        (-4.0, 4.0),
        wavelengths_nm=(640.0, 470.0),
        pixel_arcsec=0.5 * UNIT,
        pixels=PIXELS,
        extras=found.extras,
    ).astype(float)
    place = 0.5 * (np.arange(PIXELS) - PIXELS // 2)
    rim = np.abs(np.hypot(place[:, None], place[None, :]) - 17.5) < 2.0
    red, blue = stack[:, 0, rim].mean(axis=1), stack[:, 1, rim].mean(axis=1)
    assert red[0] > 1.3 * blue[0]
    assert blue[1] > 1.3 * red[1]
    told = words_for(parse("colour=1.5"), LENS).look
    assert told.index("red") < told.index("outside") < told.index("blue")


def test_kit_faults_are_read_from_its_wavefront() -> None:
    front = simview.Wavefront(spherical=0.1, coma=0.2, coma_angle_deg=30.0, noll={11: 0.05})
    assert in_words(own_faults(front)) == (
        "spherical 0.1 waves, coma 0.2 waves at 30°, noll 11 0.05 waves"
    )
    assert own_faults(simview.Wavefront()) == ()


@pytest.mark.parametrize("telescope_type", sorted(CELLS))
def test_poster_shows_rising_strengths_of_faults_that_the_type_can_have(
    telescope_type: str,
) -> None:
    scope = LENS if telescope_type == "refractor" else MIRROR
    for cell in cells_for(telescope_type):
        assert list(cell.amounts) == sorted(set(cell.amounts))
        faults = [parse(words) for words in cell.typed()]
        assert [fault.amount for fault in faults] == pytest.approx(cell.amounts)
        assert all(apply_faults(scope, [fault]) for fault in faults)


def test_posters_together_show_every_kind_of_fault() -> None:
    shown = {parse(cell.typed()[0]).name for each in CELLS for cell in cells_for(each)}
    # The same form under another name stands for these three.
    # What depends on the layout, or on the hour, has no place on it.
    placed = {name for name, kind in KINDS.items() if kind.traced} | {
        "cooling",
        "dew",
        "secondary-tilt",
    }
    assert shown | placed | {"spherical", "trefoil", "noll"} == set(KINDS)
