"""Conversations: who speaks and when is taken away, and a question is put beside its answer.

"Eyepieces?" on one line and "20 and 6" on the next say together what neither says alone; "tripod?"
alone says nothing of a tripod. Messages are known by the times before them, by two names that take
turns, or by dashes with a question among them.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import Final

from simview.advice.reading.mapped import Mapped
from simview.advice.reading.trade_words import WORD, fold, languages

# "[12.03.24, 14:02] " before a message.
_STAMP: Final = re.compile(
    r"[ \t]*\[?(?:\d{1,4}[./-]\d{1,2}(?:[./-]\d{2,4})?,? {0,3})?"
    r"\d{1,2}[:.]\d{2}(?::\d{2})?(?: ?[ap]m)?\]?"
    r"[ \t]*(?:-[ \t]*)?(?=[^\s\d])",
    re.I,
)
_SPEAKER: Final = re.compile(
    r"[ \t]*(?P<name>[^\W\d_][^\W\d_.'-]{0,14}(?: [^\W\d_]{1,12})?) ?[:>] ?"
)
_DASH: Final = re.compile(r"[ \t]*[>-][ \t]*(?=[^\s\d>-])|[ \t]*-[ \t]*(?=\d)")

_YES: Final = re.compile(
    r"\s*(?:yes|yep|yup|yeah|sure|correct|right|ja|jup|jo|jawel|jazeker|klopt|klar|genau|stimmt|oui"
    r"|ouais|exact|sí|sì|si|claro|certo|sim|pois|tak|ano|jasně|japp|visst"
    r"|precis)\b(?! ?[:=\d])[,.! ]*",
    re.I,
)
_NO: Final = re.compile(
    r"\s*(?:no|nope|none|nothing|nein|nö|nee|nix|keine?[rs]?|nen|non|aucune?|pas|nessun[oa]?|ningun[oa]?"
    r"|ningún|geen|niet|nie|brak|ne|není|žádn\w+|nemá|não|nenhuma?|nej|ingen|inget|without|ohne|sans)"
    r"\b",
    re.I,
)

# Messages in a text before it counts as a conversation: choices.
FEWEST_STAMPS: Final = 2
FEWEST_MESSAGES: Final = 3

# An answer that is no figure is short, words: a choice.
LONGEST_ANSWER: Final = 8


@dataclass(frozen=True, slots=True)
class _Line:
    """One message: where its line begins, where its own words begin and end, and who speaks."""

    start: int
    body: int
    end: int
    text: str
    speaker: str


def untangled(text: Mapped) -> Mapped:
    """Return a text without the times and names of its messages, answers beside their questions.

    Checked by: tests/unit/advice/test_reading_chat.py
    """
    if "?" not in text.text and not _STAMP.search(text.text[:4000]) and ":" not in text.text:
        return text
    lines = _messages(text.text)
    changes = []
    for place, line in enumerate(lines):
        after = lines[place + 1] if place + 1 < len(lines) else None
        if line.body > line.start:
            changes.append((line.start, line.body, ""))
        if after is not None and (joint := _joint(line, after)) is not None:
            changes.append(joint)
        elif line.speaker and (after is None or after.speaker) and line.text[-1:].isalnum():
            changes.append((line.end, line.end, "."))
    return _answered(text.changed(_apart(changes)))


def _apart(changes: list[tuple[int, int, str]]) -> list[tuple[int, int, str]]:
    """Return changes in order, those dropped that lie within the one before."""
    kept: list[tuple[int, int, str]] = []
    for one in sorted(changes):
        if not kept or one[0] >= kept[-1][1]:
            kept.append(one)
    return kept


def _messages(text: str) -> list[_Line]:
    """Return the lines that hold words, with what stands before their own words."""
    spans = [match.span() for match in re.finditer(r"[^\n]+", text) if match[0].strip()]
    stamps = [_STAMP.match(text, start, end) for start, end in spans]
    if sum(one is not None for one in stamps) < FEWEST_STAMPS:
        stamps = [None] * len(spans)
    bodies = [one.end() if one else start for one, (start, _) in zip(stamps, spans, strict=True)]
    names = _speakers(text, spans, bodies, stamped=[one is not None for one in stamps])
    dashed = not any(names) and _is_dashed(text, spans)
    lines: list[_Line] = []
    for (start, end), body, name in zip(spans, bodies, names, strict=True):
        begin = body + len(name) if name else body
        dash = _DASH.match(text, begin, end) if dashed else None
        begin = dash.end() if dash else begin
        stop = begin + len(text[begin:end].rstrip())
        who = fold(name).strip(" :>\t") if name else f"{len(lines) % 2}" if dash else ""
        lines.append(
            _Line(start=start, body=begin, end=stop, text=text[begin:stop].strip(), speaker=who)
        )
    return lines


def _speakers(
    text: str, spans: list[tuple[int, int]], bodies: list[int], *, stamped: list[bool]
) -> list[str]:
    """Return each line's "Name: ", empty where it has none or the text is no conversation."""
    found = [_SPEAKER.match(text, body, end) for (_, end), body in zip(spans, bodies, strict=True)]
    names = [one[0] if one and not _is_of_trade(one["name"]) else "" for one in found]
    told = Counter(fold(name).strip(" :>\t") for name in names if name)
    talk = len(told) > 1 and max(told.values()) > 1 and sum(told.values()) >= FEWEST_MESSAGES
    return [name if talk or mine else "" for name, mine in zip(names, stamped, strict=True)]


def _is_of_trade(label: str) -> bool:
    """Tell "Eyepieces:" from a speaker's name."""
    words = tuple(fold(word) for word in WORD.findall(label))
    if len(label) == 1:
        return False
    known = languages().values()
    return any(words in one.words for one in known) or any(
        len(word) > 2 and (word,) in one.words for word in words for one in known
    )


def _is_dashed(text: str, spans: list[tuple[int, int]]) -> bool:
    dashed = [text[start:end].strip() for start, end in spans if _DASH.match(text, start, end)]
    return len(dashed) >= FEWEST_MESSAGES and any(one.endswith("?") for one in dashed)


def _joint(line: _Line, after: _Line) -> tuple[int, int, str] | None:
    """Return what stands between a question and its answer, and what to put there."""
    asks = line.text.endswith("?")
    answers = any(letter.isdigit() for letter in after.text)
    turns = bool(line.speaker) and bool(after.speaker) and line.speaker != after.speaker
    silent = not any(letter.isdigit() for letter in line.text)
    if after.text.endswith("?") and not _YES.match(after.text):
        return None
    if not asks and not (turns and silent and answers):
        return None
    start = line.end
    if _YES.match(after.text) or _NO.match(after.text):
        return start, after.body, " "
    if not answers and len(after.text.split()) > LONGEST_ANSWER:
        return None
    if line.text.count("?") > 1:
        return start, after.body, " "
    mark = re.search(r"[ ?]*$", line.text)
    return start - (len(mark[0]) if mark and asks else 0), after.body, ": "


_ANSWERED: Final = re.compile(rf"\s?\?+ {_YES.pattern}", re.I)


def _answered(text: Mapped) -> Mapped:
    """Put a comma for "? Yes," so that what was asked for counts as said."""
    return text.replaced(_ANSWERED, ", ")
