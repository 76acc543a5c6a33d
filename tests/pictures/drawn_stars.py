"""Sheets on stars, small, computed from kits written out here: the same light in every run."""

from __future__ import annotations

from itertools import islice

import numpy as np
from PIL import Image

import simview
from simview.picture.collimation.collimation_asked import collimation
from simview.picture.collimation.collimation_film import animation
from simview.picture.collimation.collimation_sheet import collimate
from simview.picture.films.motion import Motion
from simview.picture.films.star_film import StarFilm, star_film
from simview.picture.startest.atlas import atlas
from simview.picture.startest.patterns import StarTest
from simview.picture.startest.star_sheet import startest
from simview.telescope.faults import parse

SIZE = (960, 540)
KIT = simview.Kit(
    name="Invented reflector 150/750",
    telescope=simview.Telescope(
        aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3, vanes=4, vane_mm=1.0
    ),
    mount=simview.Mount(kind="fixed"),
    layout="newtonian",
)


def startest_sheet():
    faults = (parse("miscollimation=8arcmin@60"), parse("undercorrection=0.15"))
    return startest(StarTest(kit=KIT, faults=faults), size=SIZE).image


def atlas_sheet():
    return atlas(KIT, size=(1290, 912)).image


def collimate_sheet():
    return collimate(collimation(KIT), size=SIZE).image


def collimate_frame():
    return Image.fromarray(next(islice(animation(collimation(KIT)).frames, 18, None)))


def film_frame():
    motion = Motion(sky=simview.Sky(seeing_arcsec=1.5, air="moment"), mount=KIT.mount, frames=2)
    asked = StarFilm(kit=KIT, motion=motion, travel_waves=4.0, side=512)
    return Image.fromarray(np.ascontiguousarray(list(star_film(asked).frames)[1]))


SHEETS = {
    "startest": startest_sheet,
    "startest-atlas": atlas_sheet,
    "collimate": collimate_sheet,
    "collimate-frame": collimate_frame,
    "film-frame": film_frame,
}


def thumb(image: Image.Image) -> Image.Image:
    """Shrink to 320 pixels across: layout and light stay."""
    return image.resize((320, round(320 * image.height / image.width)), Image.Resampling.BOX)
