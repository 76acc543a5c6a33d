"""What "Keep this" saves: the sheet that a command would make, and that command."""

from __future__ import annotations

import re
import shlex
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from simview.kit import Kit
from simview.kitfile import kit_text
from simview.live.frames import power_of
from simview.live.kit_table import OFFER, Table
from simview.live.wish import SeeWish
from simview.picture.finished import Sheet
from simview.picture.prints.display import Display
from simview.picture.save import save_png
from simview.picture.views import comparing, compose
from simview.scene.targets import target

# Under which names offered telescopes are saved beside their sheet.
OFFER_FILES: Final = ("offer.toml", "offer-2.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A sheet to save.

    Parameters
    ----------
    png
        With recipe and figures inside.
    name
        Of the file.
    command
        What makes it again on the command line.
    kit_files
        Name and text of each offered telescope's file, which the command reads.
    """

    png: bytes
    name: str
    command: str
    kit_files: dict[str, str]


def keep(wish: SeeWish, table: Table) -> Kept:
    """Make the sheet of what a page shows.

    Raises
    ------
    SimviewError
        As the command would.
    """
    kits = [table.find(side.kit).kit for side in wish.sides]
    made = _view(wish, kits[0]) if len(kits) == 1 else _compare(wish, kits)
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "sheet.png"
        save_png(made.image, place, recipe=made.recipe, figures=made.figures)
        png = place.read_bytes()
    what = "view" if len(kits) == 1 else "compare"
    name = f"{what}-{target(wish.target).name or 'own'}.png"
    files = {
        word: kit_text(kit)
        for word, kit, side in zip(_words(wish), kits, wish.sides, strict=True)
        if side.kit.startswith(OFFER)
    }
    return Kept(png=png, name=name, command=command(wish, kits), kit_files=files)


def _view(wish: SeeWish, kit: Kit) -> Sheet:
    return compose.view(
        kit,
        target(wish.target),
        power=power_of(kit, wish.sides[0]),
        sky=wish.sky(target(wish.target)),
        observer=wish.observer(),
        display=Display(adapt=wish.adapt),
    )


def _compare(wish: SeeWish, kits: list[Kit]) -> Sheet:
    pairs = zip(kits, wish.sides, strict=True)
    return comparing.compare(
        [(kit, None, power_of(kit, side)) for kit, side in pairs],
        target(wish.target),
        sky=wish.sky(target(wish.target)),
        observer=wish.observer(),
        display=Display(adapt=wish.adapt),
    )


def _words(wish: SeeWish) -> list[str]:
    """Return the words that the command line takes for the kits.

    An offered telescope has no file yet: one is saved beside its sheet. A dropped kit's file keeps
    its name also where the page told two of that name apart.
    """
    offered = list(dict.fromkeys(s.kit for s in wish.sides if s.kit.startswith(OFFER)))
    files = dict(zip(offered, OFFER_FILES, strict=False))
    return [files.get(s.kit) or re.sub(r" \(\d+\)$", "", s.kit) for s in wish.sides]


def command(wish: SeeWish, kits: list[Kit]) -> str:
    """Return the command line that makes the same sheet."""
    words = ["simview", "view" if len(kits) == 1 else "compare"]
    words += _words(wish)
    words += ["--target", wish.target]
    powers = [power_of(kit, side) for kit, side in zip(kits, wish.sides, strict=True)]
    if len(kits) == 1 and powers[0] is not None:
        words += ["--power", f"{powers[0]:g}"]
    elif len(kits) > 1 and any(powers):
        words += ["--powers", ",".join(f"{power or 1:g}" for power in powers)]
    air, height = wish.air, wish.sky(target(wish.target)).altitude_deg
    words += ["--seeing", f"{air.seeing:g}", "--sky-mag", f"{air.sky_mag:g}"]
    words += ["--altitude", f"{height:g}", "--air", air.air, "--age", f"{wish.age:g}"]
    if air.seed != 1:
        words += ["--seed", str(air.seed)]
    if wish.adapt != "sheet":
        words += ["--adapt", wish.adapt]
    return shlex.join(words)
