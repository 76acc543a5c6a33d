"""The answer as a PDF of two pages and one of sources, written with fpdf2 (pure Python, LGPL).

It says the same as the page; the type grows smaller until two pages hold it all.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from simview.advice.answer import Answer
from simview.advice.otherletters import font_for
from simview.advice.page import PALETTE, RULE_COLOUR, objects_note, pictures_note
from simview.advice.paperfonts import (
    FONT,
    MARGIN_MM,
    document,
    drawn,
    fonts,
    rgb,
    stand_in,
)
from simview.advice.pictures import paper_mm
from simview.terminal import reordered
from simview.units import MM_PER_INCH

if TYPE_CHECKING:
    from fpdf.image_datastructures import ImageCache

    from simview.advice.answer import Told
    from simview.advice.finder_charts import Chart
    from simview.advice.rescue import Rescue

# Type sizes that are tried in turn, points.
SIZES: Final = (9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0)
PAGES: Final = 2

# Line height over type size.
LEADING: Final = 1.22
MM_PER_POINT: Final = MM_PER_INCH / 72.0


def pdf(answer: Answer) -> bytes:
    """Return the PDF file, in the largest type that two pages hold, else in the smallest."""
    from fpdf.image_datastructures import ImageCache

    pictures = ImageCache()  # packed once for all attempts
    made, too_large, smallest = None, -1, len(SIZES) - 1
    # Most answers fit in the largest type; one that helps an owner is far too long for it.
    if answer.rescue is None:
        made = _attempt(answer, SIZES[0], pictures)
        if made is not None:
            return made
        too_large = 0
    # What does not fit does not fit in larger type either: the doubt is halved each time.
    fitting = smallest
    while too_large + 1 < fitting:
        size = (too_large + fitting) // 2
        attempt = _attempt(answer, SIZES[size], pictures)
        if attempt is None:
            too_large = size
        else:
            fitting, made = size, attempt
    return made or _attempt(answer, SIZES[smallest], pictures, most_pages=None) or b""


def _attempt(
    answer: Answer, size: float, pictures: ImageCache, most_pages: int | None = PAGES
) -> bytes | None:
    """Return the file in one type size; None where it takes more pages, those of sources aside."""
    pictures.reset_usages()
    paper = _Paper(answer, size, pictures)
    try:
        paper.write(most_pages)
        return paper.bytes()
    except _TooLong:
        return None
    finally:
        paper.close()


class _TooLong(Exception):  # noqa: N818 (no error: smaller type is tried)
    """More pages than there may be."""


class _Paper:
    """One attempt at one type size."""

    def __init__(self, answer: Answer, size: float, pictures: ImageCache) -> None:
        self.a, self.size = answer, size
        self.glyphs, regular, bold = fonts()
        self.doc = document(
            regular, bold, f"{answer.title}{answer.tongue.colon} {answer.name}", answer.tongue
        )
        self.doc.image_cache = pictures
        self.others: dict[Path, str] = {}
        self.most_pages: int | None = None
        self.doc.add_page()

    def close(self) -> None:
        """Close the fonts' files, which fpdf2 keeps open."""
        for font in self.doc.fonts.values():
            if (file := getattr(font, "ttfont", None)) is not None:
                file.close()

    def bytes(self) -> bytes:
        """Return the finished file."""
        stream = io.BytesIO()
        self.doc.output(stream)
        return stream.getvalue()

    def write(self, most_pages: int | None) -> None:
        """Write every part in the page's order.

        Raises
        ------
        _TooLong
            As soon as it takes more pages than `most_pages`, those of sources aside.
        """
        self.most_pages = most_pages
        a, w = self.a, self.a.words
        self._club()
        self._line(a.title, size=1.5, bold=True)
        date = f", {a.head.date}" if a.head.date else ""
        self._line(f"{a.tongue.quoted(a.name)}{date}", colour="soft")
        if a.sun:
            self._box(w["sun"], " · ".join(a.sun), "sun")
        if a.head.greeting:
            self._line(a.head.greeting)
        self._box(a.headline, a.because, a.verdict.replace(" ", "_"))
        self._pictures()
        self._findings(w["findings"], a.weighty, w["findings_none"])
        if a.notes:
            self._findings(w["notes"], a.notes, "")
        self._powers()
        if a.rescue is not None:
            self._rescue(a.rescue)
        elif a.instead:
            self._instead()
        self._understood()
        for line in (a.head.closing, a.head.signature):
            if line:
                self._line(line)
        self._sources()
        self._line(w["footer"], size=0.85, colour="soft")

    # --- the parts ----------------------------------------------------------------------------

    def _club(self) -> None:
        head = self.a.head
        text = " · ".join(part for part in (*head.address, head.contact) if part)
        if head.name or text:
            self._box(head.name, text, "head")

    def _pictures(self) -> None:
        rows, w = self.a.pictures, self.a.words
        if not rows:
            return
        count = len(rows[0].pictures)
        side = paper_mm(count)
        self._heading(w["pictures"])
        self._line(pictures_note(self.a, side), size=0.88, colour="soft")
        together = max(1, int(self.doc.epw // (count * (side + 1.2) + 3.0)))
        for start in range(0, len(rows), together):
            self._picture_line(rows[start : start + together], side)

    def _picture_line(self, rows: Any, side: float) -> None:
        doc, lead, t = self.doc, self._lead(0.8), self.a.tongue.say
        needed = side + 4.0 * lead + self._lead(1.0)
        if doc.get_y() + needed > doc.page_break_trigger:
            doc.add_page()
        top, x = doc.get_y(), MARGIN_MM
        below = top
        for row in rows:
            doc.set_xy(x, top)
            title = t(row.title)
            title = f"{title} ({t(row.says)})" if len(row.pictures) > 2 else title
            self._cell(title, len(row.pictures) * (side + 1.2), bold=True)
            start = top + self._lead(1.0) + 0.5
            for one in row.pictures:
                doc.image(io.BytesIO(one.png), x=x, y=start, w=side, h=side, alt_text=t(one.alt))
                doc.set_xy(x, start + side + 0.3)
                self._cell(f"{t(one.caption)}\n{t(one.figures)}", side, size=0.8)
                below = max(below, doc.get_y())
                x += side + 1.2
            x += 3.0
        doc.set_xy(MARGIN_MM, below + 0.8)

    def _findings(self, heading: str, found: tuple[Told, ...], none: str) -> None:
        self._heading(heading)
        if not found and none:
            self._line(none)
        for one in found:
            self._line(
                f"{one.word}{self.a.tongue.colon} {one.title}. ",
                bold=True,
                rest=f"{one.says} [{one.mark}]",
            )

    def _powers(self) -> None:
        a, w = self.a, self.a.words
        if not a.powers:
            return
        self._heading(a.powers_title)
        if a.useful:
            self._line(f"{w['useful']}{self.a.tongue.colon} ", bold=True, rest=f"{a.useful}.")
        self._line(a.powers_note, size=0.88, colour="soft")
        body = [
            (
                f"{one.pieces} ({w['empty']})" if one.empty else one.pieces,
                one.power,
                one.exit_pupil,
                one.field,
            )
            for one in a.powers
        ]
        self._table(
            tuple(w[f"head_{k}"] for k in ("pieces", "power", "pupil", "field")),
            body,
            (84, 28, 32, 26),
        )

    def _instead(self) -> None:
        a, w = self.a, self.a.words
        self._heading(a.instead_title)
        self._line(w["instead_note"], size=0.88, colour="soft")
        body = [
            (o.name, o.price, o.faintest, o.finest, o.widest, o.still, o.note) for o in a.instead
        ]
        keys = ("what", "price", "faintest", "finest", "widest", "still", "why")
        head = tuple(w[f"head_{key}"] for key in keys)
        self._table(head, body, (44, 18, 22, 20, 16, 16, 50))
        for line in a.instead_notes:
            self._line(line, size=0.88, colour="soft")

    def _rescue(self, rescue: Rescue) -> None:
        w, t = self.a.words, self.a.tongue.say
        if rescue.pieces:
            self._heading(w["pieces"])
        for one in rescue.pieces:
            self._line(
                f"{t(one.name)}, {w['keep'] if one.keep else w['leave']}{self.a.tongue.colon} ",
                bold=True,
                rest=t(one.why),
            )
        if rescue.mask is not None:
            self._line(
                f"{w['mask']}{self.a.tongue.colon} ",
                bold=True,
                rest=f"{t(rescue.mask.why)} ({rescue.mask.sum})",
            )
        for key in ("replace", "steady", "finder", "star_test"):
            lines = getattr(rescue, key)
            if lines:
                self._line(
                    f"{w[rescue.heading(key)]}{self.a.tongue.colon} ",
                    bold=True,
                    rest=" ".join(t(line) for line in lines),
                )
        self._heading(w["objects"])
        when = rescue.evening
        note = objects_note(self.a)
        self._line(note if when.dark else f"{note} {w['objects_bright']}", size=0.88, colour="soft")
        body = [
            (
                t(one.sight.title),
                t(one.sight.where),
                t(one.pieces),
                f"{t(one.view)} {t(one.chart.says)}" if one.chart else t(one.view),
            )
            for one in rescue.objects
        ]
        head = tuple(w[f"head_{key}"] for key in ("what", "when", "with", "expect"))
        self._table(head, body, (34, 36, 30, 86))
        self._charts(rescue)
        if rescue.assumed:
            self._line(
                w["assumed"].format(list=self.a.tongue.semicolon.join(map(t, rescue.assumed))),
                size=0.88,
                colour="soft",
            )

    def _charts(self, rescue: Rescue) -> None:
        views = self.a.views
        found = [one for one in rescue.objects if one.chart or one.sight.name in views]
        if not found:
            return
        w, doc = self.a.words, self.doc
        self._heading(w["charts"])
        note = f"{w['charts_note']} {w['views_note']}" if views else w["charts_note"]
        self._line(note, size=0.88, colour="soft")
        side = (self.doc.epw - 4.0 * 2.0) / 5.0
        high = side + 1.0 if views else 0.0
        for first in range(0, len(found), 5):
            if doc.get_y() + high + side + 3.0 * self._lead(0.85) > doc.page_break_trigger:
                doc.add_page()
            top = doc.get_y()
            for place, one in enumerate(found[first : first + 5]):
                left = MARGIN_MM + place * (side + 2.0)
                if one.sight.name in views:
                    doc.image(io.BytesIO(views[one.sight.name]), left, top, w=side)
                if one.chart:
                    self._chart(one.chart, left, top + high, side)
                doc.set_xy(left, top + high + side + 0.3)
                self._cell(self.a.tongue.say(one.sight.title), side, size=0.8)
            doc.set_xy(MARGIN_MM, top + high + side + 2.4 * self._lead(0.85))

    def _chart(self, drawn: Chart, x: float, y: float, side: float) -> None:
        doc, half = self.doc, side / 2.0

        def at(place: tuple[float, float]) -> tuple[float, float]:
            return x + half * (1.0 + place[0]), y + half * (1.0 - place[1])

        doc.set_draw_color(*rgb(PALETTE["ink"][0]))
        doc.set_fill_color(*rgb(PALETTE["ink"][0]))
        doc.set_line_width(0.15)
        doc.rect(x, y, side, side)
        with doc.rect_clip(x, y, side, side):
            for right, up, radius in drawn.stars:
                doc.circle(*at((right, up)), radius * half, style="F")
            doc.circle(*at(drawn.start), 0.09 * half)
            doc.circle(*at(drawn.goal), drawn.finder * half)
            doc.set_dash_pattern(dash=0.6, gap=0.6)
            doc.line(*at(drawn.start), *at(drawn.goal))
            doc.set_dash_pattern()
            if drawn.name:
                name = self._text(self.a.tongue.say(drawn.name))
                self._font(0.75)
                right, down = at(drawn.name_at)
                doc.text(right - doc.get_string_width(name) / 2.0, down + self._lead(0.25), name)

    def _understood(self) -> None:
        a, w = self.a, self.a.words
        self._heading(w["understood"])
        marks = {True: f" ({w['guess']})", False: ""}
        parts = [
            f"{one.name}{self.a.tongue.colon} {one.value}{marks[one.guess]}"
            f" ({self.a.tongue.quoted(one.words)})"
            for one in a.understood
        ]
        if parts:
            self._line(f"{a.tongue.semicolon.join(parts)}.")
        for key, told, between in (
            ("missing", a.missing, ", "),
            ("unread", a.unread, a.tongue.semicolon),
            ("left_out", a.left_out, ", "),
        ):
            if told:
                head = f"{w[key]}{self.a.tongue.colon} "
                self._line(head, bold=True, rest=f"{between.join(told)}.")
        for line in a.remarks:
            self._line(line, size=0.88, colour="soft")

    def _sources(self) -> None:
        found = sorted((*self.a.weighty, *self.a.notes), key=lambda one: one.mark)
        self._require_pages()
        if not found:
            return
        self.most_pages = None
        self.doc.add_page()
        self._heading(self.a.words["sources"])
        self._line(self.a.words["sources_note"], size=0.88, colour="soft")
        for one in found:
            told = (part for part in (one.source, one.arithmetic) if part)
            proof = self.a.tongue.semicolon.join(told)
            self._line(
                f"[{one.mark}] {one.title}{self.a.tongue.colon} {proof}", size=0.85, colour="soft"
            )

    # --- the strokes --------------------------------------------------------------------------

    def _require_pages(self) -> None:
        if self.most_pages is not None and len(self.doc.pages) > self.most_pages:
            raise _TooLong

    def _lead(self, size: float) -> float:
        return self.size * size * LEADING * MM_PER_POINT

    def _font(self, size: float, *, bold: bool = False, colour: str = "ink") -> None:
        self.doc.set_font(FONT, "B" if bold else "", self.size * size)
        self.doc.set_text_color(*rgb(PALETTE[colour][0]))

    def _text(self, text: str) -> str:
        """Return the text with a clear stand-in for every letter that the font lacks.

        A letter of a script that the font does not hold is drawn by a font of this computer; where
        there is none, it gets its number, "[U+671B]", so that nothing that somebody typed is lost.
        A picture sign is named, "[telescope]". Words written from right to left are put into the
        order in which they are drawn.
        """
        return "".join(self._letter(one) for one in reordered(text, drawn))

    def _letter(self, letter: str) -> str:
        if letter == "\n" or ord(letter) in self.glyphs:
            return letter
        if (path := font_for(letter)) is None:
            return stand_in(letter)
        if path not in self.others:
            self.others[path] = name = f"other{len(self.others)}"
            self.doc.add_font(name, "", path)
            self.doc.set_fallback_fonts(list(self.others.values()), exact_match=False)
        return letter

    def _heading(self, text: str) -> None:
        self._require_pages()
        if self.doc.get_y() + 4.0 * self._lead(1.0) > self.doc.page_break_trigger:
            self.doc.add_page()
        self.doc.ln(0.9)
        self._line(text, size=1.12, bold=True, colour="accent")

    def _line(
        self,
        text: str,
        *,
        size: float = 1.0,
        bold: bool = False,
        colour: str = "ink",
        rest: str = "",
    ) -> None:
        """Write a paragraph; `rest` follows on the same line in regular type."""
        doc, lead = self.doc, self._lead(size)
        doc.set_x(MARGIN_MM)
        self._font(size, bold=bold, colour=colour)
        if rest:
            doc.write(lead, self._text(text))
            self._font(size, colour=colour)
            doc.write(lead, self._text(rest))
            doc.ln(lead)
        else:
            doc.multi_cell(
                self.doc.epw, lead, self._text(text), align="L", new_x="LMARGIN", new_y="NEXT"
            )

    def _cell(self, text: str, width: float, *, size: float = 1.0, bold: bool = False) -> None:
        self._font(size, bold=bold)
        self.doc.multi_cell(
            width, self._lead(size), self._text(text), align="L", new_x="LEFT", new_y="NEXT"
        )

    def _box(self, head: str, text: str, colour: str) -> None:
        from fpdf.util import Padding

        ink, ground = PALETTE[colour]
        doc = self.doc
        doc.set_fill_color(*rgb(ground))
        for content, size, bold in ((head, 1.15, True), (text, 1.0, False)):
            if content:
                doc.set_x(MARGIN_MM)
                self._font(size, bold=bold)
                doc.set_text_color(*rgb(ink))
                doc.multi_cell(
                    self.doc.epw,
                    self._lead(size) + 0.3,
                    self._text(content),
                    align="L",
                    fill=True,
                    padding=Padding(0.4, 2.0, 0.4, 2.0),
                    new_x="LMARGIN",
                    new_y="NEXT",
                )
        doc.ln(0.8)

    def _table(
        self, head: tuple[str, ...], body: Sequence[tuple[str, ...]], widths: tuple[int, ...]
    ) -> None:
        from fpdf.fonts import FontFace

        self._font(0.95)
        self.doc.set_draw_color(*rgb(RULE_COLOUR))
        self.doc.set_fill_color(255, 255, 255)
        with self.doc.table(
            width=self.doc.epw,
            col_widths=widths,
            line_height=self._lead(0.95),
            borders_layout="HORIZONTAL_LINES",
            text_align="LEFT",
            align="LEFT",
            v_align="TOP",
            headings_style=FontFace(emphasis="BOLD", color=rgb(PALETTE["ink"][0])),
            padding=(0.2, 0.8, 0.2, 0.0),
        ) as table:
            for line in (head, *body):
                row = table.row()
                for cell in line:
                    row.cell(self._text(cell))
