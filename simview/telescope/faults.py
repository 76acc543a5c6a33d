"""Faults in the trade's terms, each a wavefront or a shadow with a stated form.

``parse("coma=0.3@45")`` reads one as it is typed; ``apply_faults(scope, faults)`` gives the
telescope that has them all. Strengths are waves peak-to-valley at 550 nm over the full circle,
or what a workshop would measure. They add up, each with its own direction.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from simview.errors import FitError, RangeError, SimviewError, nearest, require_range
from simview.kit import Sky, Telescope
from simview.telescope.coma import axis_tilt_arcmin, paraboloid_coma_waves, shadow_offset
from simview.telescope.cooling import USUAL_THICKNESS, Mirror, cooled, grip
from simview.telescope.fault_kinds import KINDS, Kind
from simview.telescope.flat import Hung, Seen, require_flat, seen
from simview.telescope.terms import Extras, Plane, Plume, Term
from simview.telescope.traced_faults import change, layout_word, significant


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault of a telescope.

    Parameters
    ----------
    name
        From `simview.telescope.fault_kinds.KINDS`, or ``noll 2`` to ``noll 200``.
    amount
        In `unit`.
    unit
        One of the kind's units; the first one is usual.
    angle_deg
        Its direction, anticlockwise from the right; None for the kind's usual one.
    options
        Further settings by name, sorted; what is left out is as usual.

    Raises
    ------
    SimviewError
        An unknown name (the nearest one is offered), unit or option, or a value out of range.
    """

    name: str
    amount: float
    unit: str = ""
    angle_deg: float | None = None
    options: tuple[tuple[str, float], ...] = ()

    def __post_init__(self) -> None:
        kind = kind_of(self.name)
        unit = self.unit or next(iter(kind.units))
        if unit not in kind.units:
            raise SimviewError(
                f"fault {self.name}", got=f"unit {unit!r}", allowed=", ".join(kind.units)
            )
        object.__setattr__(self, "unit", unit)
        require_range(f"fault {self.name}", self.amount, *kind.units[unit], unit=unit)
        if self.angle_deg is not None:
            if not kind.directed:
                raise SimviewError(
                    f"fault {self.name}", got=f"angle {self.angle_deg:g}", allowed="no angle"
                )
            require_range("fault angle", self.angle_deg, -360.0, 360.0, unit="deg")
        for name, value in self.options:
            if name not in kind.options:
                raise SimviewError(
                    f"fault {self.name}",
                    got=f"option {name!r}",
                    allowed=", ".join(kind.options) or "no options",
                )
            setting = kind.options[name]
            require_range(f"fault {self.name} {name}", value, setting.low, setting.high)

    @property
    def angle(self) -> float:
        """Its direction in degrees, the usual one where none is given."""
        usual = kind_of(self.name).usual_angle
        return usual if self.angle_deg is None else self.angle_deg

    def option(self, name: str) -> float:
        """Return a setting, the usual value where none is given."""
        return dict(self.options).get(name, kind_of(self.name).options[name].usual)

    def __str__(self) -> str:
        """Return the fault as it would be typed."""
        usual = next(iter(kind_of(self.name).units))
        text = f"{self.name}={self.amount:.12g}{'' if self.unit == usual else self.unit}"
        text += "" if self.angle_deg is None else f"@{self.angle_deg:.12g}"
        return text + "".join(f",{name}={value:.12g}" for name, value in self.options)


def kind_of(name: str) -> Kind:
    """Return what is known of a fault's name.

    Raises
    ------
    SimviewError
        Offers the nearest known name.
    """
    if name in KINDS:
        return KINDS[name]
    noll = re.fullmatch(r"noll (\d+)", name)
    if noll and 2 <= int(noll[1]) <= 200:
        return KINDS["noll"]
    known = [k for k in KINDS if k != "noll"]
    near = nearest(name, known)
    raise SimviewError(
        "fault",
        got=name,
        allowed=", ".join(known) + ", noll 2 to noll 200",
        remedy=f"did you mean {near!r}?" if near else "",
    )


_NUMBER: Final = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?"
# A direction: degrees, or an hour on a clock's face seen from the same place.
_WAY: Final = (
    r"(?:(?P<hour>1[0-2]|[1-9])(?::?(?P<half>30))?\s*(?:o'?clock|h)"
    rf"|(?P<angle>{_NUMBER})\s*(?:deg|°)?)"
)
_PATTERN: Final = re.compile(
    rf"\s*(?P<name>[a-z][a-z0-9 -]*?)\s*=\s*(?P<amount>{_NUMBER})\s*(?:/\s*(?P<parts>[1-9]\d*))?"
    rf"\s*(?P<unit>[a-z%]*)\s*(?:@\s*{_WAY})?\s*(?P<rest>(?:,.*)?)"
)


def parse(text: str) -> Fault:
    """Return a fault as typed: ``name=amount[unit][@angle][,option=value...]``.

    Examples: ``coma=0.3@45``, ``turned-down-edge=0.5,width=0.1``, ``miscollimation=5arcmin@90``,
    ``roughness=0.02rms,seed=7``, ``coma=1/4``, ``coma=0.3@12oclock``.

    Raises
    ------
    SimviewError
        When it cannot be read, with an example; see also `Fault`.
    """
    found = _PATTERN.fullmatch(text.lower().replace("_", "-"))
    if not found:
        raise SimviewError(
            "fault",
            got=text,
            allowed="NAME=AMOUNT[UNIT][@ANGLE][,OPTION=VALUE]",
            remedy="for example coma=0.3@45 or turned-down-edge=0.5,width=0.1",
        )
    options = []
    for part in filter(None, found["rest"].split(",")):
        name, _, value = part.partition("=")
        try:
            options.append((name.strip(), float(value)))
        except ValueError:
            raise SimviewError("fault", got=text, allowed="OPTION=NUMBER after a comma") from None
    name = re.sub(r"^noll[ -]?(\d+)$", r"noll \1", found["name"])
    return Fault(
        name=name,
        amount=float(found["amount"]) / float(found["parts"] or 1),
        unit=found["unit"] or "",
        angle_deg=_direction(found),
        options=tuple(sorted(options)),
    )


def _direction(found: re.Match[str]) -> float | None:
    """Return a typed direction, deg anticlockwise from the right; None where none was typed."""
    if found["hour"] is not None:
        hours = float(found["hour"]) + (0.5 if found["half"] else 0.0)
        return (90.0 - 30.0 * hours) % 360.0
    return None if found["angle"] is None else float(found["angle"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Afflicted:
    """A telescope with its faults, ready for `spread_stack(scope, extras=...)`.

    Parameters
    ----------
    scope
        With the faults that are polynomials in its wavefront.
    extras
        All the others.
    sky
        Air of the stated seeing, or None without the fault "seeing".
    faults
        What was asked for.
    """

    scope: Telescope
    extras: Extras
    sky: Sky | None
    faults: tuple[Fault, ...]


def apply_faults(
    scope: Telescope, faults: Sequence[Fault], *, layout: str | None = None
) -> Afflicted:
    """Return the telescope that has all these faults, added to those of its own wavefront.

    Parameters
    ----------
    layout
        How it is built, as in `simview.Kit`; None where the objective tells enough.

    Raises
    ------
    SimviewError
        When a fault does not go with the telescope, or the sum is out of range.

    Notes
    -----
    Checked by: tests/unit/telescope/test_faults.py, tests/truth/test_paraboloid_coma.py,
    tests/truth/test_telescope_layouts.py
    """
    sums = _Sums(scope, layout)
    for fault in faults:
        sums.add(fault)
    return Afflicted(
        scope=sums.telescope(), extras=sums.extras(), sky=sums.sky(), faults=tuple(faults)
    )


# Of the mirror's radius, at least, must send its light to the flat.
_LEAST_CRESCENT: Final = 0.25


class _Sums:
    """Adds up faults of one telescope."""

    def __init__(self, scope: Telescope, layout: str | None) -> None:
        own = scope.wavefront
        self._layout = layout
        self._scope = scope
        self._plain = {"defocus": own.defocus, "spherical": own.spherical}
        self._noll = dict(own.noll)
        self._vectors = {
            name: getattr(own, name) * _unit(fold * getattr(own, f"{name}_angle_deg"))
            for name, fold in _FOLDS.items()
        }
        self._terms: list[Term] = []
        self._shadow = 0j
        self._wedge = 0j
        self._hung = Hung()
        self._more: dict[str, float] = {}
        self._seeing = 0.0
        self._seed = 1

    def add(self, fault: Fault) -> None:
        """Add one fault."""
        kind = kind_of(fault.name)
        amount = kind.sign * fault.amount
        if kind.polynomial in _FOLDS:
            turned = _unit(_FOLDS[kind.polynomial] * fault.angle)
            self._vectors[kind.polynomial] += amount * turned
        elif kind.polynomial:
            self._plain[kind.polynomial] = self._plain.get(kind.polynomial, 0.0) + amount
        elif fault.name.startswith("noll "):
            index = int(fault.name[5:])
            self._noll[index] = self._noll.get(index, 0.0) + amount
        elif kind.term is not None:
            self._terms.append(kind.term(fault))
        elif kind.traced and not self._is_flat(fault):
            self._add_traced(fault)
        elif kind.path is not None:
            self._terms.append(Formed(fault=fault))
        else:
            getattr(self, "_add_" + fault.name.replace("-", "_"))(fault)

    def _add_miscollimation(self, fault: Fault) -> None:
        if layout_word(self._scope, self._layout) != "newtonian":
            self._add_traced(fault)
            return
        tilt = fault.amount
        if fault.unit == "mm":
            tilt = axis_tilt_arcmin(self._scope, fault.amount)
        # The flare points away from the axis, the shadow moves towards it (coma.py).
        self._vectors["coma"] -= paraboloid_coma_waves(self._scope, tilt) * _unit(fault.angle)
        self._shadow += shadow_offset(self._scope, tilt) * _unit(fault.angle)

    def _is_flat(self, fault: Fault) -> bool:
        """Tell whether a fault's secondary is a flat."""
        newtonian = layout_word(self._scope, self._layout) == "newtonian"
        return fault.name == "secondary-shift" and newtonian

    def _add_secondary_shift(self, fault: Fault) -> None:
        self._hang(
            fault,
            shift_mm=self._hung.shift_mm + fault.amount * _unit(fault.angle),
            along_mm=self._hung.along_mm + fault.option("along"),
        )

    def _add_secondary_tilt(self, fault: Fault) -> None:
        if layout_word(self._scope, self._layout) != "newtonian":
            raise FitError(
                "fault secondary-tilt",
                got=f"layout {self._layout!r}",
                allowed="a Newtonian",
                remedy="elsewhere the screws' tilt is miscollimation",
            )
        lean = math.radians(fault.amount / 60.0) * _unit(fault.angle)
        self._hang(fault, lean=self._hung.lean + lean)

    def _hang(self, fault: Fault, **how: Any) -> None:
        """Lay a Newtonian's flat wrong; of several faults the last one's focuser holds."""
        require_flat(self._scope, f"fault {fault.name}")
        self._hung = replace(
            self._hung,
            focuser_deg=fault.option("focuser"),
            collimated=fault.option("collimated") > 0.5,
            **how,
        )

    def _flat(self) -> Seen | None:
        """Return what the flat shows, or None where it is in its place."""
        here = self._hung
        if not (here.shift_mm or here.along_mm or here.lean):
            return None
        found = seen(self._scope, here)
        # A crescent narrower than this is no picture of a star.
        if abs(found.lit) > found.lit_radius + 1.0 - _LEAST_CRESCENT:
            raise RangeError(
                "secondary off its place",
                got="hardly any light meets it",
                allowed="tilt and shift at which much of the light still reaches it",
                remedy="take less of them",
            )
        whole = abs(found.lit) + 1.0 <= found.lit_radius
        return replace(found, lit=0j, lit_radius=0.0) if whole else found

    def _add_traced(self, fault: Fault) -> None:
        found = change(self._scope, self._layout, fault)
        self._vectors["coma"] += found.coma
        self._vectors["astigmatism"] += found.astigmatism
        self._plain["spherical"] += found.spherical
        self._shadow += found.shadow
        for index, waves in significant(found).items():
            self._noll[index] = self._noll.get(index, 0.0) + waves

    def _add_decentred_lens(self, fault: Fault) -> None:
        self._vectors["coma"] += fault.amount * _unit(fault.angle)
        self._wedge += fault.option("wedge") * _unit(fault.angle)

    def _add_wedge(self, fault: Fault) -> None:
        self._wedge += fault.amount * _unit(fault.angle)

    def _add_off_centre_shadow(self, fault: Fault) -> None:
        share = 100.0 if fault.unit == "%" else self._scope.aperture_mm
        self._shadow += 2.0 * fault.amount / share * _unit(fault.angle)

    def _add_colour(self, fault: Fault) -> None:
        self._more["colour_waves"] = self._more.get("colour_waves", 0.0) + fault.amount

    def _add_dew(self, fault: Fault) -> None:
        """Take away what droplets hide, and as much again that they bend aside.

        Source: Babinet's principle: what is large takes twice its area from a beam, the extinction
        paradox (Berg, Sorensen & Chakrabarti 2011, J. Quant. Spectrosc. Radiat. Transfer 112, 1170,
        abstract).
        """
        clear = (1.0 - fault.amount / 100.0) ** 2
        self._more["clear"] = self._more.get("clear", 1.0) * clear

    def _add_clips(self, fault: Fault) -> None:
        aperture = self._scope.aperture_mm
        self._more["clips"] = fault.option("count")
        self._more["clip_depth"] = fault.amount / aperture
        self._more["clip_width"] = fault.option("width") / aperture

    def _add_secondary(self, fault: Fault) -> None:
        whole = {"%": 100.0, "mm": self._scope.aperture_mm}.get(fault.unit, 1.0)
        ratio = require_range("fault secondary", fault.amount / whole, 0.0, 0.8)
        self._more["obstruction"] = ratio

    def _add_vanes(self, fault: Fault) -> None:
        self._scope = replace(self._scope, vanes=round(fault.option("count")), vane_mm=fault.amount)

    def _add_cooling(self, fault: Fault) -> None:
        found = cooled(
            cooling_mirror(self._scope, self._layout, fault),
            fault.amount,
            fault.option("difference"),
        )
        for index, waves in found.noll.items():
            self._noll[index] = self._noll.get(index, 0.0) + waves
        self._terms.append(Plume(waves=found.plume_waves))
        pinch = fault.option("pinch")
        if pinch:
            held = grip(cooling_mirror(self._scope, self._layout, fault), fault.amount)
            self._vectors["trefoil"] += pinch * held * _unit(3.0 * kind_of("pinched").usual_angle)
        self._seeing = (self._seeing ** (5.0 / 3.0) + found.seeing_arcsec ** (5.0 / 3.0)) ** 0.6

    def _add_seeing(self, fault: Fault) -> None:
        # Layers add: widths to the power 5/3 (r0 to the power -5/3, Fried 1966).
        self._seeing = (self._seeing ** (5.0 / 3.0) + fault.amount ** (5.0 / 3.0)) ** 0.6
        self._seed = round(fault.option("seed"))

    def telescope(self) -> Telescope:
        """Return the telescope with all polynomials in its wavefront."""
        parts: dict[str, Any] = dict(self._plain)
        flat = self._flat()
        for name, fold in _FOLDS.items():
            vector = self._vectors[name]
            if flat is not None and name == "coma" and flat.axis:
                off = math.degrees(abs(flat.axis)) * 60.0
                coma = paraboloid_coma_waves(self._scope, off)
                vector -= coma * flat.axis / abs(flat.axis)
            parts[name] = abs(vector)
            turned = math.degrees(math.atan2(vector.imag, vector.real)) / fold
            parts[f"{name}_angle_deg"] = turned if vector else 0.0
        # What no fault adds to stays as it is: nothing of a kit's own wavefront is lost.
        own = self._scope.wavefront
        return replace(self._scope, wavefront=replace(own, noll=self._noll, **parts))

    def extras(self) -> Extras:
        """Return all that is no polynomial."""
        flat = self._flat()
        shadow = self._shadow + (0j if flat is None else flat.shadow)
        if abs(shadow) > 1.0:
            raise RangeError(
                "shadow off the centre", got=f"{abs(shadow):.2f} radii", allowed="0 to 1"
            )
        more = self._more
        return Extras(
            terms=tuple(self._terms),
            shadow_x=shadow.real,
            shadow_y=shadow.imag,
            lit_x=0.0 if flat is None else flat.lit.real,
            lit_y=0.0 if flat is None else flat.lit.imag,
            lit_radius=0.0 if flat is None else flat.lit_radius,
            clips=round(more.get("clips", 0)),
            clip_width=more.get("clip_width", 0.0),
            clip_depth=more.get("clip_depth", 0.0),
            clear=more.get("clear", 1.0),
            obstruction=more.get("obstruction"),
            wedge_arcmin=abs(self._wedge),
            wedge_angle_deg=math.degrees(math.atan2(self._wedge.imag, self._wedge.real)),
            colour_waves=more.get("colour_waves", 0.0),
        )

    def sky(self) -> Sky | None:
        """Return the air, one moment of it at the zenith, or None."""
        if not self._seeing:
            return None
        return Sky(seeing_arcsec=self._seeing, altitude_deg=90.0, air="moment", seed=self._seed)


def cooling_mirror(scope: Telescope, layout: str | None, fault: Fault) -> Mirror:
    """Return the mirror that a fault "cooling" speaks of.

    Raises
    ------
    FitError
        For a lens.
    """
    if scope.objective != "mirror":
        raise FitError(
            "fault cooling",
            got=f"objective {scope.objective!r}",
            allowed="a mirror",
            remedy="a small lens is ready within a quarter of an hour",
        )
    return Mirror(
        aperture_mm=scope.aperture_mm,
        thickness_mm=fault.option("thickness") or scope.aperture_mm / USUAL_THICKNESS,
        glass="borosilicate" if fault.option("borosilicate") > 0.5 else "plate",
        closed=layout in ("maksutov", "schmidt-cassegrain"),
    )


# How often a directed fault repeats around the circle.
_FOLDS: Final[Mapping[str, int]] = {"coma": 1, "astigmatism": 2, "trefoil": 3}


def _unit(angle_deg: float) -> complex:
    return complex(math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Formed:
    """A fault whose path error its entry in the table gives."""

    fault: Fault

    def path(self, x: Plane, y: Plane) -> Plane:
        """Return the path error in waves at 550 nm at points in radii of the full circle."""
        form = kind_of(self.fault.name).path
        assert form is not None
        return np.asarray(form(self.fault, x, y), np.float64)
