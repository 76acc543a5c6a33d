"""The one place where a word becomes a kit: a file, the demo's, or a telescope's two numbers."""

from __future__ import annotations

from pathlib import Path

from simview.demo import PREFIX, kit_path
from simview.errors import FileError
from simview.kitfile import KitFile, load_kit_file
from simview.record import require_type
from simview.starters import is_starter, starter

# What a word for a kit can be, for messages.
ALLOWED = 'a kit file, demo:NAME, or two numbers such as 150/750 or "mak 127/1500"'


def find_kit(word: str) -> KitFile:
    """Return the kit that a word names.

    Parameters
    ----------
    word
        A file's name; ``demo:`` and the name of one of the demo's kits; or a telescope's aperture
        and focal length in mm, ``"150/750"``, perhaps after its kind, ``"mak 127/1500"``. A file
        of that name comes first.

    Returns
    -------
    KitFile
        The kit in ``kit``, and in ``remarks`` what had to be taken for granted.

    Raises
    ------
    SimviewError
        Where there is no such kit.

    Examples
    --------
    >>> import simview
    >>> simview.find_kit("demo:tabletop-150").kit.name
    'Tabletop reflector 150/750'
    >>> simview.find_kit("150/750").kit.telescope.focal_length_mm
    750.0
    """
    require_type("word", word, str, 'a text: a kit file\'s name, "demo:NAME" or "150/750"')
    if word.startswith(PREFIX) or _is_there(word) or not is_starter(word):
        try:
            return load_kit_file(kit_path(word))
        except FileError as error:
            if error.what == "kit file not found":
                raise FileError(error.what, allowed=ALLOWED, where=error.where) from None
            raise
    kit, taken = starter(word)
    return KitFile(kit=kit, path=Path(word), remarks=(taken,))


def _is_there(word: str) -> bool:
    try:
        return Path(word).exists()
    except OSError:
        return False
