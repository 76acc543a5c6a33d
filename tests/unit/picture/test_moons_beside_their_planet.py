"""Jupiter outshines its moons in print, and is dim where its light is drawn out too far.

That Jupiter outshines its moons in any telescope, and that they are plain points in the smallest,
is common practice, no source; by published magnitudes (Mallama & Hilton 2018; Allen 1973) its light
is a thousand times theirs.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.eyepiece.orientation import signs
from simview.picture.prints import response
from simview.picture.prints.adapting import adapt
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.srgb import linear
from simview.view import follow


@pytest.mark.parametrize(
    ("telescope", "power"), [("50/600", 30), ("50/600", 100), ("150/750", 75), ("200/1200", 150)]
)
def test_jupiter_outshines_its_moons_and_they_stay_plain(telescope: str, power: float) -> None:
    kit = simview.find_kit(telescope).kit
    view = follow(kit, simview.target("jupiter"), power=power)
    wanted = Wanted(view=view, pixels_per_degree=8.0, pixels=320, star_px=3.0)
    (panel,) = develop_all([wanted]).panels
    grey = panel.astype(float).mean(axis=2)
    middle = grey[150:170, 150:170].max()
    beside = grey.copy()
    beside[140:180, 140:180] = 0.0
    sky = float(np.median(grey))
    assert beside.max() < middle
    assert beside.max() > sky + 40.0  # far above what anybody just sees


@pytest.mark.parametrize("telescope", ["60/700", "150/1200"])
def test_brighter_moons_print_brighter(telescope: str) -> None:
    # Ganymede, Io, Europa, Callisto: V of 4.6, 5.0, 5.3 and 5.7 at opposition (Allen 1973). The
    # glare of Jupiter hides none of them, so the inner ones are no dimmer for it. Observers tell
    # Ganymede and Callisto by their light (common practice).
    view = follow(simview.find_kit(telescope).kit, simview.target("jupiter"), power=80.0)
    scale, pixels = 15.0, 720
    wanted = Wanted(view=view, pixels_per_degree=scale, pixels=pixels, star_px=5.0)
    (panel,) = develop_all([wanted]).panels
    light = np.asarray(linear(panel.astype(float) / 255.0)) @ [0.2126, 0.7152, 0.0722]
    pixel = 3600.0 / (scale * 80.0)
    stars = view.target.scene(pixel_arcsec=2.0, pixels=8).stars
    right, up = signs(view.beam.orientation)
    printed = []
    for x, y in zip(right * stars.x_arcsec / pixel, up * stars.y_arcsec / pixel, strict=True):
        column, row = round(pixels // 2 + x), round(pixels // 2 - y)
        printed.append(light[row - 5 : row + 6, column - 5 : column + 6].sum())
    order = np.argsort(stars.magnitude)
    assert np.all(np.diff(np.array(printed)[order]) < 0.0)
    assert max(printed) > 1.3 * min(printed)


def test_star_of_more_light_than_the_disc_is_not_held_back() -> None:
    levels = response.Levels(
        extent_deg=50.0, white_td=500.0, background_td=0.01, background_scotopic_td=0.02
    )
    sheet = adapt([levels], star_peaks_td=[1.0, 1000.0])
    view = sheet.for_view(500.0)
    free = replace(view, disc_td=0.0)
    brighter = np.array([600.0, 5_000.0])
    assert response.star_print(brighter, view) == pytest.approx(
        np.minimum(response.star_print(brighter, free), response.star_print(brighter, view))
    )
    dimmer = np.geomspace(sheet.star_td, 400.0, 30)
    held = response.star_print(dimmer, view)
    assert np.all(np.diff(held) >= 0.0)
    assert np.all(held >= sheet.star_print - 1e-9)
    assert np.all(held <= float(response.cone_print(500.0, view)))


def test_jupiter_alone_on_its_sheet_prints_dimmer_where_power_is_empty() -> None:
    # Common practice, no source: at an exit pupil of 0.2 mm a planet is murky and grey, at 1 mm
    # and more it is bright; both are looked at one by one.
    kit = simview.find_kit("60/700").kit
    target = simview.target("jupiter")
    brightest = []
    for power in (50.0, 300.0):
        view = follow(kit, target, power=power)
        wanted = Wanted(view=view, pixels_per_degree=60.0, pixels=128)
        (panel,) = develop_all([wanted]).panels
        brightest.append(float(panel.astype(float).mean(axis=2).max()))
    assert brightest[0] > 215.0
    assert brightest[1] < 0.75 * brightest[0]


@pytest.mark.parametrize("name", ["jupiter", "saturn"])
def test_planet_alone_on_its_sheet_is_brighter_in_the_larger_telescope(name: str) -> None:
    # Common practice, no source: at the same power a larger telescope shows a planet brighter, but
    # an adapted eye calls 1.8 times the light far less than 1.8 times as bright.
    target = simview.target(name)
    brightest = []
    for named in ("100/1200", "150/1200", "200/1200"):
        view = follow(simview.find_kit(named).kit, target, power=200.0)
        wanted = Wanted(view=view, pixels_per_degree=60.0, pixels=128)
        (panel,) = develop_all([wanted]).panels
        brightest.append(float(panel.astype(float).mean(axis=2).max()))
    assert brightest[0] < brightest[1] - 2.0 < brightest[2] - 4.0
    assert brightest[2] < 1.3 * brightest[0]
