"""What --force may replace: plain files only, with their mode and links."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from simview.advice.letterhead import load_letterhead
from simview.errors import SimviewError
from simview.textfile import write_whole

posix = pytest.mark.skipif(sys.platform == "win32", reason="links and pipes of POSIX")


@posix
def test_link_goes_on_pointing_and_the_file_keeps_its_mode(tmp_path: Path) -> None:
    real = tmp_path / "elsewhere" / "real.txt"
    real.parent.mkdir()
    real.write_text("old")
    real.chmod(0o640)
    link = tmp_path / "link.txt"
    link.symlink_to(real)
    write_whole(link, "new", force=True)
    assert link.is_symlink()
    assert real.read_text() == "new"
    assert real.stat().st_mode & 0o777 == 0o640
    assert sorted(p.name for p in tmp_path.iterdir()) == ["elsewhere", "link.txt"]


@posix
def test_named_pipe_is_refused_even_by_force(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.png"
    os.mkfifo(pipe)
    with pytest.raises(SimviewError, match="not a plain file"):
        write_whole(pipe, "x", force=True)
    assert not pipe.is_file()


@posix
def test_link_to_nothing_is_refused(tmp_path: Path) -> None:
    link = tmp_path / "link.txt"
    link.symlink_to(tmp_path / "nowhere" / "file.txt")
    with pytest.raises(SimviewError, match="link to nothing"):
        write_whole(link, "x", force=True)


def test_file_that_appeared_meanwhile_is_not_replaced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "note.txt"
    write_bytes = Path.write_bytes

    def slow(self: Path, data: bytes) -> int:
        count = write_bytes(self, data)
        place.write_text("somebody else's")
        return count

    monkeypatch.setattr(Path, "write_bytes", slow)
    with pytest.raises(SimviewError, match="there already"):
        write_whole(place, "mine")
    assert place.read_text() == "somebody else's"
    assert [p.name for p in tmp_path.iterdir()] == ["note.txt"]


@pytest.mark.parametrize(
    "place", ["{distance:>300000000}", "{distance!r}", "{distance:{distance}}"]
)
def test_letterhead_takes_no_format_specification(place: str, tmp_path: Path) -> None:
    head = tmp_path / "head.toml"
    head.write_text(f'name = "Club"\n[words]\npictures_note = "From {place} cm"\n')
    with pytest.raises(SimviewError, match="curly brackets"):
        load_letterhead(head)
