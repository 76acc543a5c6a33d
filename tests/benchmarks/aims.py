"""Print every aim for whole commands in one table: time, processor time, memory.

    python tests/benchmarks/aims.py            # once each, some three minutes
    python tests/benchmarks/aims.py 3          # the median of three
    python tests/benchmarks/aims.py 1 moon     # those whose name holds a word

Times count on an idle machine only; processor time and memory elsewhere too. Our own modules are
compiled first, as an installer does it: where Python may write no compiled modules
(`PYTHONDONTWRITEBYTECODE`), each command would compile some two hundred of them again.
"""

from __future__ import annotations

import compileall
import ctypes
import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import simview

LADDER = "ladder demo:toy-refractor-50 --target jupiter --powers 30,45,100,150,300,450"
ANSWER = "vet demo:present-450x --shelf demo:shelf --letterhead demo:letterhead --budget 150"
RESCUE = "vet demo:present-450x --rescue --month 2026-11 --lat 52 --letterhead demo:letterhead"

# What is run, the most seconds and the most MB of its largest process that are aimed at; None: no
# aim. The start is told by a power that is refused where the light's path is followed: all that the
# command line names is read by then, and nothing is computed. The second refusal comes once the
# power is judged, right before the picture.
AIMS: dict[str, tuple[str, float | None, float | None]] = {
    "help": ("--help", 0.3, None),
    "start of view, refused before its work": (
        "view demo:tabletop-150 -t saturn --power 4000 --out {out}.png",
        0.5,
        None,
    ),
    "view, refused before its picture": (
        "view demo:tabletop-150 -t saturn --size 7680x4320 --memory 0.25 --out {out}.png",
        None,
        None,
    ),
    "view of Saturn": ("view demo:tabletop-150 -t saturn --out {out}.png", None, None),
    "view of the Moon": ("view demo:tabletop-150 -t moon --out {out}.png", 1.0, None),
    "view of Andromeda": ("view demo:tabletop-150 -t andromeda --out {out}.png", 1.0, None),
    "ladder of six": (f"{LADDER} --out {{out}}.png", 1.5, None),
    "page of twelve targets": ("targets --season january --brighter 6 --out {out}.png", 4.0, None),
    "answer with pictures": (f"{ANSWER} --currency EUR --out {{out}}.html", 3.0, None),
    "answer to an owner, as PDF": (f"{RESCUE} --out {{out}}.pdf", None, None),
    "4K view of the Moon": (
        "view demo:tabletop-150 -t moon --size 3840x2160 --out {out}.png",
        None,
        500.0,
    ),
    "4K view of the Pleiades": (
        "view demo:binoculars-10x50 -t pleiades --size 3840x2160 --out {out}.png",
        None,
        500.0,
    ),
    "4K ladder of six": (f"{LADDER} --size 3840x2160 --out {{out}}.png", None, 500.0),
    "poster of a star test's faults": (
        "startest --atlas --telescope-type newtonian --out {out}.png",
        None,
        None,
    ),
    "plot of detail, a double": ("detail demo:tabletop-150 -t castor --out {out}.png", None, None),
    "demo": ("demo --out {out}", 15.0, 500.0),
    "talk of twelve slides": ("talk demo:talk --out {out}", None, 1000.0),
}


WRITE_NONE = "PYTHONDONTWRITEBYTECODE"


@dataclass(frozen=True, kw_only=True)
class Took:
    """What a command took, its helpers with it: seconds, and MB of the largest process."""

    wall: float
    processor: float
    megabytes: float


def took(line: str, out: Path) -> Took:
    """Run one command as a process, and say what it took."""
    words = [sys.executable, "-m", "simview", *line.format(out=out).split(), "--quiet"]
    if line == "--help":
        words.pop()
    # A process of its own measures, so that the peak is this command's and no earlier one's.
    watch = [sys.executable, __file__, "--watch", json.dumps(words)]
    done = subprocess.run(watch, stdout=subprocess.PIPE, text=True, check=False)
    if done.returncode:
        raise SystemExit(f"{line}: not measured")
    return Took(**json.loads(done.stdout))


def watched(words: list[str]) -> None:
    """Run words, wait for all that descends from them, and print what they took."""
    if sys.platform == "linux":  # what outlives the command for a moment is counted too
        ctypes.CDLL(None).prctl(36, 1, 0, 0, 0)  # PR_SET_CHILD_SUBREAPER
    start = time.perf_counter()
    around = {name: value for name, value in os.environ.items() if name != WRITE_NONE}
    done = subprocess.run(words, capture_output=True, check=False, env=around)
    wall = time.perf_counter() - start
    if done.returncode not in (0, 2):
        error = done.stderr.decode(errors="replace")
        raise SystemExit(f"{error}{' '.join(words)}\nended with exit code {done.returncode}")
    while True:
        try:
            os.wait()
        except ChildProcessError:
            break
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    unit = 1e6 if sys.platform == "darwin" else 1e3  # bytes there, kB here
    told = {
        "wall": wall,
        "processor": used.ru_utime + used.ru_stime,
        "megabytes": used.ru_maxrss / unit,
    }
    print(json.dumps(told))


def table(rounds: int, word: str) -> None:
    """Print the table, a row as soon as it is there."""
    compileall.compile_dir(Path(simview.__file__).parent, quiet=2)
    print("| command | time, s | aim | processor, s | memory, MB | aim |")
    print("|---|---|---|---|---|---|")
    for name, (line, seconds, megabytes) in AIMS.items():
        if word not in name.lower():
            continue
        all_ = []
        for _ in range(rounds):
            with tempfile.TemporaryDirectory() as folder:
                all_.append(took(line, Path(folder) / "out"))
        wall, processor = (
            statistics.median(getattr(one, what) for one in all_) for what in ("wall", "processor")
        )
        most = max(one.megabytes for one in all_)
        aims = [f"{aim:g}" if aim else "" for aim in (seconds, megabytes)]
        print(
            f"| {name} | {wall:.2f} | {aims[0]} | {processor:.2f} | {most:.0f} | {aims[1]} |",
            flush=True,
        )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--watch"]:
        watched(json.loads(sys.argv[2]))
    else:
        table(int((sys.argv[1:] or ["1"])[0]), (sys.argv[2:] or [""])[0].lower())
