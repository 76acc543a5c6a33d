"""Kit files and the demo's kits, with the sky and the eye that go with them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from simview.cli.options import EyeOptions, SkyOptions
from simview.demo import kit_path
from simview.errors import RangeError
from simview.kit import Kit, Observer, Sky

if TYPE_CHECKING:
    from simview.kitfile import KitFile


def read(word: str) -> KitFile:
    """Return the kit that a word names: a file, or ``demo:`` and a demo kit's name."""
    from simview.kitfile import load_kit_file

    return load_kit_file(kit_path(word))


def conditions(files: Sequence[KitFile], sky: SkyOptions, eye: EyeOptions) -> tuple[Sky, Observer]:
    """Return the one sky and the one eye of a sheet.

    The first file that names a sky (an observer) gives the start, the options have the last word.
    """
    named_sky = next((file.sky for file in files if file.sky is not None), Sky())
    named_eye = next((file.observer for file in files if file.observer is not None), Observer())
    return sky.over(named_sky), eye.over(named_eye)


def eyepiece_index(kit: Kit, number: int, *, option: str = "--eyepiece") -> int:
    """Return the index from 0 of the eyepiece that the command line counts from 1.

    Raises
    ------
    RangeError
        If a telescope's kit has no such eyepiece.
    """
    if kit.telescope is None:
        return 0
    have = len(kit.eyepieces)
    if not 1 <= number <= max(have, 1):
        allowed = f"1 to {have}, as the kit has {have}" if have else "a kit with eyepieces"
        raise RangeError(option, got=number, allowed=allowed)
    return number - 1
