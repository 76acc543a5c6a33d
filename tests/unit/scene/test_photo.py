"""A picture of the user's own: light, size, orientation, refusal of what is broken."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from simview.errors import FileError, SimviewError
from simview.scene.photo import read_linear, resampled
from simview.scene.targets import target


def saved(path: Path, values: np.ndarray, **options: object) -> Path:
    Image.fromarray(values).save(path, **options)
    return path


def test_code_values_become_linear_light(tmp_path: Path) -> None:
    # IEC 61966-2-1: code 188 of 255 is 0.5029 of the light; 0 and 255 are the ends.
    grey = np.array([[0, 188, 255]], np.uint8)
    linear = read_linear(saved(tmp_path / "a.png", grey))
    np.testing.assert_allclose(linear[0, :, 0], [0.0, 0.5029, 1.0], atol=2e-4)


def test_picture_has_the_width_and_brightness_given(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    path = saved(tmp_path / "a.png", rng.integers(0, 255, (80, 120, 3), np.uint8))
    shown = target(image=str(path), width_arcmin=2.0, mag_arcsec2=8.0)
    scene = shown.scene(pixel_arcsec=0.7, pixels=200)
    luminance = np.tensordot([0.2126, 0.7152, 0.0722], scene.planes.astype(float), axes=1)
    # 120 x 80 arcsec at 8 mag/arcsec2: 1.0806e5 x 10^-3.2 = 68.18 cd/m2 in the mean.
    assert luminance.sum() * 0.7**2 / (120.0 * 80.0) == pytest.approx(68.18, rel=5e-3)
    wide = np.flatnonzero(luminance.max(axis=0))
    assert (wide[-1] - wide[0] + 1) * 0.7 == pytest.approx(120.0, abs=1.5)


def test_resampling_to_coarse_pixels_is_the_exact_area_mean() -> None:
    rng = np.random.default_rng(2)
    source = rng.random((64, 64, 3)).astype(np.float32)
    coarse = resampled(source, 4.0, 17)
    # Centre pixel n // 2 is centred on the picture's middle, so blocks are offset by two pixels.
    expected = source[2:62, 2:62, 0].reshape(15, 4, 15, 4).mean(axis=(1, 3))
    np.testing.assert_allclose(coarse[0, 1:16, 1:16], expected, atol=1e-6)


def test_orientation_tag_is_obeyed(tmp_path: Path) -> None:
    values = np.zeros((20, 40, 3), np.uint8)
    values[:5] = 255
    exif = Image.Exif()
    exif[0x0112] = 6  # the camera was turned: the row's start is at the top right
    path = saved(tmp_path / "a.jpg", values, exif=exif)
    linear = read_linear(path)
    assert linear.shape[:2] == (40, 20)
    assert linear[:, -3:].mean() > 0.8
    assert linear[:, :10].mean() < 0.2


def test_transparent_parts_are_dark(tmp_path: Path) -> None:
    values = np.full((8, 8, 4), 255, np.uint8)
    values[:, :4, 3] = 0
    linear = read_linear(saved(tmp_path / "a.png", values))
    assert linear[:, :4].max() == 0.0
    assert linear[:, 4:].min() == pytest.approx(1.0)


def bomb(path: Path, side: int) -> Path:
    """Write a small PNG that says it is `side` pixels square."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    header = struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(bytes(1000)))
        + chunk(b"IEND", b"")
    )
    return path


@pytest.mark.parametrize("side", [9_000, 30_000, 200_000])
def test_picture_that_would_unfold_to_gigabytes_is_refused(tmp_path: Path, side: int) -> None:
    with pytest.raises(FileError, match="60 million"):
        read_linear(bomb(tmp_path / "bomb.png", side))


def test_what_is_no_whole_picture_is_refused_with_its_name(tmp_path: Path) -> None:
    text = tmp_path / "notes.png"
    text.write_text("no picture")
    empty = tmp_path / "empty.png"
    empty.touch()
    whole = saved(tmp_path / "whole.png", np.full((64, 64), 99, np.uint8)).read_bytes()
    broken = tmp_path / "broken.png"
    broken.write_bytes(whole[: len(whole) // 2])
    for path in (text, empty, broken, tmp_path, tmp_path / "missing.png"):
        with pytest.raises(FileError, match=path.name):
            read_linear(path)


def test_black_picture_and_absurd_figures_are_refused(tmp_path: Path) -> None:
    black = saved(tmp_path / "black.png", np.zeros((8, 8), np.uint8))
    with pytest.raises(FileError, match="black"):
        target(image=str(black), width_arcmin=3.0, mag_arcsec2=5.0)
    grey = saved(tmp_path / "grey.png", np.full((8, 8), 99, np.uint8))
    for width, level in ((0.0, 5.0), (-1.0, 5.0), (float("nan"), 5.0), (3.0, 99.0)):
        with pytest.raises(SimviewError):
            target(image=str(grey), width_arcmin=width, mag_arcsec2=level)
