"""Beside the optics: kind of telescope, mount, finder, diagonal, telephone holder."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final, Literal, TypeVar

from simview.advice.listing import Finder, Layout, MirrorShape, OfferedMount
from simview.advice.reading.clean import Page
from simview.kit import MountKind, Objective

Word = TypeVar("Word", bound=str)

_NO: Final = re.compile(
    r"\b(?:no|without|not|lacks?|missing|excluding|needs?|never|don't"
    r"|do not)\s(?:an?\s|any\s|the\s)?(?:[a-z-]+\s)?$"
)
_NOT_THERE: Final = re.compile(
    r" ?(?:is |are )?(?:not included|not supplied|sold separately|is missing|lost)\b"
)

# "Tripod?" asks, it does not say that there is one.
_ASKED: Final = re.compile(r"[^.,;:!?\n]{0,16}\?")
ASKED: Final = ("mount", "finder", "driven", "slow_motion", "phone_holder")


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """How the telescope is built, as far as the words tell."""

    layout: Layout | None
    objective: Objective | None
    mirror: MirrorShape | None
    plastic: bool
    corrector: bool


def _first(page: Page, pattern: str, key: str, value: str | bool) -> re.Match[str] | None:
    """Note the first place that a pattern stands at, unless the text denies it there."""
    for match in re.finditer(pattern, page.plain):
        before = page.plain[max(0, match.start() - 24) : match.start()]
        asked = key in ASKED and _ASKED.match(page.plain, match.end())
        if not _NO.search(before) and not _NOT_THERE.match(page.plain, match.end()) and not asked:
            page.note(key, value, match.span())
            return match
    return None


def _choose(page: Page, key: str, table: tuple[tuple[Word, str], ...]) -> Word | None:
    return next((word for word, pattern in table if _first(page, pattern, key, word)), None)


# Kinds by their words. The order decides: the more particular word stands first.
_LAYOUTS: Final[tuple[tuple[Layout, str], ...]] = (
    ("cassegrain", r"maksutov|cassegrain|\bmak\b|\bsct\b"),
    (
        "newtonian",
        r"newtonian|reflect(?:or|ing)|dobson(?:ian)?|\bdob\b|spiegelteleskop|télescope de newton",
    ),
    (
        "refractor",
        r"refract(?:or|ing)|single lens objective|achromat(?:ic)?\b"
        r"|lens telescope|linsenteleskop|lunette|refraktor",
    ),
)
_OBJECTIVES: Final[tuple[tuple[Objective, str], ...]] = (
    (
        "apochromat",
        r"apochromat\w*|\bapo\b|(?<=\d)ed\b|(?<=\d )ed\b"
        r"|\bed (?:doublet|glass|refractor|apo|triplet)|\btriplet\b",
    ),
    (
        "singlet",
        r"single[- ](?:element|lens) objective|singlet|simple lens objective|non[- ]achromatic"
        r"|single glass lens",
    ),
    ("achromat", r"achromat(?:ic)?\b(?! barlow)"),
)
_MIRRORS: Final[tuple[tuple[MirrorShape, str], ...]] = (
    (
        "spherical",
        r"spherical\s*-?\s*(?:(?:primary|main|glass)\s+)?mirror"
        r"|mirror\s*(?:is\s+|[:=,(-]\s*)?spherical"
        r"|spherical\s+(?:optics|primary)",
    ),
    ("parabolic", r"(?<!not )(?<!non )(?<!non-)parabol(?:ic|oid)\w*"),
)
_PLASTIC: Final = (
    r"(?:plastic|acrylic)\s+(?:(?:\w+\s+)?lens(?:es)?|optics|objective|eyepieces?)"
    r"|(?:lens(?:es)?|optics|objective)\b[^.\n,;]{0,24}(?:of|in|from|:|aus|en|de|di|van|z|av)\s+plastic"
)
_ONE_PLASTIC: Final = (
    r"(?:one|single)[ -](?:piece|element)[^.\n,;]{0,16}plastic|plastic[^.\n,;]{0,16}"
    r"(?:one|single)[ -](?:piece|element)"
)
# Bare "mirror" and "lens" tell the kind only beside a measure or where the objective is spoken of.
_BARE: Final[tuple[tuple[Layout, str], ...]] = (
    (
        "newtonian",
        r"(?:main|primary)\s+mirror|diameter (?:of )?(?:the )?mirror|telescope,? ?[(,] ?mirror\b"
        r"|[(.;\n] ?mirror ?[).;\n]|mirror\s*(?:(?:diameter|of|:|\d|ø)"
        r"|(?:of|mit|de|da|di|van|von|z|av|är|is|med)\s+\d)"
        r"|(?:mm|cm|inch|in|\"|'')\s*-?\s*(?:\w+ )?mirror(?! diag)",
    ),
    (
        "refractor",
        r"front lens|objective lens|telescope,? ?[(,] ?lens\b|[(.;\n] ?lens ?[).;\n]|, lens\."
        r"|(?<!barlow )"
        r"(?<!erecting )lens\s*(?:diameter|ø|of|:)?\s*\d{2}"
        r"|(?:mm|cm)[ -]{0,3}(?!erecting |barlow |eye )(?:\w+ )?lens\b",
    ),
)
# What words for the kinds begin with, however they end: "refraccion", "riflettori".
_STEMS: Final[tuple[tuple[Layout, str], ...]] = (
    (
        "newtonian",
        r"\bn(?= ?\d{3}/\d{3,4})|\w{0,8}refl\.|\b(?:newt[oó]n|r[eé]fle[ckx]t|reflekt|riflett"
        r"|zwierciad[lł]an|zrcadlov|espejo|espelho|spegelt"
        r"|spiegelt|katad|catad)\w*",
    ),
    ("cassegrain", r"\bsc(?= ?\d{3}/\d{4})|\bschmidt[ -]c\b"),
    (
        "refractor",
        r"\w{0,8}refr\.|\b(?:r[eé]fra[ck][tc]|rifratt|refrat|soczewkow|[cč]o[cč]kov|linset|linsenf)\w*",
    ),
)
_CATADIOPTRIC: Final = "catadioptric"
_CORRECTOR: Final = (
    r"(?:built[- ]?in|internal|integrated) (?:corrector|barlow)|corrector lens"
    r"|bird[- ]?jones|short[- ]tube design"
)


def read_build(page: Page) -> Build:
    """Return layout, kind of objective and shape of the mirror."""
    layout = _choose(page, "layout", _LAYOUTS)
    folded = _first(page, _CATADIOPTRIC, "corrector", True) is not None
    if folded and layout in (None, "newtonian"):
        layout = "newtonian"
    elif folded:
        folded = False
    mirror = _choose(page, "mirror", _MIRRORS)
    lens = _choose(page, "objective", _OBJECTIVES) if layout in (None, "refractor") else None
    if lens is not None and layout is None:
        layout = "refractor"
    if mirror is not None and layout is None:
        layout = "newtonian"
    one_plastic = _first(page, _ONE_PLASTIC, "plastic_optics", True) is not None
    if one_plastic and layout in (None, "refractor"):
        layout, lens = "refractor", "singlet"
    if layout is None:
        layout = _choose(page, "layout", _BARE)
    if layout is None:
        layout = _choose(page, "layout", _STEMS)
    return Build(
        layout=layout,
        objective=lens or ("mirror" if layout in ("newtonian", "cassegrain") else None),
        mirror=mirror,
        plastic=one_plastic or _first(page, _PLASTIC, "plastic_optics", True) is not None,
        corrector=folded or _first(page, _CORRECTOR, "corrector", True) is not None,
    )


_HEARD: Final[tuple[tuple[Layout, str], ...]] = (
    ("newtonian", r"\bmirror\b(?! diagonal)"),
    ("refractor", r"\b(?:front )?lens\b|\bdoublet\b"),
)
# A mirror or a doublet that is named at all, wherever: "a telescope with a mirror in it".
_SPOKEN_OF: Final[tuple[tuple[Layout, str], ...]] = (
    (
        "newtonian",
        r"(?<!star )(?<!zenith )(?<!diagonal )(?<!flip )(?<!erecting )(?<!secondary )(?<!of )"
        r"\bmirror\b"
        r"(?! diag| lock| cell| finish| prism)",
    ),
    ("refractor", r"\bdoublet\b|\bobjective lens\b"),
)


def read_layout_by_aperture(page: Page, span: tuple[int, int] | None) -> Layout | None:
    """Return the kind by what the aperture was measured on, or by a mirror that is spoken of."""
    words = "" if span is None else page.whole[span[0] : span[1]]
    for layout, pattern in _HEARD:
        heard = re.search(pattern, words)
        if heard and span is not None:
            at = (span[0] + heard.start(), span[0] + heard.end())
            page.note("layout", layout, at, sure=0.8)
            return layout
    for layout, pattern in _SPOKEN_OF:
        for heard in re.finditer(pattern, page.whole):
            if not _NO.search(page.whole[max(0, heard.start() - 24) : heard.start()]):
                page.note("layout", layout, heard.span(), sure=0.75)
                return layout
    return None


_MOUNTS: Final[tuple[tuple[MountKind, str], ...]] = (
    (
        "rocker",
        r"dobson(?:ian)?|\bdob\b|rocker[ -]?box|rocker (?:base|mount)"
        r"|alt-?az(?:imuth)? base|swivel base",
    ),
    (
        "equatorial",
        r"equatorial|\b(?:h|n|cg|az[ -]?)?eq-?\s?\d?\b(?!\s?:)|äquatorial\w*|parallaktisch\w*"
        r"|équatorial\w*|ecuatorial",
    ),
    (
        "altazimuth",
        r"alt[- ]?az(?:imuth(?:al)?)?\b|azimuth(?:al|ale)?\b|(?:mount|on)[ :=/-]{1,3}az\b"
        r"|\baz-?\s?\d?\b"
        r"(?=[ -]?mount| tripod| head|\s?[,(]|\.|\n)|\baz-?\d\b|yoke mount|fork mount"
        r"|single arm mount",
    ),
    (
        "tripod",
        r"(?:desk|table)[ -]?top (?:\w+ )?tripod|mini[ -]tripod|photo(?:graphic)? tripod"
        r"|camera tripod|pan head|\btripods?\b"
        r"(?! ?-?(?:adapt|thread|socket|mountable|bush|connection|not incl))"
        r"|\w{0,12}stativ\b|trépied|trípode",
    ),
    ("hand", r"hand[- ]?held"),
)
_DRIVEN: Final = (
    r"go-?to\b|motor(?:i[sz]ed)?(?: drive| tracking)?|clock drive|tracking (?:motor"
    r"|mount)|computeri[sz]ed mount"
)
_SLOW: Final = (
    r"slow[ -]?motion|fine[ -]?adjust\w*|micro[ -]?(?:adjust|move)\w*|flexible cables?"
    r"|fine tuning controls?"
)
# What is balanced by a weight on a bar turns round an axis to the pole: common practice, no source.
_BALANCED: Final = r"(?<!no )counterweights?\b"
_GRADE: Final = re.compile(r"\beq-?\s?(\d)\b")


def read_mount(page: Page) -> OfferedMount | None:
    """Return what the words say of the mount, or None where they say nothing."""
    kind = _choose(page, "mount", _MOUNTS)
    if kind in (None, "tripod") and _first(page, _BALANCED, "mount", "equatorial") is not None:
        page.correct("mount", "equatorial")
        kind = "equatorial"
    driven = _first(page, _DRIVEN, "driven", True) is not None
    slow: bool | None = True if _first(page, _SLOW, "slow_motion", True) else None
    denied = re.search(_SLOW, page.plain)
    if slow is None and denied:
        slow = False
        page.note("slow_motion", False, denied.span())
    if kind is None and not driven and slow is None:
        return None
    grade = _GRADE.search(page.plain)
    return OfferedMount(
        kind=kind,
        grade=int(grade[1]) if grade else None,
        small=kind == "tripod" and _is_small(page),
        driven=driven,
        slow_motion=slow,
    )


_SMALL_TRIPOD: Final = (
    r"(?:desk|table|tisch)[ -]?(?:top|stativ)|mini\b|photo|camera tripod|pan head"
)
r"|light ?weight|\bsmall\b"
_TRIPOD_CM: Final = re.compile(
    r"tripod[^\n.\d]{0,24}(?P<a>\d{2,3})\s?cm|(?P<b>\d{2,3})\s?cm[^\n.\d]{0,14}tripod"
)

# A tripod below this height serves nobody who stands, cm: a choice.
LOW_TRIPOD_CM: Final = 100.0


def _is_small(page: Page) -> bool:
    place = re.search(r"tripods?|\w{0,12}stativ|trépied|trípode", page.whole)
    if place and re.search(_SMALL_TRIPOD, page.clause(place.start(), place.end(), 24)):
        return True
    height = _TRIPOD_CM.search(page.whole)
    return height is not None and float(height["a"] or height["b"]) < LOW_TRIPOD_CM


_FINDERS: Final[tuple[tuple[Literal["red dot", "optical"], str], ...]] = (
    (
        "red dot",
        r"red[ -]?dot|reflex (?:finder|sight)|finder ?[:=]? ?led\b|led finder|dot finder"
        r"|leuchtpunktsucher",
    ),
    (
        "optical",
        r"finder ?-?scope|view ?-?finder|optical finder|\bfinder\b|guide ?scope"
        r"|sucherfernrohr|chercheur|buscador|cercatore",
    ),
)
_NO_FINDER: Final = re.compile(
    r"\b(?:no|without(?: an?)?|missing|lacks? an?) (?:[a-zø-ÿ']{1,4} ?)?"
    r"(?:optical |red[ -]?dot )?(?:finder|view ?finder)"
    r"|finder(?:scope)? (?:is |ist |est )?(?:missing|not included|lost|broke\w*|absent|fehlt|manque"
    r"|falta|manca|ontbreekt|chybí|saknas)\b|lost the finder"
    r"|finder ?[:=] ?(?:none|no\b|without|nein|keiner|aucun|nessuno|ninguno|brak|geen|inget|nenhum)"
)


def read_finder(page: Page, aperture_mm: float | None) -> Finder | None:
    """Return the kind of finder; `aperture_mm` is its own, where "5x24" was read."""
    none = _NO_FINDER.search(page.plain)
    if none:
        page.note("finder", "none", none.span())
        return "none"
    found = _choose(page, "finder", _FINDERS)
    if aperture_mm is not None and found != "red dot":
        own: Finder = "small optical" if aperture_mm < 30.0 else "optical"
        page.correct("finder", own)
        return own
    return found


_PHONE: Final = (
    r"(?:smart ?|mobile |cell ?|tele)?phone (?:holder|adapt[eo]r|mount|clip|bracket"
    r"|clamp)|smartphone (?:holder|adapt[eo]r|mount|clip)"
    r"|(?:holder|adapt[eo]r|mount|clip) for (?:your |a )?(?:smart|mobile "
    r"|cell ?)?phone|handyhalter\w*|smartphone-?(?:halter\w*|adapter)"
)
_PHOTO: Final = (
    r"astro-?photo\w*|take (?:\w+ )?(?:photos|pictures|videos)|photograph(?:s|y"
    r"|ing)?\b|capture (?:\w+ ){0,3}(?:photos|pictures|images|videos)"
    r"|(?:photos|pictures|videos) of the (?:moon|planets|stars)"
    r"|share (?:\w+ ){0,3}(?:photos|pictures)"
)


def read_phone(page: Page) -> tuple[bool, bool]:
    """Return whether a telephone holder is there, and whether photographs are promised."""
    holder = _first(page, _PHONE, "phone_holder", True) is not None
    return holder, _first(page, _PHOTO, "photography", True) is not None


_STAR_DIAGONAL: Final = (
    r"(?:star|zenith|mirror|90 ?(?:°|degrees?)|45 ?(?:°|degrees?)) ?-?(?:diagonal"
    r"|prism|mirror)|\bdiagonal\b|zenit(?:spiegel|prisma)"
)


def read_diagonal(page: Page) -> Literal["star"] | None:
    """Return "star" where a star diagonal is named."""
    return "star" if _first(page, _STAR_DIAGONAL, "diagonal", "star") else None


_TRUE_FIELD: Final = re.compile(
    r"(?<![\d.,])(?P<deg>\d{1,2}(?:[.,]\d{1,2})?)\s?-?(?:°"
    r"|deg(?:ree)?s?\b)(?! (?:apparent|a?fov diag|prism|star|diag))"
    r"|(?<![\d.,])(?P<m>\d{2,3})\s?m\s?(?:/|at|@|on|auf)\s?1[.,]?000\s?m"
)


def read_true_field(page: Page) -> float | None:
    """Return the field of a binocular in degrees, from degrees or metres at 1000 m."""
    for match in _TRUE_FIELD.finditer(page.plain):
        if match["deg"]:
            value = float(match["deg"].replace(",", "."))
        else:
            value = math.degrees(math.atan(float(match["m"]) / 1000.0))
        if 1.0 <= value <= 15.0:
            page.note("true_field_deg", round(value, 2), match.span())
            return value
    return None
