"""Films that slides play: GIF, and MP4 (H.264) where av is installed.

The recipe travels as the comment of a GIF, and among an MP4's own texts.
"""

from __future__ import annotations

import io
import json
from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import FileError

Print = NDArray[np.uint8]

# The H.264 encoder that av brings along.
_ENCODER: Final = "libx264"

# H.264's quality: 0 is without losses, 23 usual; at 12 no blocks are seen at 5 times contrast.
_QUALITY: Final = 12

# Frames that it looks ahead. Its usual 40 take 220 MB more at 1920 x 1080, and make a film a tenth
# smaller: measured.
_AHEAD: Final = 10

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


def require_encoder() -> None:
    """Refuse an MP4 where it cannot be encoded, before any work is done for it.

    Raises
    ------
    FileError
        Says how to install the encoder.
    """
    try:
        from av.codec import Codec
    except ImportError:
        raise FileError("MP4 needs an encoder that is not installed", remedy=_INSTALL) from None
    try:
        Codec(_ENCODER, "w")
    except ValueError:  # the library's own "unknown codec" is one
        raise FileError("MP4's encoder is not in this build of av", remedy=_INSTALL) from None


def write_mp4(
    frames: Iterable[Print], path: Path, *, frames_per_second: float, texts: str, name: str = ""
) -> None:
    """Write an MP4 (H.264, 4:2:0, as every player wants it).

    Parameters
    ----------
    frames
        Computed as they are asked for.
    path
        Where it is written.
    frames_per_second
        How fast they are shown.
    texts
        What travels inside.
    name
        What it is called in messages; the path where it is empty.

    Raises
    ------
    FileError
        If the encoder fails, or there is no frame.
    """
    require_encoder()
    import av

    rate = Fraction(frames_per_second).limit_denominator(10_000)
    # What players need comes first in the file, so that they begin before they have all of it.
    front = {"movflags": "+faststart"}
    stream: Any = None
    try:
        with av.open(str(path), "w", format="mp4", options=front) as file:
            file.metadata["comment"] = texts
            for number, frame in enumerate(frames):
                if stream is None:
                    stream = _stream(file, rate, frame)
                file.mux(stream.encode(_picture(frame, number, rate)))
            if stream is not None:
                file.mux(stream.encode())
    except av.FFmpegError as error:
        reason = error.strerror or "the encoder gives up"
        raise FileError(f"MP4 cannot be encoded ({reason})", where=name or str(path)) from None
    if stream is None:
        raise FileError("MP4 cannot be encoded (there is no frame)", where=name or str(path))


def _stream(file: Any, rate: Fraction, frame: Print) -> Any:
    """Return the film's stream, its colours said as screens have them: BT.709, sRGB's curve."""
    options = {
        "crf": str(_QUALITY),
        "preset": "medium",
        "tune": "grain",
        "rc-lookahead": str(_AHEAD),
    }
    stream = file.add_stream(_ENCODER, rate=rate, options=options)
    high, wide = (side + side % 2 for side in frame.shape[:2])
    stream.width, stream.height, stream.pix_fmt = wide, high, "yuv420p"
    context = stream.codec_context
    context.time_base = 1 / rate
    # Numbers of ITU-T H.273: BT.709 primaries and matrix, IEC 61966-2-1's curve, limited range.
    context.color_primaries, context.color_trc, context.colorspace = 1, 13, 1
    context.color_range = 1
    return stream


def _picture(frame: Print, number: int, rate: Fraction) -> Any:
    from av import VideoFrame

    even = np.pad(frame, ((0, len(frame) % 2), (0, frame.shape[1] % 2), (0, 0)), "edge")
    picture = VideoFrame.from_ndarray(np.ascontiguousarray(even), format="rgb24").reformat(
        format="yuv420p",
        src_color_range="JPEG",
        dst_colorspace="ITU709",
        dst_color_range="MPEG",
        interpolation="BICUBIC",
    )
    picture.pts, picture.time_base = number, 1 / rate
    return picture


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
    require_encoder()
    import av

    try:
        with av.open(str(path), format="mp4") as film:
            return str(film.metadata.get("comment", ""))
    except (av.FFmpegError, UnicodeDecodeError):
        raise FileError(
            "MP4 file cannot be read (broken, or not an MP4)", where=str(path)
        ) from None


def texts_of(told: dict[str, Any]) -> str:
    """Return recipe and figures as one line of ASCII."""
    return json.dumps(told, ensure_ascii=True, separators=(",", ":"))
