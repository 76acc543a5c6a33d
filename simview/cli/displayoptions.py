"""Options on what will show a sheet; a group like those of options.py."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final, cast

from typer import Option

from simview.cli import complete
from simview.errors import require_choice

if TYPE_CHECKING:
    from simview.picture.prints.display import Adapt, Display

ADAPTS: Final = ("sheet", "each")

_OUT = "Results"


@dataclass(frozen=True, kw_only=True)
class DisplayOptions:
    """What will show the sheet."""

    adapt: Annotated[
        str,
        Option(
            metavar="|".join(ADAPTS),
            help="One exposure for the whole sheet, so that dimming shows, or one for each view.",
            autocompletion=complete.choices(ADAPTS),
            rich_help_panel=_OUT,
        ),
    ] = "sheet"
    display_white: Annotated[
        float,
        Option(
            metavar="CD/M2",
            help="Luminance of the white of the display that will show the sheet.",
            rich_help_panel=_OUT,
        ),
    ] = 100.0
    viewing_distance: Annotated[
        float,
        Option(
            metavar="HEIGHTS",
            help="How far away the sheet is seen from, in heights of the sheet.",
            rich_help_panel=_OUT,
        ),
    ] = 2.0

    def build(self) -> Display:
        """Return the display.

        Raises
        ------
        SimviewError
            For a value out of range.
        """
        from simview.picture.prints.display import Display

        return Display(
            white_cd_m2=self.display_white,
            distance_heights=self.viewing_distance,
            adapt=cast("Adapt", require_choice("--adapt", self.adapt, ADAPTS)),
        )
