"""The library of eyepiece layouts, and a user's own prescription in TOML.

A layout is a text like this, its lengths in mm or in units of the focal length (it is scaled to
the focal length that is asked for)::

    title = "Kellner"
    apparent_field_deg = 45.0
    stop_after = 0
    source = "where it comes from"
    [[surface]]
    radius_mm = "plane"
    thickness_mm = 0.2
    glass = "BK7"
    clear_mm = 0.9
"""

from __future__ import annotations

import math
from functools import cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from simview.errors import FileError, SimviewError, require_choice, require_range
from simview.eyepiece.lens import MOST_SURFACES, Lens, LensError, Surface
from simview.fitting import fitted
from simview.textfile import parse_toml, read_toml

if TYPE_CHECKING:
    from pydantic import ValidationError

# The layouts that come with the program, by the trade's names, simplest first.
NAMES: Final = (
    "huygens",
    "huygens-3",
    "ramsden",
    "kellner",
    "orthoscopic",
    "plossl",
    "erfle",
)

# The doublet that goes before an eyepiece.
BARLOW: Final = "barlow"

# Focal lengths that a barrel holds, mm. A choice: the same as the kit room allows.
SHORTEST_MM: Final = 1.0
LONGEST_MM: Final = 100.0


def lens(name: str, focal_length_mm: float) -> Lens:
    """Return a layout of the library, scaled to a focal length.

    Parameters
    ----------
    name
        One of `NAMES`.
    focal_length_mm
        1 to 100 mm, in d light.

    Raises
    ------
    ChoiceError
        For a design that is not in the library.
    RangeError
        For a focal length that no barrel holds.
    """
    require_choice("eyepiece design", name, NAMES)
    return scaled_to(_library()[name], focal_length_mm)


def barlow(focal_length_mm: float) -> Lens:
    """Return the Barlow doublet; `focal_length_mm` is that of its negative lens, -10 to -500 mm.

    Raises
    ------
    RangeError
        For another focal length.
    """
    length = require_range("Barlow focal_length_mm", focal_length_mm, -500.0, -10.0, unit="mm")
    layout = _library()[BARLOW]
    return layout.scaled(length / focal_length(layout))


def read_lens(path: str | Path, focal_length_mm: float | None = None) -> Lens:
    """Read a user's prescription, and scale it where a focal length is given.

    Raises
    ------
    FileError
        For a file that is not there, not TOML, or has keys that are missing or not known.
    LensError
        For a prescription that cannot be made; names the surface and why.
    """
    answer = parse_lens(read_toml(path, what="prescription"), name=Path(path).stem, where=str(path))
    return answer if focal_length_mm is None else scaled_to(answer, focal_length_mm)


def scaled_to(layout: Lens, focal_length_mm: float) -> Lens:
    """Return a layout scaled to a focal length in d light, 1 to 100 mm.

    Raises
    ------
    RangeError
        For a focal length that no barrel holds.
    LensError
        For a layout that does not gather light.
    """
    length = require_range(
        "eyepiece focal_length_mm", focal_length_mm, SHORTEST_MM, LONGEST_MM, unit="mm"
    )
    own = focal_length(layout)
    if not 0.0 < own < math.inf:
        raise LensError(
            "focal length",
            got=f"{own:g} mm",
            allowed="more than 0 mm",
            remedy="an eyepiece gathers light; a Barlow goes before one",
        )
    return layout.scaled(length / own)


def focal_length(layout: Lens) -> float:
    """Return the paraxial focal length of a layout in d light, mm."""
    from simview.eyepiece.bundle import LINE_D_NM
    from simview.eyepiece.paraxial import cardinal
    from simview.eyepiece.trace import system

    return float(cardinal(system(layout, LINE_D_NM)).focal_length_mm[0])


def parse_lens(table: dict[str, Any], *, name: str, where: str) -> Lens:
    """Turn a TOML table into a lens; `where` names its origin in messages.

    Raises
    ------
    FileError
        For keys that are missing, not known or of the wrong kind.
    LensError
        For a prescription that cannot be made; names the surface and why.
    """
    plain = _plainly(table, name)
    return plain if plain is not None else _read(table, name=name, where=where)


def _plainly(table: dict[str, Any], name: str) -> Lens | None:
    """Return the lens of a table in which nothing is amiss, without loading what judges others."""
    given = {"title": name, **table, "name": name}
    rows = given.pop("surface", None)
    if not isinstance(rows, list) or not 2 <= len(rows) <= MOST_SURFACES:
        return None
    if "name" in table or "surfaces" in table or not all(type(row) is dict for row in rows):
        return None
    if any(
        isinstance(v, float) and not math.isfinite(v) for t in (table, *rows) for v in t.values()
    ):
        return None
    given["surfaces"] = [
        {"thickness_mm": 0.0, "glass": "air", **row}
        | ({"radius_mm": math.inf} if row.get("radius_mm") == "plane" else {})
        for row in rows
    ]
    if given["title"] == "":
        given["title"] = name
    return fitted(Lens, given)


def _read(table: dict[str, Any], *, name: str, where: str) -> Lens:
    from pydantic import ValidationError

    from simview.eyepiece.lensmodel import LensFile

    try:
        read = LensFile.model_validate(table)
    except ValidationError as error:
        raise _first(error, where) from None
    try:
        surfaces = tuple(
            Surface(
                radius_mm=math.inf if row.radius_mm == "plane" else row.radius_mm,
                thickness_mm=row.thickness_mm,
                glass=row.glass,
                clear_mm=row.clear_mm,
            )
            for row in read.surface
        )
        return Lens(
            name=name,
            title=read.title or name,
            surfaces=surfaces,
            apparent_field_deg=read.apparent_field_deg,
            stop_after=read.stop_after,
            stop_offset_mm=read.stop_offset_mm,
            origin=read.origin,
            source=read.source,
        )
    except SimviewError as error:
        raise error.at(where) from None


def lens_table(layout: Lens) -> dict[str, Any]:
    """Return a lens as the table that `parse_lens` reads."""
    return {
        "title": layout.title,
        "apparent_field_deg": layout.apparent_field_deg,
        "stop_after": layout.stop_after,
        "stop_offset_mm": layout.stop_offset_mm,
        "origin": layout.origin,
        "source": layout.source,
        "surface": [
            {
                "radius_mm": "plane" if math.isinf(surface.radius_mm) else surface.radius_mm,
                "thickness_mm": surface.thickness_mm,
                "glass": surface.glass,
                "clear_mm": surface.clear_mm,
            }
            for surface in layout.surfaces
        ],
    }


@cache
def _library() -> dict[str, Lens]:
    path = resources.files("simview.eyepiece") / "data" / "lenses.toml"
    table = parse_toml(path.read_text(encoding="utf-8"), where="lenses.toml")
    return {
        name: parse_lens(entry, name=name, where=f"lenses.toml: {name}")
        for name, entry in table.items()
    }


def _first(error: ValidationError, where: str) -> FileError:
    """Turn the first complaint into one line that names the surface and the key."""
    fault = error.errors()[0]
    path = [part for part in fault["loc"] if part not in ("float", "literal['plane']")]
    words = [f"surface {part + 1}" if isinstance(part, int) else str(part) for part in path]
    if len(words) > 1 and words[0] == "surface":
        words = words[1:]
    missing = fault["type"] == "missing"
    unknown = fault["type"] == "extra_forbidden"
    allowed = "" if missing or unknown else fault["msg"].lower()
    what = " ".join(words) + (
        " is missing" if missing else " is not a known key" if unknown else ""
    )
    return FileError(
        what, got=None if missing or unknown else fault["input"], allowed=allowed, where=where
    )
