"""A server that dies under the hand and comes again; thirty pages that drag at once."""

from __future__ import annotations

import asyncio
import json
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

PORT = 8571
KEY = "a-key-that-stays"
# The same link again after its end: what no restart of the command gives.
SERVER = f"""
import uvicorn
from simview.executor.threads import one_blas_thread
from simview.live.routes import app
from simview.live.kit_table import Table
from simview.heap import hand_back
hand_back()
door = app(Table.laid(()), key={KEY!r}, hosts=frozenset({{"127.0.0.1:{PORT}"}}))
with one_blas_thread():
    uvicorn.run(door, port={PORT}, log_level="error", lifespan="off", ws="websockets-sansio")
"""
LINK = f"http://127.0.0.1:{PORT}/?key={KEY}"

# Objects and powers that thirty visitors of one classroom look at.
OBJECTS = ("jupiter", "saturn", "moon", "pleiades", "castor", "orion-nebula")
VISITORS = 30
WISHES = 3
MOST_MB = 1000


def started() -> subprocess.Popen[bytes]:
    server = subprocess.Popen([sys.executable, "-c", SERVER])
    _answering(server)
    return server


def _answering(server: subprocess.Popen[bytes]) -> None:
    import socket
    import time

    for _ in range(600):
        assert server.poll() is None
        with socket.socket() as knock:
            if knock.connect_ex(("127.0.0.1", PORT)) == 0:
                return
        time.sleep(0.1)
    raise AssertionError("the server does not answer")


def test_server_killed_while_dragging_is_told_and_found_again(visit: Any) -> None:
    server = started()
    try:
        page = visit.goto(f"{LINK}#room=see&object=jupiter&kit=demo:toy-refractor-50&power=45")
        handle = page.locator(".scale input").bounding_box()
        y = handle["y"] + handle["height"] / 2
        page.mouse.move(handle["x"] + 0.43 * handle["width"], y)
        page.mouse.down()
        page.mouse.move(handle["x"] + 0.6 * handle["width"], y, steps=4)
        server.kill()
        server.wait()
        page.mouse.move(handle["x"] + 0.9 * handle["width"], y, steps=4)
        page.locator("#trouble", has_text="connection to simview is lost").wait_for()
        page.mouse.up()
        server = started()
        # It comes again by itself, with what was wished last.
        page.locator("#trouble").wait_for(state="hidden")
        page.wait_for_selector("#line.empty")
    finally:
        server.kill()
        server.wait()
        # The browser itself notes each refused attempt on its console.
        visit.complaints = [told for told in visit.complaints if "net::ERR_" not in told]


async def dragged(number: int) -> list[int]:
    """One visitor: a view at rest, then a drag. Returns the numbers of the answers."""
    import websockets

    answers = []
    async with websockets.connect(
        f"ws://127.0.0.1:{PORT}/k/{KEY}/line", max_size=None, open_timeout=60, ping_timeout=None
    ) as line:
        for step in range(WISHES):
            side = {"kit": "demo:tabletop-150", "power": 40.0 + 10 * number + 3 * step}
            wish = {
                "number": step,
                "target": OBJECTS[number % len(OBJECTS)],
                "sides": [side],
                "air": {"seeing": 1.0 + number / 10.0},
                "side_px": 400,
                "drag": step > 0,
            }
            await line.send(json.dumps(wish))
            raw = await line.recv()
            assert isinstance(raw, bytes)
            told = json.loads(raw[4 : 4 + int.from_bytes(raw[:4], "little")])
            assert "error" not in told
            answers.append(told["number"])
    return answers


async def crowd() -> list[list[int]]:
    return list(await asyncio.gather(*(dragged(number) for number in range(VISITORS))))


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
def test_thirty_visitors_are_each_served_in_bounded_memory() -> None:
    server = started()
    try:
        # A thread of its own: the browser's driver keeps a loop running in this one.
        with ThreadPoolExecutor(1) as beside:
            answers = beside.submit(asyncio.run, crowd()).result()
        assert answers == [list(range(WISHES))] * VISITORS
        status = Path(f"/proc/{server.pid}/status").read_text()
        peak = re.search(r"VmHWM:\s+(\d+) kB", status)
        assert peak is not None
        assert int(peak[1]) / 1024 < MOST_MB
    finally:
        server.kill()
        server.wait()
