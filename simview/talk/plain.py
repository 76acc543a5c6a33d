"""Slides that nothing is computed for: words alone, and pictures of one's own."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from simview.errors import FileError
from simview.picture.drawing import text
from simview.picture.slides.arrange import foot_shapes, title_shapes
from simview.picture.slides.paint import paint
from simview.picture.slides.plan import LEAST, MARGIN, Plan, plan
from simview.picture.slides.records import THEMES, Box, Page, Picture, Shape, Slide, Wish, Words
from simview.talk.records import Drawn, Talk, TalkSlide

# Type of the lines, units: wanted, and the least; space between them in type sizes.
_LINE = 60
_SPACE = 0.75

# Largest picture of one's own, pixels.
_MOST_PIXELS = 100_000_000


def words_slide(slide: TalkSlide, talk: Talk, wish: Wish) -> Drawn:
    """Draw a title and a few lines, as large as they fit."""
    planned = plan(talk.size, slide.title, 1, insets=False)
    theme = THEMES[wish.paper]
    width, height = talk.size
    left = planned.px(MARGIN + 44)
    room = width - left - planned.px(MARGIN)
    top = planned.corners[0][1] + planned.px(20)
    bottom = height - planned.px(100)
    size, told = _fitted(slide.lines, room, bottom - top, planned)
    used = sum(len(lines) * text.line_px(size) for lines in told) + _SPACE * size * (len(told) - 1)
    base = top + max(0.0, 0.35 * (bottom - top - used)) + 0.8 * size
    shapes: list[Shape] = list(title_shapes(planned, theme))
    mark = planned.px(14)
    for lines in told:
        y = base - 0.36 * size
        x = planned.px(MARGIN)
        shapes.append(Box(corners=(x, y - mark / 2, x + mark, y + mark / 2), colour=theme.good))
        for line in lines:
            shapes.append(Words(place=(left, base), text=line, size=size, colour=theme.ink))
            base += text.line_px(size)
        base += _SPACE * size
    return _drawn(slide, planned, shapes, wish, " ".join(slide.lines))


def _fitted(
    lines: tuple[str, ...], room: float, height: float, planned: Plan
) -> tuple[int, list[list[str]]]:
    for units in range(_LINE, LEAST - 1, -2):
        size = planned.px(units)
        told = [text.wrap(line, room, size) for line in lines]
        used = sum(len(each) * text.line_px(size) for each in told)
        if used + _SPACE * size * (len(told) - 1) <= height:
            break
    return size, told


def own_picture(slide: TalkSlide, talk: Talk, wish: Wish) -> Drawn:
    """Draw a title over a picture of one's own, as large as the slide allows.

    Raises
    ------
    FileError
        If it cannot be read.
    """
    assert slide.picture is not None
    planned = plan(talk.size, slide.title, 1, insets=False)
    theme = THEMES[wish.paper]
    width = talk.size[0] - 2 * planned.px(MARGIN)
    top = (
        planned.corners[0][1]
        if not planned.upright
        else planned.px(MARGIN) + planned.px(90 * len(planned.title))
    )
    height = talk.size[1] - top - planned.px(78)
    pixels = _read(slide.picture, (width, height))
    x = (talk.size[0] - pixels.shape[1]) // 2
    y = top + (height - pixels.shape[0]) // 2
    shapes = [*title_shapes(planned, theme), Picture(corner=(x, y), pixels=pixels)]
    return _drawn(slide, planned, shapes, wish, slide.picture.stem)


def _read(path: Path, room: tuple[int, int]) -> np.ndarray:
    from PIL import Image, ImageOps, UnidentifiedImageError

    from simview.scene.photo import FORMATS

    try:
        with Image.open(path, formats=FORMATS) as image:
            if image.width * image.height > _MOST_PIXELS:
                raise FileError("picture is too large", where=str(path))
            upright = ImageOps.exif_transpose(image).convert("RGB")
    except (OSError, ValueError, SyntaxError, UnidentifiedImageError) as error:
        if isinstance(error, FileError):
            raise
        raise FileError("picture cannot be read", where=str(path)) from None
    except Image.DecompressionBombError:
        raise FileError("picture is too large", where=str(path)) from None
    scale = min(room[0] / upright.width, room[1] / upright.height)
    size = (max(1, round(upright.width * scale)), max(1, round(upright.height * scale)))
    return np.asarray(upright.resize(size, Image.Resampling.LANCZOS), np.uint8)


def _drawn(slide: TalkSlide, planned: Plan, shapes: list[Shape], wish: Wish, tells: str) -> Drawn:
    import io

    theme = THEMES[wish.paper]
    # Nothing on it is computed: the foot says so only where a computed picture stands.
    foot = Slide(title=slide.title, panels=(), footer=wish.footer or "")
    shapes += foot_shapes(foot, planned, theme, wish)
    stream = io.BytesIO()
    paint(Page(size=planned.size, ground=theme.ground, shapes=tuple(shapes))).save(
        stream, "PNG", compress_level=3
    )
    return Drawn(files={".png": stream.getvalue()}, tells=f"{slide.title}. {tells}")
