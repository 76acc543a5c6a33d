"""Everything in an advert that puts the Sun and the telescope together, in every language read.

A wrong word here can cost an eye, so the doubtful is read as the dangerous: a Sun filter is taken
for one that goes over the front only where its own words say so.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from simview.advice.listing import SOLAR_KINDS, SolarKind, SunPiece, SunPlace
from simview.advice.reading.clean import Page
from simview.advice.reading.denied import filter_is_absent
from simview.advice.reading.trade_words import fold, languages

# The readers' words, and what is left of other spellings.
_SUN: Final = re.compile(
    r"(?<![^\W\d_])(?:sun|suns|solar|sunspots?|eclipses?|soleil|solaires?|sunfilters?|solarfilters?"
    r"|(?:sonnen|zonne|solar|sol)filt\w*|sonnen?|zon|słoń\w+|słoneczn\w+|slun\w+)(?![^\W\d_])"
    r"(?!['’]?s?[ -](?:system|power|panel|charg|cell|batter|lamp|light|shade|shield"
    r"|hood|cream|rise|set|burn|time|drenched|day))"
)
_DENSE: Final = re.compile(
    r"(?<![a-z])(?:nd|od) ?-?(?:3[.,]8|[45](?:[.,]0)?|100 ?000|100,000)(?!\d)"
    r"|tube diameter (?:3[.,]8|[45][.,]0)(?!\d| ?mm)|neutral density ?[345]"
    r"|welding glass"
)
# "Mon - Sun", "Sat/Sun": the day of the week.
_WEEKDAY: Final = re.compile(
    r"(?:mon|sat|fri|thu|thurs|tue|tues|wed|saturday|monday)\.?\s?(?:-|/|to|till|&|and|,|\+)\s?$"
)
# Streets and places are called after it: "place du Soleil", "Slunečná ulice".
_PLACE_NAME: Final = re.compile(
    r"(?:hotel|hôtel|villa|casa|café|pension|street|road|lane|avenue|strada|straße|strasse|allee|weg|platz|place|rue|impasse|chemin|straat"
    r"|laan|plein|calle|plaza|puerta|playa|costa|camino|via|viale|piazza|corso|ulica|ulicy|ul\.|plac"
    r"|osiedle|ulice|náměstí|třída|rua|praça|avenida|largo|gatan|vägen|torget)"
    r" (?:(?:of|the|du|des?|da|do|della?|del|dos|van|der?|den|zur|am) ){0,2}$"
)
_PLACE_AFTER: Final = re.compile(
    r"['’]?s?[ -](?:\w+[ -])?(?:mar\b|playa|brocante|hotel|street|road|lane|avenue|strasse"
    r"|straße|allee|weg|platz|straat|laan"
    r"|plein|ulice|ulica|náměstí|gatan|vägen|levant)\b"
)
# Any word that begins so, in whatever language and case, or a compound that ends so.
_FILTER: Final = re.compile(r"filt(?!h)\w*")
_EYE: Final = re.compile(
    r"eye ?-?(?:piece|lens)|(?<!bin)ocular|okular|screw|thread|0?[.,]965|1[.,]25|24[.,]5|31[.,]7"
    r"|barrel|focuser|(?<![a-z])(?:moon|lunar)"
)
_FRONT: Final = re.compile(
    r"full[ -]aperture|(?<![a-z])front|dew ?(?:shield|cap)"
    r"|over the (?:tube|aperture|objective|lens|end)|foil|film"
    r"|\bfeuille|\bfoli[aeií]|\bfóli|\blámina|\bpellicola|\bpelícula|white[ -]light"
    r"|objective (?:end|filter)|(?:before|in front of) the (?:objective|lens)"
    r"|(?:\bfor|\bonto?|\bover|\bfür|\bauf|\bsur|\bpour|\bsobre|\bpara|\bsugli|\bper|\bvoor|\bop"
    r"|\bna|\bpå|\bför) (?:\S{1,4} )?objectives?\b"
)
_ONTO_FRONT: Final = re.compile(
    r"(?:\bover|\bonto?|\bcover\w*|\bna|\bauf|\bsur|\bsobre|\bsu|\bop|\bpå|\bpour|\bpara|\bper"
    r"|\bvoor|\bför|\bfür) (?:\S+ ){0,3}front(?! lens)|full[ -]aperture (?!\d)"
    r"|\bfront (?:de|du|des|van|der|del|della|do|da|av) |\bfront(?: of)?(?: the)? (?:tube"
    r"|opening|objective|gesetzt|gesteckt|montiert|befestigt"
    r"|placed|put"
    r"|fitted|fixed|mounted)|\bfront(?= ?(?:[.,;)]|$))"
    r"|in front of the (?:objective|lens|tube)|over the (?:tube|objective|aperture)"
)
_NOT_EYE: Final = re.compile(
    r"(?:\bnot|\bnever|\bnicht|\bpas\b|\bno\b|\bnon\b|\bniet|\bnie\b|\bne\b|\bnão|\binte|\bno) "
    r"(?:\S+ ){0,4}(?:eye ?-?pieces?|screw\w*)"
)
_NO_FILTER: Final = re.compile(
    r"(?:\bno|\bwithout|\bmissing) (?:an? |any |the )?(?:sun|solar)(?: and moon)?[ -]?filt"
    r"|(?:sun|solar) filters? (?:is |are )?(?:not (?:included|supplied)|missing|sold separately"
    r"|available separately|optional|nicht (?:enthalten|dabei)|non (?:inclus|fourni|incluso)"
    r"|no incluid|niet inbegrepen|brak|není součástí|não incluíd|ingår inte|ej inkl)"
)
# Without accents, as fold() leaves them.
_SUPPLIED: Final = re.compile(
    r"(?<!not )(?:supplied|includ|provided|\binkl)|enclosed|\bour\b|comes? with|came with|free with"
    r"|mitgeliefert|beiliegend|beigelegt|dazugehor|fourni|joint\b|incluid|inclus|fornit"
    r"|in dotazione|allegat|de serie|que trae|que viene|meegeleverd|bijgeleverd|bijgevoegd"
    r"|dolaczon|zalaczon|prilozen|dodan|fornecid|medfolj|bifogad"
)
_PROPER: Final = re.compile(
    r"(?:proper|suitable|special|appropriate|certified|geeignet\w*|speziell\w*|adapté|adecuad\w*"
    r"|adatt\w*|geschikt\w*|odpowiedni\w*|vhodn\w*|adequad\w*|lämplig\w*|passend\w*|spécial\w*) "
    r"(?:\S+ ){0,2}(?:sun |solar )?filt|only with (?:an? |the )?(?:sun |solar )?filt"
)
_NEGATED: Final = (
    r"(?:never|do not|don'?t|must not|not be (?:used|pointed)|nicht|ne|n'"
    r"|no(?! (?:problem|danger|risk|filter))"
    r"|non|niet|nie|não|inte|avoid|not(?! only)|nikdy)"
)
_WARN: Final = re.compile(
    r"\bnever\b(?! (?:been )?(?:used|opened|touched|needed|unpacked|worn))"
    r"|\b(?<!without )(?<!no )(?<!sans )warning|\bcaution"
    r"|\b(?<!without )(?<!no )(?<!sans )danger(?:ous)?\b|\bblind|must not"
    r"|not suitable|\bavoid|\bnot for"
    r"|verblind|erblind|aveugl|cegar|cegu|acceca|oślep|oslep|nedívejte|nedívat|nesm[ií]"
    rf"|\b{_NEGATED}\b ?(?!only|solo|seulement|alleen|tylko|jen|bara|apenas)(?:\S+ ){{0,5}}?"
    r"(?:look|point\w*|aim\w*|direct\w*|sun\b|regard\w*|guard\w*|mir\w*|olh\w*|richt\w*)"
    r"|look\w* (?:\S+ ){0,3}?(?:nicht|niet|inte|pas|never)\b"
)
_LOOK: Final = re.compile(
    r"\blook\w*|\bwatch\w*|\bobserv\w*|\bsee\b|\bview\w*|\bexplor\w*|\badmir\w*|\bstud(?:y|ies|ying)"
    r"|\bdiscover\w*|\bgaze|\benjoy|\bsquint|\bpeer\b|\bpeek|\bstare|\bglanc|\bguck|\bgluur|\bturen"
    r"|\bsbirci|\bespi|\bojear|\bespreit|\bzerk|\bkoukn|\bkika\b|un œil"
)
# The Sun among the things to look at, or an eclipse to look forward to.
_AMONG: Final = re.compile(
    r"\bmoon|\bplanet|\bsaturn|\bjupiter|\bstars?\b|eclipse|sunspots?|\bat the (?:\w+ )?sun"
    r"|disc of the sun"
    r"|\blune|\bluna|\bmond|\bmaan|\blua\b|\bmåne|\bměsíc|księży|zaćmien|zatměn|förmörkel|eclips"
)
# A piece of dark glass that is no filter by name: nothing of the kind belongs behind an eyepiece.
_DARK: Final = re.compile(
    r"(?:dark|smoked|black(?:ened)?|tinted|sooted|green)[ -](?:\S+ ){0,2}?"
    r"(?:glass|cap|lens|attachment|disc|disk|adapter|cover|piece|cell|eye ?-?piece|insert)"
    r"|dark[ -](?:green|brown|blue|tinted)"
    r"|(?:eye ?-?piece|lens|glass|insert) (?:\S+ )?(?:dark|tinted)\b"
    # An eyepiece or an insert for the Sun, by its name.
    r"|(?:sun|solar) (?:viewing |observ\w+ |safety |dark )?(?:eye ?-?pieces?|insert|lens|glass)\b"
    r"|eye ?-?pieces? (?:for (?:the )?)?(?:sun|solar|słon\w+|slun\w+|solaire\w*)\b"
    r"|(?:słon\w+|slun\w+|solare|solaire) eye ?-?pieces?\b"
)
# Whatever is put to the eyepiece for the Sun's sake, "sur l'eyepiece", "past in het eyepiece".
_AT_EYE: Final = re.compile(
    r"(?<![^\W\d_])(?:int?o?|onto|on|over|behind|before|between|for|auf|am|ins?|fürs?|hinter|sur|dans"
    r"|derrière|devant|at|pour|op|over|achter|voor|en|sobre|para|sull|nell|sul|dell|per|davanti|na|do|w|za"
    r"|v|no|på|i|bakom|framför|för)(?: ?'| )(?:(?:the|each|an?|both|das|dem|den|het|el|los|las|l|la"
    r"|les|o|os|as)(?: ?'| ))?eye ?-?(?:pieces?|lens(?:es)?)\b"
)
# "You can look at the Sun safely": no purpose-made filter over the front, no safety.
_SAFE: Final = re.compile(
    r"safe(?:ly|ty)?\b|no (?:danger|risk|problem|filter needed)|harmless"
    r"|without (?:any )?(?:danger|risk|harm|pericolo|peligro|perigo|fara|gevaar|nebezpečí)"
    r"|gefahrlos|unbedenklich|ungefährlich|sicher in|sans (?:danger|risque)|sin (?:peligro|riesgo)"
    r"|seguridad|senza (?:pericolo|rischi\w*)|sicurezza|veilig|zonder gevaar|bezpieczn\w+"
    r"|bez ryzyka|bezpečn\w+|bez nebezpečí|sem (?:perigo|risco)|com segurança|utan (?:fara|risk)"
    r"|riskfritt"
)
# What faded, dried or stood in the Sun is no Sun that anybody looks at.
_IN_THE_SUN: Final = re.compile(
    r"(?:fad\w+|bleach\w+|yellow\w*|dried|stood|stored|left|kept|warm\w*) (?:\S+ ){0,4}"
    r"(?:in|by|from) (?:the |full |direct ){0,2}$"
)
_SCREEN: Final = re.compile(r"screen|project")
_GLASSES: Final = re.compile(r"eclipse glasses|solar (?:glasses|viewers?)")
_NAKED: Final = re.compile(
    r"naked eye|bloß\w* auge|freie\w* auge|œil nu|oeil nu|simple vista|occhio nudo|blote oog"
)
_STOPS: Final = re.compile(r"[.!?](?=\s|$)|[;\n]")

# How far from the word its own sentence may reach, characters: a choice.
REACH: Final = 240

# Which place each kind has.
_PLACES: Final[dict[SolarKind, SunPlace]] = {"eyepiece filter": "eyepiece", "front filter": "front"}


def read_solar(page: Page) -> tuple[SunPiece, ...]:
    """Return everything that puts the Sun and the telescope together, each kind once."""
    found: dict[SolarKind, SunPiece] = {}
    whole = _run_on(page)
    sentences = _sentences(whole)
    for place, (start, end) in enumerate(sentences):
        follows = whole[slice(*sentences[place + 1])] if place + 1 < len(sentences) else ""
        for kind, span in _kinds(whole, start, end, follows):
            if kind not in found:
                words = page.words(*span)
                found[kind] = SunPiece(kind=kind, place=_PLACES.get(kind, "unknown"), words=words)
                page.note("solar", kind, span)
    # A filter named twice, once without its place, is one filter.
    if "eyepiece filter" in found or "front filter" in found:
        found.pop("filter", None)
    return tuple(found[kind] for kind in SOLAR_KINDS if kind in found)


_BREAK: Final = re.compile(r"(?P<last>[^\W\d_]+)(?P<end>[,:]? ?\n) ?(?P<next>[^\W\d_]+)")


@lru_cache(maxsize=1)
def _small_words() -> frozenset[str]:
    """Return the words that no sentence ends or begins a new thing with: "the", "sur", "zum"."""
    own = (
        "into onto behind over through which that sur dans para zum ins im am vom sull nell op som"
    )
    found = {word for one in languages().values() for word in one.small if len(word) <= 5}
    return frozenset({*found, *own.split()})


# With these a line of a list begins, small letter or not.
_PIECES: Final = re.compile(
    r"(?:eyepieces?|finder|tripod|mount|barlow|moon|red|star|erecting|aperture|focal|price|reflector"
    r"|refractor|equatorial|altazimuth|manual|bag|case|box)\b"
)


def _run_on(page: Page) -> str:
    """Return the text with a blank for each line end that a sentence runs over."""
    small, text = _small_words(), page.whole
    for match in list(_BREAK.finditer(text)):
        last, after = fold(match["last"]), fold(match["next"])
        goes_on = page.cased[match.start("next")].islower() and not _PIECES.match(match["next"])
        if last in small or after in small or goes_on:
            at = match.end("end") - 1
            text = f"{text[:at]} {text[at + 1 :]}"
    return text


def _sentences(text: str) -> list[tuple[int, int]]:
    ends = [match.end() for match in _STOPS.finditer(text)]
    spans = zip([0, *ends], [*ends, len(text)], strict=True)
    return [(start, end) for start, end in spans if text[start:end].strip()]


def _kinds(
    text: str, start: int, end: int, follows: str
) -> list[tuple[SolarKind, tuple[int, int]]]:
    """Return what one sentence says, each time it names the Sun."""
    found: list[tuple[SolarKind, tuple[int, int]]] = []
    for match in _SUN.finditer(text, start, end):
        before = text[max(0, match.start() - 48) : match.start()]
        if _PLACE_NAME.search(before) or _PLACE_AFTER.match(text, match.end()):
            continue
        if not _WEEKDAY.search(before[-12:]) and not _IN_THE_SUN.search(before):
            span = _clause(text, match, start, end)
            near = text[max(start, match.start() - REACH) : min(end, match.end() + REACH)]
            found.append((_kind(near, text[slice(*span)], follows[:REACH]), span))
    for match in _DENSE.finditer(text, start, end):
        span = _clause(text, match, start, end)
        clause = text[slice(*span)]
        near = text[max(start, match.start() - REACH) : min(end, match.end() + REACH)]
        if _FILTER.search(near) or "film" in clause or "welding" in match[0]:
            found.append((_place(clause, near, ""), span))
    return found


# A set of filters with the Sun in its list: such sets are threaded for eyepieces.
_SET: Final = re.compile(
    r"(?:filt\w*[ -]?s[aäeě][dt]\w*|filters?|set (?:of|z|de|di|van|mit|av) filt\w*|sada filt\w*"
    r"|jeu de filt\w*|juego de filt\w*|zestaw filt\w*)[^.;\n]{0,16}: ?"
    r"(?:[^.;\n:]{0,60}[ ,/&+])?(?:sun|solar|moon)\b"
)
# "Don't forget the glasses" warns of nothing.
_FORGET: Final = re.compile(
    r"(?:never|do not|don'?t|not|nicht|ne|n'|no|non|niet|nie|não|inte|nikdy)\b(?: (?:pas"
    r"|\S+)){0,2}?"
    r" ?(?:forget|vergess\w*|oubli\w*|olvid\w*|dimentic\w*|vergeet|vergeten|zapomin\w*|zapome\w*"
    r"|esque[cç]\w*|glöm\w*)|(?:vergiss|forget|vergeet|vergessen|oubliez|glöm) (?:\S+ ){0,4}?"
    r"(?:nicht|niet|pas|inte|not)\b|(?:nicht|niet|inte) (?:zu )?(?:vergess\w*|vergeten|glömma)"
)


def _kind(sentence: str, clause: str, follows: str) -> SolarKind:
    """Return what a mention of the Sun is; the order puts the dangerous before the harmless."""
    warns = bool(_WARN.search(_FORGET.sub(" ", sentence)))
    if _SET.search(sentence) and not warns:
        return "front filter" if _FRONT.search(clause) else "eyepiece filter"
    if _GLASSES.search(sentence):
        return "warning" if warns or _NAKED.search(sentence) else "eclipse glasses"
    if _FILTER.search(clause):
        return _filter_kind(sentence, clause, follows, warns=warns)
    if _LOOK.search(sentence) and _SAFE.search(sentence) and not _SCREEN.search(sentence):
        return "eyepiece filter" if _EYE.search(clause) else "look"
    return "warning" if warns else _without_filter(sentence, clause, follows)


def _without_filter(sentence: str, clause: str, follows: str) -> SolarKind:
    """Return what a mention of the Sun is that names no filter and warns of nothing."""
    if _DARK.search(sentence):
        return (
            "front filter"
            if _FRONT.search(sentence) and not _EYE.search(sentence)
            else "eyepiece filter"
        )
    if _AT_EYE.search(clause) and not _SCREEN.search(sentence):
        return "eyepiece filter"
    if _PROPER.search(sentence):
        return "use"
    if re.search(r"filt\w* (?:for|to) .{0,40}sun", sentence):
        return _place(sentence, sentence, follows)
    return _looks(sentence)


def _looks(sentence: str) -> SolarKind:
    if _SCREEN.search(sentence):
        return "screen"
    return "look" if _LOOK.search(sentence) or _AMONG.search(sentence) else "use"


# "Never look without a filter" tells of none, "do not use the Sun filter" of one that is there.
_WITHOUT: Final = re.compile(
    r"\b(?:without|unless|ohne|sans|sin|senza|zonder|bez|sem|utan)\b[^,;:]{0,60}filt"
)
_NAMED: Final = re.compile(
    r"(?:sun|solar)[ -](?:and moon )?filt|filt\w* (?:\S+ ){0,2}(?:sun\b|solar\b|solaire|sol\w+)"
)
# "Look through the eyepiece": the eyepiece of the telescope, not the place of a filter.
_THROUGH: Final = re.compile(
    r"(?:through|durchs?|durch|par|travers|por|attraverso|dall?|nell?|door|przez|skrz|skrze|através"
    r"|genom|into|at|in)(?: ?'| )(?:(?:the|an?|das|dem|ein|l|le|el|un|the|het|o|ett)(?: ?'| ))?"
    r"eye ?-?pieces?(?! ?-?filt)\b"
)


def _filter_kind(sentence: str, clause: str, follows: str, *, warns: bool) -> SolarKind:
    """Return what a Sun filter is; it stops whatever is said of its use, unless it is absent."""
    unsold = warns and not _is_offered(sentence)
    bare = bool(_WITHOUT.search(fold(sentence)))
    if filter_is_absent(clause, follows):
        return "warning"
    if _NO_FILTER.search(clause) and not (warns and bare and not unsold):
        return "warning"
    if not warns:
        return "use" if _PROPER.search(sentence) else _place(clause, sentence, follows)
    if _EYE.search(_THROUGH.sub(" ", clause)):
        return "eyepiece filter"
    if unsold and (bare or not _NAMED.search(clause)):
        return "warning"
    return "use" if _PROPER.search(sentence) else _place(clause, sentence, follows)


def _is_offered(sentence: str) -> bool:
    """Tell "never without the supplied filter" from a warning that offers none."""
    offered = _SUPPLIED.search(fold(sentence))
    placed = _EYE.search(_THROUGH.sub(" ", sentence)) or _FRONT.search(sentence)
    denied = re.search(r"\bnever|do not|don't|must not", sentence)
    return bool(offered) or (bool(placed) and not denied)


def _place(clause: str, sentence: str, follows: str) -> SolarKind:
    """Return where a filter goes, by its own clause, then by what follows it."""
    if re.match(r"\W*(?:it|this|which|just|simply|er|sie|es|il|se|si|on) ", follows):
        clause = f"{clause} {follows}"
    told = _NOT_EYE.sub(" ", clause)
    if _EYE.search(told):
        return "eyepiece filter"
    if _FRONT.search(told):
        return "front filter"
    rest = _NOT_EYE.sub(" ", sentence)
    if _ONTO_FRONT.search(rest) and not _EYE.search(rest):
        return "front filter"
    if re.search(
        r"screw|thread|(?:in|into|on|onto|for) (?:the |an |each )?eye ?-?(?:piece|lens)", rest
    ):
        return "eyepiece filter"
    return "filter"


def _clause(text: str, match: re.Match[str], start: int, end: int) -> tuple[int, int]:
    """Return where the clause of a word begins and ends: between commas."""
    left = text.rfind(",", start, match.start())
    right = text.find(",", match.end(), end)
    opened = text.find("(", match.end(), right if right >= 0 else end)
    if opened >= 0:  # what stands in brackets belongs to the word before them
        closed = text.find(")", opened, end)
        right = text.find(",", closed, end) if closed >= 0 else right
    begin, stop = (left + 1 if left >= 0 else start), (right if right >= 0 else end)
    return max(begin, match.start() - 120), min(stop, match.end() + 120)
