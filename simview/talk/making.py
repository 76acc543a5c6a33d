"""Slides made side by side, only what changed, each written whole as soon as it is there."""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from simview import budget
from simview.demo import kit_path
from simview.errors import FileError, SimviewError
from simview.executor.pieces import pieces, used
from simview.executor.threads import jobs
from simview.talk.records import Drawn, Made, Talk, TalkSlide
from simview.textfile import write_whole

Progress = Callable[[float, str], None]

# Folder of the pictures, and what is known about them, within a talk's folder.
PICTURES: Final = "pictures"
LIST: Final = "made.json"
OUTPUTS: Final = ("talk.pptx", "talk.html", "handout.pdf")

_FORMAT: Final = 1

# What a slide takes while it is made, bytes: at any size, and for each of its pixels. Of the demo's
# talk, two at a time, none took more (docs/performance.md).
SLIDE_AT_LEAST: Final = 150_000_000
SLIDE_PIXEL: Final = 125


@dataclass(kw_only=True)
class Folder:
    """A talk's folder: what lies in it, and from what it was made.

    Parameters
    ----------
    slides
        For each slide's name its key, the files with their fingerprints, and its words.
    outputs
        The fingerprint of each finished talk, and the key that it was made from.
    live_key, live_kits
        Of the page that slides marked live lead to: its key, and kit files by their names there.
    """

    path: Path
    slides: dict[str, dict[str, Any]] = field(default_factory=dict)
    outputs: dict[str, str] = field(default_factory=dict)
    live_key: str = field(default_factory=lambda: secrets.token_urlsafe(18))
    live_kits: dict[str, str] = field(default_factory=dict)

    @property
    def pictures(self) -> Path:
        """Where the pictures lie."""
        return self.path / PICTURES

    @classmethod
    def at(cls, path: Path, *, force: bool) -> Folder:
        """Open a talk's folder, new or made earlier.

        Raises
        ------
        FileError
            If it holds something else, cannot be made, or a finished talk in it was changed by
            hand; `force` overrules all but the second.
        """
        if path.exists() and not path.is_dir():
            raise FileError("a file, a folder is wanted", where=str(path))
        there = cls(path=path)
        told = there._read()
        if told is None and path.is_dir() and any(path.iterdir()) and not force:
            raise FileError(
                "folder holds something other than a talk",
                remedy="choose a new one, or use --force to write beside what is there",
                where=str(path),
            )
        there.slides, there.outputs = (
            (told or {}).get("slides", {}),
            (told or {}).get("outputs", {}),
        )
        live = (told or {}).get("live")
        if isinstance(live, dict) and isinstance(live.get("key"), str):
            there.live_key = live["key"]
        if not force:
            there._refuse_changed()
        try:
            there.pictures.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            reason = error.strerror or "the disk refuses"
            raise FileError(f"folder cannot be made ({reason})", where=str(path)) from None
        return there

    def _read(self) -> dict[str, Any] | None:
        try:
            told = json.loads((self.pictures / LIST).read_text(encoding="utf-8"))
        except (OSError, ValueError, RecursionError):
            return None
        good = isinstance(told, dict) and told.get("format") == _FORMAT
        tables = ("slides", "outputs")
        return told if good and all(isinstance(told.get(key), dict) for key in tables) else None

    def _refuse_changed(self) -> None:
        for name in OUTPUTS:
            path, print_ = self.path / name, self.outputs.get(name)
            if path.exists() and _sha(path) != print_:
                raise FileError(
                    "changed since it was made, it would be lost",
                    remedy="move it away, or use --force to replace it",
                    where=str(path),
                )

    def leave_none(self, *, itself: bool) -> None:
        """Remove what was made for slides of which there is none, the folder too if `itself`."""
        if not self.slides and not self.outputs:
            with suppress(OSError):  # what holds anything stays
                (self.pictures / LIST).unlink(missing_ok=True)
                self.pictures.rmdir()
                if itself:
                    self.path.rmdir()

    def keep(self) -> None:
        """Write the list of what lies here."""
        live = {"key": self.live_key, "kits": self.live_kits}
        told = {"format": _FORMAT, "slides": self.slides, "outputs": self.outputs, "live": live}
        write_whole(self.pictures / LIST, json.dumps(told, indent=1) + "\n", force=True)

    def has(self, slide: TalkSlide, key: str) -> bool:
        """Return whether a slide lies here whole, made from the same words."""
        told = self.slides.get(slide.name)
        if not isinstance(told, dict) or told.get("key") != key:
            return False
        files = told.get("files", {})
        return bool(files) and all(_sha(self.pictures / n) == sha for n, sha in files.items())

    def put(self, slide: TalkSlide, key: str, drawn: Drawn) -> None:
        """Write what was made of a slide.

        Raises
        ------
        FileError
            If the disk refuses; what was there before stays.
        """
        files = {}
        for ending, content in drawn.files.items():
            name = f"{slide.name}{ending}"
            write_whole(self.pictures / name, content, force=True)
            files[name] = hashlib.sha256(content).hexdigest()
        self.slides[slide.name] = {
            "key": key,
            "files": files,
            "tells": drawn.tells,
            "small_print": drawn.small_print,
        }
        self.keep()

    def made(self, slide: TalkSlide) -> Made:
        """Return a slide that lies here."""
        told = self.slides[slide.name]
        films = [name for name in told["files"] if not name.endswith(".png")]
        return Made(
            slide=slide,
            picture=self.pictures / f"{slide.name}.png",
            film=self.pictures / films[0] if films else None,
            tells=str(told["tells"]),
            small_print=str(told["small_print"]),
        )

    def forget_others(self, slides: Sequence[TalkSlide]) -> None:
        """Remove pictures of slides that the talk no longer has, unless they were changed."""
        kept = {slide.name for slide in slides}
        for name in [name for name in self.slides if name not in kept]:
            for file, sha in self.slides.pop(name).get("files", {}).items():
                path = self.pictures / Path(file).name
                if _sha(path) == sha:
                    path.unlink()
        self.keep()


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of a talk's slides.

    Parameters
    ----------
    made
        In the talk's order.
    broken
        Those that could not be made, each with what is wrong.
    fresh
        How many were made now; the others lay there already.
    """

    made: tuple[Made, ...]
    broken: tuple[tuple[TalkSlide, str], ...]
    fresh: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One slide to make: the words of its command, or what draws it without one."""

    slide: TalkSlide
    words: tuple[str, ...]
    draw: Callable[[], Drawn]


def make(
    talk: Talk, folder: Folder, slides: Sequence[Job], *, program: str, progress: Progress
) -> Outcome:
    """Make what has changed of a talk's slides, side by side.

    Parameters
    ----------
    talk, folder
        What is made, and where it goes.
    slides
        Each of the talk's slides, with what draws it.
    program
        Fingerprint of what makes them.
    progress
        Told how far it is, 0 to 1, and with what.

    Raises
    ------
    FileError
        If the disk refuses a slide; those made before it stay.
    """
    keys = {job.slide.name: _key(job, talk, program) for job in slides}
    todo = [job for job in slides if not folder.has(job.slide, keys[job.slide.name])]
    # The longest first, so that at the end nobody waits for one of them alone.
    todo.sort(key=lambda job: job.words[:1] != ("film",))
    broken: list[tuple[TalkSlide, str]] = []
    progress(0.0, f"{len(todo)} of {len(slides)} slides to make")
    with used(jobs=slides_at_once(talk)):
        for count, (job, drawn) in enumerate(
            zip(todo, pieces(_drawn, todo, apart=True), strict=True), 1
        ):
            if isinstance(drawn, str):
                broken.append((job.slide, drawn))
            else:
                folder.put(job.slide, keys[job.slide.name], drawn)
            progress(count / len(todo), f"{count} of {len(todo)}: {job.slide.name}")
    broken.sort(key=lambda one: one[0].number)
    names = {slide.name for slide, _ in broken}
    made = tuple(folder.made(job.slide) for job in slides if job.slide.name not in names)
    return Outcome(made=made, broken=tuple(broken), fresh=len(todo) - len(broken))


def slides_at_once(talk: Talk) -> int:
    """Return how many slides are made side by side: as many as threads and memory allow."""
    wide, high = talk.size
    return budget.at_once(jobs(), SLIDE_AT_LEAST + SLIDE_PIXEL * wide * high)


def _drawn(job: Job) -> Drawn | str:
    """Return what was made, or what is wrong with the slide."""
    try:
        return job.draw()
    except SimviewError as error:
        return str(error)


def _key(job: Job, talk: Talk, program: str) -> str:
    """Return a fingerprint of all that a slide is made from."""
    slide = job.slide
    files = {word: _sha(path) for word in job.words for path in [_file(word)] if path is not None}
    if slide.picture is not None:
        files["picture"] = _sha(slide.picture)
    if talk.logo is not None:
        files["logo"] = _sha(talk.logo)
    told = [
        program,
        slide.title,
        list(job.words),
        list(slide.lines),
        files,
        [talk.footer, talk.paper, list(talk.size)],
    ]
    return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()


def _file(word: str) -> Path | None:
    """Return the file that a word of a command names, if it names one."""
    try:
        path = kit_path(word)
        return path if path.is_file() else None
    except (SimviewError, OSError, ValueError):
        return None


def _sha(path: Path) -> str:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""


def program_fingerprint(package: Path) -> str:
    """Return a fingerprint of the program: its own files' names, sizes and times."""
    told = [
        [path.relative_to(package).as_posix(), path.stat().st_size, path.stat().st_mtime_ns]
        for path in sorted(package.rglob("*"))
        if path.suffix in (".py", ".toml", ".npy", ".csv", ".npz")
    ]
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()


def write_outputs(
    folder: Folder, key: Mapping[str, Any], writers: Mapping[str, Callable[[], bytes]]
) -> bool:
    """Write the finished talks where anything in them has changed; return whether it had.

    Raises
    ------
    FileError
        If the disk refuses; what was there before stays.
    """
    told = [key, {name: made.get("files") for name, made in folder.slides.items()}]
    whole = hashlib.sha256(json.dumps(told, sort_keys=True, default=str).encode()).hexdigest()
    there = all(
        (folder.path / name).is_file() and _sha(folder.path / name) == folder.outputs.get(name)
        for name in writers
    )
    if there and folder.outputs.get("key") == whole:
        return False
    for name, writer in writers.items():
        content = writer()
        write_whole(folder.path / name, content, force=True)
        folder.outputs[name] = hashlib.sha256(content).hexdigest()
        folder.keep()
    folder.outputs["key"] = whole
    folder.keep()
    return True
