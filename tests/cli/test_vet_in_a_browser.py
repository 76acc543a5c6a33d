"""The answer in a real browser: no complaints, two pages on paper, contrast as computed there.

Needs the program `chromium` (Debian's package of that name); without it these tests are skipped.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from simview.advice.letterhead import load_letterhead
from simview.advice.listing import Listing
from simview.advice.listingfile import load_listing
from simview.advice.page import html
from simview.advice.reading.assemble import read_advert
from simview.advice.request import Evening, Wishes, prepare
from simview.advice.stock import load_shelf
from simview.demo import asset

CHROMIUM = shutil.which("chromium")
pytestmark = pytest.mark.skipif(
    CHROMIUM is None, reason="the browser chromium is not installed; nothing was checked in it"
)

# Everything that speaks against an offer at once: the longest answer there is.
WORST = """HOBBY REFLECTOR 114/1000, f/5, 675x, in a compact tube of only 48 cm length! EUR 89.99
Eyepieces H25mm, H20mm, K15mm, H12.5mm, H6mm & SR4mm, 0.965", 3x barlow, erecting eyepiece 1.5x.
Equatorial mount EQ-1 without slow motion. 5x24 finderscope. Smartphone holder, take photos!
Spherical mirror. Plastic lenses. Free sun filter for the eyepiece."""


def browse(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu", *arguments],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def written(listing: Listing, folder: Path, *, owner: bool, pictures: bool) -> Path:
    wishes = Wishes(
        shelf=load_shelf(asset("shelf.toml")),
        budget=250.0,
        currency="EUR",
        head=load_letterhead(asset("letterhead.toml")),
        pictures=pictures,
        rescue=Evening(year=2026, month=1, latitude_deg=52.0) if owner else None,
    )
    path = folder / "answer.html"
    path.write_text(html(prepare(listing, wishes)[1]), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def buyers_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    listing = load_listing(asset("adverts/present-450x.txt"))
    with pytest.MonkeyPatch.context() as patch:
        # Small pictures, quickly made; the page gives them their place all the same.
        patch.setattr("simview.advice.pictures.SIDE_PX", 128)
        return written(listing, tmp_path_factory.mktemp("buyer"), owner=False, pictures=True)


def printed_pages(page: Path) -> int:
    paper = page.with_suffix(".pdf")
    browse("--no-pdf-header-footer", f"--print-to-pdf={paper}", page.as_uri())
    return len(re.findall(rb"/Type\s*/Page[^s]", paper.read_bytes()))


def test_browser_has_nothing_to_complain_of(buyers_page: Path) -> None:
    done = browse("--enable-logging=stderr", "--v=0", "--dump-dom", buyers_page.as_uri())
    assert "Our advice: leave it" in done.stdout
    assert [line for line in done.stderr.splitlines() if "CONSOLE" in line] == []


def test_answer_for_a_buyer_prints_on_two_pages_and_one_of_sources(buyers_page: Path) -> None:
    assert printed_pages(buyers_page) == 3


@pytest.mark.parametrize("owner", [False, True], ids=["buyer", "owner"])
def test_longest_answer_prints_on_few_pages_and_one_of_sources(owner: bool, tmp_path: Path) -> None:
    # An owner's finder charts take a page of their own where everything speaks against an offer.
    assert printed_pages(written(read_advert(WORST), tmp_path, owner=owner, pictures=False)) <= (
        4 if owner else 3
    )


# Walks over every element with words of its own and computes WCAG's contrast against the nearest
# ground that is not transparent; answers with the worst.
MEASURE = """
<script>
function rgb(text) { return text.match(/[\\d.]+/g).map(Number); }
function part(c) { c /= 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; }
function light(c) { return 0.2126 * part(c[0]) + 0.7152 * part(c[1]) + 0.0722 * part(c[2]); }
function ground(e) {
  for (; e; e = e.parentElement) {
    const c = rgb(getComputedStyle(e).backgroundColor);
    if (c.length < 4 || c[3] > 0) return c;
  }
  return [255, 255, 255];
}
let worst = 99, count = 0, wide = document.documentElement.scrollWidth;
for (const e of document.body.querySelectorAll("*")) {
  const own = [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
  if (!own || ["SCRIPT", "STYLE"].includes(e.tagName)) continue;
  const pair = [light(rgb(getComputedStyle(e).color)), light(ground(e))].sort((a, b) => b - a);
  worst = Math.min(worst, (pair[0] + 0.05) / (pair[1] + 0.05));
  count += 1;
}
const silent = [...document.images].filter(i => !i.alt || !i.complete || !i.naturalWidth).length;
document.title = JSON.stringify({worst, count, wide, silent, images: document.images.length});
</script>
"""


def measured(page: Path, folder: Path, *, width: int) -> dict[str, float]:
    probe = folder / "probe.html"
    probe.write_text(page.read_text(encoding="utf-8").replace("</body>", f"{MEASURE}</body>"))
    done = browse(f"--window-size={width},900", "--dump-dom", probe.as_uri())
    title = re.search(r"<title>(.*?)</title>", done.stdout, re.DOTALL)
    assert title is not None
    return dict(json.loads(title[1]))


@pytest.mark.parametrize("width", [500, 1200], ids=["telephone", "desk"])
def test_every_word_has_the_contrast_of_wcag_aa_and_every_picture_its_text(
    width: int, buyers_page: Path, tmp_path: Path
) -> None:
    found = measured(buyers_page, tmp_path, width=width)
    assert found["count"] > 50
    assert found["worst"] >= 4.5
    assert found["images"] == 12
    assert found["silent"] == 0


def test_page_fits_a_telephone_without_scrolling_sideways(
    buyers_page: Path, tmp_path: Path
) -> None:
    # The browser's least window is 500 pixels wide.
    assert measured(buyers_page, tmp_path, width=500)["wide"] <= 500


def test_hostile_offer_does_nothing_in_a_browser(tmp_path: Path) -> None:
    hostile = Path(__file__).parents[1] / "unit/advice/hostile_advert.txt"
    page = written(load_listing(hostile), tmp_path, owner=False, pictures=False)
    done = browse("--enable-logging=stderr", "--v=0", "--dump-dom", page.as_uri())
    assert "Our advice" in done.stdout
    assert [line for line in done.stderr.splitlines() if "CONSOLE" in line] == []
    assert not re.search(r"<(script|iframe|svg)\b|\son\w+=", done.stdout)
