"""A star through focus with the faults of a telescope, and all faults by name."""

from __future__ import annotations

from collections.abc import Sequence

from simview.door.python import speaks_python
from simview.errors import SimviewError
from simview.kit import Kit
from simview.picture.finished import Sheet, Size
from simview.picture.prints.printing import Progress
from simview.picture.startest.patterns import StarTest
from simview.picture.startest.star_sheet import startest
from simview.record import require_type
from simview.telescope.fault_kinds import KINDS
from simview.telescope.faults import Fault, parse


def faults() -> dict[str, str]:
    """Return every fault that can be asked for: its name, and what it is in a sentence.

    Returns
    -------
    dict
        Name to sentence.

    Examples
    --------
    >>> import simview
    >>> simview.faults()["defocus"]
    'The eyepiece is out of focus; negative is inside, nearer the objective.'
    """
    return {name: kind.says for name, kind in KINDS.items()}


def fault(text: str) -> Fault:
    """Return one fault by its name, amount and unit.

    Parameters
    ----------
    text
        ``"coma=0.3"`` in waves peak to valley at 550 nm, or in the unit that follows it,
        with the angle in degrees after @ and further settings: ``"miscollimation=5arcmin@90"``,
        ``"turned-down-edge=0.5,width=0.1"``.

    Returns
    -------
    Fault

    Raises
    ------
    SimviewError
        For an unknown name (the nearest is offered), unit or setting, or an amount out of range.

    Examples
    --------
    >>> import simview
    >>> coma = simview.fault("coma=0.3@90")
    >>> coma.name, coma.amount, coma.unit, coma.angle_deg
    ('coma', 0.3, 'waves', 90.0)
    """
    require_type("fault", text, str, 'a text such as "coma=0.3"')
    return parse(text)


@speaks_python(travel="travel_waves")
def star_test(  # noqa: PLR0913 - the public door takes all that a sheet needs
    kit: Kit,
    faults: Sequence[Fault | str] = (),
    *,
    colour: str = "white",
    travel_waves: float = 6.0,
    positions: int = 7,
    power: float | None = None,
    common_brightness: bool = False,
    size: Size = (1920, 1080),
    progress: Progress | None = None,
) -> Sheet:
    """Show a star through focus: what a telescope's faults do to it.

    Parameters
    ----------
    kit
        Its telescope is tested; faults of its own wavefront stay in.
    faults
        Added to them: from `simview.fault`, or texts that it takes.
    colour
        "white", "green", "red", "blue", or one wavelength in nm as a text.
    travel_waves
        From focus to either end of the strip, 0.2 to 40 waves at 550 nm.
    positions
        Panels of the strip, 3 to 11, odd.
    power
        Draws the discs as large as this magnification shows them, 5 to 5000 times; None fits.
    common_brightness
        One exposure for all panels instead of one each.
    size
        Of the picture in pixels.
    progress
        Called with the fraction done, 0 to 1, and a word on what comes next.

    Returns
    -------
    Sheet
        Picture in ``image``; ``figures["rows"]`` with and without the faults.

    Raises
    ------
    SimviewError
        For a kit without a telescope, an unknown fault, a value out of range.

    Examples
    --------
    >>> import simview
    >>> scope = simview.Telescope(aperture_mm=150, focal_length_mm=750, obstruction=0.3)
    >>> test = simview.star_test(simview.Kit(telescope=scope), ["coma=0.3"], positions=3)
    >>> any(row["strehl"] < 0.9 for row in test.figures["rows"])
    True
    """
    require_type("kit", kit, Kit, "a Kit; simview.load_kit reads one from a file")
    if isinstance(faults, str | Fault):
        raise SimviewError("faults", got=faults, allowed="a list of them", remedy="put it in [ ]")
    asked = StarTest(
        kit=kit,
        faults=tuple(one if isinstance(one, Fault) else fault(one) for one in faults),
        colour=colour,
        power=power,
        common=common_brightness,
        travel_waves=travel_waves,
        positions=positions,
    )
    return startest(asked, size=size, progress=progress)
