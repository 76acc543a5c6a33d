"""Moving pictures on disk: WebP, APNG, GIF, MP4 or a folder, written whole or not at all.

The recipe and the figures travel inside: in an APNG as in any PNG, in a WebP as the comment of its
EXIF data, in a folder in its first frame.
"""

from __future__ import annotations

import errno
import io
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview import budget
from simview.errors import FileError
from simview.picture.films.video import gif, read_texts, require_encoder, texts_of, write_mp4
from simview.picture.save import FIGURES_KEY, FORMAT, RECIPE_KEY, plain, read_recipe
from simview.textfile import (
    part_of,
    place_whole,
    require_no_pipe,
    require_writable,
    write_whole,
)

if TYPE_CHECKING:
    from simview.picture.prints.printing import Progress

Print = NDArray[np.uint8]
Kind = Literal["webp", "apng", "gif", "mp4", "frames"]

# Endings of the file's name, and what they mean; none at all is a folder.
KINDS: Final[Mapping[str, Kind]] = {
    ".webp": "webp",
    ".png": "apng",
    ".apng": "apng",
    ".gif": "gif",
    ".mp4": "mp4",
    "": "frames",
}

# What each pixel of each frame takes while a film is written: red, green, blue, and the share of
# the encoder. Measured for WebP and APNG.
BYTES_PER_PIXEL: Final = 7

# WebP's effort. Without losses: at any quality its blocks show where a picture is nearly even, and
# what hardly changes is left standing in rectangles. A film boils all over, and no more than its
# first frame need stand alone. Against more effort (method 2, quality 40, with key frames) three
# fifths of the time and 1.2 times the bytes, measured with a star's film.
_METHOD: Final = 1
_PACKING: Final = 0
_NO_KEY_FRAMES: Final = {"kmin": 9_999, "kmax": 10_000}

# zlib's effort for APNG and frames.
_EFFORT: Final = 3

# EXIF tags. Source: CIPA DC-008 (Exif 2.32): Software, ImageDescription, the Exif directory, and
# UserComment in it.
_SOFTWARE: Final = 0x0131
_DESCRIPTION: Final = 0x010E
_DIRECTORY: Final = 0x8769
_COMMENT: Final = 0x9286
_ASCII: Final = b"ASCII\0\0\0"


@dataclass(frozen=True, slots=True, kw_only=True)
class Moving:
    """A moving picture in the making.

    Parameters
    ----------
    frames
        Computed one after the other as they are asked for, all of one size.
    count
        How many there are.
    frames_per_second
        How fast they are shown.
    figures, recipe
        As of a sheet.
    title
        For programs that list pictures.
    remarks
        What the reader should be told besides.
    tells
        What it shows, for those who do not see it.
    counts
        A figure that changes from frame to frame, for a slide; () for none.
    """

    frames: Iterable[Print]
    count: int
    frames_per_second: float
    figures: dict[str, Any] = field(default_factory=dict)
    recipe: dict[str, Any] = field(default_factory=dict)
    title: str = ""
    remarks: tuple[str, ...] = ()
    tells: str = ""
    counts: tuple[str, ...] = ()


def kind_of(path: str | Path) -> Kind:
    """Return what a file's name asks for.

    Raises
    ------
    FileError
        For any other ending.
    """
    suffix = Path(path).suffix.lower()
    if suffix not in KINDS:
        raise FileError(
            "cannot tell what to write",
            allowed="a name that ends in .webp, .mp4, .gif, .png or .apng, or a folder's name"
            " without ending",
            where=str(path),
        )
    return KINDS[suffix]


def require_place(path: str | Path, *, force: bool = False) -> Path:
    """Return the path if a moving picture can be written there, before any work is done for it.

    Raises
    ------
    FileError
        Says what is in the way.
    """
    target = Path(path)
    if kind_of(target) == "frames":
        # A folder is never replaced: it may hold other things besides.
        if target.exists():
            raise FileError(
                "folder is there already", remedy="choose another name", where=str(path)
            )
        require_writable(target)
        return target
    if kind_of(target) == "mp4":
        require_encoder()
    return require_writable(target, force=force)


def require_memory(count: int, size: tuple[int, int], kind: Kind) -> None:
    """Refuse more frames than memory may hold; those of a folder or an MP4 go one by one.

    Raises
    ------
    SimviewError
        Tells how much memory it would take.
    """
    held = 0 if kind in ("frames", "mp4") else BYTES_PER_PIXEL * count * size[0] * size[1]
    budget.require(
        f"{count} frames of {size[0]}x{size[1]} pixels",
        held,
        remedy="fewer or smaller frames, or a folder of them",
    )


def save_moving(
    moving: Moving, path: str | Path, *, force: bool = False, progress: Progress | None = None
) -> Path:
    """Compute all frames and write them.

    Parameters
    ----------
    path
        Its ending decides: .webp, .mp4, .gif, .png or .apng, none for a folder of frames.
    force
        True replaces a file that is there.

    Raises
    ------
    FileError
        If the name cannot be written to. Nothing is left half written.
    """
    target = require_place(path, force=force)
    kind = kind_of(target)
    frames = _told(moving, kind, progress)
    if kind == "frames":
        return _write_folder(moving, frames, target)
    if kind == "mp4":
        return _write_mp4(moving, frames, target, force=force)
    if kind == "gif":
        data = gif(frames, _milliseconds(moving), texts_of(_texts(moving)))
    else:
        data = _webp(moving, frames, progress) if kind == "webp" else _apng(moving, frames)
    return write_whole(target, data, force=force)


def _write_mp4(moving: Moving, frames: Iterable[Print], target: Path, *, force: bool) -> Path:
    """Encode beside its place, then give the file its name."""
    try:
        with part_of(target) as part:
            write_mp4(
                frames,
                part,
                frames_per_second=moving.frames_per_second,
                texts=texts_of(_texts(moving)),
                name=str(target),
            )
            place_whole(part, target, force=force)
    except OSError as error:
        reason = error.strerror or "the disk refuses"
        raise FileError(f"MP4 cannot be written ({reason})", where=str(target)) from None
    return target


def _told(moving: Moving, kind: Kind, progress: Progress | None) -> Iterator[Print]:
    """Give the frames and tell how far they are; refuse them all if memory would not hold them."""
    for number, frame in enumerate(islice(moving.frames, moving.count)):
        if number == 0:
            require_memory(moving.count, (frame.shape[1], frame.shape[0]), kind)
        yield frame
        if progress is not None:
            progress(0.9 * (number + 1) / moving.count, f"frame {number + 1} of {moving.count}")


def _milliseconds(moving: Moving) -> list[int]:
    """Return how long each frame stands: whole milliseconds that keep pace on the whole."""
    ends = np.rint(np.arange(moving.count + 1) * 1000.0 / moving.frames_per_second)
    return [int(step) for step in np.diff(ends)]


def _webp(moving: Moving, frames: Iterable[Print], progress: Progress | None) -> bytes:
    from PIL import Image

    from simview import __version__

    exif = Image.Exif()
    exif[_SOFTWARE] = f"simview {__version__}"
    exif[_DESCRIPTION] = moving.title.encode("ascii", "replace").decode("ascii")
    whole = json.dumps(_texts(moving), ensure_ascii=True, separators=(",", ":"))
    exif.get_ifd(_DIRECTORY)[_COMMENT] = _ASCII + whole.encode("ascii")
    pictures = [Image.fromarray(frame) for frame in frames]
    if progress is not None:
        progress(0.92, "writing")
    stream = io.BytesIO()
    pictures[0].save(
        stream,
        "WEBP",
        save_all=True,
        append_images=pictures[1:],
        duration=_milliseconds(moving),
        loop=0,
        lossless=True,
        quality=_PACKING,
        method=_METHOD,
        **_NO_KEY_FRAMES,
        exif=exif.tobytes(),
    )
    return stream.getvalue()


def _apng(moving: Moving, frames: Iterable[Print]) -> bytes:
    from PIL import Image

    pictures = [Image.fromarray(frame) for frame in frames]
    stream = io.BytesIO()
    pictures[0].save(
        stream,
        "PNG",
        save_all=True,
        append_images=pictures[1:],
        duration=_milliseconds(moving),
        loop=0,
        compress_level=_EFFORT,
        pnginfo=_png_texts(moving),
    )
    return stream.getvalue()


def _write_folder(moving: Moving, frames: Iterable[Print], target: Path) -> Path:
    """Write frames into a folder beside its place, then give it its name."""
    from PIL import Image

    digits = max(4, len(str(moving.count)))
    try:
        with part_of(target) as part:
            part.mkdir()
            for number, frame in enumerate(frames, 1):
                told = _png_texts(moving) if number == 1 else None
                name = part / f"frame-{number:0{digits}}.png"
                Image.fromarray(frame).save(name, compress_level=_EFFORT, pnginfo=told)
            if target.exists():  # an empty folder would be replaced unasked
                raise FileExistsError(errno.EEXIST, "it is there already", str(target))
            part.rename(target)
    except OSError as error:
        reason = error.strerror or "the disk refuses"
        raise FileError(f"folder cannot be written ({reason})", where=str(target)) from None
    return target


def _texts(moving: Moving) -> dict[str, Any]:
    """Return recipe and figures as they travel."""
    from simview import __version__

    whole = {"format": FORMAT, "version": __version__, "recipe": plain(moving.recipe)}
    return {RECIPE_KEY: whole, FIGURES_KEY: plain(moving.figures)}


def _png_texts(moving: Moving) -> Any:
    from PIL.PngImagePlugin import PngInfo

    from simview import __version__

    told = PngInfo()
    told.add_itxt("Software", f"simview {__version__}")
    if moving.title:
        told.add_itxt("Title", moving.title)
    for key, value in _texts(moving).items():
        text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
        told.add_itxt(key, text, zip=True)
    return told


def read_any_recipe(path: str | Path) -> dict[str, Any]:
    """Return the recipe that a picture carries, whether it moves or not.

    Raises
    ------
    FileError
        As `simview.picture.save.read_recipe`.
    """
    if Path(path).suffix.lower() in (".webp", ".gif", ".mp4"):
        return read_moving_recipe(path)
    return read_recipe(path)


def read_moving_recipe(path: str | Path) -> dict[str, Any]:
    """Return the recipe that a moving WebP, GIF or MP4 carries.

    Raises
    ------
    FileError
        If it is missing, of another kind, broken, or carries no recipe that this version reads.
    """
    whole = _read_texts(Path(path)).get(RECIPE_KEY)
    if not isinstance(whole, dict) or not isinstance(whole.get("recipe"), dict):
        raise FileError("picture's recipe is damaged", where=str(path))
    if whole.get("format") != FORMAT:
        raise FileError(
            "picture's recipe is of a form that this version does not read",
            got=f"version {whole.get('version', 'unknown')}",
            remedy="make the picture again",
            where=str(path),
        )
    return dict(whole["recipe"])


def _read_texts(path: Path) -> dict[str, Any]:
    if path.suffix.lower() != ".webp":
        return _parsed(read_texts(path), path)
    from PIL import Image, UnidentifiedImageError

    require_no_pipe(path, "WebP file")
    try:
        with Image.open(path, formats=("WEBP",)) as image:
            comment = image.getexif().get_ifd(_DIRECTORY).get(_COMMENT, b"")
    except FileNotFoundError:
        raise FileError("WebP file not found", where=str(path)) from None
    except (OSError, ValueError, SyntaxError, UnidentifiedImageError) as error:
        reason = getattr(error, "strerror", None) or "broken, or no WebP"
        raise FileError(f"WebP file cannot be read ({reason})", where=str(path)) from None
    if not (isinstance(comment, bytes) and comment.startswith(_ASCII)):
        raise FileError(
            "picture carries no recipe", allowed="a WebP written by simview", where=str(path)
        )
    return _parsed(comment[len(_ASCII) :].decode("ascii", "replace"), path)


def _parsed(words: str, path: Path) -> dict[str, Any]:
    if not words:
        raise FileError(
            "picture carries no recipe", allowed="a film written by simview", where=str(path)
        )
    try:
        texts = json.loads(words)
    except (ValueError, RecursionError):
        texts = None
    if not isinstance(texts, dict):
        raise FileError("picture's recipe is damaged", where=str(path))
    return texts
