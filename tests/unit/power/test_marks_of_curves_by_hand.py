"""Marks that come from curves which are given: what each is taken from, worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from simview.kit import Eyepiece, Kit, Observer, Sky, Telescope
from simview.power import marks as room
from simview.power.detail import DetailCurve
from simview.power.drawing_pairs import HOLLOW, drawn_out, hollow
from simview.power.faint import VisibilityCurve
from simview.power.marks import carried, marks, pair_marks
from simview.power.multiple import Pair
from simview.power.pairs import PairCurve
from simview.power.starfields import StarCurve
from simview.scene.targets import target

KIT = Kit(
    telescope=Telescope(aperture_mm=100.0, focal_length_mm=1000.0),
    eyepieces=(Eyepiece(focal_length_mm=10.0, apparent_field_deg=50.0),),
)
NIGHT, SPACE = Sky(seeing_arcsec=2.0), Sky(air="none")
OBSERVER = Observer()


def judged(
    first: float | None,
    last: float | None = None,
    reason: str = "",
    margins: tuple[float, float] = (20.0, 20.0),
) -> PairCurve:
    return PairCurve(
        powers=(20.0, 400.0) if margins == (20.0, 20.0) else (100.0, 200.0),
        verdicts=("single", "split"),
        grades=("single", "split"),
        limits=("", ""),
        gaps=(0.01 * margins[0], 0.01 * margins[1]),
        gaps_needed=(0.01, 0.01),
        closest_arcsec=(None, None),
        splits_from=first,
        splits_to=last,
        rayleigh_arcsec=1.38,
        dawes_arcsec=1.16,
        reason=reason,
    )


def of_pair(monkeypatch, tonight, ever, *, blur=(150.0, 250.0), apart=2.0, sight=1.0, sky=NIGHT):
    """Marks of a pair of two equal stars: `blur` is what the air carries, tonight and without."""
    monkeypatch.setattr(room, "_judged", lambda *_: ever)
    monkeypatch.setattr(
        room, "_blur_power", lambda k, t, sky, o: blur[1 if sky.air == "none" else 0]
    )
    pair = Pair(name="", separation_arcsec=apart, magnitudes=(5.0, 5.0))
    observer = replace(OBSERVER, acuity=sight)
    return pair_marks(tonight, pair, KIT, target("castor"), sky, observer)


@pytest.mark.parametrize(
    ("tonight", "blur", "enough"),
    [
        # 4' of 2" are 120 times (docs/models/power.md).
        (judged(60.0), 150.0, 120.0),
        # The air carries less; or the last power that splits it comes before.
        (judged(60.0), 100.0, 100.0),
        (judged(60.0, 90.0), 150.0, 90.0),
        (judged(60.0, 180.0), 150.0, 120.0),
        # Nothing is wide enough before it is split.
        (judged(135.0), 150.0, 135.0),
        (judged(135.0), 100.0, 135.0),
        (judged(None), 150.0, 120.0),
        (judged(None), None, 120.0),
    ],
)
def test_pair_is_enough_where_it_is_wide_split_and_carried(
    monkeypatch, tonight, blur, enough
) -> None:
    found = of_pair(monkeypatch, tonight, judged(50.0), blur=(blur, 250.0))
    assert found.enough_from == pytest.approx(enough)
    assert found.split_from == tonight.splits_from
    assert found.air_carries == (None if blur is None else max(blur, enough))
    assert found.empty_above == 250.0
    assert found.pair
    if tonight.splits_to is not None:
        assert found.fades_above == max(tonight.splits_to, enough)


@pytest.mark.parametrize(
    ("margins", "enough", "plainly"),
    [
        # 4' of 2" are 120 times, 6' are 180. Over the logarithm of power a margin of 2 at 100 and
        # of 12 at 200 is 7 at 100 times the root of 2; of 2 and 8 at 100 times 2 to the 5/6.
        ((2.0, 12.0), 100.0 * 2.0**0.5, True),
        ((2.0, 8.0), 100.0 * 2.0 ** (5.0 / 6.0), True),
        ((7.0, 8.0), 120.0, True),
        # It never comes to seven; nor to two, so that the pair's own line says "just split".
        ((2.0, 3.0), 180.0, True),
        ((1.2, 1.9), 180.0, False),
    ],
)
def test_pair_whose_gap_is_pale_reads_as_two_with_more_power(
    monkeypatch, margins, enough, plainly
) -> None:
    tonight = judged(60.0, margins=margins)
    found = of_pair(monkeypatch, tonight, judged(50.0), blur=(300.0, 400.0))
    assert found.enough_from == pytest.approx(enough)
    assert found.plainly is plainly
    # Of a pair that is not split it is told how wide it would stand in comfort.
    lost = judged(None, margins=margins)
    assert of_pair(monkeypatch, lost, judged(50.0)).enough_from == pytest.approx(120.0)


def test_duller_eye_wants_a_pair_wider_and_a_keener_one_takes_no_less(monkeypatch) -> None:
    enough = [
        of_pair(monkeypatch, judged(60.0), judged(50.0), blur=(900.0, 900.0), sight=s).enough_from
        for s in (0.5, 1.0, 1.5)
    ]
    assert enough == pytest.approx([240.0, 120.0, 120.0])


def test_lowest_power_that_was_tried_is_none_to_speak_of(monkeypatch) -> None:
    # 20 is the first of the curve; 4' of 30" are 8 times.
    found = of_pair(monkeypatch, judged(20.0), judged(20.0), apart=30.0)
    assert found.split_from == pytest.approx(8.0)
    assert found.better_night_from == pytest.approx(8.0)
    assert of_pair(monkeypatch, judged(21.0), judged(20.0), apart=30.0).split_from == 21.0


@pytest.mark.parametrize(
    ("reason", "ever", "held"),
    [
        ("the two images run together, whatever the power", None, "aperture"),
        ("the companion is too faint beside the bright star", None, "light"),
        ("the two images run together, whatever the power", 80.0, "air"),
    ],
)
def test_pair_that_no_power_splits_is_held_by_what_a_better_night_would_not_take_away(
    monkeypatch, reason, ever, held
) -> None:
    found = of_pair(monkeypatch, judged(None, reason=reason), judged(ever))
    assert (found.held_by, found.reason) == (held, reason)
    assert found.better_night_from == ever
    assert of_pair(monkeypatch, judged(70.0), judged(None)).held_by is None


def test_night_without_air_is_judged_once(monkeypatch) -> None:
    found = of_pair(monkeypatch, judged(70.0), None, sky=SPACE)
    assert found.split_from == found.better_night_from == 70.0


def detail(best: float | None, **more) -> DetailCurve:
    return DetailCurve(
        powers=(50.0, 100.0),
        finest_period_arcsec=(best, best),
        best_period_arcsec=best,
        best_power=None if best is None else 100.0,
        **more,
    )


def of_surface(monkeypatch, tonight, ever, sky=NIGHT):
    curves = (ever if sky.air == "none" else tonight, ever)
    monkeypatch.setattr(room, "judging_curves", lambda k, t, *, sky, observer: curves)
    return marks(KIT, target("jupiter"), sky=sky, observer=OBSERVER)


def test_surface_has_two_marks_of_tonight_and_two_of_the_aperture(monkeypatch) -> None:
    # docs/models/power.md: 2.5' and 4' of the night's period, 4' and 4.6' of the one without air:
    # 3" tonight is 0.05', 2" without air 0.0333'.
    found = of_surface(monkeypatch, detail(3.0), detail(2.0))
    told = (found.enough_from, found.air_carries, found.full_above, found.empty_above)
    assert told == pytest.approx((50.0, 80.0, 120.0, 138.0))
    # A better night carries no tenth more: what is past the air is past the aperture.
    found = of_surface(monkeypatch, detail(2.1), detail(2.0))
    assert found.full_above == found.air_carries == pytest.approx(240.0 / 2.1)
    still = of_surface(monkeypatch, None, detail(2.0), sky=SPACE)
    told = (still.enough_from, still.air_carries, still.empty_above)
    assert told == pytest.approx((75.0, 138.0, 138.0))


def test_surface_without_detail_says_what_holds_it(monkeypatch) -> None:
    dark = of_surface(monkeypatch, detail(None, reason="none"), detail(None))
    assert (dark.held_by, dark.reason, dark.empty_above) == ("light", "none", None)
    air = of_surface(monkeypatch, detail(None, reason="none"), detail(2.0))
    assert (air.held_by, air.enough_from) == ("air", None)
    assert air.empty_above == pytest.approx(138.0)


@pytest.mark.parametrize(
    ("size_deg", "enough_from", "wanted"),
    # 50 degrees of field: half a degree fills it at 100 times, two degrees at 25.
    [(0.5, 70.0, 70.0), (0.5, 130.0, 100.0), (2.0, 70.0, 25.0), (4.0, 70.0, 14.0)],
)
def test_field_of_stars_is_enough_where_its_faintest_show_and_it_fits(
    monkeypatch, size_deg, enough_from, wanted
) -> None:
    curve = StarCurve(
        powers=(14.0, 200.0), limits=(12.0, 13.0), best_power=200.0, enough_from=enough_from
    )
    monkeypatch.setattr(room, "star_curve", lambda *_, **__: curve)
    monkeypatch.setattr(room, "_blur_power", lambda *_: 180.0)
    found = marks(
        KIT,
        replace(target("pleiades"), size_arcsec=3600.0 * size_deg),
        sky=NIGHT,
        observer=OBSERVER,
    )
    # The field is a tangent's or an angle's: some per cent.
    assert found.enough_from == pytest.approx(wanted, rel=0.08)
    assert ("faintest" in found.reason) is (wanted == enough_from)
    assert found.air_carries == 180.0


def test_glow_that_is_not_seen_is_held_by_the_light(monkeypatch) -> None:
    curve = VisibilityCurve(
        powers=(20.0, 200.0),
        above_threshold=(2.0, 1.0),
        best_power=40.0,
        enough_from=30.0,
        fades_above=110.0,
        seen=0.9,
        part_arcsec=100.0,
    )
    monkeypatch.setattr(room, "_blur_power", lambda *_: 150.0)
    for enough, held in ((30.0, None), (None, "light")):
        given = replace(curve, enough_from=enough, reason="" if enough else "too little")
        monkeypatch.setattr(room, "visibility_curve", lambda *_, given=given, **__: given)
        found = marks(KIT, target("m51"), sky=NIGHT, observer=OBSERVER)
        assert (found.enough_from, found.held_by, found.fades_above) == (enough, held, 110.0)
        assert (found.reason == "too little") is (enough is None)


def test_power_that_the_air_carries_is_had_alone_as_with_the_others() -> None:
    for name, sky in (("jupiter", NIGHT), ("m13", NIGHT)):
        alone = carried(KIT, target(name), sky=sky, observer=OBSERVER)
        whole = marks(KIT, target(name), sky=sky, observer=OBSERVER)
        assert alone == pytest.approx(whole.air_carries)
    assert carried(Kit(), target("m13"), sky=NIGHT, observer=OBSERVER) is None


# The outline of a pair that is drawn as one longish star.


def gaussian(r):
    return np.exp(-(np.asarray(r, float) ** 2) / 2.0)


@pytest.mark.parametrize(("apart", "ratio"), [(2.5, 1.0), (3.0, 0.6), (3.5, 1.0), (2.0, 0.8)])
def test_outline_of_two_gaussians_is_as_hollow_as_their_closed_form(apart, ratio) -> None:
    # Light falls off a line through both as exp(-y^2 / 2) everywhere: it is down to a level of the
    # second star's at y = sqrt(2 ln(light / level)).
    x = np.linspace(0.0, apart, 3001)
    line = gaussian(x) + ratio * gaussian(x - apart)
    deepest = 0.0
    for level in (0.5, 0.8):
        wide = np.sqrt(np.maximum(2.0 * np.log(line / (level * line[-1])), 0.0))
        straight = wide[0] + (wide[-1] - wide[0]) * x / apart
        deepest = max(deepest, float((straight - wide).max() / wide[-1]))
    found = hollow(gaussian, apart, [(0.0, 1.0), (apart, ratio)])
    assert found == pytest.approx(max(deepest, 0.0), abs=0.015)


@pytest.mark.parametrize(("apart", "ratio"), [(2.5, 1.0), (2.6, 0.8), (2.9, 0.7)])
def test_pair_is_drawn_out_by_no_more_light_than_it_takes(apart, ratio) -> None:
    found = drawn_out(gaussian, apart, ratio, None)
    assert len(found) == 3
    assert len(set(found)) == 1
    share = found[0]
    assert share == pytest.approx(0.05 * round(share / 0.05))

    def left(share: float) -> float:
        stars = [(0.0, 1.0), (apart, ratio)]
        between = [(part * apart, share * ratio) for part in (0.5, 0.65, 0.8)]
        return hollow(gaussian, apart, stars + between)

    assert left(share - 0.05) > HOLLOW
    assert left(share) <= HOLLOW or math.isclose(share, 0.6)
    assert drawn_out(gaussian, 0.5, ratio, None) == ()
