"""The pages tell what the program does: their commands, keys, links and examples hold."""

from __future__ import annotations

import dataclasses
import re
import shlex
import shutil
from pathlib import Path

import pytest

from simview import demo, kit
from simview.cli.app import modules
from simview.errors import SimviewError
from simview.kitfile import parse_kit
from simview.picture import recipe
from simview.picture.again import COMMANDS
from simview.scene import own, targets

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md"))]
RECORDS = (
    kit.Kit,
    kit.Telescope,
    kit.Wavefront,
    kit.Eyepiece,
    kit.Amplifier,
    kit.Diagonal,
    kit.Mount,
    kit.Binocular,
    kit.Sky,
    kit.Observer,
)


def name(page: Path) -> str:
    return page.relative_to(ROOT).as_posix()


def test_page_on_kit_files_tells_every_key() -> None:
    text = (ROOT / "docs/kit-files.md").read_text(encoding="utf-8")
    untold = [
        f"{record.__name__}.{spot.name}"
        for record in RECORDS
        for spot in dataclasses.fields(record)
        if not re.search(rf"[`.\[]{spot.name}[`\]]", text)
    ]
    assert untold == []


def blocks(kind: str) -> list[tuple[str, str]]:
    """Return the page's name and the text of each block of a kind on the pages."""
    fence = re.compile(rf"```{kind}\n(.*?)```", re.DOTALL)
    return [
        (name(page), block)
        for page in PAGES
        for block in fence.findall(page.read_text(encoding="utf-8"))
    ]


def test_files_on_the_pages_are_good_ones(tmp_path: Path) -> None:
    shown = blocks("toml")
    assert shown
    for page, block in shown:
        if "[[target]]" not in block:
            assert parse_kit(block, where=page)
            continue
        file = tmp_path / "mine.toml"
        file.write_text(block, encoding="utf-8")
        for each in own.read(file):
            assert targets.target(each, file=file).size_arcsec > 0.0, page


def test_links_on_the_pages_lead_to_files() -> None:
    link = re.compile(r"\]\(([^)#:]+)(?:#[^)]*)?\)")
    astray = [
        f"{name(page)}: {place}"
        for page in PAGES
        for place in link.findall(page.read_text(encoding="utf-8"))
        if not (page.parent / place).exists()
    ]
    assert astray == []


def test_every_page_stands_in_the_list_of_the_site() -> None:
    listed = (ROOT / "docs/index.md").read_text(encoding="utf-8").split()
    pages = {page.stem for page in (ROOT / "docs").glob("*.md")}
    assert pages - {*listed, "index"} == set(), "give it a line in docs/index.md"


def test_every_command_has_a_page_that_the_readme_names() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    commands = [command for command, _ in modules()]
    assert commands
    unnamed = [command for command in commands if f"simview {command}" not in readme]
    untold = [
        command
        for command in commands
        if f"simview {command}" not in (ROOT / f"docs/{command}.md").read_text(encoding="utf-8")
    ]
    assert (unnamed, untold) == ([], [])


def test_pictures_on_the_pages_can_be_made_again() -> None:
    from simview.picture.save import read_recipe

    text = "".join(page.read_text(encoding="utf-8") for page in PAGES)
    pictures = sorted((ROOT / "docs").rglob("*.png"))
    assert pictures
    wrong = []
    for picture in pictures:
        try:
            given = read_recipe(picture)
            if "target" in given:
                recipe.read(given)
        except SimviewError as error:
            wrong.append(f"{name(picture)}: {error}")
            continue
        if given["command"] not in picture.name or given["command"] not in COMMANDS:
            wrong.append(f"{name(picture)}: made by {given['command']}")
        if f"pictures/{picture.name})" not in text:
            wrong.append(f"{name(picture)}: on no page")
    assert wrong == []


def test_python_on_the_front_page_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copy(demo.asset("kits/tabletop-150.toml"), tmp_path / "kit.toml")
    monkeypatch.chdir(tmp_path)
    told: list[object] = []
    blocks = re.findall(r"```python\n(.*?)```", PAGES[0].read_text(encoding="utf-8"), re.DOTALL)
    exec("\n".join(blocks), {"print": told.append})
    # Common practice, no source: the exit pupil is the aperture divided by the power.
    assert told == [pytest.approx(150.0 / 75.0)]


def command_lines() -> list[tuple[str, str]]:
    lines = [
        (name(page), line.strip())
        for page in PAGES
        for line in page.read_text(encoding="utf-8").splitlines()
        if re.match(r"( {4}|\.venv/bin/)simview ", line)
    ]
    for command, module in modules():
        lines += [(command, f"simview {command} {line}") for line in module.EXAMPLES]
        lines += [(command, f"simview {command} {line}") for line in getattr(module, "DEMO", ())]
    return lines


def test_command_lines_that_are_shown_can_be_parsed() -> None:
    import typer

    from simview.cli.app import app

    program = typer.main.get_command(app())
    refused = []
    for place, line in command_lines():
        words = shlex.split(line.partition("simview ")[2])
        with program.make_context("simview", words) as context:
            try:
                command, _, rest = program.resolve_command(context, words)
                # Parsing alone: an unknown option or a missing argument raises.
                program.get_command(context, command).make_context(command, rest, parent=context)
            except typer.TyperException as error:
                refused.append(f"{place}: {line}: {error}")
    assert refused == []
