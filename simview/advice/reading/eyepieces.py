"""Eyepieces by their markings, and the barrels that they come in."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from simview.advice.listing import OfferedEyepiece
from simview.advice.reading.clean import Page
from simview.advice.reading.numbers import number
from simview.advice.speech import listed, say
from simview.eyepiece.markings import DESIGNS
from simview.kit import Barrel, Design
from simview.units import MM_PER_INCH

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
# "25 mm Plössl", "20mm (H)", "16-O": the focal length, then letters or a name.
_MARKED_AFTER: Final = re.compile(
    rf"(?P<old>{_SMALL})-(?P<letter>hm|ah|sr|pl|or|h|k|o|r)(?![a-z0-9-])"
    rf"|(?P<number>{_SMALL}){_MM}[ -]{{0,2}}\(?(?:super |\d+-element )?(?P<mark>{_NAME}"
    rf"|{_LETTER})s?(?![a-z0-9])"
)
_ZOOM: Final = re.compile(
    rf"(?P<low>{_SMALL})\s*(?:mm)?\s*(?:-|to)\s*(?P<high>{_SMALL}){_MM}[ a-z-]{{0,12}}zoom"
    rf"|(?:zoom|{EYE} zoom|zoom {EYE})[^\d\n]{{0,12}}(?P<low2>{_SMALL})\s*(?:mm)?\s*(?:-|to)\s*"
    rf"(?P<high2>{_SMALL})(?:{_MM}|(?! ?(?:x|°|times)))"
)
_ITEM: Final = rf"(?:\d\s?x\s?)?{_SMALL}(?:{_MM}|(?!\s?-?(?:x(?![a-z])|times|°|%|\"|')))"
_LEAD: Final = re.compile(rf"(?:{_ITEM}\s{{0,2}}(?:,|/|\+|&|and|,\s?and|u\.| )\s{{0,2}}){{1,5}}$")
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
class Found:
    """An eyepiece, where it stands, and how sure that is."""

    piece: OfferedEyepiece
    start: int
    end: int
    note: str = ""
    sure: float = 0.95
    other: tuple[str, ...] = ()


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
            say(
                "Several barrel sizes are named ({sizes}); {first} was taken for the eyepieces.",
                sizes=listed(found),
                first=found[0],
            )
        )
    return found[0] if found else None


def marked_eyepieces(page: Page) -> list[Found]:
    """Return the eyepieces whose markings leave no doubt, and take their words."""
    found: list[Found] = []
    for reader in (_zooms, _marked, _marked_after):
        for piece in list(reader(page)):
            found.append(piece)
            page.take((piece.start, piece.end))
    return found


def settled(page: Page, found: list[Found]) -> tuple[OfferedEyepiece, ...]:
    """Return the eyepieces in the box, longest first, each once, and note them."""
    pieces: dict[float, Found] = {}
    for one in sorted(found, key=lambda one: one.start):
        size = one.piece.focal_length_mm
        known = pieces.get(size)
        if known is None or known.piece.design == "unknown":
            pieces[size] = one
    ordered = sorted(pieces.values(), key=lambda one: -one.piece.focal_length_mm)
    for one in ordered:
        page.note(
            "eyepiece",
            one.piece.label,
            (one.start, one.end),
            note=one.note or _design_note(one.piece),
            sure=one.sure,
            other=one.other,
        )
    return tuple(_with_field(page, one) for one in ordered)


def _design_note(piece: OfferedEyepiece) -> str:
    if piece.design == "unknown":
        return "no marking tells the design"
    return f"{piece.marking or piece.design}: {piece.design} design"


def _with_field(page: Page, one: Found) -> OfferedEyepiece:
    match = _FIELD.search(page.clause(one.start, one.end, 50))
    return one.piece if match is None else replace(one.piece, apparent_field_deg=_degrees(match[1]))


def _degrees(text: str) -> float | None:
    value = float(text)
    return value if 10.0 <= value <= 120.0 else None


def _usable(text: str) -> float | None:
    value = number(text)
    return value if SHORTEST_MM <= value <= LONGEST_MM else None


def _zooms(page: Page) -> Iterator[Found]:
    for match in _ZOOM.finditer(page.plain):
        ends = [
            _usable(text)
            for text in (match["low"] or match["low2"], match["high"] or match["high2"])
        ]
        if ends[0] and ends[1] and ends[0] != ends[1]:
            piece = OfferedEyepiece(
                focal_length_mm=max(ends[0], ends[1]), shortest_mm=min(ends[0], ends[1])
            )
            yield Found(piece=piece, start=match.start(), end=match.end())


def _marked(page: Page) -> Iterator[Found]:
    for match in _MARKED.finditer(page.plain):
        size = _usable(match["number"])
        if size is None or not _is_marking(page, match):
            continue
        marking = page.words(match.start(), match.end("number"))
        piece = OfferedEyepiece(
            focal_length_mm=size, design=DESIGNS[match["mark"]], marking=marking
        )
        yield Found(piece=piece, start=match.start(), end=match.end())


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


def _marked_after(page: Page) -> Iterator[Found]:
    for match in _MARKED_AFTER.finditer(page.plain):
        group = "mark" if match["mark"] else "letter"
        size = _usable(match["number"] or match["old"])
        mark = "or" if match[group] == "o" else match[group]
        small = not page.cased[match.start(group)].isupper()
        if size is None or (group == "mark" and len(mark) <= 3 and small):
            continue
        if match[group] == "or" and page.cased[match.start(group) + 1].islower():
            continue
        piece = OfferedEyepiece(
            focal_length_mm=size,
            design=DESIGNS[mark],
            marking=page.words(match.start(group), match.end(group)),
        )
        yield Found(piece=piece, start=match.start(), end=match.end(group))
        if len(mark) > 3:
            yield from _shared(page, match.start(), piece)


def _shared(page: Page, end: int, piece: OfferedEyepiece) -> Iterator[Found]:
    """Give "25 mm and" before "10 mm Plössl eyepieces": one name for the whole list."""
    begin = max(0, end - 60)
    lead = _LEAD.search(page.plain[begin:end])
    if lead:
        for item in _ONE.finditer(page.plain, begin + lead.start(), begin + lead.end()):
            size = _usable(item["number"])
            before = page.plain[max(0, item.start() - 24) : item.start()]
            marked = before[-1:].isalpha()  # "EQ2, 25 mm and": a mount's grade
            if size is not None and not marked and not _BEFORE_OTHER.search(before):
                one = replace(piece, focal_length_mm=size)
                yield Found(piece=one, start=item.start("number"), end=item.end())


# What may stand between two eyepieces of one list, and what may not: "25 mm and a 10 mm".
_AND: Final = (
    r"and|or|an?|one|the|plus|with|und|et|y|i|och|ook|en|een|ed?|u|une?|uno|una|um|uma|otro|autre|altro"
    r"|le|la|el|il|lo|los|las|les|der|das|den|det|het|os|as|oraz|ett|ein|was"
    r"|outro|eine?n?|de|da|di|von|van"
)
_GLUE: Final = re.compile(
    rf"(?:[ ,;/+&()¤:-]|\b(?:{_AND})\b|\bu\.|\(?(?:x ?\d{{1,3}}|\d{{1,3}} ?x)\)?(?!\d)"
    rf"|\b(?:sp|wa|swa|uwa|lv|ma|er|ler)\b|\b(?:the|la|el|le) (?:of|de)\b|zoom\b|mm\b|er\b"
    rf"|2 ?\"|(?:{_NAME})s?\b|{EYE}\b|\d ?x(?= ?\d))*"
)
_SIZE: Final = re.compile(
    r"(?<![\d.,x'])(?<!\d-)(?<!f/)(?<!f /)(?<![a-z])(?<![a-z]{2}-)(?:(?P<count>\d)\s?x\s?(?=\d))?"
    r"(?P<number>\d{1,2}(?:[.,]\d(?!\d))?)"
    r"(?P<mm>\s*mm\b|er\b)?(?![\d°%]|[.,]\d(?!\d)"
    r"|\s?-?(?:x\b|x(?=[ ,.)])|times|fold|\"|'|inch|years?"
    r"|degrees?|deg\b|kg|cm|m\b|in\b|¤|x ?\d|:\d)|\s?/\s?\d{3})"
)
_SIZE_AFTER_COMMA: Final = re.compile(r"(?<=\d,)(?P<number>\d{2})(?![\d.,/]|\s?(?:x\b|mm))")
_LEFT: Final = re.compile(rf"(?:{EYE}|{_NAME})s?\b(?P<gap>[^\d\n.;]{{0,30}})$")
_RIGHT: Final = re.compile(
    rf"(?P<gap>[^\d\n.;,]{{0,24}}?)\b(?:{EYE}|{_NAME})\b(?! ?(?:filter|cap|screw))"
)
_COUNTED: Final = re.compile(
    rf"\s?(?:x\s?)?(?:[a-z]+ )?(?:{EYE}|(?:{_NAME})s?|lens(?:es)?|pieces?|filters?|piece)\b"
)

# Focal lengths that eyepieces for beginners come in, mm: common practice.
USUAL_MM: Final = frozenset(
    (3.6, 4, 5, 6, 6.3, 6.5, 7, 7.5, 8, 9, 9.7, 10, 12, 12.5, 13, 15, 16, 17, 18, 20, 23, 24, 25,
     26, 30, 32, 40)
)  # fmt: skip

# Weights, in the units of those in evidence.py: choices.
BY_NAME: Final = 8.0
ALONE_UNIT: Final = 1.0
NO_UNIT: Final = -1.0
IN_A_LIST: Final = 1.0
USUAL: Final = 1.0
TOO_LONG: Final = -4.0
ISOLATED: Final = 1.0
ONLY_SIZES: Final = 2.5

# Without its unit nothing shorter is, mm: "equatorial 2", "eyepiece 1". A choice.
SHORTEST_BARE: Final = 3.0

# Nothing longer in a list is taken for an eyepiece, mm: a choice.
LONGEST_LOOSE: Final = 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Loose:
    """A small measure that may be an eyepiece's, and how strongly its words say so."""

    found: Found
    weight: float


def loose_eyepieces(page: Page, marked: list[Found]) -> list[Loose]:
    """Return the small measures in lists beside the word eyepiece, or beside nothing."""
    taken = [(one.start, one.end) for one in marked]
    return [loose for run in _runs(page) for loose in _weighed(page, run, taken)]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Size:
    mm: float
    start: int
    end: int
    unit: bool


def _sizes(page: Page) -> list[_Size]:
    found = []
    for pattern in (_SIZE, _SIZE_AFTER_COMMA):
        for match in pattern.finditer(page.plain):
            size = _usable(match["number"])
            unit = bool(match.groupdict().get("mm"))
            whole = not unit and (size or 0.5).is_integer() and (size or 0.0) <= 9.0
            counts = whole and _COUNTED.match(page.plain, match.end())
            before = page.plain[max(0, match.start() - 24) : match.start()]
            bare = not unit and (size or 0.0) < SHORTEST_BARE
            if size is None or size > LONGEST_LOOSE or counts or bare:
                continue
            if _BEFORE_OTHER.search(before):
                continue
            found.append(_Size(mm=size, start=match.start("number"), end=match.end(), unit=unit))
    return sorted([*found, *_in_inches(page)], key=lambda one: one.start)


# "Eyepieces: 0.8 in and 0.16 in"; 0.965 is a barrel.
_INCHES: Final = re.compile(
    r"(?<![\d.,])0?[.,](?!965)(?P<number>\d{1,3})(?P<unit> ?(?:inch(?:es)?\b|in\b|\"|''))"
)
NEAR_USUAL: Final = 0.03


def _in_inches(page: Page) -> Iterator[_Size]:
    """Give focal lengths in tenths of an inch, as the usual millimetres that they stand for."""
    for match in _INCHES.finditer(page.plain):
        mm = float(f"0.{match['number']}") * MM_PER_INCH
        usual = min(USUAL_MM, key=lambda one: abs(one / mm - 1.0) if mm else 1.0)
        if mm and abs(usual / mm - 1.0) <= NEAR_USUAL:
            yield _Size(mm=float(usual), start=match.start(), end=match.end(), unit=True)


def _runs(page: Page) -> Iterator[list[_Size]]:
    """Give the lists in which small measures stand."""
    run: list[_Size] = []
    for size in _sizes(page):
        if run and not _GLUE.fullmatch(page.plain[run[-1].end : size.start]):
            yield run
            run = []
        run.append(size)
    if run:
        yield run


def _weighed(page: Page, run: list[_Size], taken: list[tuple[int, int]]) -> Iterator[Loose]:
    start, end = run[0].start, run[-1].end
    inside = page.plain[start:end]
    named = _named(page, start, end) or bool(re.search(rf"{EYE}|{_NAME}", inside))
    beside = _beside_marked(page, start, end, taken) or "¤" in inside
    shared = any(one.unit for one in run)
    design = _design_near(page, start, end)
    for one in run:
        weight = ALONE_UNIT if shared else NO_UNIT
        weight += BY_NAME if named else 0.0
        weight += 0.75 * BY_NAME if beside and not named else 0.0
        weight += IN_A_LIST * (len(run) > 1) + USUAL * (one.mm in USUAL_MM)
        weight += TOO_LONG * (one.mm > 42.0)
        weight += ISOLATED * (len(run) == 1 and shared and _stands_alone(page, one))
        piece = OfferedEyepiece(focal_length_mm=one.mm, design=design[0], marking=design[1])
        weight += ONLY_SIZES * (not shared and _all_usual(page, run))
        yield Loose(found=Found(piece=piece, start=one.start, end=one.end), weight=weight)


# Words before a piece that comes with the telescope, in the languages that are read.
_WITH: Final = re.compile(
    r"(?:\bwith|\bplus|\band|\bmit|\bavec|\bcon|\bmet|\bz|\bs|\bcom|\bmed) "
    r"(?:(?:an?|one|the|eine?[mn]?r?|une?|uno|uma?|en|ett) )?$"
)


_ON: Final = re.compile(
    r" (?:on|and|with|plus|for|für|pour|por|per|voor|za|för|auf|sur|su|op|na|em|på|and|tripod"
    r"|supplied|included|dabei|inkl\w*|inclu\w+|fourni\w*|meegeleverd|w zestawie|v balení"
    r"|medfölj\w*|ingår)\b"
)


# Small words that lead up to a list, "it has the 20 and ...", and the telescope after its measures.
_BEFORE_LIST: Final = re.compile(
    r"(?:(?<![^\W\d_])(?:the|an?|la|el|le|les|of|de|un|una|een|ein|has|have|tiene|trae|hat|har|ha|ma|má|tem|heeft"
    r"|(?<=\d )telescopes?|(?<=\d )refractor|(?<=\d )reflector|(?<=\d )newtonian|(?<=\d )scope) )*$"
)


_AFTER_PAIR: Final = re.compile(r"\d{2,3} ?[/x] ?\d{3,4} ?$")


def _all_usual(page: Page, run: list[_Size]) -> bool:
    """Tell a list of two or more usual sizes between commas: "..., 25 10, ..."."""
    whole = _Size(mm=0.0, start=run[0].start, end=run[-1].end, unit=False)
    falling = len(run) > 1 and all(one.mm in USUAL_MM for one in run)
    return falling and _stands_alone(page, whole)


def _stands_alone(page: Page, one: _Size) -> bool:
    """Tell "..., 25 mm." from a measure that a word goes with."""
    lead = page.plain[max(0, one.start - 24) : one.start]
    lead = lead[: -len(glue)] if (glue := _BEFORE_LIST.search(lead)[0]) else lead  # type: ignore[index]
    before = "," if _WITH.search(lead) else lead.rstrip(" ")[-1:]
    after = page.plain[one.end :].lstrip(" ")[:1]
    ends = not after or after in ".,;\n)+" or bool(_ON.match(page.plain, one.end))
    if _AFTER_PAIR.search(lead):  # "70/700 telescope 20mm"
        return ends
    return (not before or before in ".,;:\n(+¤") and ends


def _named(page: Page, start: int, end: int) -> bool:
    left = _LEFT.search(page.plain[max(0, start - 48) : start])
    if left and not _OTHER.search(left["gap"]):
        return True
    right = _RIGHT.match(page.plain, end)
    return right is not None and not _OTHER.search(right["gap"])


def _beside_marked(page: Page, start: int, end: int, taken: list[tuple[int, int]]) -> bool:
    """Tell whether a marked eyepiece stands in the same list."""
    for low, high in taken:
        gap = page.plain[high:start] if high <= start else page.plain[end:low]
        if len(gap) < 24 and _GLUE.fullmatch(gap):
            return True
    return False


def _design_near(page: Page, start: int, end: int) -> tuple[Design, str]:
    """Return the one design named with the list, if exactly one is."""
    begin = max(page.plain.rfind("\n", 0, start) + 1, start - 30)
    around = page.plain[begin : end + 30].split("\n")[0]
    names = {name: DESIGNS[name] for name in re.findall(rf"(?<![a-z]){_NAME}(?![a-z])", around)}
    if len(set(names.values())) == 1:
        name, design = next(iter(names.items()))
        return design, name.capitalize()
    return "unknown", ""
