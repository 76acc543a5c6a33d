"""Kit files and the demo's kits, with the sky and the eye that go with them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, cast

from simview.cli import parsing
from simview.cli.options import EyeOptions, SkyOptions
from simview.errors import FitError, RangeError
from simview.kit import Design, Eyepiece, Kit, Observer, Sky

if TYPE_CHECKING:
    from simview.kitfile import KitFile
    from simview.scene.scene import Target


def read(word: str) -> KitFile:
    """Return the kit that a word names: what `simview.kitword.find_kit` takes, or an offer."""
    from simview.cli.offered import offered_kit
    from simview.kitword import find_kit
    from simview.starters import is_starter

    return (None if is_starter(word) else offered_kit(word)) or find_kit(word)


def stem(word: str) -> str:
    """Return what a word for a kit gives to a file's name: ``"mak 127/1500"`` -> mak-127-1500."""
    from simview.starters import is_starter

    if is_starter(word):
        return "-".join(re.findall(r"[a-z0-9]+", word.lower()))
    return Path(word.rpartition(":")[2]).stem


def remarks(
    files: Sequence[KitFile], target: Target | None = None, sky: SkyOptions | None = None
) -> tuple[str, ...]:
    """Return what to say of kits and of a target before the results."""
    taken = tuple(dict.fromkeys(text for file in files for text in file.remarks))
    if target is None or sky is None:
        return taken
    return (*taken, *remarks_on_height(target, sky))


def conditions(
    files: Sequence[KitFile], target: Target, sky: SkyOptions, eye: EyeOptions
) -> tuple[Sky, Observer]:
    """Return the one sky and the one eye of a sheet.

    What is usual for kit and target is the start; the options have the last word.
    """
    from simview.air.conditions import conditions as usual

    usual_sky, usual_eye = usual([file.kit for file in files], target)
    return sky.over(usual_sky), eye.over(usual_eye)


def remarks_on_height(target: Target, sky: SkyOptions) -> tuple[str, ...]:
    """Return what to say of a target that stands too low, or of options that it has no use for."""
    if target.level is not None:
        return _without_night(sky)
    from simview.air.conditions import LOWEST_DEG

    height = target.altitude_deg
    if height is None or height >= LOWEST_DEG:
        return ()
    where = f"{height:.0f} deg high" if height >= 0 else f"{-height:.0f} deg below the horizon"
    drawn = LOWEST_DEG if sky.altitude is None else sky.altitude
    return (f"{target.title} stands {where} then; drawn as if it stood {drawn:g} deg high",)


def _without_night(sky: SkyOptions) -> tuple[str, ...]:
    """Return what to say of options for the sky when the target is on the ground."""
    given = {
        "--seeing": sky.seeing,
        "--sky-mag": sky.sky_mag,
        "--altitude": sky.altitude,
        "--extinction": sky.extinction,
    }
    idle = [option for option, value in given.items() if value is not None]
    if not idle:
        return ()
    told = "says" if len(idle) == 1 else "say"
    return (
        f"{', '.join(idle)} {told} nothing about the air along the ground:"
        " that is --set shimmer=WORD and --set visibility_km=KM",
    )


@contextmanager
def naming(*files: KitFile) -> Iterator[None]:
    """Put the kit file's name before what is said about pieces that do not go together."""
    try:
        yield
    except FitError as error:
        if error.where:
            raise
        raise error.at(", ".join(dict.fromkeys(str(file.path) for file in files))) from None


def with_eyepiece(kit: Kit, word: str, *, option: str = "--eyepiece") -> tuple[Kit, int]:
    """Return the kit with the eyepiece that a word names, and that eyepiece's index.

    Parameters
    ----------
    kit
        A kit without a telescope has no choice and is given back as it is.
    word
        The eyepiece's number in the kit file, from 1, or a design and a focal length in mm, such
        as ``"kellner:20"``: an eyepiece in the barrel that the kit takes is then added to it.
    option
        For messages.

    Raises
    ------
    SimviewError
        If the kit has no such eyepiece, or the word is neither.
    """
    if kit.telescope is None:
        return kit, 0
    example = f"{option} kellner:20"
    design, colon, length = word.strip().partition(":")
    if colon:
        piece = _eyepiece(kit, design, parsing.numbers(length, option=option, example=example)[0])
        return replace(kit, eyepieces=(*kit.eyepieces, piece)), len(kit.eyepieces)
    have = len(kit.eyepieces)
    if not (design.isdecimal() and len(design) < 5 and 1 <= int(design) <= max(have, 1)):
        allowed = (
            f"1 to {have}, as the kit has {have}" if have else "DESIGN:MM, as the kit has none"
        )
        raise RangeError(option, got=word, allowed=allowed, remedy=f"or as in {example}")
    return kit, int(design) - 1


def _eyepiece(kit: Kit, design: str, focal_length_mm: float) -> Eyepiece:
    design = _SPELLINGS.get(design.lower(), design.lower())
    return Eyepiece(
        focal_length_mm=focal_length_mm,
        design=cast(Design, design),
        barrel=kit.focuser if kit.diagonal is None else kit.diagonal.barrel,
        name=f"{_INVENTORS.get(design, design)} {focal_length_mm:g} mm",
    )


# Designs that bear a name, as it is written.
_INVENTORS = {
    "huygens": "Huygens",
    "ramsden": "Ramsden",
    "kellner": "Kellner",
    "plossl": "Plössl",
    "erfle": "Erfle",
}

# Other ways to spell a design.
_SPELLINGS = {"plössl": "plossl", "ploessl": "plossl", "ortho": "orthoscopic"}
