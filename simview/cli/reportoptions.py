"""Where results go, and what may be spent on them; the group of options that commands share."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Final

from typer import Option

from simview import budget

_OUT: Final = "Results"
_WORK: Final = "Who does the work"


# True while a command runs that was asked for no remarks; for what is said before its Reporter is
# there.
QUIET: Final[ContextVar[bool]] = ContextVar("quiet", default=False)


@dataclass(frozen=True, kw_only=True)
class ReportOptions:
    """Where the results go; every command takes these."""

    out: Annotated[
        Path | None,
        Option(
            "--out",
            "-o",
            metavar="FILE",
            help="File to write; its ending says what kind. Without it, a name is made from the"
            " command and the target.",
            rich_help_panel=_OUT,
            show_default=False,
        ),
    ] = None
    json: Annotated[
        bool,
        Option(
            "--json",
            help="Figures as JSON on standard output, nothing else there; a file only with --out.",
            rich_help_panel=_OUT,
        ),
    ] = False
    quiet: Annotated[
        bool,
        Option("--quiet", "-q", help="No remarks, no progress bar.", rich_help_panel=_OUT),
    ] = False
    force: Annotated[
        bool,
        Option("--force", help="Replace a file that is there already.", rich_help_panel=_OUT),
    ] = False
    jobs: Annotated[
        int | None,
        Option(
            metavar="N",
            help="Threads to work with; without it SIMVIEW_JOBS, or one for each core up to 8.",
            rich_help_panel=_WORK,
            show_default=False,
        ),
    ] = None
    cluster: Annotated[
        str,
        Option(
            metavar="ADDRESS",
            help="Dask scheduler whose machines share the panels, frames or offers; without it"
            " SIMVIEW_CLUSTER.",
            rich_help_panel=_WORK,
            show_default=False,
        ),
    ] = ""

    memory: Annotated[
        float | None,
        Option(
            metavar="GB",
            help="Memory that it may take at most; without it SIMVIEW_MEMORY, or 1.",
            rich_help_panel=_WORK,
            show_default=False,
        ),
    ] = None

    @contextmanager
    def in_force(self) -> Iterator[None]:
        """Return the context in which the work goes to whom these options name."""
        before = QUIET.set(self.quiet or QUIET.get())
        try:
            with self._work(), self._shapes_kept():
                yield
        finally:
            QUIET.reset(before)

    @contextmanager
    def _shapes_kept(self) -> Iterator[None]:
        """Let sheets keep the shapes that they are drawn from where a PDF is to hold them."""
        if self.out is None or self.out.suffix.lower() != ".pdf":
            yield
            return
        from simview.picture.drawing import dress

        with dress.wearing(replace(dress.current(), vector=True)):
            yield

    @contextmanager
    def _work(self) -> Iterator[None]:
        # Whoever only asks for help waits for no executor.
        from simview.executor.pieces import used

        if self.memory is None:  # what is set already stays: the demo sets it for all its commands
            with used(jobs=self.jobs, cluster=self.cluster):
                yield
            return
        with (
            used(jobs=self.jobs, cluster=self.cluster),
            budget.used(self.memory),
            budget.wall(self.memory),
        ):
            yield
