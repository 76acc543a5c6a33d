"""Films that slides play: GIF, and MP4 (H.264) where a packaged encoder is installed.

The recipe travels as the comment of a GIF, and among an MP4's own texts.
"""

from __future__ import annotations

import io
import json
import subprocess
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import FileError

Print = NDArray[np.uint8]

# H.264's quality: 0 is without losses, 23 usual; at 12 no blocks are seen at 5 times contrast.
_QUALITY: Final = 12

# A GIF counts hundredths of a second.
_TICK_MS: Final = 10

_INSTALL: Final = "pip install 'simview[video]', or name a .gif or .webp"


def gif(frames: Iterable[Print], milliseconds: list[int], texts: str) -> bytes:
    """Return a GIF: 256 colours that all frames share, without dither where greys suffice.

    Parameters
    ----------
    milliseconds
        How long each frame stands; kept on the whole in hundredths of a second.
    texts
        ASCII that travels as its comment.
    """
    from PIL import Image

    pictures = [Image.fromarray(frame) for frame in frames]
    palette = _palette(pictures)
    drawn = [
        each.quantize(palette=palette, dither=Image.Dither.FLOYDSTEINBERG) for each in pictures
    ]
    ends = np.rint(np.cumsum([0, *milliseconds]) / _TICK_MS) * _TICK_MS
    stream = io.BytesIO()
    drawn[0].save(
        stream,
        "GIF",
        save_all=True,
        append_images=drawn[1:],
        duration=[int(step) for step in np.diff(ends)],
        loop=0,
        comment=texts.encode("ascii"),
        optimize=False,
        disposal=1,
    )
    return stream.getvalue()


def _palette(pictures: list[Any]) -> Any:
    """Return 256 colours for a few frames side by side."""
    from PIL import Image

    few = pictures[:: max(1, len(pictures) // 6)]
    width, height = few[0].size
    beside = Image.new("RGB", (width * len(few), height))
    for k, each in enumerate(few):
        beside.paste(each, (k * width, 0))
    return beside.quantize(256, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)


def require_encoder() -> str:
    """Return the program that encodes MP4, before any work is done for it.

    Raises
    ------
    FileError
        Says how to install it.
    """
    try:
        from imageio_ffmpeg import get_ffmpeg_exe
    except ImportError:
        raise FileError("MP4 needs an encoder that is not installed", remedy=_INSTALL) from None
    try:
        return str(get_ffmpeg_exe())
    except RuntimeError:
        raise FileError("MP4's encoder does not run here", remedy=_INSTALL) from None


def write_mp4(frames: Iterable[Print], path: Path, *, frames_per_second: float, texts: str) -> None:
    """Write an MP4 (H.264, 4:2:0, as every player wants it).

    Raises
    ------
    FileError
        If the encoder fails.
    """
    encoder = require_encoder()
    process: subprocess.Popen[bytes] | None = None
    told = b""
    try:
        for frame in frames:
            even = np.pad(frame, ((0, len(frame) % 2), (0, frame.shape[1] % 2), (0, 0)), "edge")
            if process is None:
                shape = f"{even.shape[1]}x{even.shape[0]}"
                process = subprocess.Popen(
                    _arguments(encoder, path, shape, frames_per_second, texts),
                    stdin=subprocess.PIPE,
                    stdout=subprocess.DEVNULL,
                    stderr=subprocess.PIPE,
                )
            assert process.stdin is not None
            process.stdin.write(np.ascontiguousarray(even).tobytes())
    except BrokenPipeError:
        pass
    finally:
        if process is not None:
            _, told = process.communicate()
    if process is None or process.returncode != 0:
        reason = told.decode("utf-8", "replace").strip().splitlines()[-1:] or ["it gave nothing"]
        raise FileError(f"MP4 cannot be encoded ({reason[0]})", where=str(path))


def _arguments(encoder: str, path: Path, shape: str, rate: float, texts: str) -> list[str]:
    return [
        *(encoder, "-y", "-loglevel", "error", "-f", "rawvideo", "-pix_fmt", "rgb24"),
        *("-s", shape, "-r", f"{rate:.6g}", "-i", "-", "-an", "-c:v", "libx264"),
        *("-crf", str(_QUALITY), "-preset", "medium", "-tune", "grain"),
        # Colours as screens have them, said and meant.
        *("-vf", "scale=out_color_matrix=bt709:out_range=tv,format=yuv420p"),
        *("-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "iec61966-2-1"),
        *("-movflags", "+faststart", "-metadata", f"comment={texts}", "-f", "mp4", str(path)),
    ]


def read_texts(path: Path) -> str:
    """Return the texts that a GIF or an MP4 carries, empty where there are none.

    Raises
    ------
    FileError
        If it is missing or no such file.
    """
    if not path.is_file():
        raise FileError("film not found", where=str(path))
    if path.suffix.lower() == ".gif":
        from PIL import Image, UnidentifiedImageError

        try:
            with Image.open(path, formats=("GIF",)) as image:
                comment = image.info.get("comment", b"")
        except (OSError, ValueError, SyntaxError, UnidentifiedImageError):
            raise FileError(
                "GIF file cannot be read (broken, or not a GIF)", where=str(path)
            ) from None
        return bytes(comment).decode("ascii", "replace") if isinstance(comment, bytes) else ""
    done = subprocess.run(
        [require_encoder(), "-loglevel", "error", "-i", str(path), "-f", "ffmetadata", "-"],
        capture_output=True,
        check=False,
    )
    if done.returncode != 0:
        raise FileError("MP4 file cannot be read (broken, or not an MP4)", where=str(path))
    return _comment(done.stdout.decode("utf-8", "replace"))


def _comment(told: str) -> str:
    """Return the comment among ffmetadata lines, its escapes undone."""
    for line in told.replace("\\\n", "\n").splitlines():
        key, _, value = line.partition("=")
        if key == "comment":
            return _unescaped(value)
    return ""


def _unescaped(value: str) -> str:
    found, escaped = [], False
    for letter in value:
        if escaped or letter != "\\":
            found.append(letter)
            escaped = False
        else:
            escaped = True
    return "".join(found)


def texts_of(told: dict[str, Any]) -> str:
    """Return recipe and figures as one line of ASCII."""
    return json.dumps(told, ensure_ascii=True, separators=(",", ":"))
