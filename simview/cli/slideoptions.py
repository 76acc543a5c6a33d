"""Options of sheets that can be slides; a group like those of options.py."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, cast

from typer import Option

from simview.cli import complete, parsing
from simview.cli.options import ENGINES, SheetOptions
from simview.errors import FileError, SimviewError, require_choice
from simview.picture.outputs import suffixes

if TYPE_CHECKING:
    from PIL.Image import Image

    from simview.picture.slides.records import Wish

REGISTERS: Final = ("study", "slide")
PAPERS: Final = ("dark", "white")

_OUT = "Results"

# Largest file that is read as a logo, bytes, and the largest picture, pixels.
_LARGEST_LOGO: Final = 20_000_000
_LOGO_PIXELS: Final = 10_000_000


@dataclass(frozen=True, kw_only=True)
class SlideOptions:
    """For whom a sheet is drawn, and a slide's own words."""

    purpose: Annotated[
        str,
        Option(
            "--for",
            metavar="|".join(REGISTERS),
            help="study: all figures on one sheet; slide: one message that the back row can read.",
            autocompletion=complete.choices(REGISTERS),
            rich_help_panel=_OUT,
        ),
    ] = "study"
    title: Annotated[
        str,
        Option(metavar="WORDS", help="A title of your own.", rich_help_panel=_OUT),
    ] = ""
    footer: Annotated[
        str | None,
        Option(
            metavar="WORDS",
            help="A line of your own at the foot; empty for none.",
            rich_help_panel=_OUT,
        ),
    ] = None
    labels: Annotated[
        str,
        Option(
            metavar="A|B|C",
            help="Labels for the panels of a slide, separated by |.",
            rich_help_panel=_OUT,
        ),
    ] = ""
    ground: Annotated[
        str,
        Option(
            metavar="|".join(PAPERS),
            help="Background: dark for a screen or projector, white for printing.",
            autocompletion=complete.choices(PAPERS),
            rich_help_panel=_OUT,
        ),
    ] = "dark"
    lang: Annotated[
        str,
        Option(
            metavar="CODE",
            help="Language of the picture's own words: en, de, fr, es.",
            autocompletion=complete.choices(("en", "de", "fr", "es")),
            rich_help_panel=_OUT,
        ),
    ] = "en"
    logo: Annotated[
        Path | None,
        Option(metavar="FILE", help="A picture with your logo.", rich_help_panel=_OUT),
    ] = None

    @contextmanager
    def in_force(self) -> Iterator[None]:
        """Let the sheets of this command wear what was asked for; a slide has its own `wish`.

        Raises
        ------
        SimviewError
            For an unknown purpose or ground, or a logo that is no picture.
        """
        from simview.picture.drawing import dress, tongue

        language = require_choice("--lang", self.lang, tongue.LANGUAGES)
        if self.slide:
            with tongue.speaking(language):
                yield
            return

        own = replace(
            dress.current(),
            title=" ".join(self.title.split()),
            footer=None if self.footer is None else " ".join(self.footer.split()),
            ground=cast("dress.Ground", require_choice("--ground", self.ground, PAPERS)),
            logo=None if self.logo is None else read_logo(self.logo),
        )
        with dress.wearing(own), tongue.speaking(language):
            yield

    @property
    def suffixes(self) -> tuple[str, ...]:
        """Endings of the files that can be written."""
        return suffixes()

    @property
    def slide(self) -> bool:
        """Whether a slide is wanted.

        Raises
        ------
        SimviewError
            For an unknown purpose, or labels without a slide.
        """
        if require_choice("--for", self.purpose, REGISTERS) == "slide":
            return True
        if self.labels:
            raise SimviewError(
                "--labels", got="a sheet for study", remedy="it goes with --for slide"
            )
        return False

    def require_english(self, remedy: str = "this one's slide speaks it: --for slide") -> None:
        """Refuse a language where a sheet for study speaks none but English.

        Parameters
        ----------
        remedy
            What to do instead; another where there is no slide.

        Raises
        ------
        SimviewError
            Where another was asked for.
        """
        if not self.slide and self.lang != "en":
            raise SimviewError(
                "--lang",
                got=f"{self.lang} for a sheet for study",
                allowed="en",
                remedy=remedy,
            )

    def given(self) -> tuple[tuple[str, bool], ...]:
        """Return what can be added to a sheet, and whether it was asked for."""
        return (
            ("--title", bool(self.title)),
            ("--footer", self.footer is not None),
            ("--ground", self.ground != "dark"),
            ("--logo", self.logo is not None),
        )

    def refuse(self, got: str, remedy: str) -> None:
        """Refuse title, foot, ground and logo where nothing would follow them.

        Raises
        ------
        SimviewError
            Names the first that was given.
        """
        for option, is_given in self.given():
            if is_given:
                raise SimviewError(option, got=got, remedy=remedy)

    def wish(self) -> Wish:
        """Return what is wanted of the slide.

        Raises
        ------
        SimviewError
            For an unknown paper, or a logo that is no picture.
        """
        from simview.picture.slides.records import Paper, Wish

        return Wish(
            title=" ".join(self.title.split()),
            footer=None if self.footer is None else " ".join(self.footer.split()),
            paper=cast(Paper, require_choice("--ground", self.ground, PAPERS)),
            labels=tuple(part.strip() for part in self.labels.split("|")) if self.labels else (),
            logo=None if self.logo is None else read_logo(self.logo),
        )

    def drawn(self, sheet: SheetOptions) -> dict[str, Any]:
        """Return size and engine as the picture room takes them; slides may be upright."""
        if not self.slide:
            return sheet.drawn()
        from simview.picture.slides.plan import check_slide

        return {
            "size": check_slide(parsing.size(sheet.size)),
            "engine": require_choice("--engine", sheet.engine, ENGINES),
            "wish": self.wish(),
        }

    def sized(self, size: str) -> dict[str, Any]:
        """Return the size as the picture room takes it, and of a slide what is wanted of it.

        Raises
        ------
        SimviewError
            For a size that no sheet, or no slide, can have.
        """
        if not self.slide:
            from simview.picture.drawing.canvas import check_size

            return {"size": check_size(parsing.size(size))}
        from simview.picture.slides.plan import check_slide

        return {"size": check_slide(parsing.size(size)), "wish": self.wish()}


def read_logo(path: Path) -> Image:
    """Return a logo.

    Raises
    ------
    FileError
        If it is no picture that can be read.
    """
    from PIL import Image as Images
    from PIL import UnidentifiedImageError

    from simview.scene.photo import FORMATS

    if path.exists() and not path.is_file():
        raise FileError("logo", got=str(path), allowed="a picture file")
    try:
        if path.stat().st_size > _LARGEST_LOGO:
            raise FileError("logo is too large", allowed="up to 20 MB", where=str(path))
        with Images.open(path, formats=FORMATS) as image:
            if image.width * image.height > _LOGO_PIXELS:
                raise FileError(
                    "logo is too large",
                    got=f"{image.width} x {image.height} pixels",
                    allowed="up to 10 million pixels",
                    where=str(path),
                )
            image.load()
            return image.convert("RGBA")
    except FileError:
        raise
    except FileNotFoundError:
        raise FileError("logo not found", where=str(path)) from None
    except (OSError, ValueError, SyntaxError, UnidentifiedImageError, MemoryError):
        raise FileError(
            "logo is not a picture that can be read",
            allowed="PNG, JPEG, TIFF or WebP",
            where=str(path),
        ) from None
    except Images.DecompressionBombError:
        raise FileError("logo is too large", where=str(path)) from None
