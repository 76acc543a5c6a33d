"""Words and choices of a sheet: what is small, what a close-up shows."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from simview.picture import captions
from simview.scene.scene import Target


@dataclass
class Beam:
    true_field_arcmin: float


@dataclass
class Look:
    beam: Beam


def looks(*fields_arcmin):
    return [Look(Beam(f)) for f in fields_arcmin]


def thing(kind, size_arcsec):
    return Target(name="x", title="X", kind=kind, size_arcsec=size_arcsec, paint=None)


@pytest.mark.parametrize(
    ("kind", "size_arcsec", "fields", "small"),
    [
        ("planet", 47.0, (18.0, 30.0, 30.0), True),
        ("planet", 47.0, (4.0, 110.0), True),
        ("double", 2.3, (7.5,), True),
        ("deep-sky", 80.0, (40.0, 60.0), True),
        ("stars", 6600.0, (390.0, 60.0), False),
        ("moon", 1865.0, (60.0, 100.0), False),
        # Small through one kit only: its neighbour shows it large enough.
        ("moon", 1865.0, (390.0, 60.0), False),
    ],
)
def test_close_ups_are_for_what_is_small_in_every_view(kind, size_arcsec, fields, small):
    assert captions.is_small(thing(kind, size_arcsec), looks(*fields)) is small


def test_close_up_holds_the_object_with_room_around_it():
    views = looks(30.0, 60.0)
    assert captions.patch_arcsec(thing("planet", 47.0), views) == pytest.approx(61.1)
    assert captions.patch_arcsec(thing("double", 2.0), views) > 2.0 * 3.0


def test_cluster_is_shown_in_part_unless_it_is_asked_for_whole():
    cluster, views = thing("stars", 600.0), looks(60.0)
    assert captions.patch_arcsec(cluster, views) < 300.0
    assert captions.patch_arcsec(cluster, views, whole=True) > 600.0


def test_close_up_never_shows_more_than_the_narrowest_view():
    # The whole Moon, 31 arcmin, in a field of 10: the square that fits into that circle.
    patch = captions.patch_arcsec(thing("moon", 1865.0), looks(60.0, 10.0))
    assert patch == pytest.approx(600.0 / 2.0**0.5)
