"""The quick light path against the full one: the same brightness, size and place."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

import simview
from simview.demo import kit_path
from simview.eye.closescatter import close_transfer
from simview.glide import Glide
from simview.kit import Kit, Observer, Sky
from simview.view import View

SKY = Sky(seeing_arcsec=2.0, sky_mag_arcsec2=20.5, altitude_deg=45.0)
PIXELS = 160
FINER = 3  # an odd number keeps the middle of a pixel on the middle of one


def seen(name: str, power: float, **more: float) -> View:
    kit = simview.load_kit(kit_path("demo:tabletop-150"))
    return simview.look(kit, name, power=power, sky=SKY, observer=Observer(**more))


def scale(view: View, degrees: float | None = None) -> float:
    return PIXELS / (degrees or view.beam.apparent_field_deg)


def both(view: View, degrees: float | None = None) -> tuple[NDArray[np.float32], ...]:
    """Luminance in troland: as `View.expose` has it on finer pixels, and as the glide has it."""
    per_degree = scale(view, degrees)
    fine = view.expose(pixels_per_degree=FINER * per_degree, pixels=FINER * PIXELS).extended[1]
    # Pixels of the picture lie about its middle one, n // 2: shifted by half a fine block.
    fine = np.roll(fine, FINER // 2, axis=(0, 1))
    full = fine.reshape(PIXELS, FINER, PIXELS, FINER).mean(axis=(1, 3))
    quick = Glide(view.target.name).expose(view, pixels_per_degree=per_degree, pixels=PIXELS)
    return full[1:, 1:], quick.extended[1][1:, 1:]


# Powers at a level's own pixel, between two levels, and where the eye stops the telescope down.
# A fiftieth of the light: a sixth of the least step of brightness that an eye tells (Weber's share,
# about a tenth in dim light; common practice, no source).
@pytest.mark.parametrize("power", [20.0, 75.0, 128.0, 400.0])
def test_planet_has_the_light_of_the_full_path(power: float) -> None:
    full, quick = both(seen("jupiter", power), 6.0)
    assert quick.sum() == pytest.approx(full.sum(), rel=0.02)
    assert quick.max() == pytest.approx(full.max(), rel=0.03)
    error = np.abs(quick - full).mean() / full.mean()
    assert error < (0.06 if power > 30.0 else 0.1)


def middle(plane: NDArray[np.float32]) -> tuple[float, float, float]:
    """Mean place (rows, columns) and root mean square size of the light, pixels."""
    plane = np.maximum(plane - np.percentile(plane, 20.0), 0.0)
    y, x = np.indices(plane.shape)
    total = plane.sum()
    cy, cx = (plane * y).sum() / total, (plane * x).sum() / total
    return cy, cx, float(np.sqrt((plane * ((y - cy) ** 2 + (x - cx) ** 2)).sum() / total))


@pytest.mark.parametrize("power", [60.0, 97.0])
def test_planet_stands_where_it_does_at_rest_and_is_as_large(power: float) -> None:
    full, quick = (middle(plane) for plane in both(seen("saturn", power), 4.0))
    # A tenth of a pixel: neither jumps to be seen.
    assert quick[0] == pytest.approx(full[0], abs=0.1)
    assert quick[1] == pytest.approx(full[1], abs=0.1)
    assert quick[2] == pytest.approx(full[2], rel=0.02)


def test_whole_field_is_bent_by_the_eyepiece_as_at_rest() -> None:
    full, quick = both(seen("moon", 75.0))
    assert quick.mean() == pytest.approx(full.mean(), rel=0.03)
    # What is left is the blur at the field's edge, which the glide leaves out.
    assert np.abs(quick - full).mean() / full.mean() < 0.08


@pytest.mark.parametrize("degrees", [2.0, None], ids=["middle", "whole field"])
def test_stars_bring_the_same_light_to_the_same_place(degrees: float | None) -> None:
    view = seen("castor" if degrees else "pleiades", 100.0)
    wanted = {"pixels_per_degree": scale(view, degrees), "pixels": PIXELS, "star_px": 2.0}
    full = view.expose(**wanted)  # type: ignore[arg-type]
    quick = Glide(view.target.name).expose(view, **wanted)  # type: ignore[arg-type]
    a, b = full.retina().points[1], quick.retina().points[1]
    assert b.sum() == pytest.approx(a.sum(), rel=0.03)
    assert middle(b) == pytest.approx(middle(a), rel=0.03)
    # The two frames hold faint stars of different corners: the brightest are compared.
    for found, known, part in (
        (quick.star_spots(), full.star_spots(), 0.02),
        (quick.star_peaks(), full.star_peaks(), 0.15),
    ):
        assert np.sort(found)[-2:] == pytest.approx(np.sort(known)[-2:], rel=part)


def test_cluster_s_haze_and_the_field_s_edge_are_as_bright_as_at_rest() -> None:
    # Both go the same way through the eyepiece: the sky dims where it is drawn larger, and stars
    # that are not seen one by one shine in the cluster's own shape.
    from simview.picture.prints.judging import judged

    view = seen("m13", 75.0)
    wanted = {"pixels_per_degree": scale(view), "pixels": PIXELS}
    full = judged(view, view.expose(**wanted)).extended[1]  # type: ignore[arg-type]
    quick = judged(view, Glide("m13").expose(view, **wanted)).extended[1]  # type: ignore[arg-type]
    core = (slice(76, 85), slice(76, 85))
    edge = (slice(70, 90), slice(12, 24))
    assert quick[core].mean() == pytest.approx(full[core].mean(), rel=0.05)
    assert quick[edge].mean() == pytest.approx(full[edge].mean(), rel=0.05)


def test_power_that_moves_a_little_changes_light_a_little() -> None:
    # Levels change at 2^(k/2) arcsec a pixel and glare at 2^(k/4) times: no step shows there.
    glide, sums = Glide("jupiter"), []
    powers = np.geomspace(90.0, 130.0, 24)
    for power in powers:
        view = seen("jupiter", float(power))
        shown = glide.expose(view, pixels_per_degree=scale(view, 6.0), pixels=PIXELS)
        sums.append(shown.extended[1].sum())
    steps = np.diff(np.log(sums))
    assert np.ptp(steps) < 0.004


def test_scatter_close_by_sums_to_the_published_share() -> None:
    # At frequency 0 the transfer is the whole share: CIE 146's veil from 0.1 deg on, weighed by
    # the fade between 0.3 and 1.2 deg, here by a sum over rings of its own.
    age = 40.0
    angle = np.linspace(0.1, 1.2, 20001)
    veil = 10.0 / angle**3 + (5.0 / angle**2 + 0.1 * 0.5 / angle) * (1.0 + (age / 62.5) ** 4)
    veil += 0.0025 * 0.5
    fade = np.cos(np.pi / 2.0 * np.clip((angle - 0.3) / 0.9, 0.0, 1.0)) ** 2
    rings = 2.0 * np.pi * np.sin(np.radians(angle)) * np.radians(angle[1] - angle[0])
    share = float((veil * fade * rings).sum())
    assert close_transfer(np.zeros(1), age)[0] == pytest.approx(share, rel=0.01)


def test_kit_of_one_eyepiece_and_any_age_can_glide() -> None:
    view = seen("jupiter", 75.0, age_years=70.0)
    kit: Kit = view.kit
    assert kit.telescope is not None
    shown = Glide("x").expose(view, pixels_per_degree=6.0, pixels=64)
    assert shown.extended.shape == (4, 64, 64)
