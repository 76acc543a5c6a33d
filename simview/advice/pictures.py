"""Pictures for the answer: the offer beside what the shelf has, on three objects.

All pictures of one object share one scale of apparent angle and one adaptation of the eye, so that
sizes and brightness compare honestly. Planets show the middle of the view only.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from importlib import import_module
from typing import Final

from simview.advice.sights import Look, looks
from simview.advice.speech import N_, Said, joined, number, say
from simview.executor.pieces import pieces
from simview.executor.threads import beside
from simview.eyepiece.train import HIGHEST_POWER_PER_MM
from simview.kit import Kit, Observer, Sky

Progress = Callable[[float, str], None]

# Side of a picture in pixels.
SIDE_PX: Final = 320

# How wide a planet's picture is at the eye, degrees; of wide things the whole view is shown, the
# widest in the row with this much room.
PLANET_DEG: Final = 5.0
ROOM: Final = 1.05

# Width of a picture on paper, mm, with up to two instruments and with more; the viewing distance
# that the page names follows from it.
PAPER_MM: Final = (27.0, 33.0)

# Planets look best up to about this many times per mm of aperture: common practice, no source.
PLANET_PER_MM: Final = 1.4

# What every row loads: once, so that copies of this process find it loaded.
_DRAWN_WITH: Final = (
    "numpy.random",
    "simview.picture.drawing.panel",
    "simview.picture.prints.printing",
)

# Least width of a star in a picture, pixels: what print still shows as a point.
STAR_PX: Final = 2.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """One object of the comparison."""

    target: str
    title: str
    whole: bool
    says: str


_WHOLE: Final = say("the circle is the whole view")

SUBJECTS: Final = (
    Subject(
        target="saturn",
        title=say("Saturn"),
        whole=False,
        says=say("the middle of the view"),
    ),
    Subject(target="moon", title=say("The Moon"), whole=True, says=_WHOLE),
    Subject(
        target="double-cluster",
        title=say("A star cluster"),
        whole=True,
        says=_WHOLE,
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One instrument in the comparison.

    Parameters
    ----------
    name
        For the caption.
    kit
        The instrument.
    promised
        A power to show it at in place of one of its own, or None.
    """

    name: str
    kit: Kit
    promised: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One picture, ready for a page.

    Parameters
    ----------
    png
        The file itself.
    caption
        Under it.
    figures
        What goes with it: exit pupil, finest detail or faintest star, brightness.
    alt
        For those who cannot see it.
    """

    png: bytes
    caption: str
    figures: str
    alt: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One object through every instrument."""

    title: str
    says: str
    pictures: tuple[Picture, ...]


def fetch() -> None:
    """Begin to read what the pictures are painted from, beside what the caller does next."""
    from simview.scene.targets import target

    for subject in SUBJECTS:
        if work := target(subject.target).fetch:
            beside(work)


def rows(
    columns: Sequence[Column], *, sky: Sky, observer: Observer, progress: Progress | None = None
) -> tuple[Row, ...]:
    """Return the comparison, one row for each object."""
    for name in _DRAWN_WITH:
        import_module(name)
    row = partial(_row, columns=columns, sky=sky, observer=observer)
    # Where no copy of this process makes rows side by side, threads make the views of each.
    # The last row takes longest.
    made = pieces(row, SUBJECTS, apart=True, shares=len(columns) > 1, last_longest=True)
    done = []
    for place, subject in enumerate(SUBJECTS):
        if progress is not None:
            progress(place / len(SUBJECTS), subject.title)
        done.append(next(made))
    if progress is not None:
        progress(1.0, "done")
    return tuple(done)


def _row(subject: Subject, columns: Sequence[Column], sky: Sky, observer: Observer) -> Row:
    from simview.picture.drawing.panel import stopped
    from simview.picture.prints.printing import develop_all
    from simview.picture.prints.wanted import Wanted
    from simview.scene.targets import target
    from simview.view import follow

    thing = target(subject.target).remembering()
    views = []
    for column in columns:
        way = _way(column.kit, subject)
        views.append(
            follow(
                column.kit,
                thing,
                eyepiece=way.eyepiece,
                amplifiers=way.amplifiers,
                power=_promised(column),
                sky=sky,
                observer=observer,
            )
        )
    widest = max(view.beam.apparent_field_deg for view in views)
    scale = SIDE_PX / (ROOM * widest if subject.whole else PLANET_DEG)
    wanted = [
        Wanted(view=view, pixels_per_degree=scale, pixels=SIDE_PX, star_px=STAR_PX)
        for view in views
    ]
    pictures = []
    for column, one, panel in zip(columns, wanted, develop_all(wanted).panels, strict=True):
        beam = one.view.beam
        cut = stopped(panel, beam.apparent_field_deg * scale)
        caption, alt = _words(subject, column, beam.power, thing.size_arcsec)
        figures = _figures(subject, one.view.numbers)
        pictures.append(
            Picture(png=png(cut), caption=caption, figures=figures, alt=joined((alt, figures)))
        )
    return Row(title=subject.title, says=subject.says, pictures=tuple(pictures))


def _promised(column: Column) -> float | None:
    """Return the promised power, no higher than can be computed."""
    scope = column.kit.telescope
    if column.promised is None or scope is None:
        return None
    return min(column.promised, HIGHEST_POWER_PER_MM * scope.working_aperture_mm)


def _way(kit: Kit, subject: Subject) -> Look:
    """Return the pieces one would use: the lowest power for wide things, a high one for planets."""
    from simview.eyepiece.train import beam

    ways = looks(kit)
    if subject.whole or kit.telescope is None:
        return ways[0]
    limit = PLANET_PER_MM * kit.telescope.working_aperture_mm
    powers = [
        (beam(kit, eyepiece=w.eyepiece, amplifiers=w.amplifiers, eye_pupil_mm=7.0).power, w)
        for w in ways
    ]
    fitting = [one for one in powers if one[0] <= limit] or powers[:1]
    return max(fitting, key=lambda one: one[0])[1]


def _words(subject: Subject, column: Column, power: float, size_arcsec: float) -> tuple[Said, Said]:
    promised = column.promised is not None
    times = number(power)
    caption = (
        say("{name}, {power}× as promised", name=column.name, power=times)
        if promised
        else joined((column.name, joined((times, "×"), "")), ", ")
    )
    alt = say(
        _AS_PROMISED if promised else _AS_IT_IS,
        object=subject.title,
        name=column.name,
        power=times,
        wide=number(size_arcsec * power / 3600.0, 1),
    )
    return caption, alt


_AS_PROMISED: Final = N_(
    "{object} through {name} at {power} times, as the offer promises it; about {wide} degrees wide"
    " at the eye."
)
_AS_IT_IS: Final = N_(
    "{object} through {name} at {power} times, as it shows it; about {wide} degrees wide at the"
    " eye."
)


def _figures(subject: Subject, numbers: Mapping[str, float | None]) -> Said:
    """Return the figures of one view in words."""
    parts: list[Said] = [
        say("exit pupil {pupil} mm", pupil=number(numbers["exit_pupil_mm"] or 0.0, 1))
    ]
    if subject.target == "double-cluster":
        faintest = numbers["limiting_magnitude"] or 0.0
        parts.append(say("stars to {mag} mag", mag=number(faintest, 1)))
    else:
        fine = numbers["finest_detail_arcsec"]
        share = 100.0 * (numbers["relative_brightness"] or 0.0)
        parts += [
            say("no detail") if fine is None else say("detail {fine}″", fine=number(fine, 1)),
            _brightness(share),
        ]
    return joined(parts, ", ")


def _brightness(share: float) -> Said:
    """Return how bright, in percent; never "0 %" of what has some light."""
    if share < 0.1:
        return say("brightness below 0.1 %")
    return say("brightness {share} %", share=number(share, 0 if share >= 1.0 else 1))


def paper_mm(count: int) -> float:
    """Return how wide each of `count` pictures in a row stands on paper, mm."""
    return PAPER_MM[0] if count <= 2 else PAPER_MM[1]


def png(panel: object) -> bytes:
    """Return a panel as a PNG file."""
    import numpy as np
    from PIL import Image

    image = Image.fromarray(np.asarray(panel, dtype=np.uint8))
    stream = io.BytesIO()
    # Level 6 makes it 4 % smaller in twice the time, the hardest 6 % in ten times.
    image.save(stream, format="PNG", compress_level=4)
    return stream.getvalue()
