"""The slides as PPTX: full-bleed pictures, films that play, notes, alternative texts.

Each slide also has its title as text, behind the picture: for outlines, searches and screen
readers. Written with python-pptx (MIT).
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from simview.talk.media_timing import timing
from simview.talk.records import Made, Talk
from simview.talk.words import words

if TYPE_CHECKING:
    from pathlib import Path

    from pptx.presentation import Presentation as Deck

# English Metric Units to an inch (ECMA-376, 20.1.2.1), and a slide's longer side, inches: that
# of the usual 16:9 slide.
_EMU: Final = 914400
_LONGER_IN: Final = 13.333

# The layout of python-pptx's own template that has a title and nothing else.
_TITLE_ONLY: Final = 5

_FILMS: Final = {".mp4": "video/mp4"}


def pptx(talk: Talk, made: Sequence[Made]) -> bytes:
    """Return the PPTX file."""
    from pptx import Presentation
    from pptx.util import Emu

    deck = Presentation()
    deck.slide_width, deck.slide_height = (Emu(side) for side in _sides(talk))
    told = deck.core_properties
    told.title, told.author, told.language = talk.title, talk.author, talk.language
    told.comments, told.keywords = "", ""
    for each in made:
        _add(deck, each, talk)
    stream = io.BytesIO()
    deck.save(stream)
    return stream.getvalue()


def _add(deck: Deck, made: Made, talk: Talk) -> None:
    from pptx.util import Emu

    wide, high = deck.slide_width or 0, deck.slide_height or 0
    slide = deck.slides.add_slide(deck.slide_layouts[_TITLE_ONLY])
    title = slide.shapes.title
    if title is not None:
        title.text = made.slide.title
        title.left, title.top = Emu(wide // 20), Emu(high // 30)
        title.width, title.height = Emu(wide * 9 // 10), Emu(high // 7)
    room = (Emu(0), Emu(0), Emu(wide), Emu(high))
    if made.film is not None and made.film.suffix in _FILMS:
        shape = slide.shapes.add_movie(
            str(made.film),
            *room,
            poster_frame_image=str(made.picture),
            mime_type=_FILMS[made.film.suffix],
        )
        _plays_by_itself(slide, shape.shape_id, _milliseconds(made.film))
    else:
        shape = slide.shapes.add_picture(str(made.film or made.picture), *room)
    named = shape._element.xpath(".//p:cNvPr")[0]
    named.set("descr", made.tells)
    named.set("name", made.slide.name)
    if made.link:
        _lead(slide, shape, made, talk)
    slide.notes_slide.notes_text_frame.text = notes_of(made)


def _lead(slide: Any, picture: Any, made: Made, talk: Talk) -> None:
    """Let the picture, and a word at the foot, open the live page."""
    from pptx.dml.color import RGBColor
    from pptx.enum.text import PP_ALIGN
    from pptx.util import Emu

    picture.click_action.hyperlink.address = made.link
    wide, high = _sides(talk)
    box = slide.shapes.add_textbox(
        Emu(round(0.4 * wide)), Emu(round(0.93 * high)), Emu(round(0.2 * wide)), Emu(high // 20)
    )
    paragraph = box.text_frame.paragraphs[0]
    paragraph.alignment = PP_ALIGN.CENTER
    run = paragraph.add_run()
    run.text = f"\u25b6 {words(talk.language)['live']}"
    run.font.size = Emu(round(_LIVE_TYPE * min(wide, high)))
    dark = talk.paper == "dark"
    colour: Any = RGBColor
    run.font.color.rgb = colour.from_string(_ON_DARK if dark else _ON_WHITE)
    run.hyperlink.address = made.link


# Type of the word that leads to the live page, against a slide's shorter side, and its colours.
_LIVE_TYPE: Final = 0.036
_ON_DARK: Final = "56B4E9"
_ON_WHITE: Final = "006096"


def _sides(talk: Talk) -> tuple[int, int]:
    scale = _LONGER_IN * _EMU / max(talk.size)
    return round(talk.size[0] * scale), round(talk.size[1] * scale)


def notes_of(made: Made) -> str:
    """Return what the speaker reads: their own notes, then what is assumed."""
    return "\n\n".join(part for part in (made.slide.notes, made.small_print) if part)


def _plays_by_itself(slide: Any, shape_id: int, milliseconds: int) -> None:
    """Let the slide's film begin when the slide is shown, and a click pause it."""
    from pptx.oxml import parse_xml
    from pptx.oxml.ns import qn

    for old in slide._element.findall(qn("p:timing")):
        slide._element.remove(old)
    # After the colour map and any transition, before extensions (ECMA-376-1, CT_Slide).
    slide._element.append(parse_xml(timing(shape_id, milliseconds)))


def _milliseconds(film: Path) -> int:
    import av

    with av.open(str(film), format="mp4") as container:
        return round((container.duration or 0) / 1000)
