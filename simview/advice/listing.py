"""What an offer says: the records that leave the reading and enter the rules.

Every value is None where the offer does not give it; nothing is filled in silently. Beside the
values stand the readings: which words gave which value, and whether it is only a guess.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from simview.advice.speech import joined, say
from simview.errors import require_choice, require_range
from simview.kit import BARRELS, Barrel, Design, MountKind, Objective

Instrument = Literal["telescope", "binocular", "monocular"]
Layout = Literal["newtonian", "refractor", "cassegrain", "other"]
MirrorShape = Literal["spherical", "parabolic"]
Finder = Literal["none", "red dot", "optical", "small optical"]
AmplifierKind = Literal["barlow", "erecting-prism"]

# "eclipse glasses": worn at the telescope; "look": an eye is sent to the Sun and no filter for the
# front of the tube is named; "use": the Sun is spoken of without saying how one looks.
SolarKind = Literal[
    "eyepiece filter",
    "eclipse glasses",
    "filter",
    "look",
    "front filter",
    "screen",
    "use",
    "warning",
]
SOLAR_KINDS: Final[tuple[SolarKind, ...]] = (
    "eyepiece filter",
    "eclipse glasses",
    "filter",
    "look",
    "front filter",
    "screen",
    "use",
    "warning",
)

SunPlace = Literal["eyepiece", "front", "unknown"]

# What an offer promises of the view: "colour" of nebulae and galaxies to the eye, the "flag" on the
# Moon, star "photographs" with a telephone or as on the box, "galaxies" close or in detail.
Promise = Literal["colour", "flag", "photographs", "galaxies"]
PROMISES: Final = ("colour", "flag", "photographs", "galaxies")


@dataclass(frozen=True, slots=True, kw_only=True)
class SunPiece:
    """One mention of the Sun and the telescope together.

    Parameters
    ----------
    kind
        What it is.
    place
        Where the piece sits; "unknown" where the words do not say.
    words
        The words themselves.
    """

    kind: SolarKind
    place: SunPlace = "unknown"
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One value and the words that gave it.

    Parameters
    ----------
    key
        What it is, with its unit: "aperture_mm".
    value
        The value as it was understood.
    words
        The words themselves.
    start, end
        Where they stand in the text, characters from 0; -1 where the value came from a TOML key.
    guess
        True when the text does not say it outright.
    note
        Why it was read so, where that needs saying.
    sure
        How sure the reading is, 0 to 1.
    other
        What else the words could mean, likeliest first.
    """

    key: str
    value: float | str | bool
    words: str
    start: int = -1
    end: int = -1
    guess: bool = False
    note: str = ""
    sure: float = 1.0
    other: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """What an offer speaks of although no value could be read of it.

    Parameters
    ----------
    what
        As in `Listing.missing`: "mount".
    words
        The offer's own words, as pasted.
    left_out
        True where the offer says that the thing does not come with it.
    """

    what: str
    words: str
    left_out: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedEyepiece:
    """An eyepiece as the offer names it.

    Parameters
    ----------
    focal_length_mm
        For a zoom eyepiece the longest, `shortest_mm` the shortest.
    design
        "unknown" where no marking tells it.
    barrel, apparent_field_deg, field_stop_mm
        None where the offer does not say.
    marking
        As printed: "H20"; empty where there is none.
    """

    focal_length_mm: float
    design: Design = "unknown"
    barrel: Barrel | None = None
    apparent_field_deg: float | None = None
    field_stop_mm: float | None = None
    shortest_mm: float | None = None
    marking: str = ""

    @property
    def label(self) -> str:
        """A name for tables: "25 mm", or "20 mm (H20)"."""
        size = say("{size} mm", size=self.focal_length_mm)
        if self.shortest_mm is not None:
            size = say(
                "{short} to {long} mm zoom", short=self.shortest_mm, long=self.focal_length_mm
            )
        return joined((size, f"({self.marking})")) if self.marking else size


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedAmplifier:
    """A Barlow lens or a magnifying prism; `factor` is None where its strength is not said."""

    kind: AmplifierKind = "barlow"
    factor: float | None = None

    @property
    def label(self) -> str:
        """A name for tables: "3× Barlow"."""
        word = say("Barlow") if self.kind == "barlow" else say("erecting prism")
        if self.factor is None:
            return word
        return say("{factor}× {piece}", factor=self.factor, piece=word)


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedMount:
    """What holds the telescope, as far as the offer tells.

    Parameters
    ----------
    kind
        None where only a word too vague to place was found.
    grade
        Size class of an equatorial mount, 1 for the smallest; None where not said.
    small
        True for a table-top, miniature, photographic or very low tripod.
    slow_motion
        None where the offer does not say.
    tap_arcsec, frequency_hz, damping
        Measured: amplitude on the sky after a light touch, natural frequency, damping ratio.
    free_play_arcmin
        Measured: how far the tube moves by hand before the mount resists.
    """

    kind: MountKind | None = None
    grade: int | None = None
    small: bool = False
    driven: bool = False
    slow_motion: bool | None = None
    tap_arcsec: float | None = None
    frequency_hz: float | None = None
    damping: float | None = None
    free_play_arcmin: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """One offer, as understood.

    Parameters
    ----------
    name
        A title, usually the first line.
    text
        The advert itself, untouched; empty for a TOML listing without one.
    aperture_mm, focal_length_mm, focal_ratio
        As stated; a swapped pair has been put right and is among the remarks.
    stop_mm
        Diameter that really works, where a stop inside the tube is known.
    tube_length_mm
        Of the closed tube.
    corrector
        True where a stretching lens in the focuser is named.
    spherical_waves
        Measured spherical aberration, peak to valley at 550 nm.
    claimed_powers
        Every power that the offer promises, times, in its own order.
    binocular_power
        For binoculars and monoculars.
    barrel
        Of focuser and eyepieces.
    solar
        What puts the Sun and the telescope together; `sun_pieces` says the same with place and
        words.
    promises
        What the view is promised to be: colour, the flag on the Moon, photographs, galaxies.
    damage
        The offer's own words for what is broken, cracked, mouldy or loose.
    swapped
        True where aperture and focal length stand the wrong way round.
    languages
        English names of the languages of the text, the commonest first.
    about_telescope
        False where nothing in the text speaks of a telescope.
    contradictions
        Sentences: what in the offer does not agree with itself.
    remarks
        Sentences: what was put right, left unread or only guessed.
    missing
        What a judgement would need and the offer does not say.
    unread
        What a judgement would need and the offer speaks of, although it could not be read, or says
        to be left out.
    readings
        Which words gave which value.
    """

    name: str = ""
    text: str = ""
    instrument: Instrument = "telescope"
    layout: Layout | None = None
    objective: Objective | None = None
    mirror: MirrorShape | None = None
    plastic_optics: bool = False
    aperture_mm: float | None = None
    focal_length_mm: float | None = None
    focal_ratio: float | None = None
    stop_mm: float | None = None
    tube_length_mm: float | None = None
    corrector: bool = False
    obstruction: float | None = None
    spherical_waves: float | None = None
    eyepieces: tuple[OfferedEyepiece, ...] = ()
    amplifiers: tuple[OfferedAmplifier, ...] = ()
    diagonal: Literal["star", "erecting"] | None = None
    barrel: Barrel | None = None
    claimed_powers: tuple[float, ...] = ()
    binocular_power: float | None = None
    true_field_deg: float | None = None
    mount: OfferedMount | None = None
    finder: Finder | None = None
    solar: tuple[SolarKind, ...] = ()
    sun_pieces: tuple[SunPiece, ...] = ()
    promises: tuple[Promise, ...] = ()
    damage: tuple[str, ...] = ()
    swapped: bool = False
    languages: tuple[str, ...] = ()
    about_telescope: bool = True
    phone_holder: bool = False
    photography: bool = False
    price: float | None = None
    currency: str = ""
    contradictions: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    unread: tuple[Unread, ...] = ()
    readings: tuple[Reading, ...] = ()

    def __post_init__(self) -> None:
        for what, value, low, high, unit in (
            ("aperture_mm", self.aperture_mm, 4.0, 2000.0, "mm"),
            ("focal_length_mm", self.focal_length_mm, 20.0, 20000.0, "mm"),
            ("focal_ratio", self.focal_ratio, 0.5, 200.0, ""),
            ("stop_mm", self.stop_mm, 4.0, 2000.0, "mm"),
            ("tube_length_mm", self.tube_length_mm, 20.0, 20000.0, "mm"),
            ("obstruction", self.obstruction, 0.0, 0.8, ""),
            ("price", self.price, 0.0, 1e7, ""),
        ):
            if value is not None:
                require_range(what, value, low, high, unit=unit)
        for power in self.claimed_powers:
            require_range("claimed power", power, 1.0, 1e5, unit="times")
        for kind in self.solar:
            require_choice("solar", kind, SOLAR_KINDS)
        for promise in self.promises:
            require_choice("promises", promise, PROMISES)
        if self.barrel is not None:
            require_choice("barrel", self.barrel, BARRELS)

    @property
    def unknown(self) -> tuple[str, ...]:
        """What a judgement would need and is not known, said or not."""
        return (*self.missing, *(one.what for one in self.unread))

    @property
    def claimed_power(self) -> float | None:
        """The highest power that the offer promises, times."""
        return max(self.claimed_powers, default=None)

    @property
    def ratio(self) -> float | None:
        """Focal ratio: from the two lengths, else as stated."""
        if self.aperture_mm is not None and self.focal_length_mm is not None:
            return self.focal_length_mm / self.aperture_mm
        return self.focal_ratio
