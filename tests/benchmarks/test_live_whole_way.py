"""The whole way of a drag: from the hand through the server to the frame that a browser has drawn.

Runs only where benchmarks are asked for: `pytest tests/benchmarks/test_live_whole_way.py
--benchmark-enable -s` prints frames a second and the gaps between them. Nothing is asserted.
"""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest

DRAWN = "body[data-rest='true']"
SECONDS = 6.0

# Time for the pieces of work that a page at rest has done ahead, and for all that it holds.
REST_S = 6.0
MOST_HOLD_S = 40.0
HELD = """async (ms) => {
    const [began, { dataset }] = [performance.now(), document.body];
    while (performance.now() - began < ms && (!dataset.of || dataset.held !== dataset.of)) {
        await new Promise((done) => setTimeout(done, 100));
    }
    return performance.now() - began;
}"""

NOTE = """() => {
    window.drawnAt = [];
    const note = () => window.drawnAt.push(performance.now());
    const watched = { attributes: true, attributeFilter: ["data-drawn"] };
    new MutationObserver(note).observe(document.body, watched);
}"""
DRAG = """async ([selector, ms]) => {
    const handle = document.querySelector(selector);
    const [low, high] = [Number(handle.min), Number(handle.max)];
    const began = performance.now();
    window.drawnAt.length = 0;
    while (performance.now() - began < ms) {
        const share = 0.5 - 0.35 * Math.cos((4 * Math.PI * (performance.now() - began)) / ms);
        handle.value = String(low + (high - low) * share);
        handle.dispatchEvent(new Event("input"));
        await new Promise(requestAnimationFrame);
    }
    const found = [...window.drawnAt];
    handle.dispatchEvent(new Event("change"));
    return found;
}"""

ROOMS = {
    "jupiter": ("room=see&object=jupiter&kit=demo:tabletop-150&power=75", ".scale input"),
    "saturn": ("room=see&object=saturn&kit=demo:tabletop-150&power=75", ".scale input"),
    "moon": ("room=see&object=moon&kit=demo:tabletop-150&power=75", ".scale input"),
    "m13": ("room=see&object=m13&kit=demo:tabletop-150&power=75", ".scale input"),
    "orion-nebula": ("room=see&object=orion-nebula&kit=demo:tabletop-150&power=75", ".scale input"),
    "star": ("room=star&scope=demo:tabletop-150&fault=coma", "#focus"),
    "three-panels": ("room=star&scope=demo:tabletop-150&fault=coma", "#focus"),
}

# Any photograph will do for the third panel.
PHOTOGRAPH = Path(__file__).parents[2] / "docs/pictures/live.jpg"

AT_REST = """async () => {
    const [low, high] = [0.4, 0.6].map((share) => Math.round(1000 * share));
    const handle = document.querySelector(".scale input");
    const times = [];
    for (let i = 0; i < 5; i += 1) {
        const before = document.body.dataset.drawn;
        handle.value = String(i % 2 ? low : high);
        const began = performance.now();
        handle.dispatchEvent(new Event("input"));
        handle.dispatchEvent(new Event("change"));
        while (document.body.dataset.drawn === before || document.body.dataset.rest !== "true") {
            await new Promise(requestAnimationFrame);
        }
        times.push(performance.now() - began);
    }
    return times;
}"""


def test_first_picture_after_the_command_and_a_full_one_at_rest(benchmark: Any) -> None:
    chromium = shutil.which("chromium")
    if benchmark.disabled or chromium is None:
        pytest.skip("measured only where benchmarks are asked for, with the browser chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 720})
        command = [sys.executable, "-m", "simview", "live", "--no-browser"]
        began = time.perf_counter()
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
            assert server.stdout is not None
            page.goto(server.stdout.readline().strip())
            page.wait_for_selector(DRAWN, timeout=60_000)
            first = time.perf_counter() - began
            page.wait_for_timeout(1000 * REST_S)
            rest = benchmark.pedantic(page.evaluate, args=(AT_REST,), rounds=1)
            browser.close()
            server.send_signal(signal.SIGINT)
    benchmark.extra_info["first_picture_s"] = first
    benchmark.extra_info["at_rest_ms"] = rest
    print(f"\nfirst picture {first:.2f} s; at rest {np.round(rest)} ms")


@pytest.mark.parametrize("room", list(ROOMS))
def test_frames_drawn_while_a_control_is_dragged(room: str, benchmark: Any) -> None:
    chromium = shutil.which("chromium")
    if benchmark.disabled or chromium is None:
        pytest.skip("measured only where benchmarks are asked for, with the browser chromium")
    from playwright.sync_api import sync_playwright

    told, handle = ROOMS[room]
    command = [sys.executable, "-m", "simview", "live", "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        link = server.stdout.readline().strip()
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 1280, "height": 720})
            page.goto(f"{link}#{told}")
            page.wait_for_selector(DRAWN, timeout=60_000)
            if room == "three-panels":
                page.set_input_files("#photofile", PHOTOGRAPH)
                page.wait_for_selector("#photo canvas")
            page.evaluate(NOTE)
            if told.startswith("room=see"):
                held = page.evaluate(HELD, 1000 * MOST_HOLD_S)
                print(f"\n{room}: all is held after {held / 1000.0:.1f} s at rest")
            else:
                page.wait_for_timeout(1000 * REST_S)
            drawn = benchmark.pedantic(
                page.evaluate, args=(DRAG, [handle, 1000 * SECONDS]), rounds=1
            )
            browser.close()
        server.send_signal(signal.SIGINT)
    gaps = np.diff(drawn)
    benchmark.extra_info["frames_per_second"] = len(drawn) / SECONDS
    benchmark.extra_info["gap_ms_95_percent"] = (
        float(np.percentile(gaps, 95)) if len(gaps) else None
    )
    told = np.percentile(gaps, [50, 95]) if len(gaps) else None
    print(f"\n{room}: {len(drawn) / SECONDS:.1f} frames/s, gaps {told} ms")
