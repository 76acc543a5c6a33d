"""The slides as one HTML file that needs nothing else: no network, no other file.

A content security policy inside the page allows its own style and script by their fingerprints,
and nothing from elsewhere.
"""

from __future__ import annotations

import base64
import hashlib
import html
import io
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from simview.talk.deck import notes_of
from simview.talk.records import Made, Talk
from simview.talk.words import words

_PAGE: Final = Path(__file__).parent / "page"

# Of pictures in the page: what a projector shows no difference in. A choice.
_QUALITY: Final = 92
_TYPES: Final = {".mp4": "video/mp4", ".gif": "image/gif"}


def page(talk: Talk, made: Sequence[Made]) -> bytes:
    """Return the HTML file."""
    told = words(talk.language)
    style = (_PAGE / "talk.css").read_text(encoding="utf-8")
    script = (_PAGE / "talk.js").read_text(encoding="utf-8")
    data = json.dumps(dict(told), ensure_ascii=True).replace("<", "\\u003c")
    script = f"const WORDS = {data};\n{script}"
    policy = (
        "default-src 'none'; img-src data:; media-src data:; base-uri 'none'; form-action 'none';"
        f" style-src '{_fingerprint(style)}'; script-src '{_fingerprint(script)}'"
    )
    slides = "\n".join(
        _section(each, number, len(made), told["live"]) for number, each in enumerate(made, 1)
    )
    ratio = f"{talk.size[0]}x{talk.size[1]}"
    shape = "lying" if talk.size[0] > talk.size[1] else "upright"
    buttons = "".join(
        f'<button type="button" id="{name}" title="{html.escape(told[name + "_key"])}">'
        f"{html.escape(told[name])}</button>"
        for name in ("back", "on", "notes", "whole")
    )
    return f"""<!doctype html>
<html lang="{html.escape(talk.language)}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="generator" content="simview">
<title>{html.escape(talk.title)}</title>
<style>{style}</style>
</head>
<body class="{shape} {talk.paper}" data-size="{ratio}">
<main>
<h1 class="unseen">{html.escape(talk.title)}</h1>
{slides}
</main>
<nav aria-label="{html.escape(told["steering"])}">{buttons}<output id="place"></output></nav>
<script>{script}</script>
</body>
</html>
""".encode()


def _section(made: Made, number: int, count: int, live: str) -> str:
    title, tells = html.escape(made.slide.title), html.escape(made.tells)
    paragraphs = "".join(
        f"<p>{html.escape(part)}</p>" for part in notes_of(made).split("\n\n") if part
    )
    link = (
        f'<a class="live" href="{html.escape(made.link)}" target="_blank"'
        f' rel="noopener noreferrer">\u25b6 {html.escape(live)}</a>'
        if made.link
        else ""
    )
    return f"""<section id="s{number}" aria-label="{number} / {count}">
<h2 class="unseen">{title}</h2>
{_shown(made, tells)}{link}
<aside class="notes">{paragraphs}</aside>
</section>"""


def _shown(made: Made, tells: str) -> str:
    still = _data("image/webp", _webp(made.picture))
    if made.film is None:
        return f'<img src="{still}" alt="{tells}">'
    source = _data(_TYPES[made.film.suffix], made.film.read_bytes())
    if made.film.suffix == ".gif":
        return f'<img src="{source}" alt="{tells}">'
    return (
        f'<video src="{source}" poster="{still}" aria-label="{tells}" muted loop playsinline'
        f' preload="auto"></video><img class="still" src="{still}" alt="">'
    )


def _webp(path: Path) -> bytes:
    from PIL import Image

    stream = io.BytesIO()
    with Image.open(path) as image:
        image.convert("RGB").save(stream, "WEBP", quality=_QUALITY, method=3)
    return stream.getvalue()


def _data(kind: str, content: bytes) -> str:
    return f"data:{kind};base64,{base64.b64encode(content).decode('ascii')}"


def _fingerprint(text: str) -> str:
    """Return a text's fingerprint as a content security policy names it (W3C CSP 3, 2.3.1)."""
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"sha256-{base64.b64encode(digest).decode('ascii')}"
