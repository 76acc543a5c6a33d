"""The answer as plain text, for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Final

from simview.advice.answer import Answer
from simview.advice.page import objects_note
from simview.advice.rescue import Rescue
from simview.advice.verdict import Verdict

WIDTH: Final = 96


def plain_text(answer: Answer) -> str:
    """Return what a reader at a terminal wants first: safety, verdict, reasons, figures."""
    return "\n".join(_lines(answer))


def explained_text(verdict: Verdict) -> str:
    """Return which words gave which value, and what would change each rule's mind."""
    rows = [("value", "read as", "from the words", "place")]
    for one in verdict.listing.readings:
        place = f"{one.start}-{one.end}" if one.start >= 0 else ""
        remark = " (a guess)" if one.guess else ""
        rows.append((one.key, f"{one.value}{remark}", " ".join(one.words.split()), place))
    lines = ["Which words gave which value", *_table(rows)]
    lines.append("\nWhat would change each finding")
    for found in verdict.findings:
        lines += _wrap(f"{found.rule} ({found.source}): {found.changes_mind}", hang="  ")
    return "\n".join(lines)


def _lines(a: Answer) -> Iterator[str]:
    w = a.words
    yield f"{a.title}{a.tongue.colon} {a.name}"
    if a.sun:
        yield f"\n*** {w['sun']} ***"
        yield from _list(a.sun)
    yield f"\n{a.headline}"
    yield from _wrap(a.because)
    yield from _findings(a)
    if a.powers:
        yield f"\n{a.powers_title}"
        head = ("", *(w[f"head_{key}"] for key in ("power", "pupil", "field")), "")
        rows = [
            (o.pieces, o.power, o.exit_pupil, o.field, w["empty"] if o.empty else "")
            for o in a.powers
        ]
        yield from _table([head, *rows])
        yield from _wrap(f"{w['useful']}{a.tongue.colon} {a.useful}." if a.useful else "")
    if a.understood:
        yield f"\n{w['understood']}"
    marks = {True: f" ({w['guess']})", False: ""}
    yield from _list(
        [f"{one.name}{a.tongue.colon} {one.value}{marks[one.guess]}" for one in a.understood]
    )
    for key, told, between in (
        ("missing", a.missing, ", "),
        ("unread", a.unread, a.tongue.semicolon),
        ("left_out", a.left_out, ", "),
    ):
        yield from _wrap(f"{w[key]}{a.tongue.colon} {between.join(told)}." if told else "")
    for line in a.remarks:
        yield from _wrap(line)
    if a.rescue is not None:
        yield from _rescue(a, a.rescue)
    elif a.instead:
        yield from _instead(a)


def _findings(a: Answer) -> Iterator[str]:
    yield f"\n{a.words['findings']}"
    if not a.weighty:
        # What is only good to know follows at once: it is no complaint.
        more = f" {a.words['notes']}{a.tongue.colon}" if a.notes else ""
        yield f"{a.words['findings_none']}{more}"
    for one in (*a.weighty, *a.notes):
        yield from _wrap(
            f"{one.word}{a.tongue.colon} {one.title}{a.tongue.colon} {one.says}", hang="  "
        )
        yield from _wrap(one.arithmetic, lead="    ", hang="    ")


def _instead(a: Answer) -> Iterator[str]:
    yield f"\n{a.instead_title}"
    yield from _wrap(a.words["instead_note"])
    keys = ("price", "faintest", "finest", "widest", "still")
    head = ("", *(a.words[f"head_{key}"] for key in keys))
    rows = [(o.name, o.price, o.faintest, o.finest, o.widest, o.still) for o in a.instead]
    yield from _table([head, *rows])
    for line in a.instead_notes:
        yield from _wrap(line)


def _rescue(a: Answer, rescue: Rescue) -> Iterator[str]:
    w, t = a.words, a.tongue.say
    if rescue.pieces:
        yield f"\n{w['pieces']}"
    yield from _list(
        [
            f"{t(one.name)}, {w['keep' if one.keep else 'leave']}{a.tongue.colon} {t(one.why)}"
            for one in rescue.pieces
        ]
    )
    if rescue.mask is not None:
        yield from _wrap(f"{w['mask']}{a.tongue.colon} {t(rescue.mask.why)} ({rescue.mask.sum})")
    for key in ("replace", "steady", "finder", "star_test"):
        if lines := getattr(rescue, key):
            yield f"\n{w[rescue.heading(key)]}"
            yield from _list([t(line) for line in lines])
    yield f"\n{w['objects']}"
    when = rescue.evening
    yield from _wrap(objects_note(a))
    yield from _wrap("" if when.dark else w["objects_bright"])
    for one in rescue.objects:
        sight = one.sight
        way = f" {t(one.chart.says)}" if one.chart else ""
        where = f"{t(sight.where)}, {t(one.pieces)}"
        told = f"- {t(sight.title)} ({where}){a.tongue.colon} {t(one.view)}{way}"
        yield from _wrap(told, hang="  ")
    if rescue.assumed:
        yield from _wrap(w["assumed"].format(list=a.tongue.semicolon.join(map(t, rescue.assumed))))


def _wrap(text: str, *, lead: str = "", hang: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=lead, subsequent_indent=hang)


def _list(lines: Sequence[str]) -> list[str]:
    return [part for line in lines for part in _wrap(f"- {line}", hang="  ")]


def _table(rows: Sequence[tuple[str, ...]]) -> list[str]:
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    return [
        "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]
