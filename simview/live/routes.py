"""The doors of the page: its files, its line, and what it sends.

What only some doors need is loaded behind them, so that the first picture does not wait for it.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any, Final, TypeVar
from urllib.parse import quote

from starlette.applications import Starlette
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket

from simview.errors import SimviewError
from simview.executor.threads import jobs
from simview.live import frames
from simview.live.guard import KEYED, App, Guard
from simview.live.kit_table import Table
from simview.live.known import known
from simview.live.socket import answered, frame, talk
from simview.live.wish import Corrected, Evening, Means, SeeWish, StarWish, checked
from simview.picture.save import plain

PAGE: Final = Path(__file__).parent / "page"
_KINDS: Final = {
    ".js": "text/javascript",
    ".css": "text/css",
    ".woff2": "font/woff2",
    ".svg": "image/svg+xml",
}
Answer = TypeVar("Answer")


class House:
    """All that the doors share: the table, and the workers that compute beside the event loop."""

    def __init__(self, table: Table, key: str) -> None:
        self.table, self.key = table, key
        self._pool = ThreadPoolExecutor(jobs(), thread_name_prefix="simview-live")
        # First come, first served: so many pages are each served in turn.
        self._turn = asyncio.Semaphore(jobs())
        self.lines = 0

    async def do(self, work: Callable[[], Answer]) -> Answer:
        """Return what `work` returns, computed beside the event loop when its turn comes."""
        async with self._turn:
            return await asyncio.get_running_loop().run_in_executor(self._pool, work)

    def close(self) -> None:
        """Let nothing further begin."""
        self._pool.shutdown(wait=False, cancel_futures=True)


def app(table: Table, *, key: str, hosts: frozenset[str]) -> App:
    """Return the whole server behind its guard.

    Parameters
    ----------
    table
        The kits.
    key
        The link's own word.
    hosts
        ``host:port`` under which it may be called.
    """
    house = House(table, key)
    routes = [
        Route("/", partial(_page, house)),
        Route("/start", partial(_start, house)),
        WebSocketRoute("/line", partial(_line, house)),
        Route("/keep", _sent(partial(_keep, house)), methods=["POST"]),
        Route("/kit", _sent(partial(_kit, house)), methods=["POST"]),
        Route("/telescope", _sent(partial(_telescope, house)), methods=["POST"]),
        Route("/tonight", _sent(partial(_tonight, house)), methods=["POST"]),
        Route("/diagnose", _sent(partial(_diagnose, house)), methods=["POST"]),
        Route("/offer", _sent(partial(_offer, house)), methods=["POST"]),
        Route("/answer", _sent(partial(_answer, house)), methods=["POST"]),
        Route("/{name:path}", _file),
    ]
    return Guard(Starlette(routes=routes), key=key, hosts=hosts)


async def _page(house: House, request: Request) -> Response:
    text = (PAGE / "index.html").read_text(encoding="utf-8")
    return Response(text.replace("{home}", f"{KEYED}{quote(house.key)}"), media_type="text/html")


async def _file(request: Request) -> Response:
    place = (PAGE / request.path_params["name"]).resolve()
    if place.suffix not in _KINDS or not place.is_relative_to(PAGE) or not place.is_file():
        return Response("There is no such file.", 404, media_type="text/plain")
    return Response(place.read_bytes(), media_type=_KINDS[place.suffix])


async def _start(house: House, request: Request) -> Response:
    # A link may name an offer, which no other page's list shows.
    words = request.query_params.get("kits", "").split("\n")
    return JSONResponse(await house.do(lambda: {"kits": house.table.told(words), **known()}))


async def _line(house: House, socket: WebSocket) -> None:
    async def work(text: str) -> bytes:
        return await house.do(partial(answered, partial(_frame, house), text))

    async def ahead(text: str) -> AsyncIterator[None]:
        # Where many pages are open, each is served what it asks for, and no more.
        for piece in _ahead(house, text):
            if house.lines > jobs():
                return
            await house.do(piece)
            yield

    house.lines += 1
    try:
        await talk(socket, work, ahead)
    finally:
        house.lines -= 1


def _ahead(house: House, text: str) -> Iterator[Callable[[], object]]:
    """Give the pieces of work that make the next drag quick."""
    with contextlib.suppress(SimviewError):
        told = _json(text)
        if not isinstance(told, dict) or told.get("drag"):
            return
        if told.get("room") == "star":
            from simview.live import star_room

            yield from star_room.ahead(checked(StarWish, told), house.table)


def _frame(house: House, text: str) -> bytes:
    from simview.live import star_room

    told = _json(text)
    if isinstance(told, dict) and told.get("room") == "star":
        shown = star_room.star(checked(StarWish, told), house.table)
    else:
        wish = checked(SeeWish, told)
        if wish.hold and house.lines > jobs():
            # Where many pages are open, each is served what it asks for, and no more.
            return frame({"number": wish.number, "hold": True, "busy": True})
        shown = frames.see(wish, house.table)
    return frame(shown.header, shown.pictures)


def _json(text: str | bytes) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        raise SimviewError("the wish", got=text[:60], allowed="JSON") from None


_Door = Callable[[Request, bytes], Awaitable[Response]]


def _sent(door: _Door) -> Callable[[Request], Awaitable[Response]]:
    """Return a door that takes a body, and answers wrong input with its one sentence."""

    async def come_in(request: Request) -> Response:
        try:
            return await door(request, await request.body())
        except SimviewError as error:
            return JSONResponse({"error": str(error)}, 422)
        except ClientDisconnect:
            return JSONResponse({"error": "That is too large."}, 413)

    return come_in


def _name(request: Request) -> str:
    return request.query_params.get("name", "")[:200]


async def _keep(house: House, request: Request, body: bytes) -> Response:
    from simview.live import keep

    wish = checked(SeeWish, _json(body))
    kept = await house.do(partial(keep.keep, wish, house.table))
    told = {"x-command": quote(kept.command), "x-name": quote(kept.name)}
    if kept.kit_files:
        told["x-kits"] = quote(json.dumps(kept.kit_files))
    return Response(kept.png, media_type="image/png", headers=told)


async def _tonight(house: House, request: Request, body: bytes) -> Response:
    from simview.live import sky_tonight

    wish = checked(Evening, _json(body))
    return JSONResponse(plain(await house.do(partial(sky_tonight.tonight, wish))))


async def _diagnose(house: House, request: Request, body: bytes) -> Response:
    from simview.live import photograph

    asked = request.query_params
    work = partial(
        photograph.diagnosed,
        body,
        _name(request),
        asked.get("kit", ""),
        asked.get("side", ""),
        house.table,
    )
    return JSONResponse(plain(await house.do(work)))


async def _kit(house: House, request: Request, body: bytes) -> Response:
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise SimviewError("kit file is not UTF-8 text", where=_name(request)) from None
    word = house.table.add_text(text, _name(request))
    return JSONResponse({"word": word, "kits": house.table.told()})


async def _telescope(house: House, request: Request, body: bytes) -> Response:
    word = house.table.add_words(body[:200].decode("utf-8", "replace"))
    return JSONResponse({"word": word, "kits": house.table.told()})


def _means(request: Request) -> Means:
    """Return what the visitor would spend."""
    amount = request.query_params.get("budget", "")
    return checked(Means, {"budget": amount} if amount else {})


def _given(request: Request) -> Corrected:
    """Return what the visitor put right in an offer."""
    return checked(Corrected, _json(request.query_params.get("right", "{}")))


async def _offer(house: House, request: Request, body: bytes) -> Response:
    from simview.live import offer_room

    work = partial(
        offer_room.judge, body, _name(request), house.table, _given(request), _means(request)
    )
    return JSONResponse(plain(await house.do(work)))


async def _answer(house: House, request: Request, body: bytes) -> Response:
    from simview.live import offer_room

    work = partial(
        offer_room.answer_page, body, _name(request), house.table, _given(request), _means(request)
    )
    return Response(await house.do(work), media_type="text/plain")
