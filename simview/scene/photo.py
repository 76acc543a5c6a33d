"""A picture of the user's own as a scene: its size on the sky and its brightness are given."""

from __future__ import annotations

import math
import warnings
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview import budget, srgb
from simview.errors import FileError, SimviewError, require_range
from simview.scene.scene import Scene, Target
from simview.scene.spectrum import LUMINANCE_WEIGHTS
from simview.units import luminance_cd_m2

# Largest file that is opened, bytes, and largest picture that is decoded, pixels: a small file
# may unfold to gigabytes.
LARGEST_FILE: Final = 200_000_000
LARGEST_PIXELS: Final = 60_000_000

# What is read, by Pillow's names: an offered reader for anything else is never woken.
FORMATS: Final = ("PNG", "JPEG", "TIFF", "WEBP")

# Longest side that is kept, pixels: more than the tallest sheet has.
_KEPT_SIDE: Final = 4608

# What a pixel takes while the file is decoded, and while the kept picture is linear light that is
# averaged onto other pixels, bytes.
_BYTES_DECODED: Final = 4
_BYTES_KEPT: Final = 28


def decoded(values: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Turn sRGB code values into linear light, 0 to 1.

    Source: IEC 61966-2-1:1999.
    """
    table = srgb.linear(np.arange(256) / 255.0)
    return table.astype(np.float32)[values]


def read_linear(path: Path) -> NDArray[np.float32]:
    """Read a picture as linear light.

    Returns
    -------
    (ny, nx, 3) float32
        0 to 1, turned upright as its EXIF orientation says; transparent parts are black.

    Raises
    ------
    FileError
        Missing, a folder, too large, or not a picture that can be read.
    """
    _require_file(path)
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        # What is amiss with a damaged file is ours to say, in one line.
        with warnings.catch_warnings(action="ignore"), Image.open(path, formats=FORMATS) as image:
            if image.width * image.height > LARGEST_PIXELS:
                raise _too_large(path, image.width, image.height)
            image.draft("RGB", (_KEPT_SIDE, _KEPT_SIDE))
            _require_memory(path, image.width, image.height)
            upright = ImageOps.exif_transpose(image)
            if max(upright.size) > _KEPT_SIDE:
                upright.thumbnail((_KEPT_SIDE, _KEPT_SIDE))
            return _linear_rgb(upright)
    except SimviewError:
        raise
    except Image.DecompressionBombError as error:
        raise _too_large(path, 0, 0) from error
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, MemoryError) as error:
        raise FileError(
            "image", got=str(path), allowed="a PNG, JPEG, TIFF or WebP picture that is whole"
        ) from error


def _linear_rgb(image: object) -> NDArray[np.float32]:
    from PIL import Image

    assert isinstance(image, Image.Image)
    if image.mode in {"I", "I;16", "I;16B", "F"}:
        grey = np.asarray(image, np.float32)
        # What is no number is dark; what is infinite is as bright as the brightest that is not.
        held = np.isfinite(grey)
        brightest = float(grey.max(initial=0.0, where=held))
        grey = np.nan_to_num(grey, nan=0.0, posinf=brightest, neginf=0.0)
        top = 65535.0 if image.mode.startswith("I") else max(brightest, 1e-9)
        codes = np.clip(grey / top * 255.0 + 0.5, 0, 255).astype(np.uint8)
        return np.repeat(decoded(codes)[..., None], 3, axis=2)
    if image.mode in {"RGBA", "LA", "PA"} or "transparency" in image.info:
        layered = np.asarray(image.convert("RGBA"))
        share = layered[..., 3:].astype(np.float32) / 255.0
        return np.asarray(decoded(layered[..., :3]) * share)
    return decoded(np.asarray(image.convert("RGB")))


def _require_file(path: Path) -> None:
    if path.is_dir():
        raise FileError("image", got=str(path), allowed="a picture file, not a folder")
    if not path.is_file():
        raise FileError("image", got=str(path), allowed="a picture file", remedy="no such file")
    size = path.stat().st_size
    if size > LARGEST_FILE:
        raise FileError("image", got=f"{path}, {size / 1e6:.0f} MB", allowed="up to 200 MB")
    if size == 0:
        raise FileError("image", got=f"{path}, empty", allowed="a picture file")


def sha256_of(path: Path) -> str:
    """Return the fingerprint of a file by which a recipe knows it: no name, no folder."""
    import hashlib

    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _require_memory(path: Path, width: int, height: int) -> None:
    shrunk = min(1.0, _KEPT_SIDE / max(width, height)) ** 2
    budget.require(
        f"the picture {path.name} of {width}x{height} pixels",
        width * height * (_BYTES_DECODED + shrunk * _BYTES_KEPT),
        remedy="scale it down",
    )


def _too_large(path: Path, width: int, height: int) -> FileError:
    size = f", {width} x {height} pixels" if width else ""
    return FileError(
        "image", got=f"{path}{size}", allowed="up to 60 million pixels", remedy="scale it down"
    )


def resampled(source: NDArray[np.float32], pixel_ratio: float, pixels: int) -> NDArray[np.float32]:
    """Return the middle of a picture on another grid, each new pixel a mean over its area.

    Parameters
    ----------
    source
        (ny, nx, 3).
    pixel_ratio
        Side of a new pixel in old pixels.
    pixels
        Side of the square result, centre on pixel n // 2.

    Returns
    -------
    (3, pixels, pixels) float32
        Dark outside the picture. Finer grids interpolate linearly between area means.
    """
    ny, nx, _ = source.shape
    rows = _overlap(ny, pixel_ratio, pixels)
    columns = _overlap(nx, pixel_ratio, pixels)
    return np.stack([rows(columns(source[..., k].T).T) for k in range(3)])


def _overlap(length: int, ratio: float, pixels: int):  # type: ignore[no-untyped-def]
    """Return a function that averages the first axis onto new pixels.

    The running integral of the old pixels, taken as a continuous polyline of their values,
    is read at the new pixels' edges: exact area means, smooth when magnified.
    """
    edges = (np.arange(pixels + 1) - pixels // 2 - 0.5) * ratio + 0.5 * length
    width = max(ratio, 1.0)
    left = np.clip(edges[:-1] + 0.5 * ratio - 0.5 * width, 0.0, length)
    right = np.clip(edges[:-1] + 0.5 * ratio + 0.5 * width, 0.0, length)

    def average(values: NDArray[np.float32]) -> NDArray[np.float32]:
        total = np.zeros((length + 1, *values.shape[1:]), np.float64)
        np.cumsum(values, axis=0, dtype=np.float64, out=total[1:])

        def at(place: NDArray[np.float64]) -> NDArray[np.float64]:
            whole = np.minimum(place.astype(np.intp), length - 1)
            part = (place - whole)[:, None]
            return np.asarray(total[whole] + part * (total[whole + 1] - total[whole]))

        return np.asarray((at(right) - at(left)) / width, dtype=np.float32)

    return average


def photo(image: str, width_arcmin: float, mag_arcsec2: float) -> Target:
    """Return a picture of the user's own as a target.

    Parameters
    ----------
    image
        Path of a picture.
    width_arcmin
        Its full width on the sky, 0.001 to 10800 arcmin.
    mag_arcsec2
        Mean V surface brightness over the whole picture, -12 to 30 mag/arcsec2.

    Raises
    ------
    FileError
        The file cannot be used.
    RangeError
        A figure is out of range.
    """
    width = require_range("width_arcmin", width_arcmin, 0.001, 10800.0, unit="arcmin") * 60.0
    level = require_range("mag_arcsec2", mag_arcsec2, -12.0, 30.0, unit="mag/arcsec2")
    path = Path(image).expanduser()
    linear = read_linear(path)
    mean = float((linear @ LUMINANCE_WEIGHTS.astype(np.float32)).mean())
    if not mean > 0.0:
        raise FileError("image", got=str(path), allowed="a picture that is not all black")
    bright = luminance_cd_m2(level)
    scale = bright / mean
    height = width * linear.shape[0] / linear.shape[1]

    def paint(pixel_arcsec: float, pixels: int) -> Scene:
        ratio = pixel_arcsec / (width / linear.shape[1])
        planes = resampled(linear, ratio, pixels) * np.float32(scale)
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec)

    return Target(
        name="photo",
        title=f"{path.stem}, {width / 60.0:g}′ wide",
        kind="photo",
        size_arcsec=max(width, height),
        paint=paint,
        magnitude=level - 2.5 * math.log10(width * height),
        luminance_cd_m2=bright,
        notes=(
            f"Picture {path.name}: the user's own; width and surface brightness as given, "
            "its own blur is still in it.",
        ),
        recipe={
            "name": "photo",
            "sha256": sha256_of(path),
            "bytes": path.stat().st_size,
            "width_arcmin": width / 60.0,
            "mag_arcsec2": level,
        },
    )
