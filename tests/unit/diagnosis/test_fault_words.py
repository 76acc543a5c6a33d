"""What is said of a wavefront: the fault's name, its direction, and the screw to turn."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

import simview
from simview.diagnosis.found_faults import Held, assumed, found
from simview.diagnosis.howto import how
from simview.kit import Diagonal, Kit, Telescope, Wavefront
from simview.telescope.coma import paraboloid_coma_waves
from simview.telescope.faults import parse
from simview.telescope.screws import Screws
from simview.telescope.wavefront import path_waves

MODES = tuple(range(5, 16))
SCOPE = Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3)
KIT = Kit(telescope=SCOPE)
UPRIGHT = Held()
LENS = Kit(telescope=Telescope(aperture_mm=80.0, focal_length_mm=900.0, objective="achromat"))


def told(kit: Kit = KIT, held: Held = UPRIGHT, sigma: float = 0.003, **noll: float):
    values = np.array([noll.get(f"z{mode}", 0.0) for mode in MODES])
    return found(MODES, values, sigma**2 * np.eye(len(MODES)), kit, held)


@pytest.mark.parametrize(
    ("field", "noll"),
    [
        ("coma", {"z8": 0.06 * math.cos(0.5), "z7": 0.06 * math.sin(0.5)}),
        ("astigmatism", {"z6": 0.06 * math.cos(1.0), "z5": 0.06 * math.sin(1.0)}),
        ("trefoil", {"z10": 0.06 * math.cos(1.2), "z9": 0.06 * math.sin(1.2)}),
    ],
)
def test_fault_has_amount_and_angle_of_the_star_test(field: str, noll: dict[str, float]) -> None:
    """The named form with amount and angle as told is the same map as Noll's pair."""
    fault = told(**noll)[0]
    named = Wavefront(**{field: fault.pv_waves, f"{field}_angle_deg": fault.angle_deg})
    pair = Wavefront(noll={int(key[1:]): waves for key, waves in noll.items()})
    assert path_waves(named, 64) == pytest.approx(path_waves(pair, 64), abs=1e-12)


def test_spherical_aberration_is_named_by_its_sign() -> None:
    """Positive is undercorrection, see Wavefront; 4 A (r^4 - r^2) = A 2 / (3 sqrt 5) Z11 + ..."""
    under, over = told(z11=0.07)[0], told(z11=-0.07)[0]
    assert (under.name, over.name) == ("undercorrection", "overcorrection")
    kind = parse(f"{under.name}={under.pv_waves}")
    assert kind.amount * 2.0 / (3.0 * math.sqrt(5.0)) == pytest.approx(0.07)


@pytest.mark.parametrize("turns", [(0.3, 0.0, 0.0), (0.0, -0.4, 0.0), (0.0, 0.0, 0.5)])
def test_screw_that_was_turned_is_the_one_to_turn_back(turns: tuple[float, ...]) -> None:
    """`collimation` knows the sheet's rule, which tests/truth holds to exact rays."""
    screws = Screws(scope=SCOPE)
    view = simview.collimation(KIT, turns=turns, pixels=32)
    tilt = screws.tilt((turns[0], turns[1], turns[2]))
    coma = paraboloid_coma_waves(SCOPE, abs(tilt)) / (2.0 * math.sqrt(8.0))
    angle = math.atan2(tilt.imag, tilt.real)
    fault = told(z8=coma * math.cos(angle), z7=coma * math.sin(angle))[0]
    assert fault.name == "miscollimation"
    assert view.next is not None
    letter, back = view.next
    hour = {"A": 12, "B": 8, "C": 4}[letter]
    assert f"screw at {hour} o'clock" in fault.do
    assert ("anticlockwise" in fault.do) is (back < 0.0)


def test_held_photograph_turns_the_screw_along() -> None:
    loose = told(z7=0.08)
    upright = loose[0]
    # The same star, the photograph turned a third of a circle anticlockwise.
    angle = math.radians(90.0 + 120.0)
    held = Held(up_deg=210.0)
    third = told(held=held, z8=0.08 * math.cos(angle), z7=0.08 * math.sin(angle))
    assert upright.do == third[0].do
    assert "--up" in " ".join(assumed(loose, Held()))
    assert "--up" not in " ".join(assumed(third, held))
    assert "4 and 8 o'clock" in assumed(third, held)[0]
    assert assumed(told(z7=0.01), Held()) == ()


@pytest.mark.parametrize("held", [Held(), Held(up_deg=120.0), Held(up_deg=90.0, mirrored=True)])
@pytest.mark.parametrize("high", [90.0, 75.0, -40.0])
def test_clip_that_presses_is_told_from_both_ends(held: Held, high: float) -> None:
    """Where the path is longest early, on the map itself, the words say that the glass is high."""
    # As the photograph shows what stands at `high` at the tube, seen from behind.
    seen = 180.0 - high if held.mirrored else high
    seen += 0.0 if held.up_deg is None or held.mirrored else held.up_deg - 90.0
    three = math.radians(3.0 * seen)
    fault = told(held=held, z10=0.08 * math.cos(three), z9=0.08 * math.sin(three))[0]
    assert fault.name == "pinched"
    y, x = np.mgrid[1.0:-1.0:201j, -1.0:1.0:201j]
    wave = path_waves(Wavefront(trefoil=fault.pv_waves, trefoil_angle_deg=high), 201)
    rim = np.hypot(x, y) < 0.98
    row, column = np.unravel_index(np.where(rim, wave, -np.inf).argmax(), wave.shape)
    hour = (90.0 - math.degrees(math.atan2(y[row, column], x[row, column]))) / 30.0 % 12.0
    back, front = re.findall(r"high at ([\d:]+), ([\d:]+) and ([\d:]+)", fault.do)
    for words, place in ((back, hour), (front, -hour)):
        hours = [float(w.replace(":30", ".5")) for w in words]
        assert min(abs((h - place + 6.0) % 12.0 - 6.0) for h in hours) <= 0.3
    assert ("--up" in " ".join(assumed((fault,), held))) == (held.up_deg is None)


def test_mirrored_photograph_exchanges_left_and_right() -> None:
    right = Held(up_deg=90.0).at_tube(0.0)
    assert right == pytest.approx(0.0)
    assert Held(up_deg=90.0, mirrored=True).at_tube(0.0) == pytest.approx(180.0)
    assert Held(up_deg=90.0, mirrored=True).at_tube(90.0) == pytest.approx(90.0)


def test_lens_has_no_screws_of_a_mirror() -> None:
    fault = told(LENS, z7=0.08)[0]
    assert fault.name == "coma"
    assert "o'clock" not in fault.do
    # Exact rays: a lens free of coma shows astigmatism when it is tilted, and no coma.
    assert "which hardly helps" in fault.do


def test_small_fault_asks_for_nothing() -> None:
    assert {fault.do for fault in told(z7=0.01)} == {"Nothing."}


def test_sureness_follows_from_the_error() -> None:
    sure, unsure = told(sigma=0.003, z7=0.03)[0], told(sigma=0.03, z7=0.03)[0]
    assert sure.sure > 0.99
    assert 0.1 < unsure.sure < 0.7


@pytest.mark.parametrize("ratio", [4.0, 5.0, 8.0, 10.0])
def test_how_tells_the_travel_of_the_focuser(ratio: float) -> None:
    """Travel of W waves: 8 F^2 W lambda (Born & Wolf, section 8.8)."""
    scope = Telescope(aperture_mm=100.0, focal_length_mm=100.0 * ratio)
    told_ = how(Kit(telescope=scope, diagonal=Diagonal()))
    assert told_.travel_mm == pytest.approx(8.0 * ratio**2 * 6.0 * 550e-6)
    assert any(f"{told_.travel_mm:.1f} mm" in step for step in told_.steps())
    # Width of the disc: the cone's at that distance, seen over the focal length.
    disc = told_.travel_mm / ratio / scope.focal_length_mm * 206264.8
    assert told_.disc_arcsec == pytest.approx(disc)
