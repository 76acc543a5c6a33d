"""The first-order beam of one instrument, one eyepiece and the pieces between them.

Power is the ratio of the focal lengths times the amplifiers' factors; the exit pupil is the
working aperture divided by the power. Where the exit pupil is wider than the eye's own pupil, the
eye stops the telescope down: aperture in use = eye's pupil x power, and the secondary's shadow
grows against it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from simview.errors import FitError, RangeError, SimviewError, require_range
from simview.eyepiece import designs
from simview.eyepiece.barrels import diagonal_in_use, goes_into, require_train_fits
from simview.eyepiece.beam import Beam, FieldCondition
from simview.eyepiece.fields import binocular_fields, eyepiece_fields
from simview.eyepiece.orientation import orientation
from simview.kit import Amplifier, Eyepiece, Kit, Telescope

# How near a piece of the kit must come to a power that is asked for. A choice: makers round
# their focal lengths about as much.
POWER_TOLERANCE: Final = 0.02

# The highest power per mm of aperture that is still computed: an exit pupil of 0.05 mm. A choice,
# ten times past what the trade calls useful, so that absurd claims can still be shown.
HIGHEST_POWER_PER_MM: Final = 20.0

# Focal lengths of eyepieces that a kit may hold (simview.kit), mm.
SHORTEST_EYEPIECE_MM: Final = 1.0
LONGEST_EYEPIECE_MM: Final = 100.0

# A secondary's shadow wider than this part of the eye's pupil leaves no view to speak of. A choice.
DARKEST_OBSTRUCTION: Final = 0.95

# Field that both eyes share, deg. Source: Howard & Rogers 1995, Binocular Vision and
# Stereopsis: about 114 to 120 deg (from memory). Only a frame for pictures at power 1.
NAKED_EYE_FIELD_DEG: Final = 120.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Pieces put together: one eyepiece and the amplifiers before it.

    Parameters
    ----------
    eyepiece
        The piece itself.
    amplifiers
        Indices into ``kit.amplifiers``.
    in_the_box
        False for an imagined eyepiece.
    stretch
        Factor of an imagined amplifier, for powers that would need an eyepiece shorter than the
        shortest that a kit may hold.
    """

    eyepiece: Eyepiece
    amplifiers: tuple[int, ...] = ()
    in_the_box: bool = True
    stretch: float = 1.0


def beam(
    kit: Kit,
    *,
    eyepiece: int = 0,
    amplifiers: tuple[int, ...] = (),
    power: float | None = None,
    eye_pupil_mm: float,
) -> Beam:
    """Return the beam that leaves the eyepiece.

    Parameters
    ----------
    kit
        Telescope, binocular or naked eye.
    eyepiece
        Index into ``kit.eyepieces``; counted when `power` is None.
    amplifiers
        Indices into ``kit.amplifiers``; counted when `power` is None.
    power
        Asked-for power, times. The pieces of the kit that come nearest are taken if they come
        within 2 %; otherwise an eyepiece is imagined that gives it, with the apparent field,
        the barrel and the glass of the piece nearest in focal length, and the beam's
        `in_the_box` is False. Binoculars and the naked eye have one power only.
    eye_pupil_mm
        Diameter of the eye's pupil, 1 to 9 mm.

    Raises
    ------
    RangeError
        For an index that the kit does not have, or a power that makes no sense.
    FitError
        For pieces that do not go together.

    Notes
    -----
    Source: first-order optics, M = f_objective / f_eyepiece and p = D / M; common practice.
    Checked by: tests/truth/test_eyepiece_fields.py, tests/unit/eyepiece/test_train.py
    """
    eye_pupil_mm = require_range("eye_pupil_mm", eye_pupil_mm, 0.5, 10.0, unit="mm")
    if kit.telescope is None:
        return _without_eyepiece(kit, power, eye_pupil_mm)
    if power is None:
        choice = _named(kit, kit.telescope, eyepiece, amplifiers)
    else:
        choice = _wanted(kit, kit.telescope, power)
    return _telescope_beam(kit, kit.telescope, choice, eye_pupil_mm)


def power_of(scope: Telescope, eyepiece: Eyepiece, amplifiers: tuple[Amplifier, ...] = ()) -> float:
    """Return the power of an eyepiece with amplifiers, times.

    Source: ratio of the focal lengths, times the amplifiers' factors; common practice.
    Checked by: tests/unit/eyepiece/test_train.py
    """
    factor = math.prod(piece.factor for piece in amplifiers)
    return scope.focal_length_mm * factor / eyepiece.focal_length_mm


def choices(kit: Kit) -> Iterator[tuple[float, Choice]]:
    """Give every power of a telescope kit, with the pieces that make it.

    Each eyepiece alone, with each one of the amplifiers, and with all of them. Pieces that do
    not go together are left out.
    """
    if kit.telescope is None:
        return
    count = len(kit.amplifiers)
    sets: list[tuple[int, ...]] = [(), *((i,) for i in range(count))]
    if count > 1:
        sets.append(tuple(range(count)))
    for piece in kit.eyepieces:
        for chosen in sets:
            try:
                require_train_fits(kit, piece, chosen)
            except FitError:
                continue
            between = tuple(kit.amplifiers[i] for i in chosen)
            yield (
                power_of(kit.telescope, piece, between),
                Choice(eyepiece=piece, amplifiers=chosen),
            )


def _named(kit: Kit, scope: Telescope, eyepiece: int, amplifiers: tuple[int, ...]) -> Choice:
    if not kit.eyepieces:
        raise SimviewError(
            "eyepieces",
            got="a kit without any",
            allowed="at least one eyepiece",
            remedy="add one to the kit, or ask for a power",
        )
    _require_index("eyepiece", eyepiece, len(kit.eyepieces))
    for index in amplifiers:
        _require_index("amplifier", index, len(kit.amplifiers))
    if len(set(amplifiers)) < len(amplifiers):
        raise FitError("amplifiers", got=list(amplifiers), allowed="each piece once")
    choice = Choice(eyepiece=kit.eyepieces[eyepiece], amplifiers=tuple(amplifiers))
    require_train_fits(kit, choice.eyepiece, choice.amplifiers)
    between = tuple(kit.amplifiers[i] for i in choice.amplifiers)
    _require_power(scope, power_of(scope, choice.eyepiece, between))
    return choice


def _require_index(what: str, index: int, count: int) -> None:
    if isinstance(index, bool) or not isinstance(index, int) or not 0 <= index < count:
        allowed = f"0 to {count - 1}" if count else "none, for the kit has no such piece"
        raise RangeError(f"{what} index", got=index, allowed=allowed)


def _require_power(scope: Telescope, power: float) -> float:
    lowest = max(1.0, scope.focal_length_mm / LONGEST_EYEPIECE_MM)
    highest = HIGHEST_POWER_PER_MM * scope.working_aperture_mm
    return require_range("power", power, lowest, highest, unit="times")


def _wanted(kit: Kit, scope: Telescope, power: float) -> Choice:
    power = _require_power(scope, power)
    near = [
        (abs(math.log(found / power)), len(choice.amplifiers), order, choice)
        for order, (found, choice) in enumerate(choices(kit))
        if abs(found / power - 1.0) <= POWER_TOLERANCE
    ]
    if near:
        return min(near, key=lambda entry: entry[:3])[3]
    return _imagined(kit, scope, power)


def _imagined(kit: Kit, scope: Telescope, power: float) -> Choice:
    """Return an eyepiece that gives the power, like the kit's nearest one where it has any."""
    focal_length_mm = scope.focal_length_mm / power
    stretch = max(1.0, SHORTEST_EYEPIECE_MM / focal_length_mm)
    socket = kit.focuser if kit.diagonal is None else kit.diagonal.barrel
    fitting = [piece for piece in kit.eyepieces if goes_into(piece.barrel, socket)]
    nearest = min(
        fitting,
        key=lambda piece: abs(math.log(piece.focal_length_mm / focal_length_mm)),
        default=Eyepiece(focal_length_mm=25.0, barrel=socket),
    )
    # A field stop belongs to its own focal length; only the apparent field carries over.
    apparent = eyepiece_fields(nearest, 1.0, nearest.focal_length_mm)[1]
    like = replace(
        nearest,
        focal_length_mm=min(
            max(focal_length_mm * stretch, SHORTEST_EYEPIECE_MM), LONGEST_EYEPIECE_MM
        ),
        apparent_field_deg=min(max(apparent, 10.0), 120.0),
        field_stop_mm=None,
        name=f"{focal_length_mm:.3g} mm",
    )
    return Choice(eyepiece=like, in_the_box=False, stretch=stretch)


def _telescope_beam(kit: Kit, scope: Telescope, choice: Choice, eye_pupil_mm: float) -> Beam:
    between = tuple(kit.amplifiers[i] for i in choice.amplifiers)
    power = power_of(scope, choice.eyepiece, between) * choice.stretch
    through = power * choice.eyepiece.focal_length_mm
    fields = eyepiece_fields(choice.eyepiece, power, through)
    light = scope.transmission * designs.transmission(choice.eyepiece)
    light *= math.prod(piece.transmission for piece in between)
    diagonal = diagonal_in_use(kit, choice.amplifiers)
    if diagonal is not None:
        light *= diagonal.transmission
    bare = _beam(
        power=power,
        working_mm=float(scope.working_aperture_mm),
        secondary_mm=scope.obstruction * scope.aperture_mm,
        eye_pupil_mm=eye_pupil_mm,
        transmission=light,
        fields=fields,
    )
    return replace(
        bare,
        orientation=orientation(kit, choice.amplifiers),
        eyepiece_name=choice.eyepiece.name or f"{choice.eyepiece.focal_length_mm:g} mm",
        amplifier_name=" + ".join(_amplifier_name(piece) for piece in between),
        eyepiece=choice.eyepiece,
        factor=math.prod(piece.factor for piece in between) * choice.stretch,
        in_the_box=choice.in_the_box,
    )


def _beam(
    *,
    power: float,
    working_mm: float,
    secondary_mm: float,
    eye_pupil_mm: float,
    transmission: float,
    fields: tuple[float, float, FieldCondition],
) -> Beam:
    exit_pupil_mm = working_mm / power
    stopped = exit_pupil_mm > eye_pupil_mm
    aperture_mm = eye_pupil_mm * power if stopped else working_mm
    obstruction = secondary_mm / aperture_mm
    if obstruction > DARKEST_OBSTRUCTION:
        raise FitError(
            "power",
            got=f"{power:.3g} times",
            allowed=f"above {secondary_mm / (DARKEST_OBSTRUCTION * eye_pupil_mm):.3g} times here",
            remedy="the secondary's shadow fills the eye's pupil; take a shorter eyepiece",
        )
    return Beam(
        power=power,
        exit_pupil_mm=exit_pupil_mm,
        eye_pupil_mm=eye_pupil_mm,
        used_pupil_mm=min(exit_pupil_mm, eye_pupil_mm),
        aperture_mm=aperture_mm,
        obstruction=obstruction,
        transmission=transmission,
        true_field_arcmin=fields[0],
        apparent_field_deg=fields[1],
        condition=fields[2],
        orientation="upright",
    )


def _without_eyepiece(kit: Kit, power: float | None, eye_pupil_mm: float) -> Beam:
    own = 1.0 if kit.binocular is None else kit.binocular.power
    if power is not None and not abs(power / own - 1.0) <= POWER_TOLERANCE:
        raise FitError(
            "power",
            got=f"{power:g} times",
            allowed=f"{own:g} times, the only power of {_instrument(kit)}",
            remedy="leave the power out",
        )
    if kit.binocular is None:
        field = NAKED_EYE_FIELD_DEG
        return _beam(
            power=1.0,
            working_mm=eye_pupil_mm,
            secondary_mm=0.0,
            eye_pupil_mm=eye_pupil_mm,
            transmission=1.0,
            fields=(field * 60.0, field, "angle"),
        )
    return _beam(
        power=float(own),
        working_mm=float(kit.binocular.aperture_mm),
        secondary_mm=0.0,
        eye_pupil_mm=eye_pupil_mm,
        transmission=kit.binocular.transmission,
        fields=binocular_fields(kit.binocular),
    )


def _instrument(kit: Kit) -> str:
    return "the naked eye" if kit.binocular is None else "this binocular"


def _amplifier_name(piece: Amplifier) -> str:
    word = "Barlow" if piece.kind == "barlow" else "erecting prism"
    return piece.name or f"{piece.factor:g}× {word}"
