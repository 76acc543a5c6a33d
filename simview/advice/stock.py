"""The shelf: the adviser's own stock or price list, as a TOML file.

docs/vet.md shows one. Each item names a kit file beside the shelf, or holds the kit itself; a star
wheel and no telescope yet are items too.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final, Literal

from simview.errors import FileError, SimviewError, require_choice, require_range
from simview.kit import Kit

Sort = Literal["telescope", "binocular", "star wheel", "no telescope yet"]
SORTS: Final = ("telescope", "binocular", "star wheel", "no telescope yet")


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """How much each figure counts in the ranking, 0 to 10."""

    faint: float = 1.0
    fine: float = 1.0
    wide: float = 1.0
    steady: float = 1.0

    def __post_init__(self) -> None:
        for name in ("faint", "fine", "wide", "steady"):
            require_range(f"weight {name}", getattr(self, name), 0.0, 10.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing on the shelf.

    Parameters
    ----------
    name
        As it is called there.
    sort
        What it is.
    price
        None where it must be asked for.
    currency
        Of this item; empty takes the shelf's.
    kit_file
        A kit file, relative to the shelf file.
    kit
        The kit itself, instead of a file.
    note
        One sentence for the buyer.
    """

    name: str
    sort: Sort = "telescope"
    price: float | None = None
    currency: str = ""
    kit_file: str = ""
    kit: Kit | None = None
    note: str = ""

    def __post_init__(self) -> None:
        require_choice("sort", self.sort, SORTS)
        if self.price is not None:
            require_range("price", self.price, 0.0, 1e7)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """All that the adviser can offer instead.

    Parameters
    ----------
    currency
        Of every item that names none.
    """

    name: str = ""
    currency: str = ""
    note: str = ""
    weights: Weights = field(default_factory=Weights)
    items: tuple[Item, ...] = ()


def load_shelf(path: str | Path) -> Shelf:
    """Return the shelf in a TOML file, its kit files read.

    Raises
    ------
    SimviewError
        Names file and key, what was got and what is allowed; an instrument without a kit too.
    """
    from simview.table import build
    from simview.textfile import read_toml

    table = read_toml(path, what="shelf file")
    shelf = build(Shelf, table, where=str(path))
    if not shelf.items:
        raise FileError(
            "shelf file holds no items", remedy="add one under [[items]]", where=str(path)
        )
    home = Path(path).parent
    items = tuple(
        _complete(item, shelf, home, f"{path}: [[items]] {n}")
        for n, item in enumerate(shelf.items, 1)
    )
    return replace(shelf, items=items)


def _complete(item: Item, shelf: Shelf, home: Path, where: str) -> Item:
    from simview.kitfile import load_kit

    kit = load_kit(home / item.kit_file) if item.kit_file and item.kit is None else item.kit
    if kit is None and item.sort in ("telescope", "binocular"):
        raise SimviewError(
            "kit", got=f"none for {item.name!r}", remedy="add kit_file or a kit table", where=where
        )
    price = item.price if item.price is not None or kit is None else kit.price
    currency = item.currency or shelf.currency or (kit.currency if kit is not None else "")
    return replace(item, kit=kit, price=price, currency=currency.upper())
