"""Collimation from end to end for folded telescopes: secondary's screws, a Maksutov's primary.

As test_collimation_loop.py does for a Newtonian, somebody looks at the pattern only, has the
sheet's three sentences only, and turns screws until they say stop. Where the star goes as a screw
is turned, and how much coma is left at the end, come from exact rays whose tilts, reflections and
refractions an independent program confirms (test_layout_rays.py); the lean of the mirror comes
from the plane through three lifted points, solved here.

A hundred starts for each layout take some two minutes of one core and are run by hand:

    python tests/truth/test_folded_loop.py

2026-11-27: Cassegrain 100 of 100, Schmidt-Cassegrain 100 of 100, Maksutov 100 of 100.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.typing import NDArray
from test_collimation_loop import ARCSEC, VIEWS, WAVE_MM, Hobbyist, alike, turned

import simview
from simview.telescope.layouts.misplaced import layout_of
from simview.telescope.layouts.ray_wavefront import Layout, arrival, beam, centred, coefficients
from simview.telescope.layouts.surfaces import trace

Floats = NDArray[np.float64]
Turns = tuple[float, float, float]

# Which mirror the screws tilt, the circle they stand on in apertures, and their thread.
SCREWED = {
    "cassegrain": ("secondary", 0.4 * 0.33, 0.7),
    "schmidt-cassegrain": ("secondary", 0.4 * 0.34, 0.7),
    "maksutov": ("primary", 0.7, 1.0),
}
SIZES = {
    "cassegrain": (200.0, 2400.0, 0.33),
    "schmidt-cassegrain": (203.0, 2030.0, 0.34),
    "maksutov": (127.0, 1500.0, 0.33),
}


@dataclass(frozen=True)
class Folded:
    """A folded telescope whose mirror is turned by three screws at 90, 210 and 330 degrees."""

    layout: str
    turns: Turns = (0.0, 0.0, 0.0)

    @property
    def aperture_mm(self) -> float:
        return SIZES[self.layout][0]

    @property
    def obstruction(self) -> float:
        return SIZES[self.layout][2]

    def surfaces(self) -> Layout:
        """The mirror's plane goes through three points lifted towards the sky."""
        part, circle, pitch = SCREWED[self.layout]
        points = [
            [
                circle / 2.0 * self.aperture_mm * math.cos(math.radians(angle)),
                circle / 2.0 * self.aperture_mm * math.sin(math.radians(angle)),
                turn * pitch,
            ]
            for angle, turn in zip((90.0, 210.0, 330.0), self.turns, strict=True)
        ]
        a, b, c = np.array(points)
        normal = np.cross(b - a, c - a)
        normal /= normal[2]  # towards the sky
        lean = np.arctan(np.hypot(*normal[:2])) / max(float(np.hypot(*normal[:2])), 1e-15)
        layout = layout_of(self.layout, *SIZES[self.layout][:2])
        return layout.with_parts((part,), lean=(float(lean * normal[0]), float(lean * normal[1])))

    def star_goes(self, name: str, turn: float) -> complex:
        """Where the centred star goes on the sky as a screw is turned, telescope at rest."""
        here = self.surfaces()
        star = centred(here)
        moved = replace(self, turns=turned(self.turns, name, turn)).surfaces()
        shift = arrival(moved, star, 550.0)
        # What one radian to the right, and upwards, on the sky is in the focal plane.
        sky = [
            (arrival(moved, (star[0] + dx, star[1] + dy), 550.0) - shift) / 1e-5
            for dx, dy in ((1e-5, 0.0), (0.0, 1e-5))
        ]
        right, up = np.linalg.solve(np.array(sky).T, shift)
        return complex(right, up)

    def coma_waves(self) -> float:
        """Coma of the star in the middle of the field, peak to valley, tilt removed."""
        here = self.surfaces()
        return 2.0 * math.sqrt(8.0) * math.hypot(*coefficients(here, centred(here))[7:9])

    def pattern(self, defocus_waves: float, pixel_arcsec: float, pixels: int) -> Floats:
        """The star by Huygens' sum over rays' ways to points near the focus, free of Zernikes."""
        here = self.surfaces()
        star = centred(here)
        node = (np.arange(120) + 0.5) / 60.0 - 1.0
        x, y = (g.ravel() for g in np.meshgrid(node, node))
        keep = (np.hypot(x, y) <= 1.0) & (np.hypot(x, y) >= self.obstruction)
        points = np.stack((x[keep], y[keep]), axis=1)
        rays = trace(here.surfaces, beam(here, star, points), 550.0)
        focus = np.array([0.0, 0.0, here.image_mm])
        off = rays.point - focus
        along = np.einsum("ij,ij->i", off, rays.direction)
        reach = np.sqrt(along**2 - (off**2).sum(axis=1) + 400.0**2)
        early = -(rays.path_mm - along - reach) / WAVE_MM
        # The star's place and focus: the light's best plane and best sphere taken out.
        shapes = np.c_[np.ones(len(points)), points, (points**2).sum(axis=1)]
        early = early - shapes @ np.linalg.lstsq(shapes, early, rcond=None)[0]
        phase = early + defocus_waves * (points**2).sum(axis=1)
        place = (np.arange(pixels) - pixels // 2) * pixel_arcsec * ARCSEC
        scale = self.aperture_mm / 2.0 / WAVE_MM
        right = np.exp(-2j * np.pi * scale * np.outer(place, points[:, 0]))
        up = np.exp(-2j * np.pi * scale * np.outer(-place, points[:, 1]))
        return np.asarray(np.abs((up * np.exp(2j * np.pi * phase)) @ right.T) ** 2)


def kit_of(bench: Folded) -> simview.Kit:
    aperture, focal, obstruction = SIZES[bench.layout]
    scope = simview.Telescope(aperture_mm=aperture, focal_length_mm=focal, obstruction=obstruction)
    return simview.Kit(telescope=scope, layout=bench.layout)


class FoldedHobbyist(Hobbyist):
    """Has a folded telescope."""

    @property
    def kit(self) -> simview.Kit:
        return kit_of(self.bench)


def begun(start: int, layout: str) -> Folded:
    """A mirror 1.2 to 3.5 quarter waves out of line, all three screws somewhere."""
    chance = np.random.default_rng(1000 + start)
    turns = chance.normal(size=3)
    small = replace(Folded(layout), turns=tuple(1e-3 * turns)).coma_waves()
    turns *= 1e-3 * chance.uniform(1.2, 3.5) * 0.25 / small
    return Folded(layout, turns=tuple(turns))


def ends_within(start: int, layout: str) -> bool:
    chance = np.random.default_rng(start)
    bench = begun(start, layout)
    assert 1.15 * 0.25 < bench.coma_waves() < 3.6 * 0.25
    how = float(chance.choice((5.0, -5.0, 7.0))), str(chance.choice(list(VIEWS)))
    return FoldedHobbyist(bench, *how).collimate().coma_waves() < 0.25


@pytest.mark.parametrize("layout", SIZES)
@pytest.mark.parametrize("start", range(3))
def test_following_the_sheet_ends_inside_the_tolerance(start, layout):
    assert ends_within(start, layout)


@pytest.mark.parametrize("layout", SIZES)
@pytest.mark.parametrize("defocus", [5.0, -5.0])
def test_pattern_is_that_of_exact_rays(defocus, layout):
    bench = begun(3, layout)
    unit_arcsec = WAVE_MM / bench.aperture_mm / ARCSEC
    how = {"pixel_arcsec": 0.6 * unit_arcsec, "pixels": 96}
    shown = simview.collimation(kit_of(bench), turns=bench.turns, defocus_waves=defocus, **how)
    other = simview.collimation(
        kit_of(bench), turns=tuple(-t for t in bench.turns), defocus_waves=defocus, **how
    )
    exact = bench.pattern(defocus, *how.values())
    # Rays from 120 points across against a grey pupil.
    assert alike(shown.image, exact) > 0.99
    assert alike(other.image, exact) < 0.9


if __name__ == "__main__":
    for name in SIZES:
        done = sum(ends_within(start, name) for start in range(100))
        print(f"{name}: {done} of 100 end inside the tolerance", flush=True)
