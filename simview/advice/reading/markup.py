"""A saved web page as lines: labels beside values, without what is struck out or about others.

The page is parsed by a browser's rules (the selectolax library); its text is then found again in
the source, so that every word keeps its place there.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from simview.advice.reading.mapped import Mapped, joined, mark

if TYPE_CHECKING:
    from selectolax.lexbor import LexborNode

# A text that holds at least this many tags is a page's source: a choice.
FEW_TAGS: Final = 2
_TAG: Final = re.compile(r"</?[a-zA-Z][a-zA-Z0-9]{0,15}(?:\s[^<>]{0,2000})?/?>")
_ENTITY: Final = re.compile(r"&(?:#\d{1,7}|#[xX][0-9a-fA-F]{1,6}|[a-zA-Z][a-zA-Z0-9]{1,30});")

_UNSEEN: Final = frozenset((
    "script", "style", "noscript", "template", "head", "nav", "footer", "aside", "iframe",
    "svg", "form", "button", "select", "option", "textarea", "object", "audio", "video",
    "canvas",
))  # fmt: skip
_STRUCK: Final = frozenset(("del", "s", "strike"))
_INLINE: Final = frozenset((
    "a", "abbr", "b", "bdi", "bdo", "big", "cite", "code", "em", "font", "i", "ins", "kbd",
    "mark", "q", "samp", "small", "span", "strong", "sub", "sup", "time", "u", "var", "wbr",
    "label",
))  # fmt: skip
_ROWS: Final = frozenset(("tr", "table", "tbody", "thead"))  # what stands between cells is no text

# Class, id or role of a block that is about other things than the offer.
_NEIGHBOUR: Final = re.compile(
    r"(?:^|[\s_-])(?:related|similar|also|recommend\w*|upsell|cross-?sell|carousel|sidebar|breadcrumbs?"
    r"|cookie\w*|newsletter|comments?|reviews?|menu|nav|footer|teaser|sponsored|advert-?other)(?:$|[\s_-])",
    re.I,
)
_OLD_PRICE: Final = re.compile(
    r"(?:^|[\s_-])(?:old|was|strike|struck|rrp|list|before|regular)[_-]?price"
    r"|(?:^|\s)(?:old|was|strike|struck|crossed|rrp|uvp|msrp|before|barre|ancien|alt|vecchio|stara|antes|antigo)"
    r"(?:$|\s)",
    re.I,
)
_HIDDEN: Final = re.compile(r"display\s*:\s*none|visibility\s*:\s*hidden", re.I)
_LINED: Final = re.compile(r"line-through", re.I)


def is_page(text: str) -> bool:
    """Tell a page's source from plain words."""
    sample = text[:200_000]
    return sum(1 for _, _ in zip(_TAG.finditer(sample), range(FEW_TAGS), strict=False)) >= FEW_TAGS


def without_entities(text: Mapped) -> Mapped:
    """Return the text with "&nbsp;" and its like as the characters that they stand for."""
    return text.changed(
        (found.start(), found.end(), html.unescape(found[0]))
        for found in _ENTITY.finditer(text.text)
        if html.unescape(found[0]) != found[0]
    )


def read_page(source: str) -> Mapped:
    """Return the words of a page's source, one block a line."""
    from selectolax.lexbor import LexborHTMLParser

    source = source.replace("\r", " ")  # of the same length
    seen = _runs(source)
    root = LexborHTMLParser(source).body
    if root is None:
        return seen
    parts: list[Mapped] = []
    at = 0
    for words in _words(root):
        if words in ("\n", "\t", ": ", "; "):
            parts.append(mark(words, seen.ends[at - 1] if at else 0))
            continue
        found = seen.text.find(words, at)
        if found >= 0:
            parts.append(seen.part(found, found + len(words)))
            at = found + len(words)
    return joined(parts)


def _runs(source: str) -> Mapped:
    """Return all of a source but its tags, comments and scripts."""
    hidden = re.compile(
        r"<!--.*?(?:-->|$)|<(script|style)\b.*?(?:</\1\s{0,9}>|$)|</?[a-zA-Z!?][^<>]*>?",
        re.S | re.I,
    )
    return without_entities(Mapped.of(source).replaced(hidden, ""))


def _words(root: LexborNode) -> Iterator[str]:
    """Give text nodes in order, with line ends between blocks and colons between cells."""
    todo: list[LexborNode | str] = [root]
    while todo:
        node = todo.pop()
        if isinstance(node, str):
            yield node
            continue
        tag = node.tag or ""
        if tag == "-text":
            above = node.parent
            if above is not None and above.tag in _ROWS:
                continue
            yield node.text_content or ""
            continue
        if not _is_shown(node, tag):
            if tag in _STRUCK:  # what stood before it belongs to it: "RRP <s>60</s> 45"
                yield "; "
            continue
        if tag == "br":
            yield "\n"
        inside: list[LexborNode | str] = list(node.iter(include_text=True))
        before, after = _ends(node, tag)
        todo += [*after[::-1], *inside[::-1], *before[::-1]]


def _ends(node: LexborNode, tag: str) -> tuple[list[str], list[str]]:
    """Return what stands before and after a block: a label is parted by a colon from its value."""
    if tag in _INLINE or tag.startswith("-"):
        return [], []
    if tag in ("td", "th") and _in_wide_row(node):
        return [], ["\t" if _after(node) is not None else "\n"]
    if tag in ("th", "dt"):
        return ["\n"] if tag == "dt" else [], [": "]
    if tag == "td":
        first = _before(node) is None
        return [], [": " if first and _after(node) is not None else "\n"]
    if tag == "dd":
        return [], ["\n"]
    return ["\n"], ["\n"]


# From so many cells on, a row's first cell is no label of the second.
WIDE: Final = 3


def _in_wide_row(node: LexborNode) -> bool:
    row = node.parent
    if row is None or row.tag != "tr":
        return False
    return sum(one.tag in ("td", "th") for one in row.iter()) >= WIDE


def _after(node: LexborNode) -> LexborNode | None:
    after = node.next
    while after is not None and after.tag == "-text":
        after = after.next
    return after


def _before(node: LexborNode) -> LexborNode | None:
    before = node.prev
    while before is not None and before.tag == "-text":
        before = before.prev
    return before


def _is_shown(node: LexborNode, tag: str) -> bool:
    if tag in _UNSEEN or tag in _STRUCK or tag in ("-comment", "_comment"):
        return False
    given = node.attributes
    if not given:
        return True
    style = given.get("style") or ""
    if "hidden" in given or _HIDDEN.search(style) or _LINED.search(style):
        return False
    names = " ".join(filter(None, (given.get("class"), given.get("id"), given.get("role"))))
    return not (_NEIGHBOUR.search(names) or _OLD_PRICE.search(names)) or tag == "body"
