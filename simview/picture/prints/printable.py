"""What is printed: light on the retina, and what it was seen with."""

from __future__ import annotations

from typing import Protocol

from simview.eye.retina import Hues
from simview.picture.prints.response import Light, Planes


class Printable(Light, Protocol):
    """What `develop` reads: a Retina."""

    @property
    def points(self) -> Planes:
        """(4, ny, nx) of stars, multiplied by their factors, troland."""

    @property
    def white(self) -> tuple[float, float, float] | None:
        """XYZ of a white surface's light there; None leaves colours as they are."""

    @property
    def lit_white(self) -> tuple[float, float, float] | None:
        """The same as it falls on lit surfaces; None where it is no other."""

    @property
    def hues(self) -> Hues:
        """How the hue of its surfaces is seen, see `Retina`."""

    @property
    def age_years(self) -> float:
        """Of the eye."""

    @property
    def beam_mm(self) -> float:
        """Width of the beam that enters the eye."""

    @property
    def around(self) -> Planes | None:
        """(ny, nx) print of the light around stars, of double stars; None elsewhere."""

    @property
    def dot_gain(self) -> float:
        """How many times more light the stars' dots hold than stars have."""

    @property
    def beyond(self) -> Planes | None:
        """(4, ny, nx) of bright stars, what `points` does not hold of them; None for nothing."""

    @property
    def apart_arcmin(self) -> float | None:
        """How far apart the closest stars stand that are seen as two; None where nobody asked."""
