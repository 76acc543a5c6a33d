"""A disk that is full: every command that writes says so in one line and leaves nothing behind."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from textwrap import dedent

import pytest

posix = pytest.mark.skipif(sys.platform == "win32", reason="limits and mounts of POSIX")

GLASS = "eyepiece huygens --focal-length 20 --telescope demo:toy-refractor-50"
# Each writes more than a few kilobytes, but for the small ones, which find no room at all.
LINES = {
    "eyepiece": f"{GLASS} --out {{full}}/e.png",
    "answer": "vet demo:present-450x --no-pictures --out {full}/a.html",
    "paper": "vet demo:present-450x --no-pictures --out {full}/a.pdf",
    "webp": "film demo:tabletop-150 --frames 2 --size 128 --out {full}/f.webp",
    "gif": "film demo:tabletop-150 --frames 2 --size 128 --out {full}/f.gif",
    "apng": "film demo:tabletop-150 --frames 2 --size 128 --out {full}/f.png",
    "mp4": "film demo:tabletop-150 --frames 9 --size 256 --out {full}/f.mp4",
    "frames": "film demo:tabletop-150 --frames 2 --size 128 --out {full}/frames",
    "collimate": "collimate demo:tabletop-150 --out {full}/c.png",
    "detail": "detail demo:toy-refractor-50 --target jupiter --out {full}/d.png",
    "replaced": f"{GLASS} --out {{full}}/old.png --force",
    "talk": "talk {talk} --out {full}/talk",
    "small starter": "talk --new {full}/new.toml",
    "small kit": "vet demo:present-450x --no-pictures --kit {full}/kit.toml",
    "small table": "vet demo:present-450x demo:fernrohr-70 --out {full}/ranked.csv",
    "demo": "demo --only eyepiece --out {full}/demo",
}
ROOM = 4096

TALK = """
title = "Short"
[[slide]]
name = "one"
title = "One"
command = "eyepiece"
design = "huygens"
focal_length = 20
telescope = "demo:toy-refractor-50"
"""

# Runs the lines one after the other in one process, and tells of each what came of it.
PROGRAM = """
import contextlib, io, json, resource, shlex, sys
from pathlib import Path
from simview.cli.app import run
lines, full, limit = json.loads(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3])
def there():
    files = (p.relative_to(full) for p in full.rglob("*") if p.is_file())
    return sorted(str(name) for name in files if str(name) != "fill")
for name, line in lines.items():
    (full / "old.png").write_text("old")
    small = name.startswith("small")
    if limit:
        most = 64 if small else limit
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))
    elif small:
        with contextlib.suppress(OSError):
            (full / "fill").write_bytes(bytes(1_000_000))
    said = io.StringIO()
    with contextlib.redirect_stderr(said), contextlib.redirect_stdout(io.StringIO()):
        try:
            code = run(shlex.split(line))
        except BaseException as error:
            code = repr(error)
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    kept = (full / "old.png").read_text()
    (full / "fill").unlink(missing_ok=True)
    print(json.dumps([name, code, said.getvalue(), there(), kept]))
"""


@posix
@pytest.mark.parametrize("how", ["a small disk", "a limit on files"])
def test_every_command_that_writes_says_so_and_leaves_nothing(how: str, tmp_path: Path) -> None:
    full = tmp_path / "full"
    full.mkdir()
    (tmp_path / "talk.toml").write_text(TALK)
    named = {"full": full, "talk": tmp_path / "talk.toml"}
    # A whole run for the real thing; the stand-in only where a disk of our own cannot be had.
    lines = {name: line.format(**named) for name, line in LINES.items()}
    told = [sys.executable, "-c", dedent(PROGRAM), json.dumps(lines), str(full)]
    mounted = _on_a_small_disk(full)
    if how == "a small disk":
        if not mounted:
            pytest.skip("no disk can be mounted here")
        told = [*mounted, *told, "0"]
    elif mounted:
        pytest.skip("a small disk was had")
    else:
        told = [*told, str(ROOM)]
    done = subprocess.run(
        told, capture_output=True, text=True, check=True, timeout=300, env={**os.environ}
    )
    came = [json.loads(line) for line in done.stdout.splitlines()]
    assert [name for name, *_ in came] == list(LINES)
    for name, code, said, there, kept in came:
        assert code == 2, (name, code, said)
        assert said.startswith("simview: "), (name, said)
        assert said.count("\n") == 1, (name, said)
        assert ".part" not in said, (name, said)
        assert str(full) in said, (name, said)
        assert there == ["old.png"], (name, there)
        assert kept == "old", name


def _on_a_small_disk(place: Path) -> list[str]:
    """Return words before a command that put a small disk under a folder; none where refused."""
    if shutil.which("unshare") is None:
        return []
    words = [
        *("unshare", "--user", "--map-root-user", "--mount", "sh", "-c"),
        f"mount -t tmpfs -o size={2 * ROOM} tmpfs '{place}' && exec \"$@\"",
        "sh",
    ]
    tried = subprocess.run([*words, "true"], capture_output=True, check=False)
    return words if tried.returncode == 0 else []


def test_two_talks_are_not_written_into_one_folder(tmp_path: Path) -> None:
    (tmp_path / "talk.toml").write_text(TALK)
    command = [sys.executable, "-m", "simview", "talk", "talk.toml", "--out", "ours", "--quiet"]
    both = [
        subprocess.Popen(command, cwd=tmp_path, stderr=subprocess.PIPE, text=True) for _ in range(2)
    ]
    said = [each.communicate(timeout=300)[1] for each in both]
    codes = [each.returncode for each in both]
    # Whichever came first made its talk; the other wrote nothing, or found it made.
    assert 0 in codes
    assert set(codes) <= {0, 2}
    for code, words in zip(codes, said, strict=True):
        assert (code == 0) == (words == ""), words
        assert code == 0 or "another process is writing into this folder" in words
    again = subprocess.run(command, cwd=tmp_path, capture_output=True, check=True)
    assert again.stderr == b""
