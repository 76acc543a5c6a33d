"""The port, the link, and the server's life from start to Ctrl-C."""

from __future__ import annotations

import contextlib
import errno
import io
import ipaddress
import secrets
import socket
import sys
import threading
import webbrowser
from collections.abc import Iterator
from typing import Final

from simview import heap, interrupts
from simview.errors import SimviewError
from simview.executor.threads import one_blas_thread
from simview.live.kit_table import Table
from simview.terminal import remark, tell

HOME: Final = "127.0.0.1"

# Where it opens when nobody asks for a port: one that no known service has. A choice.
USUAL_PORT: Final = 8467

# Longest message of a page's line, bytes.
LONGEST_MESSAGE: Final = 65_536


def serve(
    table: Table,
    *,
    port: int | None = None,
    browser: bool = True,
    host: str | None = None,
    key: str = "",
) -> None:
    """Print the link, open it, and serve until Ctrl-C.

    Parameters
    ----------
    port
        1 to 65535; None takes the usual one, or any that is free.
    host
        An address of this machine that others reach it by; None serves this machine alone.
    key
        Of a talk, whose links hold it; empty for a new one.

    Raises
    ------
    SimviewError
        Where the port that was asked for is taken, or the address is not this machine's.
    """
    home = HOME if host is None else address(host)
    door = listening(port, home)
    number = door.getsockname()[1]
    key = key or secrets.token_urlsafe(18)
    hosts = frozenset(f"{name}:{number}" for name in (home, HOME, "localhost"))
    link = f"http://{home}:{number}/?key={key}"
    with _until_interrupted():
        tell(link, flush=True)
        if host is not None:
            sys.stderr.write(qr_code(link))
            remark(who_can_come(home))
        _run(table, door, key, hosts, link if browser else "")


@contextlib.contextmanager
def _until_interrupted() -> Iterator[None]:
    """Take Ctrl-C for the usual way to end, also where Python drops it while code is loaded."""
    interrupts.are_usual()
    try:
        yield
    except KeyboardInterrupt:
        return
    except Exception:
        # Python before 3.12 makes an interrupt that strikes while a class is made another error,
        # and what is loaded here makes many.
        if not interrupts.received():
            raise


def _run(table: Table, door: socket.socket, key: str, hosts: frozenset[str], opened: str) -> None:
    heap.hand_back()
    threading.Thread(target=_warm, args=(table,), daemon=True).start()
    if opened:
        threading.Thread(target=_open, args=(opened,), daemon=True).start()
    # The link is out and a browser may be opening: only now what takes long to load.
    import uvicorn

    from simview.live.routes import app

    config = uvicorn.Config(
        app(table, key=key, hosts=hosts),
        log_level="error",
        access_log=False,
        lifespan="off",
        ws="websockets-sansio",
        ws_max_size=LONGEST_MESSAGE,
        ws_per_message_deflate=False,
        timeout_graceful_shutdown=1,
        server_header=False,
    )
    # Its threads would wait for one another where many pages are served at once.
    with one_blas_thread():
        uvicorn.Server(config).run(sockets=[door])


def address(host: str) -> str:
    """Return the IPv4 address behind a name or address, if it can be this machine's.

    Raises
    ------
    SimviewError
        For "all addresses" and for what is no address.
    """
    try:
        found = socket.gethostbyname(host)
    except (OSError, UnicodeError):
        found = ""
    if not found or ipaddress.ip_address(found).is_unspecified:
        raise SimviewError(
            "--host",
            got=host,
            allowed="one address of this machine, such as 192.168.1.20",
            remedy="this machine's network settings show it",
        )
    return found


def qr_code(link: str) -> str:
    """Return a link as a code for a terminal, dark on light."""
    import segno

    drawn = io.StringIO()
    segno.make(link, error="m").terminal(out=drawn, compact=True)
    return drawn.getvalue()


def who_can_come(home: str) -> str:
    """Return the words for a server that others reach."""
    if ipaddress.ip_address(home).is_loopback:
        return "only this machine reaches that address"
    return (
        f"everyone whose device reaches {home} and who has this link can open the page, look, and"
        " put kits and offers on it; nobody else can. What is sent is not encrypted. Files of this"
        " machine cannot be reached. Ctrl-C ends it for all."
    )


def listening(port: int | None, home: str = HOME) -> socket.socket:
    """Return a socket that listens at one address of this machine.

    Raises
    ------
    SimviewError
        Where the port that was asked for is taken, or the address is not this machine's.
    """
    for number in (USUAL_PORT, 0) if port is None else (port,):
        door = socket.socket()
        if sys.platform != "win32":
            door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            door.bind((home, number))
            door.listen(64)
        except OSError as error:
            door.close()
            reason = error.strerror or "cannot be used"
            if error.errno == errno.EADDRNOTAVAIL:
                raise SimviewError(
                    "--host", got=home, allowed="an address of this machine"
                ) from None
        else:
            return door
    raise SimviewError(
        "--port",
        got=port,
        allowed=f"a free one ({reason})",
        remedy="leave it out to find one; for --talk end the other `simview live`",
    )


def _open(link: str) -> None:
    if not webbrowser.open(link):
        remark("no browser found; open the link yourself")


def _warm(table: Table) -> None:
    """Work out what the first picture needs, while the browser is still opening."""
    from simview.live import frames

    with contextlib.suppress(SimviewError):
        tasks = frames.beginnings(table.find(table.first()).kit)
        for task in tasks[1:]:
            threading.Thread(target=task, daemon=True).start()
        tasks[0]()
