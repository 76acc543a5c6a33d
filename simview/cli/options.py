"""Every option, declared once, in groups that commands ask for.

A group is a dataclass whose fields carry typer's declarations; `simview.cli.groups.grouped`
spreads it over a command's parameters.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

from typer import Argument, Option

from simview.cli import complete, parsing
from simview.cli.reportoptions import ReportOptions as ReportOptions  # noqa: PLC0414 (given on)
from simview.errors import SimviewError, require_choice
from simview.kit import AIR_KINDS, FILTERS, Observer, Sky

if TYPE_CHECKING:
    from simview.scene.scene import Target

ENGINES: Final = ("native", "poppy")

_WHAT = "What to look at"
_SKY = "Air and sky"
_EYE = "The eye"
_OUT = "Results"

_KIT_HELP: Final = (
    "A kit file (TOML), demo:NAME for one of the demo's kits, two numbers as in 150/750, or an"
    " offer (its file or its own words, as '70/700 with a 6 mm')."
)

TelescopeOption = Annotated[
    str | None,
    Option(
        metavar="150/750",
        help="In place of a kit: aperture and focal length in mm, perhaps after a kind, as in"
        ' "mak 127/1500".',
        show_default=False,
    ),
]

EyepieceOption = Annotated[
    str,
    Option(
        metavar="N|DESIGN:MM",
        help="Without --power: the eyepiece by its number in the kit, from 1, or any other by"
        " design and focal length, as in kellner:20.",
    ),
]


@dataclass(frozen=True, kw_only=True)
class KitOptions:
    """One kit, or a telescope's two numbers."""

    kit: Annotated[
        str,
        Argument(
            metavar="KIT",
            help=_KIT_HELP,
            autocompletion=complete.kits,
            show_default=False,
        ),
    ] = ""
    telescope: TelescopeOption = None

    def word(self, *, needed: bool = True, also: str = "") -> str:
        """Return the word for the kit, empty where none is given and none is needed.

        Parameters
        ----------
        also
            For messages: what else would do.

        Raises
        ------
        SimviewError
            For none, or for both.
        """
        if self.kit and self.telescope is not None:
            raise SimviewError(
                "KIT and --telescope",
                got=f"{self.kit} and {self.telescope}",
                allowed="one of the two",
            )
        word = self.kit or self.telescope or ""
        if self.telescope == "" or (needed and not word):
            raise SimviewError(
                "KIT",
                got="none",
                allowed=f"a kit file, demo:NAME, or --telescope 150/750{also}",
                remedy="--help shows examples",
            )
        return word


@dataclass(frozen=True, kw_only=True)
class KitsOptions:
    """Several kits, or telescopes' numbers."""

    kits: Annotated[
        list[str] | None,
        Argument(
            metavar="KIT...",
            help="Kit files (TOML), demo:NAME for the demo's kits, two numbers as in 150/750, or"
            " offers (their files or their own words).",
            autocompletion=complete.kits,
            show_default=False,
        ),
    ] = None
    telescope: Annotated[
        list[str] | None,
        Option(
            metavar="150/750",
            help="One more kit: aperture and focal length in mm, perhaps after a kind, as in"
            ' "mak 127/1500"; may be repeated.',
            show_default=False,
        ),
    ] = None

    def words(self, *, needed: bool = True) -> list[str]:
        """Return the words for the kits.

        Raises
        ------
        SimviewError
            For none.
        """
        words = [*(self.kits or ()), *(self.telescope or ())]
        if needed and not words:
            raise SimviewError(
                "KIT",
                got="none",
                allowed="kit files, demo:NAME, or --telescope 150/750",
                remedy="--help shows examples",
            )
        return words


@dataclass(frozen=True, kw_only=True)
class TargetOptions:
    """What to look at."""

    target: Annotated[
        str,
        Option(
            "--target",
            "-t",
            metavar="NAME",
            help="What to look at, by name; `simview targets` lists the names.",
            autocompletion=complete.targets,
            rich_help_panel=_WHAT,
            show_default=False,
        ),
    ] = ""
    targets: Annotated[
        Path | None,
        Option(
            metavar="FILE",
            help="A TOML file with targets of your own, for --target.",
            rich_help_panel=_WHAT,
        ),
    ] = None
    diameter_arcsec: Annotated[
        float | None,
        Option(
            metavar="ARCSEC", help="Apparent diameter of a planet's disc.", rich_help_panel=_WHAT
        ),
    ] = None
    double: Annotated[
        str | None,
        Option(
            metavar="SEP,PA,M1,M2",
            help="A double star: separation in arcsec, position angle in deg, two magnitudes.",
            rich_help_panel=_WHAT,
        ),
    ] = None
    image: Annotated[
        Path | None,
        Option(metavar="FILE", help="A picture of your own, north up.", rich_help_panel=_WHAT),
    ] = None
    width_arcmin: Annotated[
        float | None,
        Option(
            metavar="ARCMIN", help="How wide that picture is on the sky.", rich_help_panel=_WHAT
        ),
    ] = None
    mag_arcsec2: Annotated[
        float | None,
        Option(
            metavar="MAG",
            help="Mean surface brightness of that picture, V mag/arcsec2.",
            rich_help_panel=_WHAT,
        ),
    ] = None
    ra: Annotated[
        float | None,
        Option(
            metavar="DEG", help="Right ascension of a star field's centre.", rich_help_panel=_WHAT
        ),
    ] = None
    dec: Annotated[
        float | None,
        Option(metavar="DEG", help="Declination of a star field's centre.", rich_help_panel=_WHAT),
    ] = None

    date: Annotated[
        str | None,
        Option(
            metavar="DATE",
            help="Night to show the Moon or a planet as it looks then: 2027-03-14, or with a time"
            " (UT) 2027-03-14T21:30.",
            rich_help_panel=_WHAT,
        ),
    ] = None
    lat: Annotated[
        float | None,
        Option(metavar="DEG", help="Latitude of the place, north positive.", rich_help_panel=_WHAT),
    ] = None
    lon: Annotated[
        float | None,
        Option(metavar="DEG", help="Longitude of the place, east positive.", rich_help_panel=_WHAT),
    ] = None
    places: Annotated[
        bool,
        Option(
            "--places",
            help="Label the largest features of the Moon (in `view`).",
            rich_help_panel=_WHAT,
        ),
    ] = False
    set: Annotated[
        list[str] | None,
        Option(
            "--set",
            metavar="KEY=VALUE",
            help="Anything else that this target takes, such as phase_deg=120; may be repeated.",
            rich_help_panel=_WHAT,
        ),
    ] = None

    def build(self) -> Target:
        """Return the target that the options describe.

        Raises
        ------
        SimviewError
            For an unknown name, a value out of range, or options that do not go together.
        """
        from simview.scene.targets import target

        options: dict[str, Any] = {
            "diameter_arcsec": self.diameter_arcsec,
            "double": None if self.double is None else parsing.double(self.double),
            "image": None if self.image is None else str(self.image),
            "width_arcmin": self.width_arcmin,
            "mag_arcsec2": self.mag_arcsec2,
            "ra_deg": self.ra,
            "dec_deg": self.dec,
            "date": self.date,
            "latitude_deg": self.lat,
            "longitude_deg": self.lon,
            "labels": self.places or None,
        }
        if self.targets is not None and not self.target:
            raise SimviewError(
                "--target", got="nothing", remedy=f"name one that {self.targets} holds"
            )
        further = parsing.settings(self.set or (), options)
        return target(self.target, file=self.targets, **_given(**options), **further)


@dataclass(frozen=True, kw_only=True)
class SkyOptions:
    """Air and sky; what is left out comes from the kit file."""

    seeing: Annotated[
        float | None,
        Option(
            metavar="ARCSEC",
            help="Seeing: width of a star's long exposure, 500 nm, zenith.",
            rich_help_panel=_SKY,
        ),
    ] = None
    sky_mag: Annotated[
        float | None,
        Option(
            metavar="MAG",
            help="Sky glow at the zenith, V mag/arcsec2: 22 far from towns, 18 in one.",
            rich_help_panel=_SKY,
        ),
    ] = None
    altitude: Annotated[
        float | None,
        Option(metavar="DEG", help="Height of the object above the horizon.", rich_help_panel=_SKY),
    ] = None
    air: Annotated[
        str | None,
        Option(
            metavar="|".join(AIR_KINDS),
            help="Air to show: its best or typical moments, the average of a long or"
            " short exposure, one moment, or no air.",
            autocompletion=complete.choices(AIR_KINDS),
            rich_help_panel=_SKY,
        ),
    ] = None
    extinction: Annotated[
        float | None,
        Option(
            metavar="MAG",
            help="Light lost at the zenith, V mag per air mass.",
            rich_help_panel=_SKY,
        ),
    ] = None
    seed: Annotated[
        int | None,
        Option(metavar="N", help="Seed that picks the moment of the air.", rich_help_panel=_SKY),
    ] = None

    def over(self, sky: Sky) -> Sky:
        """Return `sky` with the options that were given laid over it."""
        return replace(
            sky,
            **_given(
                seeing_arcsec=self.seeing,
                sky_mag_arcsec2=self.sky_mag,
                altitude_deg=self.altitude,
                air=self.air,
                extinction_mag=self.extinction,
                seed=self.seed,
            ),
        )


@dataclass(frozen=True, kw_only=True)
class EyeOptions:
    """The eye at the eyepiece; what is left out comes from the kit file."""

    age: Annotated[
        float | None,
        Option(metavar="YEARS", help="Age of the observer.", rich_help_panel=_EYE),
    ] = None
    pupil: Annotated[
        float | None,
        Option(
            metavar="MM",
            help="Diameter of the eye's pupil; computed from light and age if left out.",
            rich_help_panel=_EYE,
        ),
    ] = None
    acuity: Annotated[
        float | None,
        Option(metavar="RATIO", help="Sharpness of sight: 1 is 20/20.", rich_help_panel=_EYE),
    ] = None
    cylinder: Annotated[
        float | None,
        Option(
            metavar="DIOPTRE",
            help="The eye's own astigmatism, without spectacles.",
            rich_help_panel=_EYE,
        ),
    ] = None
    cylinder_axis: Annotated[
        float | None,
        Option(
            metavar="DEG",
            help="Direction of that astigmatism, anticlockwise from the right.",
            rich_help_panel=_EYE,
        ),
    ] = None
    short_sight: Annotated[
        float | None,
        Option(
            metavar="DIOPTRE",
            help="Short sight (negative: long sight) left over after focusing: 0 where the "
            "observer turned the focuser.",
            rich_help_panel=_EYE,
        ),
    ] = None

    filter: Annotated[
        str | None,
        Option(
            metavar="|".join(FILTERS),
            help="Filter before the eyepiece: against town light, or for the lines of nebulae."
            " Never against the Sun.",
            autocompletion=complete.choices(FILTERS),
            rich_help_panel=_EYE,
        ),
    ] = None

    def over(self, observer: Observer) -> Observer:
        """Return `observer` with the options that were given laid over it."""
        return replace(
            observer,
            **_given(
                age_years=self.age,
                pupil_mm=self.pupil,
                acuity=self.acuity,
                cylinder_dioptre=self.cylinder,
                cylinder_axis_deg=self.cylinder_axis,
                short_sight_dioptre=self.short_sight,
                filter=self.filter,
            ),
        )


def _given(**options: Any) -> dict[str, Any]:
    return {name: value for name, value in options.items() if value is not None}


@dataclass(frozen=True, kw_only=True)
class SheetOptions:
    """How a sheet is drawn."""

    size: Annotated[
        str,
        Option(
            metavar="WxH",
            help="Size in pixels: landscape, square or portrait; or a paper: a4, a4-upright.",
            rich_help_panel=_OUT,
        ),
    ] = "1920x1080"
    engine: Annotated[
        str,
        Option(
            metavar="|".join(ENGINES),
            help="What computes the diffraction; both give the same picture.",
            autocompletion=complete.choices(ENGINES),
            rich_help_panel=_OUT,
        ),
    ] = "native"

    def drawn(self) -> dict[str, Any]:
        """Return `size` and `engine` as the picture room takes them.

        Raises
        ------
        SimviewError
            For a size that no sheet can have, or an unknown engine.
        """
        from simview.picture.drawing.canvas import check_size

        return {
            "size": check_size(parsing.size(self.size)),
            "engine": require_choice("--engine", self.engine, ENGINES),
        }
