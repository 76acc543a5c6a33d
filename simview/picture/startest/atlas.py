"""The star-test poster: every fault of one type of telescope in three strengths, for printing.

Dark pictures on white paper: a printer lays ink only where the sky is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from simview.executor.pieces import pieces
from simview.kit import Kit, Telescope, Wavefront
from simview.kitfile import kit_text, parse_kit
from simview.picture import captions
from simview.picture.drawing import text
from simview.picture.drawing.canvas import Canvas, Size
from simview.picture.prints.printing import Progress
from simview.picture.recipe import WHERE, reading
from simview.picture.startest.atlas_cells import NEAR, Cell, cells_for, subject, type_of_kit
from simview.picture.startest.atlas_page import DARK, PAPERS, WHITE, Paper, Theme, paper_for
from simview.picture.startest.images import Star
from simview.picture.startest.patterns import telescope_of
from simview.picture.startest.star_figures import FAULTLESS, by_name, encircled_airy, strehl_white
from simview.picture.startest.starlight import StarColour, printed, star_colour, white_level
from simview.picture.startest.words import StarWords, words_for
from simview.picture.views.compose import FOOTER, Sheet
from simview.telescope.faults import Fault, apply_faults, parse
from simview.telescope.opening import REFERENCE_NM
from simview.telescope.quality import pv_waves, rms_waves, strehl

__all__ = ["atlas", "subject"]

Print = NDArray[np.uint8]

# Lengths below are pixels of a poster 3508 wide.
_MARGIN: Final = 92
_TOP: Final = 300
_BOTTOM: Final = 74
_UPRIGHT_BOTTOM: Final = 190
_UPRIGHT_TOP: Final = 264
_UPRIGHT_LINES: Final = 3.6
_GAP: Final = (46, 40)
_PANEL_GAP: Final = 6
_LABEL: Final = 84
_HEAD: Final = 62
_SENTENCE: Final = 26
_SENTENCE_LEAST: Final = 16
_ROWS: Final = 3
_A2: Final = PAPERS["a2"].size

# How much larger the star in focus is drawn than the discs of `NEAR` waves beside it.
_LARGER: Final = 4

# Width of a panel in wavelength / aperture for one wave of travel, and besides.
_WIDTH: Final = (8.5, 9.0)

_HOW: Final = (
    "Let the telescope cool for an hour.",
    "Take a bright star high in the sky, in the middle of the field.",
    "Magnify about as many times as the aperture has millimetres.",
    "Turn the eyepiece a little inside focus, then as far outside.",
    "Both discs alike, round, rings even: nothing to mend.",
)

# The last of them for a lens that shows colour without any fault.
_COLOURED: Final = "Round, rings even, the rims' colours as here: nothing to mend."


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One strength of one fault, computed.

    Parameters
    ----------
    faults
        None for the perfect telescope.
    panels
        Inside focus, in focus (larger), outside.
    figures
        For JSON.
    """

    faults: tuple[Fault, ...]
    panels: tuple[Print, ...]
    figures: dict[str, Any]


def atlas(
    kit: Kit,
    *,
    size: Size | None = None,
    paper: str = "a2",
    dark: bool = False,
    progress: Progress | None = None,
) -> Sheet:
    """Draw the poster for a kit's telescope, taken without faults of its own.

    Parameters
    ----------
    size
        Of the wall poster in pixels; None for the paper's own.
    paper
        A key of `simview.picture.startest.atlas_page.PAPERS`.
    dark
        Light words on a dark ground, for a screen.

    Raises
    ------
    SimviewError
        For a kit without a telescope, or a size that sheets cannot have.
    """
    on = paper_for(paper, size)
    size = on.size
    scope = replace(telescope_of(kit), wavefront=Wavefront())
    cells = cells_for(type_of_kit(kit))
    grid = _Grid.of(on, len(cells) + 1, DARK if dark else WHITE)
    wanted: list[tuple[float, tuple[Fault, ...]]] = [(NEAR, ())]
    for cell in cells:
        wanted += [(cell.travel_waves, (parse(words),)) for words in _shown(cell.typed(), on)]
    rows = _all_rows((scope, kit.layout), wanted, grid.panel, progress)
    canvas = Canvas(size, any_shape=True)  # paper_for has checked it
    each = on.strengths
    _draw_frame(canvas, grid, kit, scope)
    _draw_perfect(canvas, grid, rows[0])
    told = [words_for(parse(cell.typed()[-1]), scope, kit.layout) for cell in cells]
    size_px = _sentence_px(grid, told)
    for k, (cell, words) in enumerate(zip(cells, told, strict=True)):
        _draw_cell(
            canvas, grid, k + 1, cell, rows[each * k + 1 : each * (k + 1) + 1], words, size_px
        )
    canvas.image.info["dpi"] = (float(on.dpi),) * 2
    return Sheet(
        image=canvas.image,
        figures={"rows": [row.figures for row in rows]},
        recipe={
            "command": "startest",
            "atlas": True,
            "kits": [kit_text(kit)],
            "size": list(size),
            "paper": paper,
            "dark": dark,
        },
    )


T = TypeVar("T")


def _shown(strengths: Sequence[T], paper: Paper) -> Sequence[T]:
    """Return what of weak, middling, strong stands on a paper: all, or the middling one."""
    return strengths if paper.strengths == len(strengths) else strengths[1:2]


def _all_rows(
    telescope: tuple[Telescope, str | None],
    wanted: Sequence[tuple[float, tuple[Fault, ...]]],
    panel: int,
    progress: Progress | None,
) -> list[Row]:
    """Compute all rows, two at a time: what one does alone overlaps with what two share."""
    lights = {travel: star_colour("white", defocus_waves=travel) for travel, _ in wanted}

    def one(item: tuple[float, tuple[Fault, ...]]) -> Row:
        travel, faults = item
        return compute_row(telescope, faults, travel, lights[travel], panel)

    rows = []
    for row in pieces(one, wanted, apart=True):
        rows.append(row)
        if progress is not None:
            name = row.faults[0].name if row.faults else "perfect"
            progress(len(rows) / len(wanted), name.replace("-", " "))
    return rows


def again(given: Mapping[str, Any], *, size: Size | None = None) -> Sheet:
    """Draw the poster again from its recipe.

    Raises
    ------
    SimviewError
        Where the recipe is broken.
    """
    with reading():
        (words,) = given["kits"]
        width, height = (int(side) for side in (size or given["size"]))
        paper, dark = str(given.get("paper", "a2")), given.get("dark", False) is True
    kit = parse_kit(str(words), where=WHERE).kit
    return atlas(kit, size=(width, height), paper=paper, dark=dark)


def compute_row(
    telescope: tuple[Telescope, str | None],
    faults: tuple[Fault, ...],
    travel_waves: float,
    light: StarColour,
    panel: int,
) -> Row:
    """Compute one row of panels and its figures.

    Parameters
    ----------
    telescope
        And its layout, where it is known.
    faults
        Of this row.
    travel_waves
        How far out of focus the outer panels are.
    light
        Of the star.
    panel
        Side of a panel, pixels.
    """
    scope, layout = telescope
    found = apply_faults(scope, faults, layout=layout)
    star = Star(scope=found.scope, extras=found.extras, sky=found.sky, light=light)
    width = (_WIDTH[0] * travel_waves + _WIDTH[1]) * star.unit_arcsec
    larger = _LARGER * (_WIDTH[0] * travel_waves + _WIDTH[1]) / (_WIDTH[0] * NEAR + _WIDTH[1])
    inside, outside = star.images((-travel_waves, travel_waves), width / panel, panel)
    focus = star.images((0.0,), width / panel / larger, panel)[0]
    images = (inside, focus, outside)
    figures = {
        "faults": by_name(faults),
        "strehl": strehl(found.scope, sky=found.sky, extras=found.extras),
        "strehl_white": strehl_white(found.scope, sky=found.sky, extras=found.extras),
        "rms_waves": rms_waves(found.scope, extras=found.extras),
        "pv_waves": pv_waves(found.scope, extras=found.extras),
        "encircled_airy": encircled_airy(found.scope, sky=found.sky, extras=found.extras),
    }
    panels = tuple(printed(image, white_level(image[..., 1])) for image in images)
    return Row(faults=faults, panels=panels, figures=figures)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grid:
    """Where the cells are, in pixels."""

    scale: float
    columns: int
    cell_width: float
    cell_height: float
    panel: int
    strengths: int
    theme: Theme
    top: int

    @staticmethod
    def of(paper: Paper, cells: int, theme: Theme) -> _Grid:
        size = paper.size
        scale = paper.scale or min(size[0] / _A2[0], size[1] / _A2[1])
        columns = paper.columns or -(-cells // _ROWS)
        rows = -(-cells // columns)
        width = (size[0] - 2 * _MARGIN * scale + _GAP[0] * scale) / columns - _GAP[0] * scale
        bottom = _BOTTOM if paper.strengths > 1 else _UPRIGHT_BOTTOM
        top = _TOP if paper.strengths > 1 else _UPRIGHT_TOP
        height = (size[1] - (top + bottom) * scale) / rows - _GAP[1] * scale
        across = (width - _LABEL * scale) / 3 - _PANEL_GAP * scale
        lines = 5.2 if paper.strengths > 1 else _UPRIGHT_LINES
        room = height - (_HEAD + lines * _SENTENCE) * scale
        down = room / paper.strengths - _PANEL_GAP * scale
        return _Grid(
            scale=scale,
            columns=columns,
            cell_width=width,
            cell_height=height,
            panel=int(min(across, down)) // 2 * 2,
            strengths=paper.strengths,
            theme=theme,
            top=top,
        )

    def px(self, length: float) -> int:
        return max(1, round(length * self.scale))

    def sentence_px(self) -> float:
        """Return the height below a cell's panels."""
        panels = self.px(_HEAD) + self.strengths * (self.panel + self.px(_PANEL_GAP))
        return self.cell_height + self.px(0.6 * _GAP[1] - 6) - panels

    def corner(self, index: int) -> tuple[float, float]:
        """Return the top left corner of a cell."""
        row, column = divmod(index, self.columns)
        return (
            _MARGIN * self.scale + column * (self.cell_width + _GAP[0] * self.scale),
            self.top * self.scale + row * (self.cell_height + _GAP[1] * self.scale),
        )

    def panel_corner(self, index: int, row: int, column: int) -> tuple[int, int]:
        """Return the top left corner of a panel of a cell."""
        x, y = self.corner(index)
        step = self.panel + self.px(_PANEL_GAP)
        return (
            round(x + _LABEL * self.scale + column * step),
            round(y + _HEAD * self.scale + row * step),
        )


def _draw_frame(canvas: Canvas, grid: _Grid, kit: Kit, scope: Telescope) -> None:
    width, height = canvas.size
    canvas.box((0, 0, width, height), grid.theme.paper)
    px, left, right = grid.px, grid.px(_MARGIN), width - grid.px(_MARGIN)
    title = "What a star out of focus tells of the telescope"
    big = text.fitting_size(
        title, right - left, largest_px=px(92), smallest_px=px(40), weight="bold"
    )
    canvas.write((left, px(150)), title, big, colour=grid.theme.ink, weight="bold")
    shown = "weak, middling, strong" if grid.strengths > 1 else "of middling strength"
    words = (
        f"{captions.instrument(kit)}, each fault {shown}: left inside focus, middle in focus and "
        f"larger, right outside focus"
    )
    size = text.fitting_size(words, right - left, largest_px=px(44), smallest_px=px(22))
    canvas.write((left, px(222)), words, size, colour=grid.theme.soft)
    canvas.box((left, px(250), right, px(250) + px(3)), grid.theme.line)
    note = (
        f"White light, no eye. Travel ±{NEAR:g} waves where nothing else is said; one wave is "
        f"{8e-6 * REFERENCE_NM * scope.focal_ratio**2:.2g} mm of focuser travel at "
        f"f/{scope.focal_ratio:.3g}. Strengths in waves are peak to valley at 550 nm. "
        "S: Strehl ratio in white light, 1 is perfect. Blue: what to do. Each picture is exposed "
        "for itself."
    )
    base = height - px(40)
    if grid.strengths == 1:
        note = f"{' '.join(_HOW[:-1])} {note}".replace(" Blue: what to do.", "")
        small = px(22)
        lines = text.wrap(note, right - left, small)
        for k, line in enumerate(lines):
            above = (len(lines) - k) * text.line_px(small)
            canvas.write((left, base - above), line, small, colour=grid.theme.soft)
        canvas.write((right, base), FOOTER, px(18), colour=grid.theme.soft, align="right")
        return
    size = text.fitting_size(note, 0.84 * (right - left), largest_px=px(26), smallest_px=px(18))
    canvas.write((left, base), note, size, colour=grid.theme.soft)
    canvas.write((right, base), FOOTER, px(22), colour=grid.theme.soft, align="right")


def _draw_row(canvas: Canvas, grid: _Grid, index: int, line: int, row: Row) -> None:
    for column, picture in enumerate(row.panels):
        x, y = grid.panel_corner(index, line, column)
        canvas.paste(picture, (x, y))
        if column == 1:
            frame, w = picture.shape[0], grid.px(3)
            for side in (
                (x, y, x + frame, y + w),
                (x, y + frame - w, x + frame, y + frame),
                (x, y, x + w, y + frame),
                (x + frame - w, y, x + frame, y + frame),
            ):
                canvas.box(side, grid.theme.accent)


def faultless_words(white: float) -> tuple[str, tuple[str, ...]]:
    """Return the title of the telescope without fault, and how to test, by its white Strehl."""
    if white < FAULTLESS:
        return "No fault but colour", (*_HOW[:-1], _COLOURED)
    return "Perfect", _HOW


def _draw_perfect(canvas: Canvas, grid: _Grid, row: Row) -> None:
    """Draw the cell of the perfect telescope, with how to do the test below it."""
    title, how = faultless_words(row.figures["strehl_white"])
    _draw_head(canvas, grid, 0, title, "")
    _draw_row(canvas, grid, 0, 0, row)
    if grid.strengths == 1:
        _draw_sentence(canvas, grid, 0, (how[-1],), grid.px(_SENTENCE))
        return
    x, _ = grid.corner(0)
    _, y = grid.panel_corner(0, 1, 0)
    size = grid.px(_SENTENCE)
    canvas.write((x, y + size * 1.4), "How to test", size, colour=grid.theme.accent, weight="bold")
    base = y + 1.4 * size + text.line_px(size)
    indent = grid.px(44)
    for number, words in enumerate(how, 1):
        canvas.write((x, base), f"{number}", size, colour=grid.theme.accent, weight="bold")
        for line in text.wrap(words, grid.cell_width - indent, size):
            canvas.write((x + indent, base), line, size, colour=grid.theme.ink)
            base += text.line_px(size)
        base += grid.px(6)


def _draw_cell(
    canvas: Canvas,
    grid: _Grid,
    index: int,
    cell: Cell,
    rows: Sequence[Row],
    words: StarWords,
    size: int,
) -> None:
    note = cell.unit if cell.travel_waves == NEAR else f"{cell.unit}, ±{cell.travel_waves:g} waves"
    _draw_head(canvas, grid, index, words.title, note)
    x, _ = grid.corner(index)
    for line, (row, amount) in enumerate(
        zip(rows, cell.amounts[1:2] if grid.strengths == 1 else cell.amounts, strict=True)
    ):
        _draw_row(canvas, grid, index, line, row)
        _, y = grid.panel_corner(index, line, 0)
        middle = y + grid.panel / 2
        big = text.fitting_size(
            f"{amount:g}",
            grid.px(_LABEL - 12),
            largest_px=grid.px(36),
            smallest_px=grid.px(20),
            weight="bold",
        )
        small = grid.px(24)
        canvas.write((x, middle), f"{amount:g}", big, colour=grid.theme.ink, weight="bold")
        kept = f"S {row.figures['strehl_white']:.2f}"
        canvas.write((x, middle + grid.px(34)), kept, small, colour=grid.theme.soft)
    _draw_sentence(canvas, grid, index, _parts(grid, words), size)


def _draw_head(canvas: Canvas, grid: _Grid, index: int, title: str, note: str) -> None:
    x, y = grid.corner(index)
    base, size = y + grid.px(40), grid.px(38)
    room = grid.cell_width - text.width_px(note, grid.px(26)) - grid.px(16)
    size = text.fitting_size(title, room, largest_px=size, smallest_px=grid.px(24), weight="bold")
    canvas.write((x, base), title, size, colour=grid.theme.ink, weight="bold")
    end = (x + grid.cell_width, base)
    canvas.write(end, note, grid.px(26), colour=grid.theme.soft, align="right")


def _parts(grid: _Grid, words: StarWords) -> tuple[str, ...]:
    """Return what is written below a cell: upright pages have room for what to look for."""
    return (words.look, words.do) if grid.strengths > 1 else (words.look,)


def _sentence_px(grid: _Grid, told: Sequence[StarWords]) -> int:
    """Return the largest type in which the words of every cell fit: one size for the poster."""
    room = grid.sentence_px()
    for size in range(grid.px(_SENTENCE), grid.px(_SENTENCE_LEAST), -1):
        step = text.line_px(size)
        if all(
            sum(len(text.wrap(part, grid.cell_width, size)) for part in _parts(grid, words)) * step
            <= room
            for words in told
        ):
            return size
    return grid.px(_SENTENCE_LEAST)


def _draw_sentence(
    canvas: Canvas, grid: _Grid, index: int, parts: Sequence[str], size: int
) -> None:
    """Write what to look for, and what to do, below a cell's panels."""
    x, _ = grid.corner(index)
    _, top = grid.panel_corner(index, grid.strengths, 0)
    base = top + size
    for part, colour in zip(parts, (grid.theme.ink, grid.theme.accent), strict=False):
        for line in text.wrap(part, grid.cell_width, size):
            canvas.write((x, base), line, size, colour=colour)
            base += text.line_px(size)
        base += grid.px(6)
