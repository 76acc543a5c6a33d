"""A picture on disk: written whole or not at all, with its recipe and figures inside.

The recipe (what to compute) and the figures (what came out) travel in the PNG as compressed UTF-8
text under names of our own, so that a picture in a talk can be made again and checked.
"""

from __future__ import annotations

import json
import math
import ntpath
import re
from collections.abc import Mapping
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any, Final

from simview.errors import FileError
from simview.textfile import free_name, part_of, place_whole, require_no_pipe, require_writable

if TYPE_CHECKING:
    from PIL.Image import Image

# Names under which our two texts stand in a PNG.
RECIPE_KEY: Final = "simview:recipe"
FIGURES_KEY: Final = "simview:figures"

# Version of what the recipe's text looks like.
FORMAT: Final = 1

# What an absolute path begins with: /folder/, C:\ or \\server.
_ABSOLUTE: Final = re.compile(r"/[^/\s]+/|[A-Za-z]:[\\/]|\\\\")

# Largest text that is read back, bytes; ours are below 100 kB.
_LARGEST_TEXT: Final = 4_000_000


def save_png(
    image: Image,
    path: str | Path,
    *,
    recipe: Mapping[str, Any],
    figures: Mapping[str, Any],
    title: str = "",
    force: bool = False,
    number: bool = False,
) -> Path:
    """Write a picture with its recipe and figures.

    Parameters
    ----------
    image
        RGB.
    path
        Ends in .png; its folder must be there.
    recipe, figures
        Plain values (numbers, texts, lists, mappings). Of paths only the file's name is kept;
        numbers that are none become null.
    title
        For programs that list pictures.
    force
        True replaces a file that is there.
    number
        True writes beside a file that is there, under the next free number: "name-2.png".

    Returns
    -------
    Path
        Where the picture lies now: say it aloud when it is not where it was asked for.

    Raises
    ------
    FileError
        If the name cannot be written to, or a file is there and neither `force` nor `number`
        is given. Nothing is left half written.
    """
    require_writable(path, force=force or number, suffix=".png")
    data = _encode(image, recipe, figures, title)
    return write_file(data, path, force=force, number=number)


def write_file(data: bytes, path: str | Path, *, force: bool = False, number: bool = False) -> Path:
    """Write a file whole or not at all.

    Parameters
    ----------
    force, number
        As in `save_png`.

    Returns
    -------
    Path
        Where it lies now.

    Raises
    ------
    FileError
        If the name cannot be written to, or a file is there.
    """
    target = require_writable(path, force=force or number)
    try:
        with part_of(target) as part:
            part.write_bytes(data)
            return _place(part, target, force=force, number=number)
    except OSError as error:
        reason = error.strerror or "the disk refuses"
        raise FileError(f"file cannot be written ({reason})", where=str(path)) from None


def _place(part: Path, target: Path, *, force: bool, number: bool) -> Path:
    """Move the finished file to its name, or, where `number`, to the next free one."""
    while True:
        free = free_name(target) if number else target
        try:
            place_whole(part, free, force=force)
        except FileError:
            # Somebody else took the name since it was looked at.
            if not number or not free.exists():
                raise
        else:
            return free


def png_bytes(image: Image, *, recipe: Mapping[str, Any], figures: Mapping[str, Any]) -> bytes:
    """Return a picture as `save_png` writes it."""
    return _encode(image, recipe, figures, "")


def _encode(
    image: Image, recipe: Mapping[str, Any], figures: Mapping[str, Any], title: str
) -> bytes:
    from simview import __version__
    from simview.picture.png import Text, png_of

    whole = {"format": FORMAT, "version": __version__, "recipe": plain(recipe)}
    texts = (
        Text("Software", f"simview {__version__}"),
        *([Text("Title", title)] if title else []),
        Text(RECIPE_KEY, _json(whole), packed=True),
        Text(FIGURES_KEY, _json(plain(figures)), packed=True),
    )
    # A sheet for paper knows how large it shall be printed.
    return png_of(image, texts, image.info.get("dpi", (None,))[0])


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def plain(value: Any) -> Any:
    """Return values as JSON knows them, without anything that tells of this machine.

    Numbers that are none become null; of a path, and of a text that is an absolute path, only
    the last part is kept.

    Raises
    ------
    TypeError
        For anything that JSON cannot hold.
    """
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if hasattr(value, "tolist"):  # numpy's numbers and arrays
        return plain(value.tolist())
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, str | PurePath):
        return _without_folders(value)
    if value is None or isinstance(value, int):
        return value
    raise TypeError(f"{type(value).__name__} cannot stand in a picture's metadata")


def _without_folders(value: str | PurePath) -> str:
    if isinstance(value, PurePath):
        return value.name
    # A text of several lines, such as a kit file, is no path whatever it begins with.
    absolute = _ABSOLUTE.match(value) and "\n" not in value
    return ntpath.basename(value) if absolute else value


def read_recipe(path: str | Path) -> dict[str, Any]:
    """Return the recipe that a picture carries.

    Raises
    ------
    FileError
        If the file is missing, no PNG, broken, or carries no recipe that this version reads.
    """
    whole = _read(path, RECIPE_KEY)
    if whole.get("format") != FORMAT or not isinstance(whole.get("recipe"), dict):
        made = whole.get("version", "unknown")
        raise FileError(
            "picture's recipe is of a form that this version does not read",
            got=f"version {made}",
            remedy="make the picture again",
            where=str(path),
        )
    return dict(whole["recipe"])


def read_figures(path: str | Path) -> dict[str, Any]:
    """Return the figures that a picture carries.

    Raises
    ------
    FileError
        As `read_recipe`.
    """
    return _read(path, FIGURES_KEY)


def _read(path: str | Path, key: str) -> dict[str, Any]:
    text = _texts(Path(path)).get(key)
    if text is None:
        raise FileError(
            "picture carries no recipe",
            allowed="a PNG written by simview",
            remedy="programs that convert or crop pictures throw it away",
            where=str(path),
        )
    try:
        value = json.loads(text)
    except (ValueError, RecursionError):
        value = None
    if not isinstance(value, dict):
        raise FileError("picture's recipe is damaged", where=str(path))
    return value


def _texts(path: Path) -> dict[str, str]:
    """Return the texts in front of a PNG's pixels; the pixels themselves are not decoded."""
    import warnings

    from PIL import Image, UnidentifiedImageError

    if path.is_dir():
        raise FileError("a folder, a PNG file is wanted", where=str(path))
    require_no_pipe(path, "PNG file")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(path, formats=("PNG",)) as image:
                texts = {str(k): str(v) for k, v in image.info.items() if isinstance(v, str)}
    except FileNotFoundError:
        raise FileError("PNG file not found", where=str(path)) from None
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise FileError("picture is too large", where=str(path)) from None
    except UnidentifiedImageError:
        raise FileError("not a PNG file, or a broken one", where=str(path)) from None
    except (OSError, ValueError, SyntaxError, EOFError) as error:
        reason = getattr(error, "strerror", None) or "broken PNG"
        raise FileError(f"PNG file cannot be read ({reason})", where=str(path)) from None
    if sum(map(len, texts.values())) > _LARGEST_TEXT:
        raise FileError("picture carries too much text", where=str(path))
    return texts
