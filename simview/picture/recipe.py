"""Recipes: what a picture carries in its metadata so that it can be made again."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from simview.errors import FileError, SimviewError
from simview.kit import Kit, Observer, Sky
from simview.kitfile import KitFile, kit_text, parse_kit
from simview.picture.drawing.canvas import check_size
from simview.picture.prints.display import Display
from simview.scene.photo import sha256_of
from simview.scene.scene import Target
from simview.scene.targets import target as build_target
from simview.telescope.exposure import Engine

# Named in messages about a recipe that has been tampered with.
WHERE = "the picture's recipe"


def write(
    command: str,
    kits: Sequence[Kit],
    target: Target,
    *,
    sky: Sky,
    observer: Observer,
    **further: Any,
) -> dict[str, Any]:
    """Return a recipe: plain JSON values, kits as the text of kit files, no paths.

    Parameters
    ----------
    command
        Whose picture it is.
    kits, target, sky, observer
        What it was made from.
    further
        What that command needs besides; plain JSON values.
    """
    return {
        "command": command,
        # Sky and eye stand once, as they were used.
        "kits": [kit_text(dataclasses.replace(kit, sky=None, observer=None)) for kit in kits],
        "target": dict(target.recipe),
        "conditions": conditions_text(sky, observer),
        **further,
    }


def conditions_text(sky: Sky, observer: Observer) -> str:
    """Return sky and eye as the text of a kit file."""
    return kit_text(Kit(name="conditions", sky=sky, observer=observer))


@contextmanager
def reading() -> Iterator[None]:
    """Say of a recipe that lacks something, or holds what it should not, that it is none of ours.

    Raises
    ------
    SimviewError
        In place of KeyError, TypeError and ValueError; one that is raised within is left as it is.
    """
    try:
        yield
    except SimviewError:
        raise
    except (KeyError, TypeError, ValueError) as error:
        raise SimviewError(
            WHERE, got=f"no usable {error}", allowed="a recipe as this program writes it"
        ) from error


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Ingredients:
    """A recipe read back."""

    command: str
    kits: tuple[Kit, ...]
    target: Target
    sky: Sky
    observer: Observer
    size: tuple[int, int]
    engine: Engine
    display: Display
    further: Mapping[str, Any]


# Options of a target that name files: a recipe comes from anywhere, and never opens one.
_FILES: Final = ("image", "file")


def supply(recipe: Mapping[str, Any], photo: str | Path) -> dict[str, Any]:
    """Return a recipe with the user's own picture put where its fingerprint stands.

    Raises
    ------
    SimviewError
        Where the file is missing, is another picture, or the recipe wants none.
    """
    path = Path(photo).expanduser()
    if not path.is_file():
        raise FileError("photograph not found", where=str(photo), remedy="check the name")
    found, wanted = sha256_of(path), set[str]()

    def supplied(told: Any) -> Any:
        if not isinstance(told, Mapping) or "sha256" not in told:
            return told
        wanted.add(str(told["sha256"]))
        # A Path, which no recipe read from a file can hold.
        return {**told, "image": path} if told["sha256"] == found else told

    answer = dict(recipe)
    answer["target"] = supplied(answer.get("target"))
    if isinstance(answer.get("targets"), list):
        answer["targets"] = [
            {**row, "target": supplied(row.get("target"))} if isinstance(row, Mapping) else row
            for row in answer["targets"]
        ]
    if found not in wanted:
        raise FileError(
            "another photograph than the one in the recipe" if wanted else "no photograph wanted",
            where=str(photo),
            allowed=", ".join(f"SHA-256 {each[:12]}" for each in sorted(wanted)),
        )
    return answer


def target_of(told: Mapping[str, Any]) -> Target:
    """Return the target that a recipe tells of; only `supply` can give it a file.

    Raises
    ------
    SimviewError
        Where the recipe names a file, or wants a picture that has not been supplied.
    """
    options = {str(key): value for key, value in told.items()}
    for key in _FILES:
        if key in options and not isinstance(options[key], Path):
            raise SimviewError(
                f"{WHERE}: target",
                got=f"{key} = {str(options[key])[:60]!r}",
                allowed="no names of files, since a recipe may come from anyone",
                remedy="make the picture again from your own file",
            )
    fingerprint = options.pop("sha256", None)
    options.pop("bytes", None)
    if fingerprint is not None and "image" not in options:
        raise SimviewError(
            f"{WHERE}: photograph",
            got=f"only its fingerprint, SHA-256 {str(fingerprint)[:12]}",
            remedy="give the same picture with --photo FILE",
        )
    if "image" in options:
        options["image"] = str(options["image"])
    return build_target(**options)


def read(recipe: Mapping[str, Any], *, any_shape: bool = False) -> Ingredients:
    """Read a recipe back; `any_shape` for sizes that sheets cannot have but slides can.

    Raises
    ------
    SimviewError
        Where something is missing from it or is not what it should be.
    """
    left = dict(recipe)
    with reading():
        command, kits = left.pop("command"), list(left.pop("kits"))
        if not isinstance(command, str):
            raise TypeError("command")
        told_target = dict(left.pop("target"))
        conditions = str(left.pop("conditions"))
    told: KitFile = parse_kit(conditions, where=WHERE)
    return Ingredients(
        command=command,
        kits=tuple(parse_kit(str(text), where=WHERE).kit for text in kits),
        target=target_of(told_target),
        sky=told.sky or Sky(),
        observer=told.observer or Observer(),
        size=_size(left.pop("size", (1920, 1080)), any_shape=any_shape),
        engine="poppy" if left.pop("engine", "") == "poppy" else "native",
        display=_display(left.pop("display", None)),
        further=_complete(command, left, len(kits)),
    )


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _text(value: Any) -> bool:
    return isinstance(value, str)


def _index(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _mapping(value: Any) -> bool:
    return isinstance(value, Mapping)


def _choice(value: Any) -> bool:
    """Return whether this is a panel's choice: an eyepiece's index or None, a power or None."""
    if not isinstance(value, list | tuple) or len(value) != 2:
        return False
    index, power = value
    return (index is None or _index(index)) and (power is None or _number(power))


# What each command's recipe holds besides: how to tell that it is right, and that in words.
_Test = Callable[[Any], bool]
_FURTHER: Final[Mapping[str, Mapping[str, tuple[_Test, str]]]] = {
    "ladder": {"powers": (lambda v: _all(v, _number), "a list of numbers")},
    "compare": {
        "choices": (lambda v: _all(v, _choice), "a list of eyepiece and power"),
        "airs": (lambda v: v is None or _all(v, _text), "a list of airs, or nothing"),
        "looks": (lambda v: v is None or _all(v, _text), "a list of eye and photo, or nothing"),
        "cases": (lambda v: v is None or _all(v, _mapping), "a list of cases, or nothing"),
    },
    "view": {
        "eyepiece": (_index, "a whole number"),
        "power": (lambda v: v is None or _number(v), "a number or nothing"),
    },
    "detail": {
        "powers": (lambda v: v is None or _all(v, _number), "a list of numbers or nothing"),
    },
}


# What a recipe without a later key stands for.
_FORMERLY: Final[Mapping[str, Mapping[str, Any]]] = {
    "compare": {"looks": None, "airs": None, "cases": None}
}


def _all(values: Any, test: _Test) -> bool:
    return isinstance(values, list | tuple) and bool(values) and all(map(test, values))


def of_display(display: Display | None) -> dict[str, Any]:
    """Return a display as plain values."""
    return dataclasses.asdict(display or Display())


def _display(given: Any) -> Display:
    try:
        return Display(**(given or {}))
    except TypeError as error:
        raise SimviewError(
            f"{WHERE}: display", got=given, allowed="white_cd_m2, distance_heights, adapt"
        ) from error


def _size(given: Any, *, any_shape: bool) -> tuple[int, int]:
    try:
        width, height = (int(side) for side in given)
    except (TypeError, ValueError, OverflowError) as error:
        raise SimviewError(f"{WHERE}: size", got=given, allowed="width and height") from error
    return (width, height) if any_shape else check_size((width, height))


def _complete(command: str, further: Mapping[str, Any], kits: int) -> Mapping[str, Any]:
    # Pictures made before a key was thought of lack it.
    further = {**_FORMERLY.get(command, {}), **further}
    for key, (is_right, allowed) in _FURTHER.get(command, {}).items():
        if key not in further or not is_right(further[key]):
            raise SimviewError(f"{WHERE}: {key}", got=further.get(key), allowed=allowed)
    wanted = len(further["choices"]) if command == "compare" else 1
    if command in _FURTHER and kits != wanted:
        raise SimviewError(f"{WHERE}: kits", got=kits, allowed=f"{wanted} of them")
    return further
