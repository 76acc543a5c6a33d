"""A picture made again from the recipe that it carries."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any

from typer import Argument, Option

from simview.cli import complete, ledger, parsing
from simview.cli.options import ReportOptions
from simview.cli.report import Reporter
from simview.errors import SimviewError
from simview.picture.outputs import suffixes
from simview.terminal import tell
from simview.textfile import free_name

EXAMPLES = (
    "view-jupiter.png",
    "slides/ladder.png --size 3840x2160 --out slides/large.png",
    "film-star.webp --out film-star-2.webp",
    "diagnose-inside.png --photo inside.mp4 --photo outside.mp4",
)


def command(
    picture: Annotated[
        Path,
        Argument(
            metavar="PICTURE",
            help="A PNG, or a film, that simview wrote.",
            autocompletion=complete.pictures,
            show_default=False,
        ),
    ],
    size: Annotated[
        str | None,
        Option(metavar="WxH", help="A different size, in pixels; without it, the same as before."),
    ] = None,
    photo: Annotated[
        list[Path] | None,
        Option(
            "--photo",
            metavar="FILE",
            help="Your own photograph, where the picture shows one: a recipe holds only its "
            "fingerprint. Of several, each with a --photo of its own.",
            show_default=False,
        ),
    ] = None,
    report: ReportOptions = ReportOptions(),
) -> None:
    """Make a picture again from its own recipe, perhaps larger."""
    from simview.picture import again
    from simview.picture.films.moving import read_any_recipe

    recipe = read_any_recipe(picture)
    if recipe.get("command") == "diagnose":
        _diagnosis(picture, recipe, photo or [], size, report)
        return
    if photo:
        from simview.picture.recipe import supply

        for own in photo:
            recipe = supply(recipe, own)
    if recipe.get("moving"):
        _film(picture, recipe, size, report)
        return
    wanted = None if size is None else parsing.size(size)
    reporter = Reporter(report, stem=f"{picture.stem}-again", suffix=suffixes())
    with _dress_of(recipe):
        with reporter.progress() as progress:
            made = again.redo(recipe, size=wanted, progress=progress)
        reporter.sheet(made)


@contextmanager
def _dress_of(recipe: dict[str, Any]) -> Iterator[None]:
    """Take out of a recipe what the sheet's maker added to it, for as long as it is made again.

    Its language is a part of that.

    Raises
    ------
    SimviewError
        Where that is broken.
    """
    from simview.picture.drawing import dress, tongue
    from simview.picture.recipe import reading

    with reading():
        told = recipe.pop("dress", None)
        own = dress.PLAIN if told is None else dress.of_recipe(dict(told))
        language = tongue.known(str(dict(told or {}).get("language", tongue.ENGLISH)))
    with (
        dress.wearing(replace(own, vector=dress.current().vector)),
        tongue.speaking(language),
    ):
        yield


def _diagnosis(
    picture: Path,
    recipe: Mapping[str, Any],
    photos: list[Path],
    size: str | None,
    report: ReportOptions,
) -> None:
    from simview.diagnosis.again import again

    wanted = None if size is None else parsing.size(size)
    reporter = Reporter(report, stem=f"{picture.stem}-again")
    with reporter.progress() as progress:
        made = again(recipe, photos, size=wanted, progress=progress)
    reporter.sheet(made)


def _film(
    picture: Path, recipe: Mapping[str, Any], size: str | None, report: ReportOptions
) -> None:
    from simview.picture.films import again as film
    from simview.picture.films.moving import require_place, save_moving

    if size is not None:
        raise SimviewError("--size", got=size, allowed="none: a film keeps its size")
    out = report.out
    if out is None and not report.json:
        out = free_name(f"{picture.stem}-again{picture.suffix}")
    place = None if out is None else require_place(out, force=report.force)
    reporter = Reporter(ReportOptions(json=report.json, quiet=report.quiet))
    with reporter.progress() as progress:
        made = film.again(recipe)
        if place is not None:
            with ledger.writing(place):
                save_moving(made, place, force=report.force, progress=progress)
            if not report.json:
                tell(place)
    reporter.figures(made.figures)
