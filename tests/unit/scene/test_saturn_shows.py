"""What Saturn shows: its globe's shadow, its belts, its rings' surge."""

from __future__ import annotations

import math

import numpy as np
import pytest
from skyfield import magnitudelib

from simview.scene.saturn import ring_surge
from simview.scene.targets import target


# Saturn's tilt by the library that dates use, which JPL's DE421 confirms elsewhere.
def test_titles_say_how_far_the_rings_are_open() -> None:
    assert target("saturn").title.endswith("open 20°")
    assert target("saturn", date="2021-01-20T12:00").title.endswith("open 20°")
    assert target("saturn", date="2026-10-04").title.endswith("open 7°")


# Franklin & Cook 1965, AJ 70, 704: the rings brighten by 0.25 to 0.35 mag in V towards opposition
# (memory), nearly all of it within 2 deg.
def test_rings_surge_as_published() -> None:
    assert 2.5 * math.log10(ring_surge(0.0, 20.0)) == pytest.approx(0.30, abs=0.06)
    assert ring_surge(2.5, 20.0) == pytest.approx(1.0, abs=0.002)


# The globe's light stays, so the rings take all that the whole gains by Mallama & Hilton 2018; the
# drawn rings give a little more of the whole than those published, hence 6 %.
def test_rings_alone_gain_at_opposition() -> None:
    def parts(phase: float) -> tuple[float, float]:
        shown = target("saturn", phase_deg=phase, tilt_deg=20.0)
        plane = shown.scene(pixel_arcsec=0.2, pixels=240).planes[1].astype(float)
        x = (np.arange(240) - 120) * 0.2
        ansae = np.abs(x) > 12.0
        return plane[:, ansae].sum(), plane[115:125, 112:128].mean()

    ring, globe = parts(0.0)
    ring_off, globe_off = parts(2.5)
    dimmer = 10 ** (-0.4 * 0.026 * 2.5)
    assert ring / ring_off == pytest.approx(ring_surge(0.0, 20.0) / dimmer, rel=0.06)
    assert globe / globe_off == pytest.approx(1.0 / dimmer, rel=0.06)
    whole = [
        float(magnitudelib._saturn_magnitude(9.5549, 8.5549, phase, 20.0, 20.0, True))
        for phase in (0.0, 2.5)
    ]
    assert ring / ring_off > 10 ** (-0.4 * (whole[0] - whole[1]))


# A shadow from 5.5 deg aside: on the far half of the rings, on one side of the globe only.
def test_globe_throws_its_shadow_on_the_rings() -> None:
    shown = target("saturn")
    plane = shown.scene(pixel_arcsec=0.05, pixels=960).planes[1].astype(float)
    rows, columns = np.indices(plane.shape)
    x, y = (columns - 480) * 0.05, (480 - rows) * 0.05
    # Far half of the B ring, 100 000 to 116 000 km, just outside the globe's edge.
    km = 60268.0 / 9.714
    reach = np.hypot(x, y / math.sin(math.radians(20.0))) * km
    far = (reach > 1.0e5) & (reach < 1.16e5) & (y > 0.0)
    beside = {side: far & (side * x > 9.0) & (side * x < 12.0) for side in (-1, 1)}
    dark = {
        side: (plane[where] < 0.3 * np.median(plane[far])).sum() for side, where in beside.items()
    }
    assert max(dark.values()) * 0.05**2 > 0.2
    assert min(dark.values()) < 0.1 * max(dark.values())
