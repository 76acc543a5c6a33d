"""A PNG's bytes, its pixels deflated by all threads at once.

Each row is kept as differences of neighbouring pixels (PNG's filter 1). Where sheets are mostly
noise of the print and plain ground, that is as small within some per cent as choosing a filter for
each row, and takes a fiftieth of the time. Strips of rows are deflated apart, each knowing the end
of the one before, and joined to one stream: the file is the same however many threads there are.

Source: W3C 2003, Portable Network Graphics (PNG) Specification, 2nd ed.; Deutsch 1996, RFC 1950
(zlib, Adler-32) and 1951 (deflate).
Checked by: tests/unit/picture/test_png.py (Pillow reads it)
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from simview.executor.threads import spread_work

if TYPE_CHECKING:
    from PIL.Image import Image

# zlib's effort: past 3 files hardly shrink but take longer. The stream's header says so too.
_EFFORT: Final = 3
_HEADER: Final = b"\x78\x5e"

# Bytes of rows that are deflated in one go, a choice: six strips of a sheet of 1920 x 1080. Of the
# strip before, a stream of deflated bytes can refer to so many.
_STRIP: Final = 1_000_000
_WINDOW: Final = 32768

# Largest prime below 2 ** 16: what Adler-32 counts to.
_ADLER: Final = 65521

# PNG's number for the sort of pixel, by Pillow's name for it; others are written as RGB.
_SORTS: Final = {"L": 0, "RGB": 2, "RGBA": 6}


class Text(NamedTuple):
    """A text that the file carries, as UTF-8 under a name in Latin letters."""

    name: str
    words: str
    packed: bool = False


def png_of(image: Image, texts: Iterable[Text] = (), per_inch: float | None = None) -> bytes:
    """Return a picture as a PNG file.

    Parameters
    ----------
    image
        Grey, RGB or RGBA of 8 bits; others are turned to RGB.
    texts
        Stand before the pixels, in this order.
    per_inch
        Pixels, for print; None says nothing of it.
    """
    image = image if image.mode in _SORTS else image.convert("RGB")
    sides = b"".join(side.to_bytes(4, "big") for side in image.size)
    parts = [_chunk(b"IHDR", sides + bytes((8, _SORTS[image.mode], 0, 0, 0)))]
    parts += [_chunk(b"iTXt", _told(text)) for text in texts]
    if per_inch is not None:
        per_m = int(per_inch / 0.0254 + 0.5).to_bytes(4, "big")
        parts.append(_chunk(b"pHYs", per_m + per_m + b"\x01"))
    parts += [_chunk(b"IDAT", _deflated(image)), _chunk(b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def _chunk(kind: bytes, data: bytes) -> bytes:
    length, check = len(data), zlib.crc32(data, zlib.crc32(kind))
    return b"".join((length.to_bytes(4, "big"), kind, data, check.to_bytes(4, "big")))


def _told(text: Text) -> bytes:
    words = text.words.encode()
    packed = b"\1\0\0\0" + zlib.compress(words) if text.packed else b"\0\0\0\0" + words
    return text.name.encode("latin-1") + b"\0" + packed


def _deflated(image: Image) -> bytes:
    """Return a picture's rows as one zlib stream."""
    # Pillow reads a file's pixels when they are first wanted, and not for two threads at once.
    image.load()
    width, height = image.size
    row = 1 + width * len(image.getbands())
    rows = max(1, _STRIP // row)

    def strip(top: int) -> tuple[bytes, int, int]:
        held = min(top, -(-_WINDOW // row))
        lines = _differences(image, top - held, min(top + rows, height))
        before, data = lines[: held * row][-_WINDOW:], lines[held * row :]
        packer = zlib.compressobj(_EFFORT, zlib.DEFLATED, -15, zdict=before)
        end = zlib.Z_FINISH if top + rows >= height else zlib.Z_SYNC_FLUSH
        return packer.compress(data) + packer.flush(end), zlib.adler32(data), len(data)

    done = spread_work(strip, range(0, height, rows))
    total = 1
    for _, sum_, length in done:
        total = _adler_of(total, sum_, length)
    return b"".join((_HEADER, *(packed for packed, _, _ in done), total.to_bytes(4, "big")))


def _differences(image: Image, top: int, bottom: int) -> memoryview:
    """Return rows of a picture, each behind its filter's number, as that filter leaves them."""
    pixels = np.asarray(image.crop((0, top, image.width, bottom)))
    pixels = pixels.reshape(bottom - top, -1)
    step = len(image.getbands())
    lines = np.empty((bottom - top, 1 + pixels.shape[1]), np.uint8)
    lines[:, 0] = 1
    lines[:, 1 : 1 + step] = pixels[:, :step]
    np.subtract(pixels[:, step:], pixels[:, :-step], out=lines[:, 1 + step :])
    return lines.reshape(-1).data


def _adler_of(first: int, second: int, length: int) -> int:
    """Return the Adler-32 of two pieces from theirs and the second's length."""
    low, high = first & 0xFFFF, first >> 16
    both = (low + (second & 0xFFFF) - 1) % _ADLER
    return both | (high + (second >> 16) + length * (low - 1)) % _ADLER << 16
