"""Slides and notes on paper: a PDF of two to six slides a page, page numbers, sources.

Notes that do not fit beside their slide go on at the end; nothing is left out.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from simview.picture.slides.vector import FONT, document, has_glyphs
from simview.talk.deck import notes_of
from simview.talk.records import Made, Talk
from simview.talk.words import words

if TYPE_CHECKING:
    from fpdf import FPDF

# A4, points; margins and the strip at the foot for the page's number.
_WIDTH, _HEIGHT = 595.28, 841.89
_MARGIN: Final = 40.0
_FOOT: Final = 28.0
_GAP: Final = 14.0

# Type sizes, points: wanted, and the least on paper.
_NOTE, _NOTE_LEAST = 10.0, 7.5
_HEAD: Final = 15.0
_LEADING: Final = 1.32

# Pixels of a slide on paper, for its longer side: 300 dpi over 120 mm.
_PIXELS: Final = 1420


def pdf(talk: Talk, made: Sequence[Made]) -> bytes:
    """Return the PDF file."""
    return _Handout(talk=talk, doc=document(talk.title, whole=True)).of(made)


@dataclass(kw_only=True)
class _Handout:
    talk: Talk
    doc: FPDF
    left_over: list[tuple[Made, str]] = field(default_factory=list)

    def of(self, made: Sequence[Made]) -> bytes:
        """Write every page."""
        self.doc.set_author(self.talk.author)
        self.doc.set_lang(self.talk.language)
        each = self.talk.per_page
        for start in range(0, len(made), each):
            self.doc.add_page(format="a4")
            top = self._head() if start == 0 else _MARGIN
            for index, one in enumerate(made[start : start + each]):
                self._slide(one, index, top)
        self._continued()
        self._sources()
        self._numbers()
        stream = io.BytesIO()
        self.doc.output(stream)
        return stream.getvalue()

    def _head(self) -> float:
        self._line(_MARGIN, _MARGIN + _HEAD, self.talk.title, _HEAD, bold=True)
        top = _MARGIN + 1.5 * _HEAD
        if self.talk.author:
            self._line(_MARGIN, top + _NOTE, self.talk.author, _NOTE)
            top += 1.6 * _NOTE
        return top + 6.0

    def _slide(self, made: Made, index: int, top: float) -> None:
        """Draw one slide and its notes into its place: beside it, or below it in two columns."""
        count = self.talk.per_page
        beside = count <= 3
        columns = 1 if beside else 2
        rows = math.ceil(count / columns)
        row, column = divmod(index, columns)
        width = (_WIDTH - 2 * _MARGIN - (columns - 1) * _GAP) / columns
        height = (_HEIGHT - top - _MARGIN - _FOOT) / rows - _GAP
        x, y = _MARGIN + column * (width + _GAP), top + row * (height + _GAP)
        ratio = self.talk.size[1] / self.talk.size[0]
        wide = 0.54 * width if beside else width
        wide = min(wide, (height if beside else 0.55 * height) / ratio)
        self.doc.image(_jpeg(made.picture), x, y, wide, wide * ratio, alt_text=made.tells)
        if beside:
            box = (x + wide + _GAP, y, width - wide - _GAP, height)
        else:
            box = (x, y + wide * ratio + 4.0, width, height - wide * ratio - 4.0)
        self._notes(made, box)

    def _notes(self, made: Made, box: tuple[float, float, float, float]) -> None:
        x, y, width, height = box
        size = _NOTE
        text = notes_of(made)
        while size > _NOTE_LEAST and self._height(text, width, size) > height:
            size -= 0.5
        lines = self._lines(text, width, size)
        fits = max(0, int(height // (size * _LEADING)))
        if len(lines) > fits:
            kept = max(0, fits - 1)
            self.left_over.append((made, " ".join(line for line in lines[kept:] if line)))
            lines = [*lines[:kept], "…"]
        for number, line in enumerate(lines, 1):
            self._line(x, y + number * size * _LEADING - 0.25 * size, line, size)

    def _continued(self) -> None:
        """Write what did not fit."""
        told = words(self.talk.language)
        parts = [
            (f"{told['slide']} {made.slide.number}: {made.slide.title}", rest)
            for made, rest in self.left_over
        ]
        if parts:
            self._running(told["continued"], parts)

    def _sources(self) -> None:
        if self.talk.sources:
            self._running(
                words(self.talk.language)["sources"], [("", each) for each in self.talk.sources]
            )

    def _running(self, heading: str, parts: Sequence[tuple[str, str]]) -> None:
        """Write paragraphs over as many pages as they take."""
        self.doc.add_page(format="a4")
        y = _MARGIN + _HEAD
        self._line(_MARGIN, y, heading, _HEAD, bold=True)
        y += _HEAD
        width = _WIDTH - 2 * _MARGIN
        for head, text in parts:
            lines = [(head, True)] if head else []
            lines += [(line, False) for line in self._lines(text, width, _NOTE)]
            for line, bold in lines:
                y += _NOTE * _LEADING
                if y > _HEIGHT - _MARGIN - _FOOT:
                    self.doc.add_page(format="a4")
                    y = _MARGIN + _NOTE
                self._line(_MARGIN, y, line, _NOTE, bold=bold)
            y += 0.7 * _NOTE

    def _numbers(self) -> None:
        """Write every page's number, now that their count is known."""
        told, doc = words(self.talk.language), self.doc
        count = doc.pages_count
        for number in range(1, count + 1):
            doc.page = number
            line = f"{told['page']} {number} {told['of']} {count}"
            doc.set_font(FONT, "", 9.0)
            length = doc.get_string_width(line)
            self._line(_WIDTH - _MARGIN - length, _HEIGHT - _MARGIN + 8.0, line, 9.0)
            self._line(_MARGIN, _HEIGHT - _MARGIN + 8.0, self.talk.footer or "", 9.0)
        doc.page = count

    # --- words --------------------------------------------------------------------------------

    def _line(self, x: float, y: float, text: str, size: float, *, bold: bool = False) -> None:
        if text:
            self.doc.set_font(FONT, "B" if bold else "", size)
            self.doc.set_text_color(20, 24, 30)
            self.doc.text(x, y, has_glyphs(text))

    def _height(self, text: str, width: float, size: float) -> float:
        return len(self._lines(text, width, size)) * size * _LEADING

    def _lines(self, text: str, width: float, size: float) -> list[str]:
        """Break paragraphs into lines, an empty one between two."""
        self.doc.set_font(FONT, "", size)
        lines: list[str] = []
        for paragraph in text.split("\n\n"):
            if lines:
                lines.append("")
            line = ""
            for word in has_glyphs(paragraph).split():
                longer = f"{line} {word}" if line else word
                if line and self.doc.get_string_width(longer) > width:
                    lines.append(line)
                    line = word
                else:
                    line = longer
            if line:
                lines.append(line)
        return lines


def _jpeg(path: Path) -> Any:
    from PIL import Image

    stream = io.BytesIO()
    with Image.open(path) as image:
        small = image.convert("RGB")
        small.thumbnail((_PIXELS, _PIXELS), Image.Resampling.LANCZOS)
        small.save(stream, "JPEG", quality=90)
    stream.seek(0)
    return stream
