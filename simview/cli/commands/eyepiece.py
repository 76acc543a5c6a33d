"""One eyepiece, traced through its glass."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from typer import Argument, Option

from simview.cli import complete
from simview.cli.kits import naming, read
from simview.cli.options import ReportOptions
from simview.cli.report import Reporter
from simview.cli.slideoptions import SlideOptions
from simview.errors import ChoiceError, RangeError

if TYPE_CHECKING:
    from simview.eyepiece.lens import Lens
    from simview.picture.finished import Told

EXAMPLES = (
    "kellner --focal-length 20 --telescope demo:tabletop-150",
    "H12.5 --telescope kit.toml",
    "huygens --focal-length 20 --telescope demo:toy-refractor-50 --for slide",
    "mine.toml --focal-length 25 --telescope kit.toml --out mine.png",
)
DEMO = (
    "huygens --focal-length 20 --telescope demo:toy-refractor-50"
    " --out {folder}/eyepiece-huygens.png",
    "plossl --focal-length 25 --telescope demo:tabletop-150 --out {folder}/eyepiece-plossl.png",
)


def command(
    design: Annotated[
        str,
        Argument(
            metavar="DESIGN",
            help="A design, the letters on a barrel such as H20 or Pl10, or a prescription (TOML).",
            autocompletion=complete.lenses,
            show_default=False,
        ),
    ],
    telescope: Annotated[
        str,
        Option(
            metavar="KIT",
            help="The telescope it is used with: a kit file (TOML), or demo:NAME.",
            autocompletion=complete.kits,
            show_default=False,
        ),
    ],
    focal_length: Annotated[
        float | None,
        Option(
            metavar="MM",
            help="Focal length of the eyepiece; needed unless the marking or the file gives it.",
        ),
    ] = None,
    apparent_field: Annotated[
        float | None,
        Option(
            metavar="DEG", help="Full apparent field; what is usual for the design if left out."
        ),
    ] = None,
    size: Annotated[
        str, Option(metavar="WxH", help="Size of the picture, in pixels.")
    ] = "1920x1080",
    slide: SlideOptions = SlideOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Show what an eyepiece's own glass does: its light, its blur across the field, its figures."""
    slide.require_english()
    file = read(telescope)
    layout = layout_of(design, focal_length)
    reporter = Reporter(report, stem=f"eyepiece-{layout.name}", suffix=slide.suffixes)
    drawn = slide.sized(size)
    from simview.picture.eyepieces.eyepiece_contents import judge_eyepiece
    from simview.picture.eyepieces.eyepiece_sheet import draw_eyepiece
    from simview.picture.slides.eyepiece_slide import eyepiece_slide

    with naming(file):
        if slide.slide:
            made: Told = eyepiece_slide(
                file.kit, layout, apparent_field_deg=apparent_field, **drawn
            )
        else:
            contents = judge_eyepiece(file.kit, layout, apparent_field_deg=apparent_field)
            made = draw_eyepiece(contents, **drawn) if reporter.draws else contents.told(**drawn)
    reporter.sheet(made)


def layout_of(word: str, focal_length_mm: float | None) -> Lens:
    """Return the layout that a word names, scaled to the focal length.

    Raises
    ------
    SimviewError
        For a word that names nothing, a broken prescription, or no focal length.
    """
    from simview.eyepiece.lensfile import NAMES, lens, read_lens

    if word.lower().endswith(".toml"):
        return read_lens(word, focal_length_mm)
    name, length = word.strip().lower(), focal_length_mm
    if name not in NAMES:
        name, length = _by_letters(word, focal_length_mm)
    if length is None:
        raise RangeError(
            "--focal-length",
            got="nothing",
            allowed="1 to 100 mm",
            remedy=f"as in `simview eyepiece {word} --focal-length 20`",
        )
    return lens(name, length)


def _by_letters(word: str, focal_length_mm: float | None) -> tuple[str, float | None]:
    """Read a barrel's letters; what the option says goes before what they say."""
    from simview.eyepiece.lensfile import NAMES
    from simview.eyepiece.markings import read_marking

    try:
        meaning, length = read_marking(word)
    except ChoiceError as error:
        raise ChoiceError(
            "eyepiece",
            got=word,
            allowed=f"{', '.join(NAMES)}; letters as on a barrel; or a TOML file",
            remedy=error.remedy,
        ) from None
    if meaning.layout is None:
        raise ChoiceError(
            "eyepiece", got=word, allowed=", ".join(NAMES), remedy="write a prescription of it"
        )
    return meaning.layout, length if focal_length_mm is None else focal_length_mm
