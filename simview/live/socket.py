"""One page's line: the newest wish wins, older ones are dropped; answers are binary frames."""

from __future__ import annotations

import asyncio
import contextlib
import json
import struct
import sys
import traceback
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from functools import partial
from typing import Any, Final

import anyio
import numpy as np
from numpy.typing import NDArray
from starlette.websockets import WebSocket, WebSocketDisconnect

from simview.errors import SimviewError
from simview.picture.save import plain

# Longest wish, characters.
LONGEST_WISH: Final = 20_000

# What a page that has gone raises: while it is listened to, and while it is sent to.
_GONE: Final = (WebSocketDisconnect, RuntimeError)

Work = Callable[[str], Awaitable[bytes]]
Ahead = Callable[[str], AsyncIterator[None]]


def frame(header: dict[str, Any], pictures: Sequence[NDArray[np.uint8]] = ()) -> bytes:
    """Return a binary frame: length of the header, header as JSON, then each picture as RGBA.

    The header is filled up to a multiple of four bytes, and tells each picture's side in pixels.
    """
    told = json.dumps(plain({**header, "px": [len(picture) for picture in pictures]})).encode()
    told += b" " * (-len(told) % 4)
    return b"".join([struct.pack("<I", len(told)), told, *map(_rgba, pictures)])


def _rgba(picture: NDArray[np.uint8]) -> bytes:
    out = np.full((*picture.shape[:2], 4), 255, np.uint8)
    out[..., :3] = picture
    return out.tobytes()


def answered(work: Callable[[str], bytes], text: str) -> bytes:
    """Return the frame for a wish; what the user can put right becomes a sentence in it."""
    try:
        return work(text)
    except SimviewError as error:
        return frame({"error": str(error), "number": _number(text)})
    except Exception as error:
        # A server that is being closed takes no more work: that is no fault of the program's.
        if not (isinstance(error, RuntimeError) and "after shutdown" in str(error)):
            traceback.print_exc(file=sys.stderr)
        fault = "simview failed here; the terminal says more. Choose something else to go on."
        return frame({"error": fault, "number": _number(text)})


def _number(text: str) -> int:
    try:
        return int(json.loads(text)["number"])
    except (ValueError, TypeError, KeyError, RecursionError):
        return 0


def _only_held(text: str) -> bool:
    """Return whether a wish is for what the page will hold until it is needed."""
    try:
        return json.loads(text)["hold"] is True
    except (ValueError, TypeError, KeyError, RecursionError):
        return False


async def talk(socket: WebSocket, work: Work, ahead: Ahead | None = None) -> None:
    """Serve one page until it closes.

    Parameters
    ----------
    work
        Answers a wish.
    ahead
        Does, piece by piece, what a next wish is likely to need; it stops when one comes.
    """
    await socket.accept()
    newest: list[str] = []
    bell = asyncio.Event()
    aside = asyncio.Lock()

    async def answer(text: str) -> None:
        await socket.send_bytes(await work(text))

    async def answer_aside(text: str) -> None:
        async with aside:
            await answer(text)

    async def send() -> None:
        while True:
            await bell.wait()
            bell.clear()
            text = newest.pop()
            if _only_held(text) and not aside.locked():
                # A hand that moves meanwhile does not wait for it.
                both.start_soon(until_gone, partial(answer_aside, text))
                continue
            await answer(text)
            if ahead is not None and not bell.is_set():
                with contextlib.suppress(SimviewError):  # a wrong wish has had its answer
                    async for _ in ahead(text):
                        if bell.is_set():
                            break

    async def listen() -> None:
        while True:
            newest[:] = [(await socket.receive_text())[:LONGEST_WISH]]
            bell.set()

    async with anyio.create_task_group() as both:

        async def until_gone(part: Callable[[], Awaitable[None]]) -> None:
            with contextlib.suppress(*_GONE):
                await part()
                return
            both.cancel_scope.cancel()

        both.start_soon(until_gone, send)
        both.start_soon(until_gone, listen)
