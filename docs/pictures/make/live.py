"""Make the page's picture and its film for the README: a power that is dragged into the empty part.

    python docs/pictures/make/live.py

Needs chromium, as tests/browser does; writes live.jpg and live.webp beside its own folder.
"""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
from io import BytesIO
from pathlib import Path
from typing import Any

from PIL import Image

HERE = Path(__file__).resolve().parents[1]
SIZE = {"width": 1120, "height": 700}
DRAWN = "body[data-rest='true']"
TWO = "kit=demo:toy-refractor-50&power=45&kit=demo:toy-refractor-50&power=450&shown=object"

TURN = r"""(power) => {
    location.hash = location.hash.replace(/power=[\d.]+/, `power=${power}`);
}"""

# Up from piece to piece with halts where something is to be seen, and back; ms a picture.
POWERS = [30, 34, 39, 45, 52, 60, 69, 80, 92, 106, 122, 140, 162, 187, 216, 250, 290, 335, 388, 450]
STEP_MS, HALT_MS = 110, 1600


def shot(page: Any) -> Image.Image:
    """Return the page as it stands."""
    return Image.open(BytesIO(page.screenshot())).convert("RGB")


def main() -> None:
    """Serve the page, walk it and write both files."""
    from playwright.sync_api import sync_playwright

    command = [sys.executable, "-m", "simview", "live", "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        link = server.stdout.readline().strip()
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"), args=["--no-sandbox"]
            )
            page = browser.new_page(viewport=SIZE)
            page.set_default_timeout(120_000)
            page.goto(f"{link}#room=see&object=jupiter&{TWO}")
            page.wait_for_selector(DRAWN)
            page.wait_for_timeout(500)
            shot(page).save(HERE / "live.jpg", quality=88, optimize=True)
            page.goto(f"{link}#room=see&object=jupiter&kit=demo:toy-refractor-50&power=30")
            page.reload()
            frames = []
            for power in POWERS:
                page.evaluate(TURN, power)
                page.locator("#line", has_text=f" {power}×").wait_for()
                page.wait_for_selector(DRAWN)
                page.wait_for_timeout(150)
                frames.append(shot(page))
            browser.close()
        server.send_signal(signal.SIGINT)
    frames += frames[-2:0:-1]
    halts = {POWERS.index(45), len(POWERS) - 1}
    times = [HALT_MS if i in halts else STEP_MS for i in range(len(frames))]
    frames[0].save(
        HERE / "live.webp",
        save_all=True,
        append_images=frames[1:],
        duration=times,
        loop=0,
        quality=70,
        method=6,
    )


if __name__ == "__main__":
    main()
