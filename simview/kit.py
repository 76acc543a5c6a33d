"""What the user owns or is offered, the sky above it and the eye behind it.

Frozen, keyword-only records that travel between the rooms. They check their own values once,
when they are made, and compute nothing: the rooms do that.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Literal

from simview.equipment import (
    BARRELS,
    DESIGNS,
    MOUNTS,
    Amplifier,
    Barrel,
    Binocular,
    Design,
    Diagonal,
    Eyepiece,
    Mount,
    MountKind,
)
from simview.errors import FitError, RangeError, require_choice, require_range
from simview.record import ReadOnly, Record, plain_number, require_type

__all__ = [
    "AIR_KINDS",
    "AVERAGED_AIR",
    "BARRELS",
    "DESIGNS",
    "FILTERS",
    "FOLDED",
    "LAYOUTS",
    "MOUNTS",
    "OBJECTIVES",
    "Air",
    "Amplifier",
    "Barrel",
    "Binocular",
    "Design",
    "Diagonal",
    "Eyepiece",
    "Kit",
    "Layout",
    "Mount",
    "MountKind",
    "Objective",
    "Observer",
    "Sky",
    "Telescope",
    "Wavefront",
]

Objective = Literal["mirror", "achromat", "apochromat", "singlet"]
OBJECTIVES: Final = ("mirror", "achromat", "apochromat", "singlet")

# How a telescope is built. "cassegrain" is any with a curved second mirror and no glass in front.
Layout = Literal["newtonian", "refractor", "cassegrain", "maksutov", "schmidt-cassegrain", "other"]
LAYOUTS: Final = (
    "newtonian",
    "refractor",
    "cassegrain",
    "maksutov",
    "schmidt-cassegrain",
    "other",
)
# Those whose second mirror is curved and sends the light back through the first.
FOLDED: Final = ("cassegrain", "maksutov", "schmidt-cassegrain")

Air = Literal["best", "typical", "long", "short", "moment", "none"]
AIR_KINDS: Final = ("best", "typical", "long", "short", "moment", "none")

# What a filter before the eyepiece is made for; `simview.eye.filters` has the bands.
Filter = Literal["none", "town-light", "narrow-band", "oxygen", "hydrogen"]
FILTERS: Final = ("none", "town-light", "narrow-band", "oxygen", "hydrogen")

# Those that are means over many moments: one factor on the transfer function.
AVERAGED_AIR: Final = ("best", "typical", "long", "short")


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Wavefront(Record):
    """The error of the optics, in waves at 550 nm.

    The named faults are peak-to-valley over the full circle at best focus with tilt removed;
    `noll` entries are RMS waves with Noll's (1976) index and normalisation.

    Parameters
    ----------
    defocus
        A r^2. Negative: the eyepiece is inside focus.
    spherical
        4 A (r^4 - r^2); positive W040 = 4 A is undercorrection.
    coma
        (3 r^3 - 2 r) cos(t - angle) / 2.
    astigmatism
        r^2 cos 2(t - angle) / 2.
    trefoil
        r^3 cos 3(t - angle) / 2.
    noll
        Noll index (2 to 200) to RMS waves.
    """

    defocus: float = 0.0
    spherical: float = 0.0
    coma: float = 0.0
    coma_angle_deg: float = 0.0
    astigmatism: float = 0.0
    astigmatism_angle_deg: float = 0.0
    trefoil: float = 0.0
    trefoil_angle_deg: float = 0.0
    noll: Mapping[int, float] = field(default_factory=ReadOnly)

    def __post_init__(self) -> None:
        self._settle()
        for name in ("defocus", "spherical", "coma", "astigmatism", "trefoil"):
            require_range(name, getattr(self, name), -30.0, 30.0, unit="waves")
        for name in ("coma_angle_deg", "astigmatism_angle_deg", "trefoil_angle_deg"):
            require_range(name, getattr(self, name), -360.0, 360.0, unit="deg")
        require_type("noll", self.noll, Mapping, "a table of Noll's index to RMS waves")
        told = {plain_number(index): plain_number(waves) for index, waves in self.noll.items()}
        for index, waves in told.items():
            if isinstance(index, bool) or not isinstance(index, int) or not 2 <= index <= 200:
                raise RangeError("noll index", got=index, allowed="whole numbers 2 to 200")
            require_range(f"noll {index}", waves, -10.0, 10.0, unit="waves RMS")
        object.__setattr__(self, "noll", ReadOnly(sorted(told.items())))


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Telescope(Record):
    """An objective: a mirror or lens of a given aperture and focal length.

    Parameters
    ----------
    aperture_mm
        Clear diameter as advertised, 4 to 2000 mm.
    focal_length_mm
        20 to 20000 mm.
    obstruction
        Diameter of the secondary divided by the aperture, 0 to 0.8.
    vanes
        Number of vanes that hold the secondary, 0 to 8, evenly spaced.
    vane_mm
        Their thickness, 0 to 50 mm.
    objective
        "mirror", "achromat" (thin BK7/F2 doublet, F and C united), "apochromat" or "singlet".
    transmission
        Light that coatings and glass pass, without the obstruction's shadow, 0.05 to 1.
    stop_mm
        Diameter of a stop inside the tube, where one makes the working aperture smaller than
        the advertised one, measured as it appears at the objective; None for none.
    wavefront
        Error of the optics.
    """

    aperture_mm: float
    focal_length_mm: float
    obstruction: float = 0.0
    vanes: int = 0
    vane_mm: float = 0.0
    objective: Objective = "mirror"
    transmission: float = 0.85
    stop_mm: float | None = None
    wavefront: Wavefront = field(default_factory=Wavefront)

    def __post_init__(self) -> None:
        self._settle()
        require_range("aperture_mm", self.aperture_mm, 4.0, 2000.0, unit="mm")
        require_range("focal_length_mm", self.focal_length_mm, 20.0, 20000.0, unit="mm")
        require_range("focal ratio", self.focal_ratio, 1.5, 200.0)
        require_range("obstruction", self.obstruction, 0.0, 0.8)
        if isinstance(self.vanes, bool) or self.vanes not in range(9):
            raise RangeError("vanes", got=self.vanes, allowed="whole numbers 0 to 8")
        require_range("vane_mm", self.vane_mm, 0.0, 50.0, unit="mm")
        require_choice("objective", self.objective, OBJECTIVES)
        require_range("transmission", self.transmission, 0.05, 1.0)
        if self.stop_mm is not None:
            require_range("stop_mm", self.stop_mm, 4.0, self.aperture_mm, unit="mm")
            if self.stop_mm <= self.obstruction * self.aperture_mm:
                raise FitError(
                    "stop_mm",
                    got=f"{self.stop_mm:g} mm",
                    allowed=f"more than the secondary's {self.obstruction * self.aperture_mm:g} mm",
                )
        require_type("wavefront", self.wavefront, Wavefront, "a Wavefront")

    @property
    def focal_ratio(self) -> float:
        """Focal length divided by the advertised aperture."""
        return self.focal_length_mm / self.aperture_mm

    @property
    def working_aperture_mm(self) -> float:
        """The aperture that light really passes, mm."""
        return self.aperture_mm if self.stop_mm is None else self.stop_mm

    def focus_shift_mm(self, wavelength_nm: float) -> float:
        """Return the longitudinal colour against 546.07 nm in mm; positive is a longer focus.

        Source and check: simview.glass.
        """
        import numpy as np

        from simview.glass import focus_shifts_mm

        require_range("wavelength_nm", wavelength_nm, 350.0, 1000.0, unit="nm")
        waves = np.array([wavelength_nm], dtype=np.float64)
        return float(focus_shifts_mm(self.objective, self.focal_length_mm, waves)[0])


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Sky(Record):
    """The air and the sky's own light.

    Parameters
    ----------
    seeing_arcsec
        Long-exposure FWHM at 500 nm at the zenith, 0 (no air) to 20 arcsec.
    sky_mag_arcsec2
        Sky glow at the zenith in V, 3 (bright day) to 22.5 mag/arcsec2.
    altitude_deg
        Of the object above the horizon, 3 to 90 deg.
    air
        What of the air's moments is shown: the "best" tenth of them, which an observer remembers;
        "typical" ones; the average of all: "long" with the image's wander, "short" with tilt
        removed; one "moment" (a seeded screen); or "none".
    outer_scale_m
        Outer scale of turbulence, 1 to 1000 m, or infinity.
    extinction_mag
        Extinction at the zenith in V, 0 to 2 mag per air mass.
    elevation_m
        Of the site above the sea, -500 to 9000 m.
    temperature_c
        -60 to 60 C.
    seed
        Which moment, 0 to 2**32 - 1.
    """

    seeing_arcsec: float = 2.0
    sky_mag_arcsec2: float = 19.8
    altitude_deg: float = 50.0
    air: Air = "best"
    outer_scale_m: float = 25.0
    extinction_mag: float = 0.28
    elevation_m: float = 0.0
    temperature_c: float = 10.0
    seed: int = 1

    def __post_init__(self) -> None:
        self._settle()
        require_range("seeing_arcsec", self.seeing_arcsec, 0.0, 20.0, unit="arcsec")
        require_range("sky_mag_arcsec2", self.sky_mag_arcsec2, 3.0, 22.5, unit="mag/arcsec2")
        require_range("altitude_deg", self.altitude_deg, 3.0, 90.0, unit="deg")
        require_choice("air", self.air, AIR_KINDS)
        if self.outer_scale_m != math.inf:
            require_range("outer_scale_m", self.outer_scale_m, 1.0, 1000.0, unit="m")
        require_range("extinction_mag", self.extinction_mag, 0.0, 2.0, unit="mag")
        require_range("elevation_m", self.elevation_m, -500.0, 9000.0, unit="m")
        require_range("temperature_c", self.temperature_c, -60.0, 60.0, unit="C")
        if isinstance(self.seed, bool) or not isinstance(self.seed, int):
            raise RangeError("seed", got=self.seed, allowed="whole numbers 0 to 4294967295")
        require_range("seed", self.seed, 0, 2**32 - 1)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Observer(Record):
    """The eye at the eyepiece.

    Parameters
    ----------
    age_years
        20 to 83 (the range of the pupil formula).
    pupil_mm
        Diameter of the eye's pupil, 1 to 9 mm; None computes it from light and age.
    eyes
        1 at a telescope, 2 behind a binocular; None lets the kit decide.
    field_factor
        How much more light this observer needs than Blackwell's laboratory, 1 to 10
        (Crumey 2014: 1.4 to 2.4 for typical observers).
    acuity
        Snellen ratio, 0.05 to 2.5 (1 = 20/20).
    cylinder_dioptre
        Astigmatism of the eye without spectacles, at its best focus, -8 to 8 dioptres.
    cylinder_axis_deg
        Its direction, from the right anticlockwise, -360 to 360 deg.
    short_sight_dioptre
        What is left of short sight (negative: of long sight) once the view has been focused, -8
        to 8 dioptres. 0 for everybody who turns the focuser to suit their own eye; other than 0
        for the naked eye without spectacles, and for whoever looks through an instrument that
        somebody else has focused. The eye does not accommodate.
    filter
        What the observer has screwed before the eyepiece: "none"; against "town-light"; for the
        lines of nebulae a "narrow-band", for those of "oxygen" or of "hydrogen" (H-beta) alone.
        Never a protection from the Sun.
    """

    age_years: float = 40.0
    pupil_mm: float | None = None
    eyes: Literal[1, 2] | None = None
    field_factor: float = 2.0
    acuity: float = 1.0
    cylinder_dioptre: float = 0.0
    cylinder_axis_deg: float = 0.0
    short_sight_dioptre: float = 0.0
    filter: Filter = "none"

    def __post_init__(self) -> None:
        self._settle()
        require_range("age_years", self.age_years, 20.0, 83.0, unit="years")
        if self.pupil_mm is not None:
            require_range("pupil_mm", self.pupil_mm, 1.0, 9.0, unit="mm")
        if self.eyes not in (None, 1, 2):
            raise RangeError("eyes", got=self.eyes, allowed="1 or 2")
        require_range("field_factor", self.field_factor, 1.0, 10.0)
        require_range("acuity", self.acuity, 0.05, 2.5)
        require_range("cylinder_dioptre", self.cylinder_dioptre, -8.0, 8.0, unit="dioptre")
        require_range("cylinder_axis_deg", self.cylinder_axis_deg, -360.0, 360.0, unit="deg")
        require_range("short_sight_dioptre", self.short_sight_dioptre, -8.0, 8.0, unit="dioptre")
        require_choice("filter", self.filter, FILTERS)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Kit(Record):
    """All that stands on the table: one instrument, its pieces, what holds it.

    Exactly one of `telescope` and `binocular` may be given; with neither, the kit is the
    naked eye (power 1).

    Parameters
    ----------
    telescope, binocular
        The instrument.
    eyepieces, amplifiers
        The pieces that go with a telescope, counted from 0 in Python.
    diagonal
        What turns the light to a comfortable angle, or None.
    mount
        What holds it.
    name, note
        For captions.
    layout
        How the telescope is built; None where the objective tells enough.
    focuser
        The barrel that it takes.
    claimed_power
        The power that the offer promises, times; None where it promises none.
    price, currency
        As invented or offered; None where unknown.
    sky, observer
        The sky that this kit usually stands under and the eye that usually looks through it:
        what `simview.look` and all others take unless told otherwise. None for `Sky()` and
        `Observer()`.

    Raises
    ------
    SimviewError
        For a value out of range, a telescope and a binocular in one kit, or a piece that is none.
    """

    telescope: Telescope | None = None
    binocular: Binocular | None = None
    eyepieces: tuple[Eyepiece, ...] = ()
    amplifiers: tuple[Amplifier, ...] = ()
    diagonal: Diagonal | None = None
    mount: Mount = field(default_factory=Mount)
    name: str = ""
    note: str = ""
    layout: Layout | None = None
    focuser: Barrel = "1.25in"
    claimed_power: float | None = None
    price: float | None = None
    currency: str = ""
    sky: Sky | None = None
    observer: Observer | None = None

    def __post_init__(self) -> None:
        self._settle()
        if self.telescope is not None and self.binocular is not None:
            raise FitError(
                "kit",
                got="a telescope and a binocular",
                allowed="one of them",
                remedy="write two kit files",
            )
        require_choice("focuser", self.focuser, BARRELS)
        if self.layout is not None:
            require_choice("layout", self.layout, LAYOUTS)
        if self.claimed_power is not None:
            require_range("claimed_power", self.claimed_power, 1.0, 1e5, unit="times")
        if self.price is not None:
            require_range("price", self.price, 0.0, 1e7)
        require_type("mount", self.mount, Mount, "a Mount")
        for name, kind in _PARTS.items():
            if getattr(self, name) is not None:
                require_type(name, getattr(self, name), kind, f"a {kind.__name__}, or None")
        object.__setattr__(self, "eyepieces", _pieces("eyepieces", self.eyepieces, Eyepiece))
        object.__setattr__(self, "amplifiers", _pieces("amplifiers", self.amplifiers, Amplifier))

    @property
    def kind(self) -> Literal["telescope", "binocular", "eye"]:
        """What sort of instrument this is."""
        if self.telescope is not None:
            return "telescope"
        return "binocular" if self.binocular is not None else "eye"


# The parts of a kit that may be missing.
_PARTS: Final[Mapping[str, type]] = {
    "telescope": Telescope,
    "binocular": Binocular,
    "diagonal": Diagonal,
    "sky": Sky,
    "observer": Observer,
}


def _pieces(what: str, given: Any, kind: type) -> tuple[Any, ...]:
    """Return pieces of one kind as a tuple; a piece alone is one of them."""
    if isinstance(given, kind):
        return (given,)
    allowed = f"a list of {kind.__name__}"
    require_type(what, given, Iterable, allowed)
    pieces = tuple(given)
    for piece in pieces:
        require_type(what, piece, kind, allowed)
    return pieces
