"""The pieces that go with a telescope, what holds it, and the binocular that needs none of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from simview.errors import require_choice, require_range
from simview.record import Record

Design = Literal[
    "huygens", "ramsden", "kellner", "orthoscopic", "plossl", "erfle", "wide", "unknown"
]
# Designs by their trade names; "wide" is any modern wide-angle eyepiece.
DESIGNS: Final = (
    "huygens",
    "ramsden",
    "kellner",
    "orthoscopic",
    "plossl",
    "erfle",
    "wide",
    "unknown",
)

Barrel = Literal["0.965in", "1.25in", "2in"]
BARRELS: Final = ("0.965in", "1.25in", "2in")

MountKind = Literal["altazimuth", "rocker", "equatorial", "tripod", "hand", "fixed"]
MOUNTS: Final = ("altazimuth", "rocker", "equatorial", "tripod", "hand", "fixed")


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Eyepiece(Record):
    """An eyepiece as its barrel tells: focal length, design, field.

    Parameters
    ----------
    focal_length_mm
        1 to 100 mm.
    apparent_field_deg
        10 to 120 deg; None takes what is usual for the design.
    field_stop_mm
        Diameter of the field stop where it is known (it then decides the true field), or None.
    design
        One of the trade's names, see DESIGNS.
    barrel
        "0.965in", "1.25in" or "2in".
    transmission
        0.3 to 1; None takes what is usual for the design.
    """

    focal_length_mm: float
    apparent_field_deg: float | None = None
    field_stop_mm: float | None = None
    design: Design = "plossl"
    barrel: Barrel = "1.25in"
    transmission: float | None = None
    name: str = ""

    def __post_init__(self) -> None:
        self._settle()
        require_range("eyepiece focal_length_mm", self.focal_length_mm, 1.0, 100.0, unit="mm")
        if self.apparent_field_deg is not None:
            require_range("apparent_field_deg", self.apparent_field_deg, 10.0, 120.0, unit="deg")
        if self.field_stop_mm is not None:
            require_range("field_stop_mm", self.field_stop_mm, 0.2, 60.0, unit="mm")
        require_choice("design", self.design, DESIGNS)
        require_choice("barrel", self.barrel, BARRELS)
        if self.transmission is not None:
            require_range("eyepiece transmission", self.transmission, 0.3, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Amplifier(Record):
    """A piece between objective and eyepiece that magnifies: a Barlow or an erecting prism."""

    factor: float
    kind: Literal["barlow", "erecting-prism"] = "barlow"
    barrel: Barrel = "1.25in"
    transmission: float = 0.92
    name: str = ""

    def __post_init__(self) -> None:
        self._settle()
        require_range("amplifier factor", self.factor, 1.0, 10.0, unit="times")
        require_choice("amplifier kind", self.kind, ("barlow", "erecting-prism"))
        require_choice("barrel", self.barrel, BARRELS)
        require_range("amplifier transmission", self.transmission, 0.1, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Diagonal(Record):
    """What turns the light to a comfortable angle: a star diagonal mirrors the view."""

    kind: Literal["star", "erecting"] = "star"
    barrel: Barrel = "1.25in"
    transmission: float = 0.92

    def __post_init__(self) -> None:
        self._settle()
        require_choice("diagonal kind", self.kind, ("star", "erecting"))
        require_choice("barrel", self.barrel, BARRELS)
        require_range("diagonal transmission", self.transmission, 0.1, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Mount(Record):
    """What holds the telescope, and how it shakes when touched.

    Parameters
    ----------
    kind
        See MOUNTS. "hand" is a hand-held binocular, "fixed" shakes not at all.
    driven
        True when a motor follows the sky.
    slow_motion
        True when it has slow-motion controls.
    tap_arcsec
        Amplitude on the sky just after a light touch of the eyepiece, 0 to 36000 arcsec.
    frequency_hz
        Natural frequency, 0.1 to 100 Hz.
    damping
        Damping ratio zeta, 0.001 to 1.
    shake_arcsec
        RMS jitter per axis that never settles (wind, hand tremor), 0 to 3600 arcsec.
    """

    kind: MountKind = "altazimuth"
    driven: bool = False
    slow_motion: bool = True
    tap_arcsec: float = 0.0
    frequency_hz: float = 5.0
    damping: float = 0.03
    shake_arcsec: float = 0.0

    def __post_init__(self) -> None:
        self._settle()
        require_choice("mount kind", self.kind, MOUNTS)
        require_range("tap_arcsec", self.tap_arcsec, 0.0, 36000.0, unit="arcsec")
        require_range("frequency_hz", self.frequency_hz, 0.1, 100.0, unit="Hz")
        require_range("damping", self.damping, 0.001, 1.0)
        require_range("shake_arcsec", self.shake_arcsec, 0.0, 3600.0, unit="arcsec")


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Binocular(Record):
    """A binocular: power and aperture are on its shell, the eyepieces are built in.

    Exactly one of `true_field_deg` and `apparent_field_deg` may be left out; with both left
    out the apparent field is 50 deg.
    """

    power: float
    aperture_mm: float
    true_field_deg: float | None = None
    apparent_field_deg: float | None = None
    transmission: float = 0.85
    focal_ratio: float = 4.0

    def __post_init__(self) -> None:
        self._settle()
        require_range("binocular power", self.power, 2.0, 60.0, unit="times")
        require_range("binocular aperture_mm", self.aperture_mm, 10.0, 250.0, unit="mm")
        if self.true_field_deg is not None:
            require_range("true_field_deg", self.true_field_deg, 0.2, 20.0, unit="deg")
        if self.apparent_field_deg is not None:
            require_range("apparent_field_deg", self.apparent_field_deg, 10.0, 120.0, unit="deg")
        require_range("binocular transmission", self.transmission, 0.05, 1.0)
        require_range("binocular focal_ratio", self.focal_ratio, 2.0, 12.0)
