"""What comes from others carries its licence, where it lies and in the package."""

from __future__ import annotations

import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def test_notices_beside_data_go_into_the_package_and_the_licence_names_them() -> None:
    words = {path.relative_to(ROOT).as_posix() for path in ROOT.glob("simview/**/NOTICE*.txt")}
    assert len(words) >= 5
    assert words - set(PROJECT["license-files"]) == set()
    licence = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert [word for word in words if word not in licence] == []


def test_licence_files_of_the_package_are_there() -> None:
    for word in PROJECT["license-files"]:
        assert (ROOT / word).stat().st_size > 200


# CC BY-SA 4.0, section 3: name the author, the licence with its address, and that it was changed.
def test_data_under_share_alike_say_author_licence_and_changes() -> None:
    data = ROOT / "simview" / "advice" / "data"
    notice = (data / "NOTICE-first-objects.txt").read_text(encoding="utf-8")
    table = (data / "first_objects.csv").read_text(encoding="utf-8")
    head = " ".join(line for line in table.splitlines() if line.startswith("#"))
    for text in (notice, head):
        assert "Mattia" in text
        assert "CC BY-SA 4.0" in text
        assert "https://creativecommons.org/licenses/by-sa/4.0/" in text
        assert "https://github.com/mattiaverga/OpenNGC" in text
        assert "chang" in text.lower()


def test_no_other_table_holds_data_under_share_alike() -> None:
    tables = [
        path for path in ROOT.glob("simview/**/data/**/*") if path.suffix in (".csv", ".toml")
    ]
    holding = [p.name for p in tables if "openngc" in p.read_text(encoding="utf-8").lower()]
    assert holding == ["first_objects.csv"]
