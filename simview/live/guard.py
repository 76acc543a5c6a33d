"""Who may come in: the owner of the link, at this machine's own address, from its own page."""

from __future__ import annotations

import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final
from urllib.parse import parse_qs

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

# Most that a request may carry, bytes: a photograph, or a saved page with its pictures.
LARGEST_BODY: Final = 20_000_000

# Before the page's own files, so that a module finds its neighbours without repeating the key.
KEYED: Final = "/k/"

REFUSED: Final = (
    "This page opens only with the whole link that `simview live` printed: copy it again, or start"
    " the command anew."
)
TOO_LARGE: Final = f"That is too large: at most {LARGEST_BODY // 1_000_000} MB can be taken."


class Guard:
    """Refuse all that comes without the key, under a foreign name or from a foreign page.

    A foreign page cannot know the key; the Host header stops names that were bound to this
    machine afterwards; the Origin header stops pages that guess.

    Parameters
    ----------
    app
        What stands behind.
    key
        The link's own word.
    hosts
        ``host:port`` under which this server may be called.
    """

    def __init__(self, app: App, *, key: str, hosts: frozenset[str]) -> None:
        self._app, self._key, self._hosts = app, key, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request or one socket."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        headers = {name.lower(): value.decode("latin-1") for name, value in scope["headers"]}
        scope = dict(scope)
        if not (self._at_home(headers) and self._has_key(scope)):
            await _refuse(scope, send, 403, REFUSED)
            return
        if int(headers.get(b"content-length", "0") or 0) > LARGEST_BODY:
            await _refuse(scope, send, 413, TOO_LARGE)
            return
        await self._app(scope, _limited(receive, scope), self._sealed(send, headers))

    def _at_home(self, headers: dict[bytes, str]) -> bool:
        host, origin = headers.get(b"host", ""), headers.get(b"origin")
        ours = {f"http://{name}" for name in self._hosts}
        return host.lower() in self._hosts and (origin is None or origin.lower() in ours)

    def _has_key(self, scope: Scope) -> bool:
        """Return whether the request brings the key; takes it off the path."""
        path = str(scope["path"])
        if path.startswith(KEYED):
            given, _, rest = path.removeprefix(KEYED).partition("/")
            scope["path"], scope["raw_path"] = f"/{rest}", f"/{rest}".encode()
        else:
            given = parse_qs(scope["query_string"].decode("latin-1")).get("key", [""])[0]
        return secrets.compare_digest(given.encode(), self._key.encode())

    def _sealed(self, send: Send, headers: dict[bytes, str]) -> Send:
        """Return `send` with the headers that keep the page to itself."""
        policy = (
            "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src"
            f" 'self' blob: data:; connect-src 'self' ws://{headers[b'host']}; base-uri 'none';"
            " form-action 'none'; frame-ancestors 'none'"
        )
        more = [
            (b"content-security-policy", policy.encode("latin-1")),
            (b"referrer-policy", b"no-referrer"),
            (b"x-content-type-options", b"nosniff"),
            (b"cross-origin-resource-policy", b"same-origin"),
            (b"cross-origin-opener-policy", b"same-origin"),
            (b"cache-control", b"no-store"),
        ]

        async def sealed(message: Message) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message.get("headers", []), *more]}
            await send(message)

        return sealed


def _limited(receive: Receive, scope: Scope) -> Receive:
    """Return `receive` that stops a body which announced less than it brings."""
    got = 0

    async def limited() -> Message:
        nonlocal got
        message = await receive()
        if message["type"] == "http.request":
            got += len(message.get("body", b""))
            if got > LARGEST_BODY:
                return {"type": "http.disconnect"}
        return message

    return limited if scope["type"] == "http" else receive


async def _refuse(scope: Scope, send: Send, status: int, why: str) -> None:
    if scope["type"] == "websocket":
        # Before it was accepted, this is a 403 to the other side.
        await send({"type": "websocket.close", "code": 1008, "reason": ""})
        return
    kind = [(b"content-type", b"text/plain; charset=utf-8"), (b"connection", b"close")]
    await send({"type": "http.response.start", "status": status, "headers": kind})
    await send({"type": "http.response.body", "body": why.encode()})
