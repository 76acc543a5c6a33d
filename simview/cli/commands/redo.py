"""A picture made again from the recipe that it carries."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from typer import Argument, Option

from simview.cli import complete, words
from simview.cli.options import ReportOptions
from simview.cli.report import Reporter

EXAMPLES = ("view-jupiter.png", "slides/ladder.png --size 3840x2160 --out slides/large.png")


def command(
    picture: Annotated[
        Path,
        Argument(
            metavar="PICTURE",
            help="A PNG that simview wrote.",
            autocompletion=complete.pictures,
            show_default=False,
        ),
    ],
    size: Annotated[
        str | None, Option(metavar="WxH", help="Another size, in pixels; the same if left out.")
    ] = None,
    report: ReportOptions = ReportOptions(),
) -> None:
    """Make a picture again from its own recipe, perhaps larger."""
    from simview.picture import compose
    from simview.picture.save import read_recipe

    recipe = read_recipe(picture)
    wanted = None if size is None else words.size(size)
    reporter = Reporter(report, stem=f"{picture.stem}-again")
    with reporter.progress() as progress:
        made = compose.redo(recipe, size=wanted, progress=progress)
    reporter.sheet(made)
