"""Tab completion: what could follow the letters typed so far. Nothing here may raise."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path


def choices(words: Iterable[str]) -> Callable[[str], list[str]]:
    """Return a completer for fixed words."""
    known = tuple(words)

    def complete(incomplete: str) -> list[str]:
        return [word for word in known if word.startswith(incomplete)]

    return complete


def targets(incomplete: str) -> list[tuple[str, str]]:
    """Return the targets that begin like this, each with its title."""
    from simview.scene.targets import entries

    return [(each.name, each.title) for each in entries() if each.name.startswith(incomplete)]


def kits(incomplete: str) -> list[str]:
    """Return the kit files and folders that begin like this, and the demo's kits."""
    from simview.demo import PREFIX, kit_names

    demo = [f"{PREFIX}{name}" for name in kit_names()]
    return [*_paths(incomplete, ".toml"), *(word for word in demo if word.startswith(incomplete))]


def listings(incomplete: str) -> list[str]:
    """Return the listing files and folders that begin like this, and the demo's adverts."""
    from simview.demo import PREFIX, assets

    demo = [f"{PREFIX}{Path(name).stem}" for name in assets() if name.startswith("adverts/")]
    found = dict.fromkeys([*_paths(incomplete, ".txt"), *_paths(incomplete, ".toml")])
    return [*found, *(word for word in demo if word.startswith(incomplete))]


def pictures(incomplete: str) -> list[str]:
    """Return the PNG and WebP files and the folders that begin like this."""
    return [
        *dict.fromkeys(
            path for end in (".png", ".webp", ".gif", ".mp4") for path in _paths(incomplete, end)
        )
    ]


def _paths(incomplete: str, suffix: str) -> list[str]:
    folder, _, start = incomplete.rpartition("/")
    home = Path(f"{folder}/") if "/" in incomplete else Path()
    try:
        found = sorted(home.iterdir())
    except OSError:
        return []
    lead = f"{folder}/" if "/" in incomplete else ""
    return [
        f"{lead}{path.name}/" if path.is_dir() else f"{lead}{path.name}"
        for path in found
        if path.name.startswith(start)
        and not (path.name.startswith(".") and not start)
        and (path.is_dir() or path.suffix == suffix)
    ]


def lenses(incomplete: str) -> list[str]:
    """Return the eyepiece designs and the prescriptions (files) that begin like this."""
    from simview.eyepiece.lensfile import NAMES

    return [*choices(NAMES)(incomplete), *_paths(incomplete, ".toml")]
