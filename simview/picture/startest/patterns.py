"""A star test computed: all that its sheet shows, before it is laid out.

A strip through focus, the star in focus at a larger scale, the cone of light cut along its axis,
a perfect telescope of the same pupil beside them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import ChoiceError, RangeError, require_range
from simview.kit import Kit, Telescope, Wavefront
from simview.picture import captions
from simview.picture.startest.images import Star
from simview.picture.startest.starlight import (
    StarColour,
    coloured,
    printed,
    star_colour,
    white_level,
)
from simview.telescope.exposure import exposure
from simview.telescope.faults import Afflicted, Fault, apply_faults
from simview.telescope.focus import axial_cut, radial_profile
from simview.telescope.opening import REFERENCE_NM, samples_for, stop_for
from simview.units import focus_shift_mm

Floats = NDArray[np.float64]
Print = NDArray[np.uint8]

# Positions of the eyepiece on one strip. A choice: more would be too small for a hall.
FEWEST, MOST = 3, 11

# How much larger the star in focus may be drawn than the discs beside it.
_FACTORS: Final = (20, 15, 12, 10, 8, 6, 5, 4, 3, 2)

# Travel that is offered where more cannot be computed, waves.
_TRAVELS: Final = (25.0, 20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 4.0, 3.0, 2.0, 1.0)

# Room around the star in focus, in wavelength / aperture and in radii that hold 80 % of the light.
_AIRY_ROOM: Final = 11.0
_LIGHT_ROOM: Final = 5.0

# Light against a panel's white that no print shows, below its first step above black, and the
# widths that are tried for it.
_UNSEEN: Final = 2e-4
_LIT_WIDENINGS: Final = (1.0, 1.4, 2.0, 2.8, 4.0)

# A scale of the strip is wide enough when its panels catch this share of what a much wider one
# does. What is left is haze.
_CAUGHT: Final = 0.94
_WIDENINGS: Final = (1.0, 1.25, 1.6, 2.0, 2.6)

# Print luminance grows as light to this power where panels share one exposure, and in the cut.
COMPRESSED: Final = 0.45
CUT_POWER: Final = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class StarTest:
    """What is asked for.

    Parameters
    ----------
    kit
        Its telescope is tested; faults of its own wavefront stay in.
    faults
        Added to them.
    colour
        "white", a filter, or a wavelength; see `simview.picture.startest.starlight`.
    power
        Sets the apparent scale: discs are as large as at the eyepiece for a reader at the sheet's
        life-size distance. None fits the scale to the largest disc.
    common
        One exposure for all panels instead of one each.
    travel_waves
        From focus to either end of the strip, waves at 550 nm; 0.2 to 40.
    positions
        Panels of the strip, odd.
    riddle
        Seed of a riddle whose answer the sheet keeps to itself; None tells everything.
    difficulty
        Of that riddle.

    Raises
    ------
    SimviewError
        For a kit without a telescope, or a value out of range.
    """

    kit: Kit
    faults: tuple[Fault, ...] = ()
    colour: str = "white"
    power: float | None = None
    common: bool = False
    travel_waves: float = 6.0
    positions: int = 7
    riddle: int | None = None
    difficulty: str = "fair"

    def __post_init__(self) -> None:
        telescope_of(self.kit)
        apply_faults(self.scope, self.faults, layout=self.kit.layout)
        require_range("--travel", self.travel_waves, 0.2, 40.0, unit="waves")
        whole = isinstance(self.positions, int) and not isinstance(self.positions, bool)
        if not whole or self.positions not in range(FEWEST, MOST + 1, 2):
            raise RangeError(
                "--positions", got=self.positions, allowed=f"{FEWEST} to {MOST}, an odd number"
            )
        if self.power is not None:
            require_range("--power", self.power, 5.0, 5000.0, unit="times")
        star_colour(self.colour)

    @property
    def scope(self) -> Telescope:
        """The kit's telescope as it is."""
        return telescope_of(self.kit)

    @property
    def perfect(self) -> Telescope:
        """The same pupil without any error, and without any colour."""
        return replace(self.scope, wavefront=Wavefront(), objective="mirror")

    @property
    def faultless(self) -> Telescope:
        """The same pupil and the same glass without faults."""
        return replace(self.scope, wavefront=Wavefront())

    def afflicted(self) -> Afflicted:
        """Return the telescope with all faults."""
        return apply_faults(self.scope, self.faults, layout=self.kit.layout)

    @property
    def cooling(self) -> bool:
        """Whether the telescope is still warm."""
        return any(fault.name == "cooling" for fault in self.faults)

    def beside(self) -> Afflicted:
        """Return what the sheet compares with: the perfect one, or a warm one cooled down."""
        if not self.cooling:
            return apply_faults(self.perfect, ())
        rest = tuple(fault for fault in self.faults if fault.name != "cooling")
        return apply_faults(self.scope, rest, layout=self.kit.layout)

    def travel(self) -> Floats:
        """Return (p,) the positions in waves at 550 nm, negative inside focus."""
        return np.linspace(-self.travel_waves, self.travel_waves, self.positions)

    def travel_mm(self) -> Floats:
        """Return (p,) the positions in mm of focuser travel for this focal ratio."""
        return np.array([focus_shift_mm(w, self.scope.focal_ratio) for w in self.travel()])

    def light(self) -> StarColour:
        """Return the star's light, cut finely enough for the travel."""
        return star_colour(self.colour, defocus_waves=self.travel_waves)


def telescope_of(kit: Kit) -> Telescope:
    """Return the kit's telescope.

    Raises
    ------
    ChoiceError
        For a kit without one.
    """
    if kit.telescope is None:
        raise ChoiceError(
            "kit", got=captions.instrument(kit), allowed="a telescope", remedy="name another kit"
        )
    return kit.telescope


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """How large the pictures are, in pixels.

    Parameters
    ----------
    panel
        Side of a panel of the strip.
    cut_width, cut_height
        The cut along the axis; its ends lie half a position beyond the strip's.
    small
        Side of a panel of the perfect telescope.
    life_size
        Pixels per degree of apparent angle at which the sheet is life size.
    """

    panel: int
    cut_width: int
    cut_height: int
    small: int
    life_size: float


@dataclass(frozen=True, kw_only=True)
class StarViews:
    """A star test at one size: every picture on its sheet, computed when it is asked for.

    Parameters
    ----------
    test
        What was asked for.
    sizes
        From the sheet's layout.
    """

    test: StarTest
    sizes: Sizes

    @cached_property
    def afflicted(self) -> Afflicted:
        """The telescope with all faults."""
        return self.test.afflicted()

    @cached_property
    def light(self) -> StarColour:
        """The star's light."""
        return self.test.light()

    @cached_property
    def star(self) -> Star:
        """The star behind this telescope."""
        found = self.afflicted
        return Star(scope=found.scope, extras=found.extras, sky=found.sky, light=self.light)

    @cached_property
    def perfect(self) -> Star:
        """The star behind the telescope that the sheet compares with."""
        found = self.test.beside()
        return Star(scope=found.scope, extras=found.extras, sky=found.sky, light=self.light)

    @cached_property
    def _green(self) -> Star:
        """The star in one colour, for finding out how wide it is."""
        return replace(self.star, light=star_colour("550"))

    @property
    def unit_arcsec(self) -> float:
        """Wavelength / aperture at 550 nm."""
        return self.perfect.unit_arcsec

    @cached_property
    def pixel_arcsec(self) -> float:
        """The strip's scale."""
        if self.test.power is not None:
            return 3600.0 / (self.sizes.life_size * self.test.power)
        return self.wide_arcsec / self.sizes.panel

    @cached_property
    def power(self) -> float:
        """The power at which the strip's discs are life size."""
        return 3600.0 / (self.pixel_arcsec * self.sizes.life_size)

    def check(self) -> None:
        """Refuse what cannot be sampled before any work is done.

        Raises
        ------
        RangeError
            In the user's terms.
        """
        if self._fits(self.test.travel_waves):
            return
        less = (travel for travel in _TRAVELS if travel < self.test.travel_waves)
        fitting = next(filter(self._fits, less), None)
        raise too_wide("take weaker faults" if fitting is None else f"take --travel {fitting:g}")

    def _fits(self, travel_waves: float) -> bool:
        """Tell whether a strip of this travel can be sampled."""
        found = self.afflicted
        stop = stop_for(found.scope, extras=found.extras)
        waves = self.light.wavelengths_nm
        end = exposure(found.scope, stop, waves, travel_waves, extras=found.extras)
        widest = 1.25 * _WIDENINGS[-1] * self._geometric(travel_waves) / 2.0
        try:
            samples_for(widest * REFERENCE_NM / float(waves.min()), end.slope())
        except RangeError:
            return False
        return True

    def _geometric(self, travel_waves: float | None = None) -> float:
        """Return the width of the largest disc in wavelength / aperture, with some room."""
        travel = self.test.travel_waves if travel_waves is None else travel_waves
        return 2.0 * (4.0 * travel * self._crop() ** 2 + 5.0)

    @cached_property
    def wide_arcsec(self) -> float:
        """The angle that holds the largest disc with its haze."""
        geometric = self._geometric()
        ends = (-self.test.travel_waves, self.test.travel_waves)
        caught = [
            self._green.stack(ends, 1.25 * geometric * w * self.unit_arcsec / 96, 96)
            .sum(axis=(1, 2, 3))
            .min()
            for w in _WIDENINGS
        ]
        enough = next(k for k, c in enumerate(caught) if c >= _CAUGHT * caught[-1])
        return 1.25 * geometric * _WIDENINGS[enough] * self.unit_arcsec

    @cached_property
    def lit_arcsec(self) -> float:
        """The angle beyond which a print shows nothing more: no halo ends at a square's edge."""
        if self.test.power is None:
            return self.wide_arcsec
        ends = (-self.test.travel_waves, self.test.travel_waves)
        for widening in _LIT_WIDENINGS:
            width = widening * self.wide_arcsec
            if width >= self.sizes.panel * self.pixel_arcsec:
                break
            images = self._green.stack(ends, width / 128, 128)[:, 0]
            edges = np.stack((images[:, 0], images[:, -1], images[:, :, 0], images[:, :, -1]))
            white = min(white_level(image) for image in images)
            if edges.max() < _UNSEEN * white:
                return width
        return self.sizes.panel * self.pixel_arcsec

    def _crop(self) -> float:
        return stop_for(self.test.scope).crop

    def caught(self) -> float:
        """Return the share of the light that the outermost panels catch."""
        return float(min(self._strip[k][..., 1].sum() for k in (0, -1)))

    @cached_property
    def _strip(self) -> Floats:
        return self.star.images(
            self.test.travel(), self.pixel_arcsec, self.sizes.panel, wide_arcsec=self.lit_arcsec
        )

    @cached_property
    def factor(self) -> int:
        """How many times larger the star in focus is drawn than the strip."""
        pixels = 192
        width = min(self.sizes.panel * self.pixel_arcsec, self.wide_arcsec)
        coarse = self._green.stack((0.0,), width / pixels, pixels)[0, 0]
        room = max(
            _AIRY_ROOM * self.unit_arcsec, _LIGHT_ROOM * _radius_of(coarse, 0.8) * width / pixels
        )
        width = self.sizes.panel * self.pixel_arcsec
        return next((f for f in _FACTORS if width / f >= room), 1)

    def _in_focus(self, star: Star, pixels: int) -> Floats:
        """Return the star in focus on the enlarged scale, over the same part of the sky."""
        pixel = self.pixel_arcsec / self.factor * self.sizes.panel / pixels
        image: Floats = star.images((0.0,), pixel, pixels, wide_arcsec=self.lit_arcsec)[0]
        return image

    @cached_property
    def _focus(self) -> Floats:
        return self._in_focus(self.star, self.sizes.panel)

    def panels(self) -> list[Print]:
        """Return the strip; the one in focus is `factor` times larger."""
        images = list(self._strip)
        images[len(images) // 2] = self._focus * self.factor**2
        return self._exposed(images)

    def perfect_panels(self) -> list[Print]:
        """Return the perfect telescope's first panel, the one in focus (enlarged), and its last."""
        small = self.sizes.small
        pixel = self.pixel_arcsec * self.sizes.panel / small
        ends = [self.test.travel()[k] for k in (0, -1)]
        inside, outside = self.perfect.images(ends, pixel, small, wide_arcsec=self.lit_arcsec)
        focus = self._in_focus(self.perfect, small)
        return self._exposed([inside, focus * self.factor**2, outside])

    def _exposed(self, images: Sequence[Floats]) -> list[Print]:
        """Print panels of one scale of surface brightness, each for itself or all alike."""
        whites = [white_level(image[..., 1]) for image in images]
        if not self.test.common:
            return [printed(i, w) for i, w in zip(images, whites, strict=True)]
        return [printed(image, max(whites), power=COMPRESSED) for image in images]

    def cut(self) -> Print:
        """Return the cone of light cut along its axis, inside focus at the left."""
        from PIL import Image

        step = self.test.travel()[1] - self.test.travel()[0]
        end = self.test.travel_waves + step / 2.0
        height = min(self.sizes.panel * self.pixel_arcsec, 2.0 * self.wide_arcsec)
        light = star_colour(self.test.colour)
        finest = 0.45 * self.unit_arcsec * float(light.wavelengths_nm.min()) / REFERENCE_NM
        rows = max(self.sizes.cut_height, math.ceil(height / finest))
        columns = max(120, self.sizes.cut_width // 3)
        cut = axial_cut(
            self.afflicted.scope,
            np.linspace(-end, end, columns),
            wavelengths_nm=light.wavelengths_nm,
            pixel_arcsec=height / rows,
            pixels=rows,
            along=self.along(),
            extras=self.afflicted.extras,
        )
        xyz = coloured(cut, light, axis=1).transpose(1, 0, 2)
        image = printed(xyz, white_level(xyz[..., 1]), power=CUT_POWER)
        size = (self.sizes.cut_width, self.sizes.cut_height)
        return np.asarray(Image.fromarray(image).resize(size, Image.Resampling.BICUBIC))

    def along(self) -> str:
        """Return along which line the cone is cut: the one that shows a directed fault."""
        waves = self.afflicted.scope.wavefront
        angles = [
            (abs(waves.coma), waves.coma_angle_deg),
            (abs(waves.trefoil), waves.trefoil_angle_deg),
        ]
        strength, angle = max(angles)
        return "y" if strength and abs(math.sin(math.radians(angle))) > math.sqrt(0.5) else "x"

    def profiles(self) -> tuple[Floats, Floats, Floats]:
        """Return radius in arcsec, and the star's and the perfect star's brightness there.

        Means over circles, against the middle of the perfect star.
        """
        pixel = self.pixel_arcsec / self.factor
        radius, own = radial_profile(self._focus[..., 1], pixel)
        perfect = self._in_focus(self.perfect, self.sizes.panel)
        _, best = radial_profile(perfect[..., 1], pixel)
        return radius, own / best[0], best / best[0]


def in_users_terms(error: RangeError) -> RangeError:
    """Return what the grid has against a star test in words of the star test."""
    if error.what != "grid and wavefront":
        return error
    return too_wide("take less travel or weaker faults")


def too_wide(remedy: str) -> RangeError:
    """Return what is said of a star whose pattern is too wide."""
    return RangeError(
        "faults and travel together",
        got="a star too wide for its pattern to be computed",
        allowed="what a pupil of 2048 samples across can hold",
        remedy=remedy,
    )


def _radius_of(image: Floats, share: float) -> float:
    """Return the radius in pixels around the image's middle that holds a share of its light."""
    n = len(image)
    place = np.arange(n) - n // 2
    distance = np.hypot(place[:, None], place[None, :]).ravel()
    order = np.argsort(distance)
    light = np.cumsum(image.ravel()[order])
    return float(distance[order][np.searchsorted(light, share * light[-1])])
