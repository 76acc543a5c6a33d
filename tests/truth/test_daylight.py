"""What is seen by day through the focuser, against constructions on paper.

Seen in a plane mirror, a thing stands where its mirror image does (Euclid's Catoptrics; Born &
Wolf, Principles of Optics, 4.2): circles are found here by imaging whole rims in the flat's plane
and projecting them from the hole, no ray being followed. Where the way goes over the primary too,
an independent program's rays decide (test_flat_rays.py).
"""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.errors import SimviewError
from simview.kit import Telescope
from simview.kitword import find_kit
from simview.picture import again
from simview.picture.collimation.daylight_sheet import Daylight, daylight, figures
from simview.telescope.daylight import (
    IN_FLAT,
    IN_PRIMARY,
    ByDay,
    Part,
    seen_along,
    set_off,
)
from simview.telescope.flat import Hung, height_mm, offset_mm

SCOPE = Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3, vanes=4, vane_mm=1.0)


def plane_frame(hung: Hung, turned: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The flat's own out, across and axis: turned about the tube's axis, then leant."""
    angle = math.radians(hung.focuser_deg) + turned
    out = np.array([math.cos(angle), math.sin(angle), 0.0])
    across = np.array([-math.sin(angle), math.cos(angle), 0.0])
    lean, way = abs(hung.lean), cmath.phase(hung.lean)
    hinge = np.array([-math.sin(way), math.cos(way), 0.0])

    def leant(v: np.ndarray) -> np.ndarray:
        return (
            math.cos(lean) * v
            + math.sin(lean) * np.cross(hinge, v)
            + (1.0 - math.cos(lean)) * (hinge @ v) * hinge
        )

    return leant(out), leant(across), leant(np.array([0.0, 0.0, 1.0]))


def outlines(by_day: ByDay) -> tuple[np.ndarray, np.ndarray]:
    """Slopes, right and up, of the flat's edge and of the primary's rim seen in the flat."""
    scope, hung = by_day.scope, by_day.hung
    out, across, sky = plane_frame(hung, by_day.turned)
    centre = np.array([hung.shift_mm.real, hung.shift_mm.imag, height_mm(scope) + hung.along_mm])
    angle = np.linspace(0.0, 2.0 * math.pi, 721)[:, None]
    half = 0.5 * scope.obstruction * scope.aperture_mm
    # An ellipse in the plane, round along the holder's axis, cut at 45 degrees.
    edge = centre + half * (np.cos(angle) * (out + sky) + np.sin(angle) * across)
    normal = (out - sky) / math.sqrt(2.0)
    rim = np.hstack((np.cos(angle), np.sin(angle), 0.0 * angle)) * scope.aperture_mm / 2.0
    rim[:, 2] = (scope.aperture_mm / 2.0) ** 2 / (4.0 * scope.focal_length_mm)
    image = rim - 2.0 * ((rim - centre) @ normal)[:, None] * normal
    way, right, up = by_day.axes
    hole = by_day.hole_mm * way + height_mm(scope) * up
    found = []
    for points in (edge, image):
        off = points - hole
        found.append(np.stack((off @ right, off @ up), axis=1) / (off @ -way)[:, None])
    return found[0], found[1]


HUNG = set_off(SCOPE, 30.0)
CASES = {
    "in line": ByDay(scope=SCOPE, hung=HUNG),
    "not set off": ByDay(scope=SCOPE, hung=Hung(focuser_deg=-100.0)),
    "leans": ByDay(scope=SCOPE, hung=replace(HUNG, lean=complex(0.006, -0.004))),
    "aside": ByDay(scope=SCOPE, hung=replace(HUNG, shift_mm=complex(2.0, 3.0), along_mm=-3.0)),
    "turned": ByDay(scope=SCOPE, hung=HUNG, turned=0.02),
}


@pytest.mark.parametrize("name", CASES)
def test_circles_stand_where_their_mirror_images_do(name: str) -> None:
    by_day = CASES[name]
    edge, rim = outlines(by_day)
    for line, inside in ((edge, IN_FLAT), (rim, IN_PRIMARY)):
        middle = line.mean(axis=0)
        # Just within and just without the line, a thousandth of the focuser's edge: where both
        # lines run, the primary shows only within the flat; clips are left out.
        step = 2e-3 * by_day.half_width
        away = (line - middle) / np.linalg.norm(line - middle, axis=1)[:, None]
        within, without = (seen_along(by_day, line + sign * step * away) for sign in (-1, 1))
        clear = (within != Part.CLIP) & (without != Part.CLIP)
        if inside is IN_PRIMARY:
            clear &= np.isin(seen_along(by_day, line + 2 * step * away), IN_FLAT)
        assert clear.sum() > 0.5 * len(line)
        assert np.isin(within[clear], inside).mean() > 0.99
        assert np.isin(without[clear], inside).mean() < 0.01


@pytest.mark.parametrize("ratio", [4.0, 5.0, 8.0])
@pytest.mark.parametrize("field_mm", [0.0, 8.0])
def test_offset_is_that_of_a_cone_cut_by_a_plane(ratio: float, field_mm: float) -> None:
    # The outermost light on either side, from the primary's rim to the edge of the field, and the
    # plane at 45 degrees, far from the focus, met by hand.
    aperture, far = 150.0, 160.0
    slope = (aperture / 2.0 - field_mm) / (ratio * aperture)
    widths = (field_mm + slope * far) / (1.0 - slope), (field_mm + slope * far) / (1.0 + slope)
    scope = Telescope(
        aperture_mm=aperture, focal_length_mm=ratio * aperture, obstruction=sum(widths) / aperture
    )
    # The rim's slope to the focus is taken for that to the field's edge.
    allowed = aperture / (aperture - 2.0 * field_mm) - 1.0 + 1e-9
    assert offset_mm(scope) == pytest.approx((widths[0] - widths[1]) / 2.0, rel=allowed)


def test_in_line_the_circles_share_a_middle_and_the_hole_sees_itself() -> None:
    edge, rim = outlines(CASES["in line"])
    size = CASES["in line"].half_width
    # The offset is for light to the whole field; this flat is larger than the cone to the hole,
    # and stands off it by what is hardly seen.
    assert np.linalg.norm(edge.mean(axis=0) - rim.mean(axis=0)) < 0.04 * size
    assert seen_along(CASES["in line"], np.zeros((1, 2)))[0] == Part.HOLE
    told = figures(Daylight(kit=simview.Kit(telescope=SCOPE, layout="newtonian")))["rows"][0]
    for name in ("secondary", "primary", "reflection", "hole"):
        assert math.hypot(told[f"{name}_right"], told[f"{name}_up"]) < 0.04


def test_each_wrong_case_shows_what_its_words_say() -> None:
    asked = Daylight(kit=find_kit("150/750").kit)
    rows = {row["case"]: row for row in figures(asked)["rows"]}
    still = rows["in line"]
    # Too near the sky: the secondary is up in the picture, whose top is the tube's open end.
    assert rows["secondary too far out"]["secondary_up"] > still["secondary_up"] + 0.1
    # Turned or leaning: the secondary's edge hardly moves, what is seen in it does.
    for name, way in (("secondary turned", "right"), ("secondary leans", "up")):
        row = rows[name]
        assert abs(row[f"secondary_{way}"] - still[f"secondary_{way}"]) < 0.02
        assert abs(row[f"primary_{way}"] - still[f"primary_{way}"]) > 0.08
    assert abs(rows["secondary off to a side"]["secondary_right"]) > 0.1
    # The primary's own lean moves nothing but what is seen in the primary.
    row = rows["primary leans"]
    assert row["secondary_up"] == pytest.approx(still["secondary_up"], abs=1e-3)
    assert row["primary_up"] == pytest.approx(still["primary_up"], abs=0.02)
    assert abs(row["hole_up"] - still["hole_up"]) > 0.05


def test_sheet_is_made_again_and_tells_of_the_sun() -> None:
    asked = Daylight(kit=find_kit("150/750").kit, focuser_deg=40.0)
    made = daylight(asked, size=(960, 540))
    assert np.array_equal(np.asarray(again.redo(made.recipe).image), np.asarray(made.image))


@pytest.mark.parametrize("word", ["80/900", "sct 203/2032"])
def test_what_has_no_flat_is_refused(word: str) -> None:
    with pytest.raises(SimviewError, match=r"Newtonian"):
        Daylight(kit=find_kit(word).kit)
