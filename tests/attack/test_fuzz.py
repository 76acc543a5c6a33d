"""Input made up by a machine: whatever comes in, an answer or one line comes out.

Short here; `SIMVIEW_FUZZ=2000 python -m pytest tests/attack/test_fuzz.py --hypothesis-profile=hunt`
hunts with new examples each time. docs/threats.md tells how much has been tried.
"""

from __future__ import annotations

import copy
import io
import os
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from PIL import Image

from simview import budget
from simview.advice.reading.assemble import read_advert
from simview.advice.stock import load_shelf
from simview.advice.verdict import vet
from simview.cli.app import modules, run
from simview.demo import asset, assets, kit_path
from simview.errors import SimviewError
from simview.kit import Observer, Sky
from simview.kitfile import load_kit, parse_kit
from simview.picture import recipe
from simview.picture.again import redo
from simview.picture.films.moving import read_any_recipe
from simview.picture.prints import printing
from simview.picture.save import save_png
from simview.picture.startest.images import Star
from simview.scene.photo import read_linear
from simview.scene.targets import target
from simview.textfile import parse_toml
from simview.view import View

EXAMPLES = int(os.environ.get("SIMVIEW_FUZZ", "40"))
fuzz = settings(
    max_examples=EXAMPLES,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)

ODD_TEXTS = st.sampled_from(
    [
        *["", " ", "nan", "-inf", "1e999", "0", "-1", "9" * 30, "\x1b[8m", "\u202e", "\0", "=1+1"],
        *[
            "../../etc/passwd",
            "/dev/null",
            "demo:",
            "demo:tabletop-150",
            "jupiter",
            "30,75",
            "1e-300",
        ],
        *["{0.__class__}", "%s%n", "[x]", "-", "--", "--json", "true", "1,2,3,4", "2026-13-45"],
    ]
)
TEXTS = ODD_TEXTS | st.text(max_size=12)
VALUES = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | TEXTS
    | st.lists(st.integers() | TEXTS, max_size=3)
    | st.dictionaries(st.text(max_size=4), st.integers() | TEXTS, max_size=2)
)


@pytest.fixture
def no_work(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Whatever passes all the checks is stopped where the computing would begin."""

    def stop(*_: object, **__: object) -> None:
        raise SimviewError("computing", remedy="enough of this")

    monkeypatch.setattr(View, "expose", stop)
    monkeypatch.setattr(Star, "images", stop)
    monkeypatch.setattr(Star, "stack", stop)
    monkeypatch.setattr(printing, "expose_all", stop)
    monkeypatch.chdir(tmp_path)


@lru_cache(maxsize=1)
def options() -> dict[str, list[str]]:
    """Every command's options, as its own help names them."""
    import re

    found = {}
    for name, _ in modules():
        told = io.StringIO()
        with redirect_stdout(told), pytest.MonkeyPatch.context() as patch:
            patch.setenv("COLUMNS", "200")
            run([name, "--help"])
        found[name] = sorted(set(re.findall(r"--[a-z][a-z-]+", told.getvalue())) - {"--help"})
    return found


# These compute at once whatever they are told (the star's own room, a server).
_BUSY = {"demo", "live", "collimate", "eyepiece", "detail", "talk", "startest", "film", "diagnose"}


@given(data=st.data())
@fuzz
def test_command_line_gives_an_answer_or_one_line(data: Any, no_work: None) -> None:
    name = data.draw(st.sampled_from(sorted(set(options()) - _BUSY)))
    words = [name, *data.draw(st.lists(TEXTS, max_size=2))]
    for option in data.draw(st.lists(st.sampled_from(options()[name]), max_size=4)):
        words += [option, *data.draw(st.lists(TEXTS, max_size=1))]
    if "--cluster" in words:
        return
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = run(words)
    assert code in (0, 2)
    assert code == 0 or err.getvalue().count("\n") >= 1
    told = [line for line in err.getvalue().splitlines() if line]
    assert all(line.startswith("simview: ") for line in told)
    assert not any(c in err.getvalue() for c in "\x1b\0\u202e")


def answered(read: Callable[[], object]) -> None:
    """Read something; only a SimviewError may come back, in one line."""
    refused = ""
    try:
        read()
    except SimviewError as error:
        refused = str(error)
    assert "\n" not in refused


# --- TOML -----------------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def good_tables() -> list[dict[str, Any]]:
    """All of the demo's TOML files as tables."""
    return [
        parse_toml(asset(name).read_text(encoding="utf-8"), where=name)
        for name in assets()
        if name.endswith(".toml")
    ]


def leaves(tree: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The places of all values in nested tables and lists."""
    if isinstance(tree, dict):
        inner = [leaves(value, (*path, key)) for key, value in tree.items()]
    elif isinstance(tree, list):
        inner = [leaves(value, (*path, place)) for place, value in enumerate(tree)]
    else:
        inner = []
    return [path, *(place for each in inner for place in each)]


def spoiled(tree: Any, data: Any) -> Any:
    """Return a copy with one to three of its values replaced, dropped or added to."""
    tree = copy.deepcopy(tree)
    for _ in range(data.draw(st.integers(1, 3))):
        places = [place for place in leaves(tree) if place]
        if not places:
            break
        *way, last = data.draw(st.sampled_from(places))
        holder = tree
        for step in way:
            holder = holder[step]
        deed = data.draw(st.sampled_from(["replace", "replace", "drop", "add"]))
        if deed == "replace":
            holder[last] = data.draw(VALUES)
        elif deed == "drop":
            del holder[last]
        elif isinstance(holder, dict):
            holder[data.draw(TEXTS)] = data.draw(VALUES)
    return tree


def readers(text: str, folder: Path) -> None:
    """Give a TOML text to all who read one; only a SimviewError may come back."""
    from simview.advice.letterhead import load_letterhead
    from simview.advice.listingfile import load_listings
    from simview.eyepiece.lensfile import read_lens
    from simview.scene.own import read as read_targets

    file = folder / "made-up.toml"
    file.write_text(text, encoding="utf-8", errors="replace")
    for read in (load_shelf, load_letterhead, load_listings, read_lens, read_targets):
        answered(partial(read, file))
    answered(partial(parse_kit, text, where="made-up"))


@given(data=st.data())
@fuzz
def test_spoiled_toml_is_read_or_refused(data: Any, tmp_path: Path) -> None:
    table = spoiled(data.draw(st.sampled_from(good_tables())), data)
    try:
        text = tomli_w.dumps(table)
    except (TypeError, ValueError, AttributeError, UnicodeError):  # TOML has no null
        return
    readers(text, tmp_path)


@given(data=st.data())
@fuzz
def test_broken_toml_is_read_or_refused(data: Any, tmp_path: Path) -> None:
    text = tomli_w.dumps(data.draw(st.sampled_from(good_tables())))
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, min(len(text), start + 20)))
    readers(text[:start] + data.draw(TEXTS) + text[end:], tmp_path)


# --- adverts --------------------------------------------------------------------------------------

PIECES = st.sampled_from(
    [
        *[
            "70/700",
            "f/10",
            "114mm",
            "900 mm",
            "525x",
            "f",
            "D=",
            "2.7 in",
            "1¼",
            "4.5 inch",
            "PL10",
        ],
        *[
            "SR4",
            "Barlow 3x",
            "EQ2",
            "Newton",
            "Refraktor",
            "tripod",
            "sun filter",
            "€ 99,-",
            "£45",
        ],
        *[
            "10x50",
            "<b>",
            "</td>",
            "&nbsp;",
            "&#x1b;",
            "<script>",
            "---",
            "====",
            "×",
            "½",
            "m",
            "cm",
        ],
    ]
)


@given(st.lists(PIECES | TEXTS | st.sampled_from([" ", "\n", ", ", "/"]), max_size=30))
@fuzz
def test_any_advert_is_read_and_judged_with_the_readers_own_words(words: list[str]) -> None:
    text = "".join(words)
    try:
        listing = read_advert(text)
    except SimviewError:
        assume(False)  # no words at all
    verdict = vet(listing)
    assert verdict.verdict in ("leave it", "with care", "sound")
    for one in listing.readings:
        assert one.start == -1 or 0 <= one.start <= one.end <= len(text)


# --- recipes and damaged pictures -----------------------------------------------------------------


@lru_cache(maxsize=1)
def good_recipes() -> list[dict[str, Any]]:
    """Recipes of views and ladders, written without computing one."""
    kit = load_kit(kit_path("demo:tabletop-150"))
    common: dict[str, Any] = {
        "sky": Sky(),
        "observer": Observer(),
        "size": [960, 540],
        "engine": "native",
        "display": recipe.of_display(None),
    }
    names = ("jupiter", "castor", "orion-nebula")
    views = [
        recipe.write("view", [kit], target(name), eyepiece=0, power=60.0, **common)
        for name in names
    ]
    powers = [40.0, 90.0]
    return [*views, recipe.write("ladder", [kit], target("saturn"), powers=powers, **common)]


@given(data=st.data())
@fuzz
def test_spoiled_recipe_is_refused_or_comes_as_far_as_computing(data: Any, no_work: None) -> None:
    told = spoiled(data.draw(st.sampled_from(good_recipes())), data)
    with budget.used(1.0), pytest.raises(SimviewError) as refused:
        redo(told)
    assert "\n" not in str(refused.value)


@lru_cache(maxsize=1)
def good_pictures() -> dict[str, bytes]:
    """Small whole pictures of every format that is read, two of them with recipes."""
    image = Image.linear_gradient("L").convert("RGB").resize((40, 30))
    found = {}
    for kind in ("PNG", "JPEG", "TIFF", "WEBP"):
        stream = io.BytesIO()
        image.save(stream, kind)
        found[kind.lower()] = stream.getvalue()
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        place = save_png(image, Path(folder) / "a.png", recipe={"command": "view"}, figures={})
        found["png"] = place.read_bytes()
    return found


@given(data=st.data())
@fuzz
def test_damaged_picture_is_read_or_refused(data: Any, tmp_path: Path) -> None:
    kind = data.draw(st.sampled_from(sorted(good_pictures())))
    whole = bytearray(good_pictures()[kind])
    for _ in range(data.draw(st.integers(0, 8))):
        whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    del whole[data.draw(st.integers(0, len(whole))) :]
    file = tmp_path / f"damaged.{kind}"
    file.write_bytes(bytes(whole))
    for read in (read_linear, read_any_recipe):
        answered(partial(read, file))
