"""What a sheet can be written as: one entry for each kind of file.

The command line and `simview.save_sheet` know a kind from its entry in `OUTPUTS`; nothing else has
to be told of it. Some kinds show figures alone: for these no picture is drawn.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from simview.cells import cell
from simview.errors import FileError
from simview.picture.save import plain, png_bytes, write_file
from simview.record import require_path

if TYPE_CHECKING:
    from simview.picture.finished import Told


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """A kind of file.

    Parameters
    ----------
    says
        What it is, in a few words.
    content
        Takes what a command made and returns the file's bytes. It has ``figures``, ``recipe`` and
        ``remarks``, and an ``image`` where `drawn`.
    drawn
        True where it needs the picture, False where the figures are all.
    """

    says: str
    content: Callable[[Any], bytes]
    drawn: bool = True


def _png(sheet: Any) -> bytes:
    return png_bytes(sheet.image, recipe=_dressed(sheet.recipe), figures=sheet.figures)


def _dressed(recipe: Mapping[str, Any]) -> dict[str, Any]:
    """Return a sheet's recipe with what its maker added to it; a slide's own holds that already."""
    from simview.picture.drawing import dress, tongue

    own = dress.current().recipe()
    if tongue.spoken() != tongue.ENGLISH:
        own = {**dress.PLAIN.told(), **own, "language": tongue.spoken()}
    return {**recipe, "dress": own} if own and "slide" not in recipe else dict(recipe)


def _pdf(sheet: Any) -> bytes:
    from simview.picture.slides.vector import pdf_of

    return pdf_of(sheet)


def _csv(told: Told) -> bytes:
    import csv

    rows = table_of(told.figures)
    stream = io.StringIO()
    names = list(dict.fromkeys(name for row in rows for name in row))
    writer = csv.DictWriter(stream, names, lineterminator="\n")
    writer.writeheader()
    writer.writerows({name: cell(value) for name, value in row.items()} for row in rows)
    # The mark at the start lets spreadsheets read it as UTF-8.
    return stream.getvalue().encode("utf-8-sig")


# By the ending of the file's name; the first is the usual one.
OUTPUTS: Final[dict[str, Output]] = {
    ".png": Output(says="a picture with its recipe and figures inside", content=_png),
    ".csv": Output(says="the figures as a table", content=_csv, drawn=False),
    ".pdf": Output(says="a page whose words can be searched", content=_pdf),
}


def suffixes() -> tuple[str, ...]:
    """Return the endings of the files that a sheet can be; the usual one first."""
    return tuple(OUTPUTS)


def needs_picture(path: Path) -> bool:
    """Return whether a file of this name shows a picture."""
    output = OUTPUTS.get(path.suffix.lower())
    return output is None or output.drawn


def write(told: Told, path: str | Path, *, force: bool = False, number: bool = False) -> Path:
    """Write what a command made as the kind of file that the name asks for.

    Parameters
    ----------
    told
        A sheet or a slide; what is not drawn, too, where the kind shows figures alone.
    path
        Ends in one of `suffixes`; its folder must be there.
    force
        True replaces a file that is there.
    number
        True writes beside a file that is there, under the next free number: "name-2.png".

    Returns
    -------
    Path
        Where the file lies now.

    Raises
    ------
    FileError
        For a name of no such kind, or one that cannot be written to; nothing is left half written.
    """
    ending = require_path("path", path).suffix.lower()
    if ending not in OUTPUTS:
        allowed = f"a name that ends in {' or '.join(OUTPUTS)}"
        raise FileError("cannot be written as this", got=ending, allowed=allowed, where=str(path))
    return write_file(OUTPUTS[ending].content(told), path, force=force, number=number)


def table_of(figures: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return figures as rows of a table: a row for each step, panel or power.

    The first list among the figures says what the rows are: records, or values, beside those of
    other lists of that length. What is said of the whole stands in every row, after the row's own;
    figures within a figure are named "splits.verdict".
    """
    told = plain(figures)
    lists = {k: v for k, v in told.items() if isinstance(v, list) and v and k not in _PAIRS}
    first = next(iter(lists.values()), [])
    if all(isinstance(row, dict) for row in first):
        rows = [_flat(row) for row in first]
        used = set(list(lists)[:1])
    else:
        used = {key for key, value in lists.items() if len(value) == len(first)}
        lines = zip(*(lists[key] for key in lists if key in used), strict=True)
        names = [key for key in lists if key in used]
        rows = [dict(zip(names, line, strict=True)) for line in lines]
    whole = _flat({key: value for key, value in told.items() if key not in used})
    return [_after(row, whole) for row in rows] or [whole]


# Lists that are two of something, and never a value for each row.
_PAIRS: Final = ("magnitudes", "rule_per_inch")


def _after(row: dict[str, Any], whole: Mapping[str, Any]) -> dict[str, Any]:
    return row | {key: value for key, value in whole.items() if key not in row}


def _flat(row: Mapping[str, Any]) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for key, value in row.items():
        if isinstance(value, dict):
            flat |= {f"{key}.{name}": item for name, item in _flat(value).items()}
        else:
            flat[key] = value
    return flat
