"""A page in the browser to drag, show and decide on."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from typer import Option

from simview import budget, interrupts
from simview.cli import offers
from simview.cli.options import KitsOptions
from simview.errors import SimviewError, require_range

EXAMPLES = (
    "",
    "kit.toml",
    '"70/700 with a 6 mm"',
    "demo:toy-refractor-50 demo:tabletop-150 --port 8500",
    "--talk my-talk",
)
DEMO = ()


def command(
    kits: KitsOptions = KitsOptions(),
    port: Annotated[
        int | None,
        Option(metavar="N", help="Port on this machine, 1 to 65535; without it, any free one."),
    ] = None,
    host: Annotated[
        str | None,
        Option(
            metavar="ADDRESS",
            help="Serve a classroom: an address of this machine that others reach it by. Prints a"
            " link and a QR code, and who can come in.",
            show_default=False,
        ),
    ] = None,
    shelf: Annotated[
        str,
        Option(
            metavar="FILE",
            help="Your own stock or price list (TOML): what the third question offers instead.",
            show_default=False,
        ),
    ] = "",
    talk: Annotated[
        Path | None,
        Option(
            metavar="FOLDER",
            help="Serve the slides marked live of a talk made there: their links open this page.",
            show_default=False,
        ),
    ] = None,
    memory: Annotated[
        float | None,
        Option(
            metavar="GB",
            help="Memory that one picture may take at most; without it SIMVIEW_MEMORY, or 1.",
            show_default=False,
        ),
    ] = None,
    browser: Annotated[
        bool, Option("--browser/--no-browser", help="Open the page in the browser.")
    ] = True,
) -> None:
    """Open a page in the browser on which views can be dragged, compared and judged.

    It is served by this machine to itself alone, unless --host says otherwise, until Ctrl-C.
    """
    if port is not None:
        require_range("--port", port, 1, 65535)
    if memory is None:  # what the program was started under stays
        _serve(kits, port, host, shelf, talk, browser)
        return
    with budget.used(memory), budget.wall(memory):
        _serve(kits, port, host, shelf, talk, browser)


def _serve(
    kits: KitsOptions,
    port: int | None,
    host: str | None,
    shelf: str,
    talk: Path | None,
    browser: bool,
) -> None:
    from simview.cli.kits import read
    from simview.live.kit_table import Table
    from simview.live.serve import serve

    key, named = "", dict[str, str]()
    if talk is not None:
        from simview.talk.live_links import PORT, of_folder

        for option, given in (("--port", port), ("--host", host)):
            if given is not None:
                raise SimviewError(
                    option, got="--talk", allowed="one of the two", remedy="leave it out"
                )
        (key, named), port = of_folder(talk), PORT
    table = Table.laid(kits.words(needed=False), offers.shelf(shelf), read)
    table.files = {**{name: read(path) for name, path in named.items()}, **table.files}
    serve(table, port=port, browser=browser, host=host, key=key)
    interrupts.forget()  # Ctrl-C is how it ends
