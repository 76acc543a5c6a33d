"""The list of all that can be looked at, and the one door to it: `target`.

A name leads to the module that draws it; modules load when first asked for.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from importlib import import_module
from pathlib import Path
from typing import Any, Final

from simview.errors import ChoiceError, SimviewError, nearest
from simview.scene.own import read
from simview.scene.scene import Scene, Target, TargetKind
from simview.scene.sun_words import refuse_sun
from simview.scene.tables import records


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing that can be looked at.

    Parameters
    ----------
    name
        Its word on the command line: lower case, no blanks.
    title
        For lists.
    kind
        As in `simview.scene.scene.Target`.
    home
        ``"module:function"`` in the scene room that builds it.
    aliases
        Other words for it.
    given
        Options that are its own, such as the row of a table.
    free
        True when it stands for anything of its kind and needs options to be drawn.
    teaches
        One of `simview.scene.own.TEACHES`.
    ra_deg, dec_deg
        J2000, where it has a fixed place in the sky.
    """

    name: str
    title: str
    kind: TargetKind
    home: str
    aliases: tuple[str, ...] = ()
    given: Mapping[str, Any] = field(default_factory=dict)
    free: bool = False
    teaches: str = "empty magnification"
    ra_deg: float | None = None
    dec_deg: float | None = None


# Options that say when and from where something fixed among the stars is looked at.
MOMENT: Final = ("date", "latitude_deg", "longitude_deg")

# Craters of the Moon that are targets of their own.
_MOON_PLACES: Final = (
    "copernicus",
    "clavius",
    "plato",
    "ptolemaeus",
    "theophilus",
    "archimedes",
    "gassendi",
    "posidonius",
    "tycho",
    "mare-crisium",
    "sinus-iridum",
    "montes-apenninus",
    "vallis-alpes",
    "rupes-recta",
)

# What is not in a table: drawn by a function of its own.
_DRAWN: Final = (
    *(
        Entry(name=word, title=word.capitalize(), kind="planet", home=f"planets:{word}")
        for word in ("jupiter", "saturn", "mars", "venus", "mercury", "uranus", "neptune")
    ),
    Entry(
        name="jupiter-transit",
        title="Jupiter, Io before it, two shadows on it",
        kind="planet",
        home="planets:jupiter",
        given={"date": "2027-01-02T04:50"},
    ),
    Entry(name="moon", title="Moon", kind="moon", home="moon:moon", aliases=("luna",)),
    *(
        Entry(
            name=place,
            title=f"{place.replace('-', ' ').title()}, on the Moon",
            kind="moon",
            home="moon:patch",
            given={"place": place},
        )
        for place in _MOON_PLACES
    ),
    Entry(
        name="crater",
        title="Any named place of the Moon",
        kind="moon",
        home="moon:patch",
        aliases=("moon-patch",),
        free=True,
    ),
    Entry(
        name="bars", title="Bar target", kind="chart", home="charts:bars", aliases=("bar-target",)
    ),
    Entry(name="siemens", title="Siemens star", kind="chart", home="charts:siemens"),
    Entry(
        name="daytime",
        title="House by day: sign, tiles, twigs, bird",
        kind="daytime",
        home="daytime:daytime",
        aliases=("by-day", "house"),
        teaches="orientation",
    ),
    Entry(
        name="double",
        title="Any double star",
        kind="double",
        home="doubles:pair",
        free=True,
        teaches="splitting",
    ),
    Entry(
        name="field",
        title="Any star field",
        kind="stars",
        home="deep_sky:field",
        free=True,
        teaches="narrow field",
    ),
    Entry(
        name="photo",
        title="A picture of your own",
        kind="photo",
        home="photo:photo",
        aliases=("image",),
        free=True,
    ),
)


def _from_table(table: str, home: str, kind: TargetKind) -> Iterator[Entry]:
    for row in records(table):
        yield Entry(
            name=row["name"],
            title=row["title"],
            kind="stars" if row.get("kind") == "open" else kind,
            home=home,
            aliases=tuple(word for word in row["aliases"].split(";") if word),
            given={"name": row["name"]},
            teaches=row.get("teaches", "splitting"),
            ra_deg=float(row["ra_deg"]),
            dec_deg=float(row["dec_deg"]),
        )


class Painter:
    """Paints a target; pickled, it is its recipe, and makes itself again where it is used.

    `way` is the attribute of the target that it stands for: "paint" or "paint_at". What the modules
    of this room draw may be painted by several threads at once.
    """

    by_several: Final = True

    def __init__(
        self,
        recipe: Mapping[str, Any],
        paint: Callable[..., Scene] | None = None,
        way: str = "paint",
    ) -> None:
        self._recipe = dict(recipe)
        self._paint = paint
        self._way = way

    def __call__(self, pixel_arcsec: float, pixels: int, *at: tuple[float, float]) -> Scene:
        """Return the target's scene at a sampling; see `Target.scene`."""
        if self._paint is None:
            self._paint = getattr(target(**self._recipe), self._way)
        assert self._paint is not None
        return self._paint(pixel_arcsec, pixels, *at)

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self._recipe, None, self._way)


@lru_cache(maxsize=1)
def entries() -> tuple[Entry, ...]:
    """Return everything that has a name, in the order of a list for readers."""
    return (
        *_DRAWN,
        *_from_table("doubles.csv", "doubles:named", "double"),
        *_from_table("deep_sky.csv", "deep_sky:showpiece", "deep-sky"),
    )


def names(file: str | Path | None = None) -> list[str]:
    """Return every name, without synonyms; those of a user's own file first."""
    return [*own_targets(file), *(entry.name for entry in entries())]


def plain(word: str) -> str:
    """Return a word as names are written: lower case, hyphens for blanks, no marks."""
    return "-".join(str(word).lower().replace("_", " ").replace("-", " ").replace("'", "").split())


def _closed(word: str) -> str:
    return plain(word).replace("-", "")


@lru_cache(maxsize=1)
def _words() -> dict[str, Entry]:
    known: dict[str, Entry] = {}
    for entry in entries():
        for word in (entry.name, *entry.aliases):
            known.setdefault(plain(word), entry)
            known.setdefault(_closed(word), entry)
    return known


def find(name: str, further: Iterable[str] = ()) -> Entry:
    """Return the entry of a name or synonym.

    Parameters
    ----------
    further
        Names of a user's own targets, to be offered too where there is no such entry.

    Raises
    ------
    ChoiceError
        Offers the nearest names.
    """
    known, word = _words(), plain(name)
    refuse_sun(word)
    found = known.get(word) or known.get(_closed(word))
    if found is not None:
        return found
    offered = {plain(own): own for own in further} | {key: each.name for key, each in known.items()}
    near = [each for each in offered if len(word) > 2 and word in each.split("-")]
    import difflib  # here, since most names are right

    near += difflib.get_close_matches(word, list(offered), n=6, cutoff=0.6)
    # Synonyms of one target are one offer.
    best = list(dict.fromkeys(offered[each] for each in near))[:3]
    raise ChoiceError(
        "target",
        got=name,
        allowed="the names that `simview targets` lists",
        remedy=f"did you mean {' or '.join(map(repr, best))}?" if best else "",
    )


def home_of(entry: Entry) -> Callable[..., Target]:
    """Return the function that builds an entry's target; loads its module."""
    module, _, function = entry.home.partition(":")
    build: Callable[..., Target] = getattr(import_module(f"simview.scene.{module}"), function)
    return build


def target(name: str = "", *, file: str | Path | None = None, **options: Any) -> Target:
    """Return something to look at.

    Parameters
    ----------
    name
        One of `names()` or a synonym. May be left out when an option says it all: `double`
        (separation_arcsec, position_angle_deg, magnitude, magnitude), `ra_deg` and `dec_deg`,
        or `image`.
    file
        A TOML file with targets of the user's own (see `simview.scene.own`).
    **options
        What the target allows, for example ``diameter_arcsec=44`` for a planet; ``title``
        for its caption. None counts as not given.

    Returns
    -------
    Target
        Its recipe, given back to this function, builds the same target.

    Raises
    ------
    ChoiceError
        Unknown name or option; the nearest is offered.
    RangeError, FileError
        From the target itself.

    Examples
    --------
    >>> import simview
    >>> simview.target("jupiter", diameter_arcsec=44).size_arcsec
    44.0
    """
    given = {key: value for key, value in options.items() if value is not None}
    own = own_targets(file)
    for word, told in own.items():
        if _closed(word) == _closed(name):
            return _own_target(word, told, given, str(file))
    entry = find(name or implied_name(given), own)
    build = home_of(entry)
    title = None if "title" in inspect.signature(build).parameters else given.pop("title", None)
    fixed = _is_fixed(entry)
    when: dict[str, Any] = {word: given.pop(word) for word in MOMENT if fixed and word in given}
    _require_options(entry, build, given)
    built = build(**entry.given, **given)
    if when:
        from simview.scene.ephemeris import at_moment

        here: dict[str, Any] = {"ra_deg": entry.ra_deg, "dec_deg": entry.dec_deg, **given}
        built = at_moment(built, float(here["ra_deg"]), float(here["dec_deg"]), when)
    if title is not None:
        built = replace(built, title=str(title), recipe={**built.recipe, "title": str(title)})
    aside = built.paint_at and Painter(built.recipe, built.paint_at, "paint_at")
    return replace(built, paint=Painter(built.recipe, built.paint), paint_at=aside)


def as_target(told: Target | str) -> Target:
    """Return the target that a name stands for; a target as it is.

    Raises
    ------
    SimviewError
        For an unknown name, which offers the nearest, and for what is neither.
    """
    if isinstance(told, str):
        return target(told)
    if not isinstance(told, Target):
        raise SimviewError("target", got=told, allowed="a name, or what simview.target gives")
    return told


def _is_fixed(entry: Entry) -> bool:
    """Return whether an entry's targets keep their place among the stars."""
    return entry.ra_deg is not None or entry.name == "field"


def own_targets(file: str | Path | None) -> dict[str, dict[str, Any]]:
    """Return the options of a user's own targets by name; none without a file."""
    return {} if file is None else read(file)


def _own_target(name: str, told: Mapping[str, Any], given: Mapping[str, Any], where: str) -> Target:
    options = {"title": name.replace("-", " ").capitalize(), **told, **given}
    options.pop("teaches", None)
    try:
        return target(str(options.pop("like", "")), **options)
    except SimviewError as error:
        raise error.at(f"{where}: target {name!r}") from None


def implied_name(options: Mapping[str, Any]) -> str:
    """Return the target that options stand for when no name is given."""
    for option, name in (
        ("double", "double"),
        ("image", "photo"),
        ("ra_deg", "field"),
        ("place", "crater"),
    ):
        if option in options:
            return name
    raise SimviewError(
        "target", got="no name", allowed="a name, or --double, --image, or ra_deg and dec_deg"
    )


def _require_options(
    entry: Entry, build: Callable[..., Target], options: Mapping[str, Any]
) -> None:
    parameters = inspect.signature(build).parameters
    known = [word for word in parameters if word not in entry.given]
    known += MOMENT if _is_fixed(entry) else ()
    for word in options:
        if word not in known:
            near = nearest(word, known)
            raise ChoiceError(
                f"option of target {entry.name!r}",
                got=word,
                allowed=", ".join(known) or "none",
                remedy=f"did you mean {near!r}?" if near else "",
            )
    missing = [
        word
        for word, parameter in parameters.items()
        if parameter.default is inspect.Parameter.empty
        and word not in entry.given
        and word not in options
    ]
    if missing:
        needed = ", ".join(missing)
        raise SimviewError(f"target {entry.name!r}", got=f"no {needed}", remedy="give it")
