"""The sheet of a curve over power: figures, words and picture for every sort of object."""

import json
import math

import numpy as np
import pytest

import simview
from simview.demo import kit_path
from simview.errors import SimviewError
from simview.kitfile import load_kit_file
from simview.picture.again import redo
from simview.picture.detail.detail_sheet import detail
from simview.picture.drawing import text
from simview.power.finest import detail_curve
from simview.power.marks import marks
from simview.scene.scene import Scene, Target

SMALL = (960, 540)
TOY = load_kit_file(kit_path("demo:toy-refractor-50")).kit
PAIR = load_kit_file(kit_path("demo:binoculars-10x50")).kit
SKY = simview.Sky(seeing_arcsec=2.0)


def sheet(kit=TOY, name="jupiter", **more):
    return detail(kit, simview.target(name), sky=SKY, size=SMALL, **more)


def even(luminance, size_arcsec):
    """Return what paints an even disc."""

    def paint(pixel_arcsec, pixels):
        y, x = np.mgrid[:pixels, :pixels] - pixels // 2
        disc = np.hypot(x, y) * pixel_arcsec < size_arcsec / 2.0
        planes = np.tile(disc * luminance, (3, 1, 1)).astype(np.float32)
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec)

    return paint


def numbers(value):
    if isinstance(value, dict):
        return [n for item in value.values() for n in numbers(item)]
    if isinstance(value, list):
        return [n for item in value for n in numbers(item)]
    return [value] if isinstance(value, float) else []


@pytest.mark.parametrize("name", ["jupiter", "castor", "sirius", "pleiades", "moon"])
def test_promised_figures_are_there_for_every_sort_of_object(name):
    figures = sheet(name=name).figures
    assert {"powers", "finest_detail_arcsec", "enough_from", "empty_above"} <= set(figures)
    assert len(figures["powers"]) == len(figures["finest_detail_arcsec"])
    assert all(math.isfinite(n) for n in numbers(figures))
    assert json.loads(json.dumps(figures, allow_nan=False)) == figures
    if None in figures["finest_detail_arcsec"] or figures["enough_from"] is None:
        assert figures["reason"]


def test_figures_are_the_curves_own():
    figures = sheet().figures
    curve = detail_curve(TOY, simview.target("jupiter"), sky=SKY)
    assert figures["enough_from"] == curve.enough_from
    assert figures["air_carries"] == curve.carries
    assert figures["empty_above"] > figures["air_carries"]
    assert figures["finest_detail_arcsec"][:60] == list(curve.finest_detail_arcsec)


def test_marks_do_not_depend_on_the_powers_asked_for():
    asked = sheet(powers=[30.0, 90.0]).figures
    assert asked["powers"] == [30.0, 90.0]
    whole = sheet().figures
    assert asked["enough_from"] == whole["enough_from"]
    # Detail at a power asked for is the view's own.
    view = simview.look(TOY, simview.target("jupiter"), power=30.0, sky=SKY)
    assert asked["finest_detail_arcsec"][0] == pytest.approx(
        view.numbers["finest_detail_arcsec"], rel=0.01
    )


@pytest.mark.parametrize("name", ["jupiter", "albireo", "pleiades"])
def test_ladder_and_detail_put_their_marks_at_the_same_powers(name):
    found = marks(TOY, simview.target(name), sky=SKY, observer=simview.Observer())
    figures = sheet(name=name).figures
    for mark, power in found.figures().items():
        assert figures[mark] == power


def test_rules_claim_and_pieces_stand_beside_the_curve():
    figures = sheet().figures
    # Common practice, no source: 50 to 60 times an inch, twice the mm, of the 50 mm on the box.
    assert figures["rule_per_inch"] == pytest.approx([98.43, 118.11], abs=0.01)
    assert figures["rule_twice_mm"] == 100.0
    assert figures["claimed_power"] == 450.0
    assert figures["claimed_over_empty"] == pytest.approx(450.0 / figures["empty_above"])
    powers = [piece["power"] for piece in figures["pieces"]]
    assert {30.0, 90.0, 450.0} <= set(powers)
    assert all(p["empty"] == (p["power"] > figures["empty_above"]) for p in figures["pieces"])


@pytest.mark.parametrize("name", ["jupiter", "pleiades"])
def test_sheet_is_made_again_from_its_recipe(name):
    first = sheet(name=name)
    again = redo(json.loads(json.dumps(first.recipe)))
    assert np.array_equal(np.asarray(first.image), np.asarray(again.image))
    assert first.figures == again.figures


@pytest.mark.parametrize("size", [(960, 540), (1400, 1050), (1920, 1080)])
def test_sheet_has_the_size_asked_for_and_its_curve_is_drawn(size):
    made = detail(TOY, simview.target("jupiter"), sky=SKY, size=size)
    assert made.image.size == size
    picture = np.asarray(made.image)
    # The empty part of the curve is drawn in the warning's colour, inside the plot.
    plot = picture[size[1] // 5 : size[1] * 3 // 5, size[0] // 3 : size[0] * 2 // 3].astype(int)
    orange = (plot[..., 0] > 180) & (plot[..., 1] > 120) & (plot[..., 2] < 60)
    assert orange.sum() > 40 * (size[0] / 960)


def test_object_that_never_shows_says_so_in_words():
    dark = Target(
        name="dark",
        title="Dark disc",
        kind="planet",
        size_arcsec=20.0,
        paint=lambda pixel_arcsec, pixels: None,
        luminance_cd_m2=0.1,
        contrast=0.02,
    )
    made = detail(TOY, dark, sky=simview.Sky(sky_mag_arcsec2=12.0), size=SMALL)
    assert made.figures["enough_from"] is None
    assert set(made.figures["finest_detail_arcsec"]) == {None}
    assert "made out" in made.figures["reason"]
    assert made.remarks


def test_faint_glow_is_asked_whether_it_shows():
    glow = Target(
        name="glow",
        title="Glow, 10′",
        kind="deep-sky",
        size_arcsec=600.0,
        paint=even(6e-4, 600.0),
        luminance_cd_m2=6e-4,
        contrast=0.3,
    )
    dark, bright = (
        detail(TOY, glow, sky=simview.Sky(sky_mag_arcsec2=mag), size=SMALL).figures
        for mag in (21.5, 17.0)
    )
    assert dark["seen_at_best"] > 0.5 > bright["seen_at_best"]
    assert "too little contrast" in bright["reason"]


def test_binocular_has_a_sheet_and_the_naked_eye_is_refused_in_words():
    figures = sheet(PAIR, "moon").figures
    # One power, and no praise of powers that it has not.
    assert figures["powers"] == [10.0]
    assert figures["enough_from"] is None
    assert "pieces" not in figures
    with pytest.raises(SimviewError, match="one power"):
        sheet(PAIR, "moon", powers=[10.0, 55.0])
    with pytest.raises(SimviewError, match="naked eye"):
        sheet(simview.Kit(), "moon")


def test_absurd_claim_stays_on_the_sheet():
    from dataclasses import replace

    made = sheet(replace(TOY, claimed_power=9000.0))
    assert made.figures["claimed_over_empty"] > 100.0
    assert made.image.size == SMALL


@pytest.mark.parametrize("powers", [[], [90.0, 30.0], [math.nan], [0.0], [1e6]])
def test_impossible_powers_are_refused(powers):
    with pytest.raises(SimviewError, match="power"):
        sheet(powers=powers)


def test_every_character_on_the_sheet_can_be_printed():
    words = "″′°×–− αλ²½ Barten Crumey magnification"
    assert text.printable(words).count(text.UNKNOWN) == 0


def test_best_power_for_a_glow_can_be_had_though_the_box_gives_more() -> None:
    scope = simview.Telescope(aperture_mm=60.0, focal_length_mm=700.0, objective="achromat")
    kit = simview.Kit(
        telescope=scope,
        eyepieces=(simview.Eyepiece(focal_length_mm=20.0), simview.Eyepiece(focal_length_mm=3.0)),
        amplifiers=(simview.Amplifier(factor=3.0),),
    )
    # A small bright planetary gains to the end in a town; the box gives 700 times.
    sky = simview.Sky(sky_mag_arcsec2=18.0)
    figures = detail(kit, simview.target("saturn-nebula"), sky=sky, size=(960, 540)).figures
    # No glow is looked at through a beam below half a millimetre (common practice, no source).
    assert figures["enough_from"] <= figures["best_power"] <= 1.01 * 60.0 / 0.5
