"""Sentences that can be said in several languages, and figures as people speak them.

A `Said` reads as English wherever a text is wanted, and remembers how it was made, so that an
answer can say it in another tongue. Rules and answers write `say("It shows {what}.", what=...)`;
the English words are the catalogues' keys (gettext; `tongues/*.po`). Figures - lengths, money,
powers - are values of such sentences and know how each language writes them.
"""

from __future__ import annotations

import gettext
import locale
import os
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from simview.errors import ChoiceError
from simview.terminal import isolated, visible
from simview.units import MM_PER_INCH

_HOME: Final = Path(__file__).parent / "tongues"

LANGUAGES: Final = ("en", *sorted(path.stem for path in _HOME.glob("*.po")))

# Lands that measure telescopes in inches first, print on letter paper and read 12-hour clocks.
# Common practice, no source (CLDR's territory data agrees on measures and paper).
_INCH_LANDS: Final = frozenset(("US", "LR", "MM"))
_LETTER_LANDS: Final = frozenset(("US", "CA", "MX", "CO", "CL", "VE", "PH", "GT", "CR", "PA"))
_MARKS: Final = {"de": ("„", "“"), "fr": ("«\u00a0", "\u00a0»"), "es": ("«", "»")}
_TWELVE_HOURS: Final = frozenset(("US", "CA", "AU", "NZ", "IN", "PH"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Tongue:
    """A language and its land's habits.

    Parameters
    ----------
    language
        One of `LANGUAGES`.
    territory
        Two letters, "US"; empty where it is not known. It settles inches, paper and clock.
    """

    language: str = "en"
    territory: str = ""

    @property
    def inches_first(self) -> bool:
        """True where people name a telescope by its inches."""
        return self.territory in _INCH_LANDS

    @property
    def paper(self) -> str:
        """The paper of its printers: "A4" or "Letter"."""
        return "Letter" if self.territory in _LETTER_LANDS else "A4"

    @property
    def colon(self) -> str:
        """What stands between a name and what is said of it: French parts it by a hard space."""
        return "\u00a0:" if self.language == "fr" else ":"

    @property
    def semicolon(self) -> str:
        """What parts two things that hold commas themselves."""
        return "\u00a0; " if self.language == "fr" else "; "

    @property
    def marks(self) -> tuple[str, str]:
        """What stands before and after somebody's words.

        Source: Duden, Imprimerie nationale and Real Academia, from memory.
        """
        return _MARKS.get(self.language, ("“", "”"))

    def quoted(self, words: str) -> str:
        """Return somebody's words between this tongue's marks."""
        before, after = self.marks
        return f"{before}{words}{after}"

    @property
    def code(self) -> str:
        """As pages name it: "de", "en-US"."""
        return f"{self.language}-{self.territory}" if self.territory else self.language

    def word(self, english: str) -> str:
        """Return a fixed text in this tongue; English where the catalogue lacks it."""
        return english if self.language == "en" else _catalogue(self.language).get(english, english)

    def plural(self, one: str, many: str, count: float) -> str:
        """Return the form of a text that goes with a count."""
        if self.language == "en":
            return one if count == 1 else many
        forms = _plurals(self.language).get(one, (one, many))
        return forms[_plural_form(self.language)(int(count))]

    def say(self, text: str) -> str:
        """Return a text in this tongue; what was not made by `say` stays as it is."""
        return text.into(self) if isinstance(text, Said) else text

    def number(self, value: float, places: int = 0) -> str:
        """Return a number with this tongue's decimal mark."""
        return self.sums(f"{value:.{places}f}")

    def sums(self, text: str) -> str:
        """Return a line of arithmetic with this tongue's decimal mark, and French spaces."""
        if self.language == "en":
            return text
        told = re.sub(r"(?<=\d)\.(?=\d)", ",", text)
        return re.sub(r"(?<=\S); ", "\u00a0; ", told) if self.language == "fr" else told


ENGLISH: Final = Tongue()


class Said(str):
    """A text that reads as English and can be put `into` another tongue."""

    __slots__ = ()

    def into(self, tongue: Tongue) -> str:
        """Return it in that tongue."""
        raise NotImplementedError


class Sentence(Said):
    """A text of the catalogues with its places filled in."""

    key: str
    values: Mapping[str, Any]
    many: str
    how_many: float | None

    def __new__(
        cls, key: str, values: Mapping[str, Any], many: str = "", count: float | None = None
    ) -> Sentence:
        """Fill the places in."""
        made = super().__new__(cls, _filled(ENGLISH, key, values, many, count))
        made.key, made.values, made.many, made.how_many = key, dict(values), many, count
        return made

    def __getnewargs__(self) -> Any:
        return self.key, self.values, self.many, self.how_many

    def into(self, tongue: Tongue) -> str:
        """Return the catalogue's text with its values in that tongue."""
        return _filled(tongue, self.key, self.values, self.many, self.how_many)


class Figure(Said):
    """A quantity that each tongue writes in its own way."""

    kind: str
    values: tuple[Any, ...]

    def __new__(cls, kind: str, *values: Any) -> Figure:
        """Write it in English."""
        made = super().__new__(cls, _FIGURES[kind](ENGLISH, *values))
        made.kind, made.values = kind, values
        return made

    def __getnewargs__(self) -> Any:
        return self.kind, *self.values

    def into(self, tongue: Tongue) -> str:
        """Return the quantity as that tongue writes it."""
        return _FIGURES[self.kind](tongue, *self.values)


def _filled(
    tongue: Tongue, key: str, values: Mapping[str, Any], many: str, count: float | None
) -> str:
    words = tongue.word(key) if count is None else tongue.plural(key, many, count)
    told = {
        name: tongue.say(value) if isinstance(value, str) else tongue.sums(f"{value:.10g}")
        for name, value in values.items()
    }
    return words.format(**told) if told else words


def say(key: str, **values: Any) -> Sentence:
    """Return a text of the catalogues; numbers among its values are written as they are."""
    return Sentence(key, values)


def N_(key: str) -> str:  # noqa: N802 - gettext's own name for it
    """Mark a text for the catalogues where it is written down and said later."""
    return key


def say_many(one: str, many: str, count: float, **values: Any) -> Sentence:
    """Return the text that goes with a count, which it may name as ``{count}``."""
    return Sentence(one, {"count": count, **values}, many, count)


# --- figures ------------------------------------------------------------------------------------


def length(mm: float) -> Figure:
    """Return a length of optics: "60 mm (2.4 in)", or inches first."""
    return Figure("length", mm)


def reach(cm: float) -> Figure:
    """Return a length that no maker rates, such as a tube's: "38 cm", or in inches alone."""
    return Figure("reach", cm)


def number(value: float, places: int = 0) -> Figure:
    """Return a number with so many decimals."""
    return Figure("number", value, places)


def power(times: float) -> Figure:
    """Return a power as people speak of one: 487.5 is "490"."""
    return Figure("number", round_power(times), 0)


def about(times: float) -> Figure:
    """Return a limit of power as people speak of one: 79 is "80", 106 is "105"."""
    return Figure("number", rounded(times), 0)


def rounded(times: float) -> float:
    """Return a limit of power to the nearest 5, past 250 to the nearest 10; at least that."""
    step = 5.0 if times < 250.0 else 10.0
    return max(step * round(times / step), step)


def money(amount: float, currency: str) -> Figure:
    """Return a price as the land writes it."""
    return Figure("money", amount, currency)


def listed(parts: Iterable[str], word: str = "and") -> Figure:
    """Return "a, b and c"; `word` may be "or"."""
    return Figure("listed", tuple(parts), word)


def joined(parts: Iterable[str], between: str = " ") -> Figure:
    """Return texts in a row."""
    return Figure("joined", tuple(parts), between)


def day(when: date) -> Figure:
    """Return a date: "15 November 2026"."""
    return Figure("day", when)


def clock(when: time) -> Figure:
    """Return a time of day: "21:40", or "9:40 pm" where people read it so."""
    return Figure("clock", when)


def round_power(times: float) -> float:
    """Return a power rounded as people speak: to 1, from 100 on to 5."""
    step = 1.0 if times < 100.0 else 5.0
    return step * round(times / step)


def _length(tongue: Tongue, mm: float) -> str:
    # 6 inches are 152.4 mm, and nobody says the tenths of so wide a mirror.
    whole = abs(mm - round(mm)) < 0.05 or mm >= NO_TENTHS_MM
    metric = f"{tongue.number(mm, 0 if whole else 1)} mm"
    imperial = _inches(tongue, mm / MM_PER_INCH)
    return f"{imperial} ({metric})" if tongue.inches_first else f"{metric} ({imperial})"


# As people name telescopes: 150 mm is "6 in", and long tubes have no tenths. Choices.
NEARLY_WHOLE: Final = 0.02
NO_TENTHS_IN: Final = 10.0
NO_TENTHS_MM: Final = 100.0


def _inches(tongue: Tongue, inches: float) -> str:
    whole = abs(inches - round(inches)) <= NEARLY_WHOLE * inches or inches >= NO_TENTHS_IN
    return f"{tongue.number(inches, 0 if whole else 1)} {tongue.word('in')}"


def _reach(tongue: Tongue, cm: float) -> str:
    if tongue.inches_first:
        return _inches(tongue, round(10.0 * cm / MM_PER_INCH))
    return f"{tongue.number(cm)} cm"


def _money(tongue: Tongue, amount: float, currency: str) -> str:
    whole = tongue.number(amount, 0 if abs(amount - round(amount)) < 0.005 else 2)
    if len(currency) != 3 or not currency.isalpha():
        return f"{whole} {currency}".strip()
    from babel.numbers import format_currency

    places = "¤#,##0" if whole.isdigit() else "¤#,##0.00"
    places = places if tongue.language == "en" else f"{places[1:]} ¤"
    told = format_currency(amount, currency, places, locale=_babel(tongue), currency_digits=False)
    # Where a code stands for a sign, a hard space parts it from the figure (CLDR's spacing rule).
    return re.sub(r"(?<=[A-Za-z])(?=\d)", "\u00a0", str(told))


def _listed(tongue: Tongue, parts: tuple[str, ...], word: str) -> str:
    told = [tongue.say(part) for part in parts]
    if len(told) < 2:
        return "".join(told)
    return f"{', '.join(told[:-1])} {tongue.word(word)} {told[-1]}"


def _joined(tongue: Tongue, parts: tuple[str, ...], between: str) -> str:
    return between.join(tongue.say(part) for part in parts)


def _day(tongue: Tongue, when: date) -> str:
    from babel.dates import format_date

    return str(format_date(when, "long", locale=_babel(tongue)))


def _clock(tongue: Tongue, when: time) -> str:
    if tongue.territory in _TWELVE_HOURS:
        return f"{when.hour % 12 or 12}:{when.minute:02d} {'pm' if when.hour >= 12 else 'am'}"
    return f"{when.hour:02d}:{when.minute:02d}"


# Words that figures and prices bring along.
_SMALL_WORDS: Final = (N_("in"), N_("and"), N_("or"), N_("yes"), N_("no"))

_FIGURES: Final[dict[str, Callable[..., str]]] = {
    "length": _length,
    "reach": _reach,
    "number": lambda tongue, value, places: tongue.number(value, places),
    "money": _money,
    "listed": _listed,
    "joined": _joined,
    "day": _day,
    "clock": _clock,
}


def _babel(tongue: Tongue) -> str:
    territory = tongue.territory or {"en": "GB"}.get(tongue.language, "")
    known = f"{tongue.language}_{territory}" if territory else tongue.language
    from babel import Locale, UnknownLocaleError

    try:
        Locale.parse(known)
    except UnknownLocaleError:
        return tongue.language
    return known


# --- catalogues ---------------------------------------------------------------------------------


@lru_cache(maxsize=4)
def _read(language: str) -> Any:
    from babel.messages.pofile import read_po

    with (_HOME / f"{language}.po").open("rb") as file:
        return read_po(file, locale=language)


@lru_cache(maxsize=4)
def _catalogue(language: str) -> dict[str, str]:
    return {
        entry.id: _set(entry.string, language)
        for entry in _read(language)
        if entry.id and isinstance(entry.id, str) and entry.string and not entry.fuzzy
    }


def _set(text: str, language: str) -> str:
    """Return a text as it is set: French binds its high marks to the word before them.

    Source: Lexique des regles typographiques en usage a l'Imprimerie nationale (from memory).
    """
    return re.sub(" (?=[;:!?%»])", "\u00a0", text) if language == "fr" else text


@lru_cache(maxsize=4)
def _plurals(language: str) -> dict[str, tuple[str, ...]]:
    return {
        entry.id[0]: tuple(_set(form, language) for form in entry.string)
        for entry in _read(language)
        if isinstance(entry.id, tuple) and all(entry.string) and not entry.fuzzy
    }


@lru_cache(maxsize=4)
def _plural_form(language: str) -> Callable[[int], int]:
    return gettext.c2py(_read(language).plural_expr)


# --- which tongue, and what strangers typed -----------------------------------------------------


def tongue_of(word: str = "") -> Tongue:
    """Return the tongue that a word names, "de" or "en-US"; without one, this machine's.

    Raises
    ------
    ChoiceError
        For a language that has no catalogue.
    """
    if word:
        language, _, territory = word.replace("_", "-").partition("-")
        if language.lower() not in LANGUAGES or not (territory.isalpha() or not territory):
            raise ChoiceError(
                "--lang", got=word, allowed=", ".join(LANGUAGES), remedy="or with a country: en-US"
            )
        return Tongue(language=language.lower(), territory=territory.upper()[:2])
    asked = next((v for k in ("LC_ALL", "LC_MESSAGES", "LANG") if (v := os.environ.get(k))), "")
    found = re.match(r"([a-z]{2})(?:_([A-Z]{2}))?", asked or _systems())
    if found is None or found[1] not in LANGUAGES:
        return ENGLISH
    return Tongue(language=found[1], territory=found[2] or "")


def _systems() -> str:
    """Return what the system itself says where the environment says nothing."""
    return locale.getlocale()[0] or ""


def shown(text: str) -> str:
    """Return what somebody typed with marks that turn or hide letters shown as their numbers.

    Right-to-left scripts themselves stay as they are; only marks that would turn *our* words
    with theirs are made visible, as in "‹U+202E›", and each run of them is isolated.
    """
    return isolated(visible(text))
