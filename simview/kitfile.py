"""Kit files: TOML to the records of kit.py and back.

A kit file is kit.py written out: every key is a field there, with the same name, unit, default
and range (docs/kit-files.md shows one). [sky] and [observer] in it are what this kit is usually
looked at with; they travel with it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from simview.errors import FileError, FitError
from simview.kit import Kit, Observer, Sky
from simview.record import require_path, require_type
from simview.table import build, plain
from simview.textfile import parse_toml, read_text, write_whole


@dataclass(frozen=True, slots=True, kw_only=True)
class KitFile:
    """What one kit file holds.

    Parameters
    ----------
    kit
        The instrument, its pieces, and the sky and observer that the file names.
    path
        Where it was read from.
    remarks
        What had to be taken for granted, in sentences.
    """

    kit: Kit
    path: Path
    remarks: tuple[str, ...] = ()

    @property
    def sky(self) -> Sky | None:
        """What the file names as usual for it; None where it says nothing."""
        return self.kit.sky

    @property
    def observer(self) -> Observer | None:
        """Who usually looks through it; None where the file says nothing."""
        return self.kit.observer


def load_kit(path: str | Path) -> Kit:
    """Return the kit in a TOML file.

    Parameters
    ----------
    path
        The file's name.

    Returns
    -------
    Kit
        With the file's sky and observer in ``kit.sky`` and ``kit.observer``, None where the
        file says nothing of them.

    Raises
    ------
    SimviewError
        Names file and key, what was got and what is allowed.

    Examples
    --------
    >>> import simview, tempfile, pathlib
    >>> kit = simview.Kit(name="naked eye", sky=simview.Sky(seeing_arcsec=2.0))
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = simview.save_kit(kit, pathlib.Path(folder) / "kit.toml")
    ...     again = simview.load_kit(path)
    >>> again.sky.seeing_arcsec
    2.0
    >>> again == kit
    True
    """
    return load_kit_file(path).kit


def load_kit_file(path: str | Path) -> KitFile:
    """Return the kit in a TOML file, and where it was read from.

    Raises
    ------
    SimviewError
        Names file and key, what was got and what is allowed.
    """
    return parse_kit(read_text(require_path("path", path), what="kit file"), where=str(path))


def parse_kit(text: str, *, where: str) -> KitFile:
    """Return the kit in TOML text; `where` stands for the file's name in messages.

    Raises
    ------
    SimviewError
        Names place and key, what was got and what is allowed.
    """
    table = parse_toml(text, where=where, what="kit file")
    if not table:
        raise FileError("kit file is empty", remedy='begin with name = "..."', where=where)
    kit = build(Kit, table, where=where)
    if kit.kind != "telescope" and kit.eyepieces:
        raise FitError(
            "[[eyepieces]] without a [telescope]",
            remedy="describe the telescope, or leave the eyepieces out",
            where=where,
        )
    return KitFile(kit=kit, path=Path(where))


def save_kit(
    kit: Kit,
    path: str | Path,
    *,
    sky: Sky | None = None,
    observer: Observer | None = None,
    force: bool = False,
) -> Path:
    """Write a kit file whole, or not at all; `load_kit` gives an equal kit back.

    Parameters
    ----------
    kit
        What to write; what equals its default is left out.
    path
        Where to.
    sky, observer
        Written instead of the kit's own; None keeps those.
    force
        True replaces a file that is there.

    Returns
    -------
    pathlib.Path
        The file.

    Raises
    ------
    FileError
        If the file is there already, or cannot be written.

    Examples
    --------
    >>> import simview, tempfile, pathlib
    >>> pair = simview.Binocular(power=10, aperture_mm=50)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = simview.save_kit(simview.Kit(binocular=pair), pathlib.Path(folder) / "pair.toml")
    ...     print(path.read_text())
    name = ""
    <BLANKLINE>
    [binocular]
    power = 10
    aperture_mm = 50
    <BLANKLINE>
    """
    return write_whole(path, kit_text(kit, sky=sky, observer=observer), force=force)


def kit_text(kit: Kit, *, sky: Sky | None = None, observer: Observer | None = None) -> str:
    """Return the TOML text of a kit file; `sky` and `observer` stand for the kit's own."""
    from tomli_w import dumps

    require_type("kit", kit, Kit, "a Kit")
    kit = replace(kit, sky=sky or kit.sky, observer=observer or kit.observer)
    table = plain(kit)
    # A kit of defaults alone would leave nothing, and an empty file is no kit.
    table.setdefault("name", kit.name)
    pieces = {key: table.pop(key) for key in ("eyepieces", "amplifiers") if key in table}
    # Each piece under a heading of its own, as people write it; dumps would set them in a row.
    headed = [f"\n[[{key}]]\n{dumps(piece)}" for key, row in pieces.items() for piece in row]
    return dumps(table) + "".join(headed)
