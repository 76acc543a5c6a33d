"""Eyepieces by their markings, and the barrels that they come in."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from simview.advice.listing import OfferedEyepiece
from simview.advice.reading.clean import Page
from simview.advice.reading.numbers import number
from simview.eyepiece.markings import DESIGNS
from simview.kit import Barrel, Design

_NAMES: Final = sorted((name for name in DESIGNS if len(name) > 3), key=len, reverse=True)
_LETTERS: Final = sorted((name for name in DESIGNS if len(name) <= 3), key=len, reverse=True)
_NAME: Final = "|".join(re.escape(name) for name in _NAMES)
_LETTER: Final = "|".join(_LETTERS)

EYE: Final = (
    r"(?:eye ?-?pieces?|eye ?lens(?:es)?|oculars?|okulare?n?|oculaires?|oculares"
    r"|ocular[ei]|oculairs?)"
)
_MM: Final = r"\s*mm\b"
_SMALL: Final = r"(?<![\d.,])(?<!f/)\d{1,2}(?:[.,]\d{1,2})?(?![\d])"

# "H20", "H 20mm", "SR-4 mm", "PL 6.5": letters, then the focal length.
_MARKED: Final = re.compile(
    rf"(?<![a-z0-9])(?P<mark>{_LETTER}"
    rf"|{_NAME})(?P<gap>[ .:=-]{{0,2}})(?P<number>{_SMALL})(?P<mm>{_MM})?"
    r"(?![\d°%]|\s*(?:x\b|glass|optic|\"|inch|degree|years?))"
)
# "25 mm Plössl", "20mm (H)": the focal length, then letters or a name.
_MARKED_AFTER: Final = re.compile(
    rf"(?P<number>{_SMALL}){_MM}[ -]{{0,2}}\(?(?:super |\d+-element )?(?P<mark>{_NAME}"
    rf"|{_LETTER})s?(?![a-z0-9])"
)
_ZOOM: Final = re.compile(
    rf"(?P<low>{_SMALL})\s*(?:mm)?\s*(?:-|to)\s*(?P<high>{_SMALL}){_MM}[ a-z-]{{0,12}}zoom"
    rf"|zoom {EYE}[^\d\n]{{0,12}}(?P<low2>{_SMALL})\s*(?:mm)?\s*(?:-|to)\s*(?P<high2>{_SMALL}){_MM}"
)
_ITEM: Final = rf"(?:\d\s?x\s?)?{_SMALL}(?:{_MM}|(?!\s?-?(?:x(?![a-z])|times|°|%|\"|')))"
_LIST: Final = (
    rf"{_ITEM}(?:\s{{0,2}}(?:,|/|\+|&|;|and|und|et|y|e|en|or|,\s?and)\s{{0,2}}{_ITEM}){{0,6}}"
)
_LEAD: Final = re.compile(rf"(?:{_ITEM}\s{{0,2}}(?:,|/|\+|&|and|,\s?and| )\s{{0,2}}){{1,5}}$")
_LIST_AFTER: Final = re.compile(rf"{EYE}\b(?P<gap>[^\d\n¤]{{0,30}}?)[(:\s]\s?(?P<list>{_LIST})")
_LIST_BEFORE: Final = re.compile(rf"(?P<list>{_LIST})(?P<gap>[^\d\n,;]{{0,40}}?)\b{EYE}\b")
_ONE: Final = re.compile(rf"(?P<count>\d\s?x\s?(?=\d))?(?P<number>{_SMALL})(?P<mm>{_MM})?")

# Words that give a measure another meaning than an eyepiece's.
_OTHER: Final = re.compile(
    r"apertur|objecti|refract|reflect|mirror|telescop|diamet|tripod|tube|finder|barlow|filter|zoom"
    r"|öffnung|ouverture|apertura|years?|elements?|magnif|power"
)
_BEFORE_OTHER: Final = re.compile(
    r"(?:apertur\w*|objective(?: lens)?|lens|mirror|diameter|focal length|ø"
    r"|d ?=)[ :=]{0,3}(?:of |is )?$"
)
_FIELD: Final = re.compile(
    r"(?<![\d.])(\d{2,3})\s?-?(?:°|deg(?:rees?)?\b)(?:\s*(?:apparent|a?fov|field))"
)

LONGEST_MM: Final = 60.0  # no eyepiece of a small telescope is longer; a choice
SHORTEST_MM: Final = 1.5

_BARRELS: Final[tuple[tuple[Barrel, re.Pattern[str]], ...]] = (
    (
        "0.965in",
        re.compile(r"(?<![\d.,])0?[.,]965(?:\s?(?:\"|''|-?\s?in(?:ch(?:es)?)?\b))?|24[.,]5\s?mm"),
    ),
    (
        "1.25in",
        re.compile(
            r"(?<![\d.,])(?:1[.,]25|1[ -]?1/4|1¼)(?:\s?(?:\"|''|-?\s?in(?:ch(?:es)?)?\b)"
            rf"|(?=\s?-?(?:{EYE}|focus|diagonal|barrel|barlow)))|31[.,](?:75|7|8)\s?mm"
        ),
    ),
    (
        "2in",
        re.compile(
            r"(?<![\d.,/])2(?:[.,]0)?\s?(?:\"|''|-?\s?inch|-?\s?in\b)(?=[a-z /-]{0,24}"
            rf"(?:{EYE}|focus|barrel|diagonal|fitting))|50[.,]8\s?mm"
        ),
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    piece: OfferedEyepiece
    start: int
    end: int


def read_barrels(page: Page) -> Barrel | None:
    """Return the size of the eyepieces' barrels, the smallest where several are named."""
    found: list[Barrel] = []
    for barrel, pattern in _BARRELS:
        for match in list(pattern.finditer(page.plain)):
            if barrel not in found:
                found.append(barrel)
                page.note("barrel", barrel, match.span())
            page.take(match.span())
    if len(found) > 1:
        page.remarks.append(
            f"Several barrel sizes are named ({' and '.join(found)}); {found[0]} was taken for the"
            " eyepieces."
        )
    return found[0] if found else None


def read_eyepieces(page: Page) -> tuple[OfferedEyepiece, ...]:
    """Return the eyepieces in the box, longest first, each once."""
    found: list[_Found] = []
    for reader in (_zooms, _marked, _marked_after, _listed):
        for piece in list(reader(page)):
            found.append(piece)
            page.take((piece.start, piece.end))
    pieces: dict[float, _Found] = {}
    for one in sorted(found, key=lambda one: one.start):
        size = one.piece.focal_length_mm
        known = pieces.get(size)
        if known is None or known.piece.design == "unknown":
            pieces[size] = one
    ordered = sorted(pieces.values(), key=lambda one: -one.piece.focal_length_mm)
    for one in ordered:
        page.note("eyepiece", one.piece.label, (one.start, one.end), note=_design_note(one.piece))
    return tuple(_with_field(page, one) for one in ordered)


def _design_note(piece: OfferedEyepiece) -> str:
    if piece.design == "unknown":
        return "no marking tells the design"
    return f"{piece.marking or piece.design}: {piece.design} design"


def _with_field(page: Page, one: _Found) -> OfferedEyepiece:
    match = _FIELD.search(page.clause(one.start, one.end, 50))
    return one.piece if match is None else replace(one.piece, apparent_field_deg=_degrees(match[1]))


def _degrees(text: str) -> float | None:
    value = float(text)
    return value if 10.0 <= value <= 120.0 else None


def _usable(text: str) -> float | None:
    value = number(text)
    return value if SHORTEST_MM <= value <= LONGEST_MM else None


def _zooms(page: Page) -> Iterator[_Found]:
    for match in _ZOOM.finditer(page.plain):
        ends = [
            _usable(text)
            for text in (match["low"] or match["low2"], match["high"] or match["high2"])
        ]
        if ends[0] and ends[1] and ends[0] != ends[1]:
            piece = OfferedEyepiece(
                focal_length_mm=max(ends[0], ends[1]), shortest_mm=min(ends[0], ends[1])
            )
            yield _Found(piece=piece, start=match.start(), end=match.end())


def _marked(page: Page) -> Iterator[_Found]:
    for match in _MARKED.finditer(page.plain):
        size = _usable(match["number"])
        if size is None or not _is_marking(page, match):
            continue
        marking = page.words(match.start(), match.end("number"))
        piece = OfferedEyepiece(
            focal_length_mm=size, design=DESIGNS[match["mark"]], marking=marking
        )
        yield _Found(piece=piece, start=match.start(), end=match.end())


def _is_marking(page: Page, match: re.Match[str]) -> bool:
    """Tell a marking from a word or a type of glass that looks like one."""
    mark, gap, mm = match["mark"], match["gap"], match["mm"]
    if len(mark) > 3 and re.search(r"\d\s?mm[ -]{0,2}\(?$", page.plain[: match.start()][-8:]):
        return False  # "25 mm Plössl 10 mm Plössl": the name belongs to what stands before it
    if len(mark) > 3:
        return bool(mm) or bool(re.search(EYE, page.clause(match.start(), match.end(), 60)))
    if mark == "or" and " " in gap:  # "20 mm or 6 mm"
        return False
    capital = page.cased[match.start()].isupper()
    around = page.whole[max(0, match.start() - 150) : match.end() + 80]
    near = bool(re.search(rf"{EYE}|\blens", around))
    if not capital and not (near and mark in ("h", "hm", "sr", "pl", "k", "r")):
        return False
    return near or (mm is not None) or mark in ("hm", "sr", "pl")


def _marked_after(page: Page) -> Iterator[_Found]:
    for match in _MARKED_AFTER.finditer(page.plain):
        size = _usable(match["number"])
        mark = match["mark"]
        if size is None or (len(mark) <= 3 and not page.cased[match.start("mark")].isupper()):
            continue
        if mark == "or" and page.cased[match.start("mark") + 1].islower():
            continue
        piece = OfferedEyepiece(
            focal_length_mm=size,
            design=DESIGNS[mark],
            marking=page.words(match.start("mark"), match.end("mark")),
        )
        yield _Found(piece=piece, start=match.start(), end=match.end("mark"))
        if len(mark) > 3:
            yield from _shared(page, match.start(), piece)


def _shared(page: Page, end: int, piece: OfferedEyepiece) -> Iterator[_Found]:
    """Give "25 mm and" before "10 mm Plössl eyepieces": one name for the whole list."""
    begin = max(0, end - 60)
    lead = _LEAD.search(page.plain[begin:end])
    if lead:
        for item in _ONE.finditer(page.plain, begin + lead.start(), begin + lead.end()):
            size = _usable(item["number"])
            before = page.plain[max(0, item.start() - 24) : item.start()]
            if size is not None and not _BEFORE_OTHER.search(before):
                one = replace(piece, focal_length_mm=size)
                yield _Found(piece=one, start=item.start("number"), end=item.end())


def _listed(page: Page) -> Iterator[_Found]:
    """Give eyepieces that stand as bare focal lengths beside the word eyepiece."""
    seen: set[int] = set()
    for pattern in (_LIST_BEFORE, _LIST_AFTER):
        for match in pattern.finditer(page.plain):
            if "mm" not in match["list"] and not re.search(
                r"[(:]\s?$", page.plain[: match.start("list")][-3:]
            ):
                continue
            if _OTHER.search(match["gap"]):
                continue
            for one in _items(page, match, _design_near(page, match)):
                if one.start not in seen:
                    seen.add(one.start)
                    yield one


def _items(page: Page, match: re.Match[str], design: tuple[Design, str]) -> Iterator[_Found]:
    begin = match.start("list")
    for item in _ONE.finditer(page.plain, begin, match.end("list")):
        size = _usable(item["number"])
        before = page.plain[max(0, item.start() - 24) : item.start()]
        if size is None or _BEFORE_OTHER.search(before):
            continue
        piece = OfferedEyepiece(focal_length_mm=size, design=design[0], marking=design[1])
        yield _Found(piece=piece, start=item.start("number"), end=item.end())


def _design_near(page: Page, match: re.Match[str]) -> tuple[Design, str]:
    """Return the one design named with the list, if exactly one is."""
    begin = max(page.plain.rfind("\n", 0, match.start()) + 1, match.start() - 30)
    around = page.plain[begin : match.end() + 30].split("\n")[0]
    names = {name: DESIGNS[name] for name in re.findall(rf"(?<![a-z]){_NAME}(?![a-z])", around)}
    if len(set(names.values())) == 1:
        name, design = next(iter(names.items()))
        return design, name.capitalize()
    return "unknown", ""


_BARE: Final = re.compile(
    rf"(?:\bwith|\bplus|\+|,|\band|&|\bmit|\bavec|\bcon|\bmet|\bz|\bs|\bcom|\bmed)\s{{1,2}}"
    rf"(?:(?:an?|one|the|ein\w*|une?|uno?|um|en|two|2)\s)?(?P<list>{_LIST})(?=\s*(?:[,.;:\n)+&]|$"
    r"|and\b|with\b|plus\b|-\s))"
)


_TELESCOPE_TOLD: Final = re.compile(r"\d{2,3} ?(?:mm)? ?/ ?\d{3,4}|focal length")


def read_bare_eyepieces(page: Page) -> tuple[OfferedEyepiece, ...]:
    """Return "with 20 and 6 mm" as eyepieces, where the offer names its telescope and no others."""
    found: dict[float, OfferedEyepiece] = {}
    if not _TELESCOPE_TOLD.search(page.plain):
        return ()
    for match in list(_BARE.finditer(page.plain)):
        if "mm" not in match["list"]:
            continue
        for one in _items(page, match, ("unknown", "")):
            size = one.piece.focal_length_mm
            if size <= 45.0 and size not in found:
                found[size] = one.piece
                note = "no word says so; such a length is an eyepiece's"
                other = (f"{size:g} mm of something else",)
                span = (one.start, one.end)
                page.note("eyepiece", one.piece.label, span, note=note, sure=0.7, other=other)
                page.take(span)
    return tuple(sorted(found.values(), key=lambda piece: -piece.focal_length_mm))
