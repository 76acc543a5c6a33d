"""Files to frames: photographs, FITS, bursts in a folder or a file, short films.

Nothing of a picture leaves the machine, and nothing is kept: no place, no time, no name of the
camera is read from it.
"""

from __future__ import annotations

import hashlib
import io
import itertools
import math
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview import srgb
from simview.errors import FileError
from simview.scene.photo import sha256_of

Frame = NDArray[np.float32]

# Largest file, bytes; largest picture, pixels; most frames; longest film, s. Guards against a
# wrong file under the right name: a film from a phone weighs about 10 MB in four seconds.
LARGEST_FILE: Final = 400_000_000
LARGEST_PIXELS: Final = 64_000_000
MOST_FRAMES: Final = 400
LONGEST_S: Final = 120.0

# Endings of pictures that a folder is searched for, and of films.
PICTURES: Final = (
    *(".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".gif", ".bmp"),
    *(".fits", ".fit", ".fts", ".heic", ".heif"),
)
FILMS: Final = (".mp4", ".mov", ".avi", ".mkv", ".m4v", ".webm")

# Pillow's names of what is read; an offered reader for anything else is never woken.
_FORMATS: Final = ("PNG", "JPEG", "TIFF", "WEBP", "GIF", "BMP")

_WANTED: Final = "a JPEG, PNG, TIFF, WebP, GIF, HEIC or FITS picture, a film, or a folder of them"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shot:
    """What was photographed on one side of focus.

    Parameters
    ----------
    frames
        Each (h, w, channels) float32 of linear light, 0 to 1 of full scale; channels are 1 or 3.
    linear
        True where the file holds light (FITS); False where a tone curve was undone (sRGB's).
    name
        For messages.
    """

    frames: tuple[Frame, ...]
    linear: bool
    name: str


def read(source: str | Path | bytes, *, name: str = "") -> Shot:
    """Return the frames of a file, a folder, or a file's bytes.

    Parameters
    ----------
    source
        A path, or what a file holds.
    name
        For messages; a path's own name otherwise.

    Raises
    ------
    FileError
        Missing, empty, too large, broken, or no picture.
    """
    if isinstance(source, bytes):
        return _of_bytes(source, name or "picture")
    path = Path(source)
    if path.is_dir():
        return _of_folder(path)
    if not path.is_file():
        raise _wrong(str(path), "file not found", "check the name and the folder")
    if path.stat().st_size > LARGEST_FILE:
        raise _wrong(str(path), f"file of {path.stat().st_size / 1e6:.0f} MB", "up to 400 MB")
    if path.suffix.lower() in FILMS:
        return _of_film(path)
    try:
        return _of_bytes(path.read_bytes(), str(path))
    except OSError as error:
        raise _wrong(str(path), f"file cannot be read ({error.strerror})", "") from None


def fingerprint(source: str | Path | bytes) -> str:
    """Return the SHA-256 by which a recipe knows a photograph: of a file, or of a folder's frames.

    Parameters
    ----------
    source
        What `read` has read.
    """
    if isinstance(source, bytes):
        return hashlib.sha256(source).hexdigest()
    path = Path(source)
    if not path.is_dir():
        return sha256_of(path)
    return hashlib.sha256(" ".join(map(sha256_of, _frames_in(path))).encode()).hexdigest()


def _frames_in(path: Path) -> list[Path]:
    return sorted(p for p in path.iterdir() if p.suffix.lower() in PICTURES and p.is_file())


def _of_bytes(data: bytes, name: str) -> Shot:
    if not data:
        raise _wrong(name, "the file is empty", "take the original from the camera")
    if len(data) > LARGEST_FILE:
        raise _wrong(name, f"{len(data) / 1e6:.0f} MB", "up to 400 MB")
    if data[:6] == b"SIMPLE":
        return Shot(frames=tuple(_fits(data, name)), linear=True, name=name)
    if data[4:12] in _HEIF_BRANDS:
        _wake_heif(name)
    return Shot(frames=tuple(_pillow(data, name)), linear=False, name=name)


_HEIF_BRANDS: Final = tuple(b"ftyp" + brand for brand in (b"heic", b"heix", b"mif1", b"heim"))


def _wake_heif(name: str) -> None:
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        raise _wrong(
            name,
            "a HEIC picture",
            "install the reader with: pip install pillow-heif, or save it as JPEG",
        ) from None
    register_heif_opener()


def _pillow(data: bytes, name: str) -> Iterator[Frame]:
    from PIL import Image, ImageOps, ImageSequence, UnidentifiedImageError

    formats = (*_FORMATS, "HEIF") if data[4:12] in _HEIF_BRANDS else _FORMATS
    try:
        with warnings.catch_warnings():
            # A picture of too many pixels is refused by its size below, before it is unpacked.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            image = Image.open(io.BytesIO(data), formats=formats)
        with image:
            _check_size(image.width, image.height, name)
            many = image.format in {"GIF", "TIFF", "WEBP"}
            pages = ImageSequence.Iterator(image) if many else iter((image,))
            for page in itertools.islice(pages, MOST_FRAMES):
                _check_size(page.width, page.height, name)
                yield _linear(ImageOps.exif_transpose(page))
    except FileError:
        raise
    except Image.DecompressionBombError:
        raise _wrong(name, "a picture of far too many pixels", _CUT) from None
    except UnidentifiedImageError:
        raise _wrong(name, "no picture that can be read", f"allowed: {_WANTED}") from None
    except (
        OSError,
        ValueError,
        SyntaxError,
        MemoryError,
        EOFError,
        KeyError,
    ):
        # Its head says what it is, its body is not all there.
        raise _wrong(
            name, "a picture that is cut short or broken", "copy it from the camera again"
        ) from None


_CUT: Final = "cut out the star and what is around it, and try again (up to 64 million pixels)"


def _check_size(width: int, height: int, name: str) -> None:
    if width * height > LARGEST_PIXELS:
        raise _wrong(name, f"{width} x {height} pixels", _CUT)


def _linear(image: Any) -> Frame:
    """Return a Pillow picture as linear light, (h, w, 1 or 3).

    Source: IEC 61966-2-1:1999 (sRGB).
    """
    if image.mode in {"I", "I;16", "I;16B", "I;16L", "F"}:
        grey = np.nan_to_num(np.asarray(image, np.float32))
        top = 65535.0 if image.mode != "F" else max(float(grey.max(initial=0.0)), 1e-9)
        return _undone(np.clip(grey / top, 0.0, 1.0))[..., None]
    if image.mode in {"L", "1", "LA"}:
        code = np.asarray(image.convert("L"), np.float32) / np.float32(255.0)
        return _undone(code)[..., None]
    colours = np.asarray(image.convert("RGB"))
    first, second, third = (colours[..., k].astype(np.int16) for k in range(3))
    if max(int(abs(first - second).max()), int(abs(second - third).max())) <= 2:
        return np.asarray(_TABLE[colours[..., 1:2]])
    return np.asarray(_TABLE[colours])


def _undone(code: Frame) -> Frame:
    return np.asarray(srgb.linear(code), np.float32)


_TABLE: Final = _undone(np.arange(256, dtype=np.float32) / np.float32(255.0))


def _fits(data: bytes, name: str) -> Iterator[Frame]:
    from astropy.io import fits

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with fits.open(io.BytesIO(data), memmap=False) as file:
                plane = next((hdu.data for hdu in file if _is_picture(hdu)), None)
                plane = None if plane is None else np.asarray(plane, np.float32)
    except (OSError, ValueError, TypeError, IndexError, KeyError, AttributeError, MemoryError):
        plane = None
    if plane is None:
        raise _wrong(name, "a FITS file without a picture that can be read", f"allowed: {_WANTED}")
    yield from _fits_frames(np.nan_to_num(plane)[..., ::-1, :], name)


def _is_picture(hdu: Any) -> bool:
    shape = getattr(hdu, "shape", ())
    size = math.prod(shape) if len(shape) in (2, 3) else 0
    return 0 < size <= LARGEST_PIXELS * 3 and hdu.is_image


def _fits_frames(plane: Frame, name: str) -> Iterator[Frame]:
    """Yield the pictures of an array: rows go upwards in FITS, so they come turned already.

    Source: FITS standard 4.0 (2018), section 4.4; a cube of three planes is taken as red, green
    and blue, any other as frames (common practice, no source).
    """
    _check_size(plane.shape[-1], plane.shape[-2], name)
    top = max(float(plane.max(initial=0.0)), 1e-9)
    plane = plane / np.float32(top)
    if plane.ndim == 2:
        yield plane[..., None]
    elif len(plane) == 3:
        yield np.moveaxis(plane, 0, -1)
    else:
        yield from (frame[..., None] for frame in plane[:MOST_FRAMES])


def _of_folder(path: Path) -> Shot:
    files = _frames_in(path)
    if not files:
        raise _wrong(str(path), "a folder without pictures", f"allowed: {_WANTED}")
    if len(files) > MOST_FRAMES:
        raise _wrong(str(path), f"{len(files)} pictures", f"allowed: up to {MOST_FRAMES}")
    shots = [read(file) for file in files]
    channels = min(shot.frames[0].shape[-1] for shot in shots)
    frames = tuple(_like(frame, channels) for shot in shots for frame in shot.frames)
    return Shot(frames=frames, linear=all(shot.linear for shot in shots), name=str(path))


def _like(frame: Frame, channels: int) -> Frame:
    return frame if frame.shape[-1] == channels else frame[..., 1:2]


def _of_film(path: Path) -> Shot:
    try:
        import av
    except ImportError:
        raise _wrong(
            str(path), "a film", "install the reader with: pip install av, or give single pictures"
        ) from None
    try:
        with av.open(str(path)) as film:
            stream = film.streams.video[0]
            _check_size(stream.width, stream.height, str(path))
            length = float(film.duration or 0) / av.time_base
            if length > LONGEST_S:
                raise _wrong(
                    str(path),
                    f"a film of {length / 60.0:.0f} minutes",
                    f"cut out {LONGEST_S / 60.0:.0f} minutes or less",
                )
            frames = []
            for picture in film.decode(stream):
                frames.append(_linear_film(picture.to_ndarray(format="rgb24")))
                if len(frames) >= _film_frames(stream.width, stream.height):
                    break
    except FileError:
        raise
    except (OSError, ValueError, IndexError, av.FFmpegError):
        frames = []
    if not frames:
        raise _wrong(str(path), "not a film that can be read", f"allowed: {_WANTED}")
    return Shot(frames=tuple(frames), linear=False, name=str(path))


def _film_frames(width: int, height: int) -> int:
    """Return how many frames of a film are taken: what half a gigabyte holds."""
    return int(max(1, min(MOST_FRAMES, 5e8 / (12.0 * width * height))))


def _linear_film(colours: NDArray[Any]) -> Frame:
    return np.asarray(_TABLE[colours])


def _wrong(name: str, got: str, remedy: str) -> FileError:
    return FileError(f"photograph {name}", got=got, remedy=remedy)
