"""The sheet of a diagnosis: photographs beside their fits, the faults, Jupiter with and without."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from simview.diagnosis.found_faults import MARECHAL, Fault
from simview.diagnosis.records import Diagnosis, Picture, said
from simview.kit import Kit, Wavefront
from simview.kitfile import kit_text
from simview.picture import captions
from simview.picture.drawing import sheet, text
from simview.picture.drawing.canvas import Canvas
from simview.picture.drawing.palette import GOOD, INK, LINE, SOFT, WARN
from simview.picture.drawing.sheet import Area, SheetText
from simview.picture.finished import Sheet, Size
from simview.picture.prints.printing import Progress, develop_all
from simview.picture.prints.tone import encode
from simview.picture.prints.wanted import Wanted
from simview.picture.startest.wavemap import shades
from simview.scene.targets import target
from simview.view import follow

Print = NDArray[np.uint8]
Plane = NDArray[np.float64]

# Pictures that a sheet shows; the others are in the figures.
_SHOWN: Final = 2

# Units of the layout.
_LEFT: Final = 1010
_GAP: Final = 44
_TILE_GAP: Final = 12
_LABEL: Final = 34
_HEAD: Final = 32

# Full scale of what is left, against the disc's brightness.
_LEFT_SCALE: Final = 0.3

_COLUMNS: Final = ("Your photograph", "The fit", "What is left", "A perfect telescope")


def diagnosis_sheet(
    found: Diagnosis, *, size: Size = (1920, 1080), progress: Progress | None = None
) -> Sheet:
    """Draw the sheet.

    Raises
    ------
    SimviewError
        For a size that sheets cannot have.
    """
    canvas = Canvas(size)
    area = sheet.content_area(size)
    left = replace(area, right=area.left + canvas.px(_LEFT))
    right = replace(area, left=left.right + canvas.px(_GAP))
    base = _draw_pictures(canvas, left, found.pictures[:_SHOWN])
    _draw_faults(canvas, replace(left, top=base + canvas.px(24)), found.faults)
    side = int((right.width - canvas.px(_TILE_GAP)) // 2)
    panels, caption = _jupiters(found.kit, found.kit_found(), side, progress)
    low = right.bottom - side - canvas.px(_LABEL)
    _draw_words(canvas, replace(right, bottom=low - canvas.px(20)), found)
    _draw_jupiters(canvas, right, low, panels, side)
    sheet.draw_words(canvas, _words(found, caption))
    remarks = []
    if len(found.pictures) > _SHOWN:
        remarks.append(f"the sheet shows {_SHOWN} of {len(found.pictures)} pictures")
    return Sheet(
        image=canvas.image,
        figures=found.figures(),
        recipe={
            "command": "diagnose",
            "kits": [kit_text(found.kit)],
            "photographs": [
                {"sha256": mark, "side": side}
                for mark, side in zip(found.taken.fingerprints, found.taken.sides, strict=True)
            ],
            "up_deg": found.taken.up_deg,
            "mirrored": found.taken.mirrored,
            "size": list(size),
        },
        remarks=tuple(remarks),
    )


def _words(found: Diagnosis, caption: str) -> SheetText:
    strehl = found.strehl
    return SheetText(
        title=f"What is wrong: {said(found.explanations[0].faults)}"
        if found.explanations
        else "What is wrong with the telescope",
        subtitle=f"{captions.instrument(found.kit)}, from photographs of a star: Strehl ratio"
        f" {strehl.value:.2f} ({strehl.low:.2f} to {strehl.high:.2f}); 0.8 and more is good",
        caption=" ".join((*found.tells, caption)),
        footer="simview: photographs are the user's own, all else is computed",
    )


def _draw_pictures(canvas: Canvas, area: Area, pictures: Sequence[Picture]) -> float:
    """Draw the rows of photographs; return where they end."""
    gap, label = canvas.px(_TILE_GAP), canvas.px(_LABEL)
    tall = (area.height * 0.66 - canvas.px(_HEAD)) / len(pictures) - label
    side = int(min((area.width - 3 * gap) / 4, tall))
    top = area.top + canvas.px(_HEAD)
    for column, name in enumerate(_COLUMNS):
        place = (area.left + column * (side + gap), top - canvas.px(8))
        canvas.write_within(place, name, side, (sheet.SMALL, sheet.LEAST), colour=SOFT)
    for row, picture in enumerate(pictures):
        y = int(top + row * (side + label))
        for column, tile in enumerate(_tiles(picture, side)):
            canvas.paste(tile, (int(area.left + column * (side + gap)), y))
        way = "inside" if picture.defocus_waves < 0 else "outside"
        words = (
            f"{picture.name.capitalize()}: {abs(picture.defocus_waves):.1f} waves {way} focus,"
            f" air {picture.air_arcsec:.1f}″"
        )
        place = (area.left, y + side + canvas.px(24))
        canvas.write_within(place, words, 4 * side + 3 * gap, (sheet.SMALL, sheet.LEAST))
    return top + len(pictures) * (side + label)


def _tiles(picture: Picture, side: int) -> list[Print]:
    """Return photograph, fit, what is left and the perfect star, printed."""
    white = float(np.quantile(picture.fit[picture.fit > 0.1 * picture.fit.max()], 0.995))
    shown = [_printed(p / white, side) for p in (picture.photo, picture.fit)]
    lit = picture.fit.mean(axis=2)
    bright = float(lit[lit > 0.35 * lit.max()].mean())
    left = (picture.photo.mean(axis=2) - lit) / bright / _LEFT_SCALE
    shown.append(_enlarged(shades(np.clip(left, -1.0, 1.0)), side))
    best = float(np.quantile(picture.perfect[picture.perfect > 0.1 * picture.perfect.max()], 0.995))
    return [*shown, _printed(picture.perfect / best, side)]


def _printed(light: Plane, side: int) -> Print:
    planes = [
        encode(np.ascontiguousarray(np.clip(light[..., c], 0.0, 1.0), np.float32), channel=c)
        for c in range(3)
    ]
    return _enlarged(np.stack(planes, axis=-1), side)


def _enlarged(print_: Print, side: int) -> Print:
    image = Image.fromarray(print_).resize((side, side), Image.Resampling.BICUBIC)
    return np.asarray(image)


def _draw_faults(canvas: Canvas, area: Area, faults: Sequence[Fault]) -> None:
    """Draw each fault as a bar with the interval that holds it."""
    size = canvas.px(sheet.SMALL)
    names = {fault.name: _short(fault) for fault in faults}
    start = area.left + max(text.width_px(name, size) for name in names.values()) + canvas.px(16)
    room = area.right - start - canvas.px(210)
    most = max(1.1 * max(fault.waves.high for fault in faults), 0.1)
    step = min(canvas.px(40), (area.height - canvas.px(30)) / len(faults))
    limit = start + room * MARECHAL / most
    canvas.box((limit, area.top, limit + canvas.px(2), area.top + step * len(faults)), SOFT)
    for row, fault in enumerate(faults):
        middle = area.top + (row + 0.5) * step
        canvas.write((area.left, middle + 0.36 * size), names[fault.name], size)
        colour = WARN if fault.waves.value > MARECHAL else GOOD
        thick = canvas.px(9)
        end = start + room * fault.waves.value / most
        canvas.box((start, middle - thick, max(end, start + 1), middle + thick), colour)
        low, high = (start + room * w / most for w in (fault.waves.low, fault.waves.high))
        canvas.box((low, middle - canvas.px(2), high, middle + canvas.px(2)), INK)
        value = f"{fault.waves.value:.3f} ({fault.waves.low:.3f} to {fault.waves.high:.3f})"
        canvas.write((area.right, middle + 0.36 * size), value, size, colour=SOFT, align="right")
    base = area.top + step * len(faults) + canvas.px(22)
    told = "waves RMS; white lines hold the truth in nine cases of ten; grey line: 1/14 wave"
    canvas.write_within((area.left, base), told, area.width, (20, sheet.LEAST), colour=SOFT)


def _short(fault: Fault) -> str:
    return {
        "miscollimation": "Out of line (coma)",
        "pinched": "Pinched (three corners)",
        "turned-down-edge": "Turned-down edge",
        "turned-up-edge": "Turned-up edge",
    }.get(fault.name, fault.name.capitalize())


def _draw_words(canvas: Canvas, area: Area, found: Diagnosis) -> None:
    """Write what it means and what to do first."""
    y = area.top + canvas.px(_HEAD)
    parts = [
        ("At the eyepiece", found.means[0].upper() + found.means[1:]),
        ("Do first", found.first),
    ]
    if found.other is not None:
        parts.append(("If it was the other side of focus", found.other.first))
    room = area.bottom - y
    for name, words in parts:
        canvas.write((area.left, y), name, canvas.px(sheet.HEADING), colour=GOOD, weight="bold")
        y += canvas.px(8)
        left = (area.bottom - y) if name == parts[-1][0] else 0.62 * room
        size, lines = text.block(
            words,
            area.width,
            left,
            largest_px=canvas.px(sheet.BODY),
            smallest_px=canvas.px(sheet.LEAST),
        )
        for line in lines:
            y += text.line_px(size)
            canvas.write((area.left, y), line, size)
        y += canvas.px(44)


def _jupiters(
    own: Kit, ill: Kit, side: int, progress: Progress | None
) -> tuple[tuple[Print, ...], str]:
    """Return Jupiter through the telescope as it should be and as it is, and words on both."""
    assert own.telescope is not None
    well = replace(own, telescope=replace(own.telescope, wavefront=Wavefront()))
    power = float(round(min(1.2 * own.telescope.working_aperture_mm, 250.0), -1))
    power = max(power, 20.0)
    views = [follow(kit, target("jupiter"), power=power) for kit in (well, ill)]
    pixels = side - side % 2
    # Jupiter, some 45 arcsec wide, across two thirds of the panel.
    scale = 0.66 * pixels / (45.0 * power / 3600.0)
    wanted = [Wanted(view=view, pixels_per_degree=scale, pixels=pixels) for view in views]
    prints = develop_all(wanted, progress=progress)
    sky = views[0].sky
    return prints.panels, (
        f"Jupiter at {text.times(power)}, seeing {sky.seeing_arcsec:g}″, both alike."
    )


def _draw_jupiters(
    canvas: Canvas, area: Area, top: float, panels: Sequence[Print], side: int
) -> None:
    for column, (panel, words) in enumerate(
        zip(panels, ("Jupiter, no fault", "Jupiter, as it is"), strict=True)
    ):
        x = int(area.left + column * (side + canvas.px(_TILE_GAP)))
        canvas.paste(panel, (x, int(top + canvas.px(_LABEL))))
        canvas.write((x, top + canvas.px(24)), words, canvas.px(sheet.SMALL), colour=SOFT)
    line = top - canvas.px(6)
    canvas.box((area.left, line, area.right, line + canvas.px(1)), LINE)
