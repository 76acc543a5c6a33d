"""The whole way of a drag: from the hand through the server to the frame that a browser has drawn.

Runs only where benchmarks are asked for: `pytest tests/benchmarks/test_live_whole_way.py
--benchmark-enable -s` prints frames a second and the gaps between them. Nothing is asserted.
"""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
from typing import Any

import numpy as np
import pytest

DRAWN = "body[data-rest='true']"
SECONDS = 6.0

# Time for the pieces of work that a page at rest has done ahead.
REST_S = 6.0

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
}


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
            page.evaluate(NOTE)
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
    print(f"{room}: {len(drawn) / SECONDS:.1f} frames/s, gaps {np.percentile(gaps, [50, 95])} ms")
