"""A page in the browser to drag, show and decide on."""

from __future__ import annotations

from typing import Annotated

from typer import Option

from simview import interrupts
from simview.cli import offers
from simview.cli.options import KitsOptions
from simview.errors import require_range

EXAMPLES = ("", "kit.toml", "demo:toy-refractor-50 demo:tabletop-150 --port 8500")
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
    browser: Annotated[
        bool, Option("--browser/--no-browser", help="Open the page in the browser.")
    ] = True,
) -> None:
    """Open a page in the browser on which views can be dragged, compared and judged.

    It is served by this machine to itself alone, unless --host says otherwise, until Ctrl-C.
    """
    if port is not None:
        require_range("--port", port, 1, 65535)
    from simview.live.kits import Table
    from simview.live.serve import serve

    table = Table.laid(kits.words(needed=False), offers.shelf(shelf))
    serve(table, port=port, browser=browser, host=host)
    interrupts.forget()  # Ctrl-C is how it ends
