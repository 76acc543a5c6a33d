"""PNGs are written as Pillow reads them, alike by any number of threads, about as small as its."""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image, PngImagePlugin

from simview.executor import pieces
from simview.picture import png
from simview.picture.png import Text, png_of

PICTURES = Path(__file__).parents[3] / "docs" / "pictures"
TEXTS = (Text("Software", "simview λ"), Text("a:b", "words ″ " * 90, packed=True))


def chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Return each chunk's name and content, its check sum held to zlib's."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    place = 8
    while place < len(data):
        (length,) = struct.unpack(">I", data[place : place + 4])
        name, content = data[place + 4 : place + 8], data[place + 8 : place + 8 + length]
        (told,) = struct.unpack(">I", data[place + 8 + length : place + 12 + length])
        assert told == zlib.crc32(name + content)
        yield name, content
        place += 12 + length
    assert name == b"IEND"


def picture(seed: int, width: int, height: int, mode: str) -> Image.Image:
    """Return ground with some noise in it, as prints have it."""
    rng = np.random.default_rng(seed)
    deep = len(Image.new(mode, (1, 1)).getbands())
    values = np.cumsum(rng.integers(-2, 3, (height, width, deep)), axis=1).astype(np.uint8)
    values[: height // 3] = rng.integers(0, 256)
    return Image.fromarray(values[..., 0] if deep == 1 else values, mode)


# So that the smallest picture falls into several strips, and a strip may be shorter than what the
# next one may refer to, or longer.
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    seed=st.integers(0, 99),
    width=st.integers(1, 300),
    height=st.integers(1, 80),
    mode=st.sampled_from(["L", "RGB", "RGBA"]),
    strip=st.sampled_from([1, 700, 20_000, 1_000_000]),
)
def test_pillow_reads_back_every_pixel_of_any_picture(
    seed: int, width: int, height: int, mode: str, strip: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(png, "_STRIP", strip)
    drawn = picture(seed, width, height, mode)
    data = png_of(drawn)
    with Image.open(io.BytesIO(data)) as read:
        assert read.mode == mode
        assert read.tobytes() == drawn.tobytes()
    with Image.open(io.BytesIO(data)) as read:
        read.verify()
    (rows,) = (content for name, content in chunks(data) if name == b"IDAT")
    # zlib holds the stream to the sum at its end.
    assert len(zlib.decompress(rows)) == height * (1 + width * len(drawn.getbands()))


def test_other_sorts_of_pixel_are_written_as_rgb() -> None:
    drawn = picture(1, 40, 30, "RGB").quantize(16)
    with Image.open(io.BytesIO(png_of(drawn))) as read:
        assert read.mode == "RGB"
        assert read.tobytes() == drawn.convert("RGB").tobytes()


@pytest.mark.parametrize("per_inch", [None, 300.0, 96.5])
def test_all_but_the_pixels_is_to_the_byte_what_pillow_writes(per_inch: float | None) -> None:
    drawn = picture(2, 64, 48, "RGB")
    told = PngImagePlugin.PngInfo()
    for text in TEXTS:
        told.add_itxt(text.name, text.words, zip=text.packed)
    stream = io.BytesIO()
    drawn.save(stream, "PNG", pnginfo=told, dpi=per_inch and (per_inch, per_inch))
    ours = [each for each in chunks(png_of(drawn, TEXTS, per_inch)) if each[0] != b"IDAT"]
    assert ours == [each for each in chunks(stream.getvalue()) if each[0] != b"IDAT"]


def test_file_is_the_same_by_one_thread_and_by_several() -> None:
    drawn = picture(3, 1920, 1080, "RGB")
    told = set()
    for jobs in (1, 2, 3):
        with pieces.used(jobs=jobs):
            told |= {png_of(drawn, TEXTS) for _ in range(2)}
    assert len(told) == 1


# Differences from pixel to pixel in every row, against Pillow's choice of a filter for each.
@pytest.mark.parametrize(
    ("name", "most"), [("view-moon", 1.03), ("ladder-jupiter", 1.03), ("startest-atlas", 1.15)]
)
def test_file_is_about_as_small_as_pillow_makes_it(name: str, most: float) -> None:
    with Image.open(PICTURES / f"{name}.png") as drawn:
        drawn.load()
    stream = io.BytesIO()
    drawn.info.clear()
    drawn.save(stream, "PNG", compress_level=3)
    assert len(png_of(drawn)) < most * len(stream.getvalue())


def test_picture_that_is_still_in_its_file_is_read_before_threads_share_it() -> None:
    data = png_of(picture(4, 900, 1200, "RGB"))
    with pieces.used(jobs=4):
        for _ in range(5):
            with Image.open(io.BytesIO(data)) as unread:
                assert png_of(unread) == data
