"""Reading a user's text files, and writing files whole; anything may lie under a given name.

Every way in which a file can be wrong - missing, a folder, binary, huge, not UTF-8, broken TOML -
becomes one FileError whose sentence says what to do.
"""

from __future__ import annotations

import itertools
import os
import re
import shutil
import sys
import tomllib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final

from simview.errors import FileError

# Most that a kit, a listing or a price list may weigh, bytes; ours are below 3 kB. A guard
# against a wrong file under the right name, no property of the format.
LARGEST_TEXT: Final = 1_000_000


def read_text(path: str | Path, *, what: str = "file", largest: int = LARGEST_TEXT) -> str:
    """Return the text of a file.

    Parameters
    ----------
    path
        Where it lies.
    what
        What it should be, for the message: ``"kit file"``.
    largest
        Most that it may weigh, bytes.

    Raises
    ------
    FileError
        If it is missing, a folder, unreadable, empty of text, too large, binary or not UTF-8.
    """
    raw = _read_bytes(Path(path), what, largest)
    if b"\0" in raw:
        raise _wrong(path, f"{what} holds binary data", "a text file is wanted")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _wrong(
            path, f"{what} is not UTF-8 text (line {line})", "save it again with encoding UTF-8"
        ) from None


def _read_bytes(path: Path, what: str, largest: int) -> bytes:
    require_no_pipe(path, what)
    try:
        with path.open("rb") as stream:
            raw = stream.read(largest + 1)
    except IsADirectoryError:
        raise _wrong(path, f"{what} wanted, this is a folder", "name a file in it") from None
    except FileNotFoundError:
        raise _wrong(path, f"{what} not found", "check the name and the folder") from None
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        reason = getattr(error, "strerror", None) or "not a possible file name"
        raise _wrong(path, f"{what} cannot be read ({reason})", "") from None
    if len(raw) > largest:
        raise _wrong(path, f"{what} is larger than {largest / 1e6:g} MB", "is it the right file?")
    return raw


def require_no_pipe(path: Path, what: str = "file") -> None:
    """Refuse a named pipe, which would be waited for for ever; a shell's own pipes are welcome.

    Raises
    ------
    FileError
        Where a pipe lies under the name of a file.
    """
    shells_own = str(path).startswith(("/dev/", "/proc/"))
    try:
        pipe = not shells_own and path.is_fifo()
    except OSError:  # a name that no file can have: told where it is opened
        pipe = False
    if pipe:
        raise _wrong(path, f"{what} wanted, this is a named pipe", "name a plain file")


def read_toml(path: str | Path, *, what: str = "file") -> dict[str, Any]:
    """Return the table that a TOML file holds.

    Raises
    ------
    FileError
        As `read_text`; and for broken TOML, with line and column.
    """
    return parse_toml(read_text(path, what=what), where=str(path), what=what)


def parse_toml(text: str, *, where: str, what: str = "file") -> dict[str, Any]:
    """Return the table that TOML text holds; `where` names its origin in messages.

    Raises
    ------
    FileError
        For broken TOML, with line and column.
    """
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise _wrong(where, f"{what} is nested too deeply", "") from None
    except ValueError as error:  # also whole numbers of thousands of digits
        raise _not_toml(text, error, where, what) from None


def _not_toml(text: str, error: ValueError, where: str, what: str) -> FileError:
    lines = text.split("\n")
    place = re.search(r" \(at line (\d+), column (\d+)\)", str(error))
    line, column = (int(place[1]), int(place[2])) if place else (len(lines), len(lines[-1]) + 1)
    reason = re.sub(r" \(at .*\)|; use sys.*", "", str(error))
    return _wrong(
        where,
        f"{what} is not valid TOML (line {line}, column {column}): {reason}",
        _toml_remedy(lines[min(line, len(lines)) - 1].strip()),
    )


# What the line at fault looks like -> what to do about it; the first that fits is taken.
_SLIPS: Final = (
    (r"[\w.-]+\s*:", "write key = value, with an equals sign"),
    (r"[\w.-]+\s*=\s*[+-]?\d+,\d", "write decimals with a point"),
    (
        r"[\w.-]+\s*=\s*[+-]?[\d.]+\s*[A-Za-z\"'°×]",
        "write the number alone, the unit stands in the key's name",
    ),
    (r"[\w.-]+\s*=\s*[A-Za-z]", 'put texts in quotes, as in key = "text"'),
)


def _toml_remedy(line: str) -> str:
    return next((remedy for slip, remedy in _SLIPS if re.match(slip, line)), "")


def write_whole(path: str | Path, content: str | bytes, *, force: bool = False) -> Path:
    """Write a file whole or not at all: beside its place first, then renamed.

    Parameters
    ----------
    path
        Where it shall lie; its folder must be there.
    content
        Text (written as UTF-8) or bytes.
    force
        True replaces a file that is there: its mode stays, and a link goes on pointing to it.

    Raises
    ------
    FileError
        If the file is there already, also when it appeared meanwhile, or cannot be written.
    """
    target = require_writable(path, force=force)
    data = content.encode("utf-8", "replace") if isinstance(content, str) else content
    try:
        with part_of(target) as part:
            part.write_bytes(data)
            place_whole(part, target, force=force)
    except OSError as error:
        raise _wrong(path, f"file cannot be written ({error.strerror})", "") from None
    return target


# What is being written beside its place now; a signal that strikes anywhere leaves none of it.
_parts: set[Path] = set()
_numbers: Final = itertools.count()


@contextmanager
def part_of(target: Path) -> Iterator[Path]:
    """Give the name of a file or folder to be written beside its place; it is gone afterwards.

    No other process and no other thread uses it.
    """
    part = target.with_name(f".{target.name[:180]}.{os.getpid()}-{next(_numbers)}.part")
    _parts.add(part)
    try:
        yield part
    finally:
        _remove(part)
        _parts.discard(part)


def sweep() -> None:
    """Remove whatever is half written, when the process has been told to end."""
    for part in tuple(_parts):
        _remove(part)


def _remove(part: Path) -> None:
    with suppress(OSError):
        if part.is_dir():
            shutil.rmtree(part, ignore_errors=True)
        else:
            part.unlink(missing_ok=True)


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Keep every other process that asks for the same out of a folder; it is made where missing.

    The system gives it free when this process ends, however it ends. What is no folder is left
    for the caller to refuse.

    Raises
    ------
    FileError
        If another process has it, or it cannot be made.
    """
    if folder.exists() and not folder.is_dir():
        yield
        return
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = error.strerror or "the disk refuses"
        raise _wrong(folder, f"folder cannot be made ({reason})", "") from None
    try:
        held = _locked(folder)
    except BlockingIOError:
        raise _wrong(
            folder,
            "another process is writing into this folder",
            "wait until it has ended, or choose another folder",
        ) from None
    try:
        yield
    finally:
        if held is not None:
            os.close(held)


def _locked(folder: Path) -> int | None:
    """Return a descriptor that locks a folder while it is open; None where no lock is to be had."""
    try:
        if sys.platform == "win32":  # a folder cannot be locked there: a file in it that goes again
            flags = os.O_CREAT | os.O_EXCL | os.O_RDWR | os.O_TEMPORARY
            return os.open(folder / ".in-use.part", flags)
        import fcntl

        held = os.open(folder, os.O_RDONLY)
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            os.close(held)
            raise
    except FileExistsError:
        raise BlockingIOError from None
    except BlockingIOError:
        raise
    except OSError:  # some file systems have no locks
        return None
    return held


def place_whole(part: Path, target: Path, *, force: bool) -> None:
    """Give a finished file its name in one step that never overwrites unasked.

    Raises
    ------
    FileError
        If somebody took the name since it was looked at.
    OSError
        As the disk says.
    """
    if force:
        require_writable(target, force=True)
        # A link goes on pointing to the file, and the file keeps its mode.
        real = target.resolve() if target.is_symlink() else target
        if real.exists():
            part.chmod(real.stat().st_mode & 0o7777)
        if real.parent == part.parent:
            part.replace(real)
            return
        with part_of(real) as beside:
            shutil.copy(part, beside)
            beside.replace(real)
        return
    try:
        _link(part, target)
    except FileExistsError:
        raise _wrong(
            target, "file is there already", "choose another name or use --force"
        ) from None


def _link(part: Path, target: Path) -> None:
    """Give a finished file its name, failing if the name is taken."""
    try:
        os.link(part, target)
    except FileExistsError:
        raise
    except OSError:
        # A file system without hard links: take the name first, then move onto it.
        with target.open("xb"):
            pass
        try:
            part.replace(target)
        except BaseException:
            target.unlink(missing_ok=True)
            raise


def require_writable(
    path: str | Path, *, force: bool = False, suffix: str | Sequence[str] = ""
) -> Path:
    """Return the path if a file can be written there, before any work is done for it.

    Parameters
    ----------
    path
        Where it shall lie.
    force
        True when a file that is there may be replaced.
    suffix
        The ending that it must have, such as ``".png"``, or several to choose from; any if empty.

    Raises
    ------
    FileError
        Says what is in the way.
    """
    target = Path(path)
    allowed = [suffix] if isinstance(suffix, str) else list(suffix)
    try:
        if target.is_dir():
            raise _wrong(path, "a folder, a file's name is wanted", "add a file's name")
        if any(allowed) and target.suffix.lower() not in allowed:
            raise _wrong(path, f"the name must end in {' or '.join(allowed)}", "")
        if not target.parent.is_dir():
            raise _wrong(path, f"folder {str(target.parent)!r} is not there", "make it first")
        if target.is_symlink() and not target.exists():
            raise _wrong(path, "a link to nothing", "remove it or choose another name")
        if target.exists() and not target.is_file():
            raise _wrong(path, "not a plain file (a device, pipe or socket)", "choose another name")
        if target.exists() and not force:
            raise _wrong(path, "file is there already", "choose another name or use --force")
        if not os.access(target.parent, os.W_OK):
            raise _wrong(path, f"folder {str(target.parent)!r} cannot be written to", "")
    except FileError:
        raise
    except (OSError, ValueError):  # too long a name, a NUL in it
        raise _wrong(path, "not a possible file name", "") from None
    return target


def free_name(path: str | Path) -> Path:
    """Return the path, with a number in the name if a file is there already: sheet-2.png."""
    target = Path(path)
    number = 2
    while target.exists():
        target = Path(path).with_stem(f"{Path(path).stem}-{number}")
        number += 1
    return target


def _wrong(path: str | Path, what: str, remedy: str) -> FileError:
    return FileError(what, remedy=remedy, where=str(path))
