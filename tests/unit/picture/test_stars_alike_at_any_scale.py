"""A bright star has one haze and one colour in print, whether its picture is coarse or fine."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview import srgb
from simview.air.conditions import conditions
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.scene.targets import target
from simview.starters import starter

# Pixels per degree of a whole field on a sheet of 1080 lines, and of a loupe.
COARSE, FINE = 15.3, 105.0


def prints(name, telescope, power):
    """Return the star's surroundings as linear light, coarse and fine, as one sheet prints them."""
    kit, _ = starter(telescope)
    seen = target(name)
    sky, observer = conditions((kit,), seen, None, None)
    view = simview.look(kit, seen, power=power, sky=sky, observer=observer)
    wanted = [
        Wanted(view=view, pixels_per_degree=COARSE, pixels=300, star_px=3.0),
        Wanted(view=view, pixels_per_degree=FINE, pixels=400, star_px=3.0),
    ]
    return [srgb.linear(panel / 255.0) for panel in develop_all(wanted).panels]


def haze(light, scale, within_arcmin):
    """Return the mean colour of a ring around the brightest place, the sky's taken off."""
    total = light.sum(axis=2)
    heavy = total > 0.9 * total.max()
    rows, columns = (at.mean() for at in np.nonzero(heavy))
    y, x = np.indices(total.shape)
    away = np.hypot(x - columns, y - rows) / scale * 60.0
    low, high = within_arcmin
    ring = (away >= low) & (away < high)
    # The companion is no haze.
    middle = np.median(light[ring], axis=0)
    edge = light[:8, :8] if scale == COARSE else light[:3]
    return middle - np.median(edge.reshape(-1, 3), axis=0)


@pytest.mark.parametrize("name", ["rigel", "mizar"])
@pytest.mark.parametrize("telescope", ["60/700", "150/1200"])
def test_haze_of_a_star_is_alike_in_a_whole_field_and_in_a_loupe(name, telescope):
    # An eye has but one haze. Past the coarse picture's dot, which is some 12 arcmin wide and more.
    # The loupe is nearly three times life size: of the halo it prints less, for its large star
    # makes more of one in its reader's eye (test_glare_of_pairs.py).
    coarse, fine = prints(name, telescope, int(telescope.split("/")[1]) / 6.0)
    around = (22.0, 34.0)
    here, there = haze(coarse, COARSE, around), haze(fine, FINE, around)
    assert there.max() > 2e-4
    assert 0.6 * here.sum() < there.sum() < 1.05 * here.sum()


def test_achromats_star_is_no_more_violet_in_a_whole_field_than_in_a_loupe():
    # At f/11.7 observers see a trace (common practice, no source).
    coarse, fine = prints("rigel", "60/700", 700.0 / 6.0)
    for around in ((10.0, 16.0), (16.0, 24.0)):
        shares = [
            (found[2] - found[1]) / found.sum()
            for found in (haze(coarse, COARSE, around), haze(fine, FINE, around))
        ]
        assert shares[0] < shares[1] + 0.1


def test_whole_fields_dot_is_as_bright_as_the_loupes_star():
    coarse, fine = prints("mizar", "100/900", 150.0)
    assert coarse.max() == pytest.approx(fine.max(), rel=0.1)
