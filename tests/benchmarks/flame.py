"""Draw where the time of one command goes, as a flame graph: wide boxes take long.

    python tests/benchmarks/flame.py andromeda.svg view demo:tabletop-150 -t andromeda

Runs it here with one thread, loading included, under pyinstrument. A box stands under what called
it; boxes that take less than a 250th of the whole are left out.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import Any

WIDTH, ROW, LEAST = 1000.0, 18, 1.0 / 250.0
COLOURS = {
    "loading": "#d9d2c4",
    "library": "#e4e4e4",
    "scene": "#f4c7a1",
    "air": "#cfe3f1",
    "telescope": "#b7d3b0",
    "eyepiece": "#e6d38f",
    "eye": "#c9b8dd",
    "power": "#f0b4b4",
    "picture": "#a9cfd6",
}
HANDS_ON = ("cli/", "__main__", "executor/", "memory")
REST = "#f3ead8"


@dataclass
class Box:
    """A function, what it took, and what it called."""

    label: str
    room: str
    seconds: float = 0.0
    under: dict[str, Box] = field(default_factory=dict)

    def put(self, label: str, room: str) -> Box:
        """Return the box of this label under this one."""
        return self.under.setdefault(label, Box(label, room))


def named(frame: Any) -> tuple[str, str] | None:
    """Return a frame's label and room; None for what only hands on."""
    path = (frame.file_path or "").replace(os.sep, "/")
    if "importlib" in path or "importlib" in (frame.file_path_short or ""):
        return "loading code", "loading"
    if "/simview/" in path and "/site-packages/" not in path:
        inside = path.rsplit("/simview/", 1)[1]
        if inside.startswith(HANDS_ON) or "<" in frame.function or "__" in frame.function:
            return None
        return f"{frame.function.rsplit('.', 1)[-1]} ({inside})", inside.split("/", 1)[0]
    library = path.rsplit("/site-packages/", 1)[-1].split("/", 1)[0]
    return (library, "library") if "/site-packages/" in path and library != "typer" else None


def add(box: Box, frame: Any) -> None:
    """Add a frame and what it called under a box."""
    told = named(frame)
    here = box
    # A library's own inside, and what loading loads, are one box.
    if told is not None and box.room not in ("library", "loading") and told[0] != box.label:
        here = box.put(*told)
        here.seconds += frame.time
    for child in frame.children:
        add(here, child)


def boxes(box: Box, left: float, whole: float, depth: int = 0) -> Iterator[str]:
    """Give a box and all under it as SVG."""
    wide = box.seconds / whole * WIDTH
    fits = int((wide - 6) / 6.1)
    text = box.label if len(box.label) <= fits else box.label.split(" (", 1)[0]
    text = text if len(text) <= fits else text[: fits - 1] + "…" if fits > 4 else ""
    told = escape(f"{box.label}: {100.0 * box.seconds / whole:.1f} %")
    yield (
        f'<g><title>{told}</title><rect x="{left:.1f}" y="{depth * ROW}" width="{wide:.1f}" '
        f'height="{ROW - 1}" rx="2" fill="{COLOURS.get(box.room, REST)}"/>'
        f'<text x="{left + 3:.1f}" y="{depth * ROW + 13}">{escape(text)}</text></g>'
    )
    for under in sorted(box.under.values(), key=lambda one: -one.seconds):
        if under.seconds > LEAST * whole:
            yield from boxes(under, left, whole, depth + 1)
            left += under.seconds / whole * WIDTH


def depth_of(box: Box, whole: float) -> int:
    """Return how many rows a box takes with all that is shown under it."""
    shown = [one for one in box.under.values() if one.seconds > LEAST * whole]
    return 1 + max((depth_of(one, whole) for one in shown), default=0)


def profiled(words: list[str]) -> Box:
    """Run a command and return what took how long."""
    from pyinstrument import Profiler

    sys.argv = ["simview", *words]
    profiler = Profiler(interval=0.0005)
    profiler.start()
    try:
        from simview.__main__ import main

        main()
    except SystemExit as left:
        if left.code:
            raise
    session = profiler.stop()
    root = session.root_frame(trim_stem=False)
    assert root is not None
    top = Box(" ".join(["simview", *words[:-2]]), "")
    for child in root.children:
        add(top, child)
    top.seconds = root.time
    return top


def main() -> None:
    """Draw the picture named first, of the command after it."""
    os.environ["SIMVIEW_JOBS"] = "1"
    picture = Path(sys.argv[1])
    with tempfile.TemporaryDirectory() as folder:
        words = [*sys.argv[2:], "--quiet", "--out", str(Path(folder) / "out.png")]
        top = profiled(words)
    top.label = top.label.removesuffix(" --quiet")
    rows = depth_of(top, top.seconds)
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {rows * ROW}" '
        'font-family="sans-serif" font-size="11">',
        *boxes(top, 0.0, top.seconds),
        "</svg>",
    ]
    picture.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
