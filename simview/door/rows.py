"""Rows of looks: one object at rising powers, through several kits, and detail against power."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final

from simview.door.looking import View, look
from simview.errors import FitError, SimviewError, require_range
from simview.kit import Kit, Observer, Sky
from simview.picture.detail import detail_sheet
from simview.picture.finished import Sheet, Size
from simview.picture.prints.display import Display
from simview.picture.prints.printing import Progress
from simview.picture.views import comparing, compose
from simview.record import require_list, require_type
from simview.scene.scene import Target
from simview.scene.targets import as_target


def looks(
    kits: Kit | Iterable[Kit],
    target: Target | str,
    powers: Iterable[float],
    *,
    sky: Sky | None = None,
    observer: Observer | None = None,
) -> Iterator[View]:
    """Look at one object through each kit at each power, one view after the other.

    Parameters
    ----------
    kits
        One kit, or several.
    target
        What `simview.target` gives, or its name.
    powers
        Magnifications, times. A binocular and the naked eye keep their own, once.
    sky, observer
        As in `simview.look`.

    Yields
    ------
    View
        Each as it is ready, kit by kit.

    Raises
    ------
    SimviewError
        As `simview.look`.

    Examples
    --------
    >>> import simview
    >>> scope = simview.Telescope(aperture_mm=114, focal_length_mm=900, obstruction=0.3)
    >>> row = simview.looks(simview.Kit(telescope=scope), "jupiter", [45, 90, 180])
    >>> [round(view.numbers["exit_pupil_mm"], 2) for view in row]
    [2.53, 1.27, 0.63]
    """
    given = (kits,) if isinstance(kits, Kit) else require_list("kits", kits, _KITS)
    subject, steps = as_target(target).remembering(), _powers(powers)
    for kit in given:
        require_type("kit", kit, Kit, "a Kit; simview.load_kit reads one from a file")
        own: tuple[float | None, ...] = steps if kit.kind == "telescope" else (None,)
        for power in own:
            yield look(kit, subject, power=power, sky=sky, observer=observer)


def ladder(  # noqa: PLR0913 - the public door takes all that a sheet needs
    kit: Kit,
    target: Target | str,
    powers: Sequence[float],
    *,
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
    display: Display | None = None,
    progress: Progress | None = None,
) -> Sheet:
    """Show one object at rising powers, and mark where magnification turns empty.

    Parameters
    ----------
    kit
        One with a telescope.
    target
        What `simview.target` gives, or its name.
    powers
        2 to 8 magnifications, times.
    sky, observer
        None takes the kit's own.
    size
        Width and height of the picture in pixels.
    display
        How bright and how far the screen is; None for a usual one.
    progress
        Called with the fraction done, 0 to 1, and a word on what comes next.

    Returns
    -------
    Sheet
        Picture in ``image``, figures in ``figures`` as `simview ladder --json` prints them.

    Raises
    ------
    SimviewError
        For powers that no telescope gives, a kit of one power, a size that sheets cannot have.

    Examples
    --------
    >>> import simview
    >>> scope = simview.Telescope(aperture_mm=50, focal_length_mm=360, objective="achromat")
    >>> shown = simview.ladder(simview.Kit(telescope=scope), "castor", [30, 450])
    >>> [step["empty"] for step in shown.figures["steps"]]
    [False, True]
    """
    require_type("kit", kit, Kit, "a Kit; simview.load_kit reads one from a file")
    return compose.ladder(
        kit,
        as_target(target),
        powers=_powers(powers),
        sky=sky,
        observer=observer,
        size=size,
        display=display,
        progress=progress,
    )


def compare(  # noqa: PLR0913 - the public door takes all that a sheet needs
    kits: Sequence[Kit],
    target: Target | str,
    powers: Sequence[float | None] | float | None = None,
    *,
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
    display: Display | None = None,
    progress: Progress | None = None,
) -> Sheet:
    """Show several kits side by side on one object at one apparent scale.

    Parameters
    ----------
    kits
        One for each panel.
    target
        What `simview.target` gives, or its name.
    powers
        One for each kit, or one for all, times; None for each kit's first eyepiece.
    sky, observer, size, display, progress
        As in `simview.ladder`; the first kit that names a sky (an observer) tells what is usual.

    Returns
    -------
    Sheet
        Picture in ``image``, figures in ``figures``.

    Raises
    ------
    SimviewError
        For another number of powers than of kits, and as `simview.look`.

    Examples
    --------
    >>> import simview
    >>> small = simview.Telescope(aperture_mm=70, focal_length_mm=700, objective="achromat")
    >>> large = simview.Telescope(aperture_mm=150, focal_length_mm=750, obstruction=0.3)
    >>> kits = [simview.Kit(telescope=small), simview.Kit(telescope=large)]
    >>> shown = simview.compare(kits, "castor", 70)
    >>> [panel["exit_pupil_mm"] for panel in shown.figures["panels"]]
    [1.0, 2.142857142857143]
    """
    given = require_list("kits", kits, "a list of Kit")
    for kit in given:
        require_type("kits", kit, Kit, "a list of Kit")
    if not given:
        raise FitError("kits", got="none", allowed="at least one")
    # A text is one value, and no power: `look` says so.
    told: Any = powers
    several = isinstance(told, Iterable) and not isinstance(told, str)
    steps = tuple(told) if several else (told,) * len(given)
    if len(steps) != len(given):
        raise FitError(
            "powers", got=f"{len(steps)} of them", allowed=f"one, or {len(given)} for these kits"
        )
    return comparing.compare(
        [(kit, None, power) for kit, power in zip(given, steps, strict=True)],
        as_target(target),
        sky=sky,
        observer=observer,
        size=size,
        display=display,
        progress=progress,
    )


def detail(
    kit: Kit,
    target: Target | str,
    powers: Sequence[float] | None = None,
    *,
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
) -> Sheet:
    """Plot the finest detail that an eye makes out against power.

    Parameters
    ----------
    kit
        A telescope's or a binocular's.
    target
        What `simview.target` gives, or its name.
    powers
        Rising magnifications, times; None takes 60 that suit the kit.
    sky, observer
        None takes the kit's own.
    size
        Of the plot in pixels.

    Returns
    -------
    Sheet
        Picture in ``image``; ``figures`` holds ``powers`` and ``finest_detail_arcsec``, beside
        others.

    Raises
    ------
    SimviewError
        For powers that do not rise, and as `simview.look`.

    Examples
    --------
    >>> import simview
    >>> scope = simview.Telescope(aperture_mm=150, focal_length_mm=750, obstruction=0.3)
    >>> curve = simview.detail(simview.Kit(telescope=scope), "jupiter", [40, 120]).figures
    >>> curve["finest_detail_arcsec"][0] > curve["finest_detail_arcsec"][1]
    True
    """
    require_type("kit", kit, Kit, "a Kit; simview.load_kit reads one from a file")
    steps = None if powers is None else _powers(powers)
    return detail_sheet.detail(
        kit, as_target(target), powers=steps, sky=sky, observer=observer, size=size
    )


def _powers(powers: Iterable[float]) -> tuple[float, ...]:
    """Return magnifications as numbers.

    Raises
    ------
    SimviewError
        For no list, none of them, or a value that no power can be.
    """
    given = require_list("powers", powers, "a list of magnifications")
    if not given:
        raise SimviewError("powers", got="none", allowed="at least one magnification")
    return tuple(require_range("powers", power, 1.0, 1e5, unit="times") for power in given)


_KITS: Final = "a Kit, or a list of Kit"

# What a figure is counted in. Names that end in their unit tell it themselves.
_UNITS = {
    "power": "times",
    "relative_brightness": "share of the naked eye's",
    "limiting_magnitude": "mag",
    "magnitude": "mag",
    "enough_from": "times",
    "empty_above": "times",
    "split_from": "times",
    "split_without_air_from": "times",
    "air_carries": "times",
    "strehl": "share of a perfect peak",
    "encircled_airy": "share of the light",
}
_ENDINGS = {
    "_mag_arcsec2": "mag/arcsec2",
    "_cd_m2": "cd/m2",
    "_arcsec": "arcsec",
    "_arcmin": "arcmin",
    "_deg": "deg",
    "_mm": "mm",
    "_nm": "nm",
    "_seconds": "s",
    "_waves": "waves",
    "_years": "years",
}


def unit(figure: str) -> str:
    """Return the unit of a figure in ``view.numbers`` or ``sheet.figures``.

    Parameters
    ----------
    figure
        Its name.

    Returns
    -------
    str
        Such as "mm".

    Raises
    ------
    SimviewError
        For a name that is no figure's.

    Examples
    --------
    >>> import simview
    >>> simview.unit("exit_pupil_mm"), simview.unit("power")
    ('mm', 'times')
    """
    if figure in _UNITS:
        return _UNITS[figure]
    for ending, told in _ENDINGS.items():
        if str(figure).endswith(ending):
            return told
    raise SimviewError("figure", got=figure, allowed="a name from view.numbers")
