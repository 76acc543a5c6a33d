"""What to look for in a star out of focus, and what to do: the words for each fault."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final

from simview.kit import Telescope, Wavefront
from simview.picture.drawing.tongue import ENGLISH, N_, decimal, say, spoken
from simview.picture.fault_words import fault_words
from simview.telescope.cooling import LONGEST_MINUTES, READY_K, mean_warmth_k, minutes_until
from simview.telescope.faults import Fault, cooling_mirror, kind_of
from simview.telescope.traced_faults import layout_word

_FILE: Final = Path(__file__).parents[1] / "data" / "star_faults.toml"

# The key of a telescope without fault, and of one whose glass alone shows colour.
NONE: Final = "none"
OWN_COLOUR: Final = "own-colour"

# The key of a mirror that was carried out warm and has come to the air's warmth.
COOLED: Final = "cooled"

# What is said of a fault whose entry in the table says less.
_GENERAL: Final = {
    "short": "compare it with the faultless one",
    "look": N_("Compare the discs on both sides of focus with those of the perfect telescope."),
    "means": N_("Its form stands in the list of faults; other faults may look much like it."),
    "do": N_("Find out first whether it turns with the telescope, the eyepiece or your head."),
}


# Where other screws than a Newtonian's primary's have to be turned.
_MISCOLLIMATION: Final = {
    "cassegrain": "miscollimation-secondary",
    "schmidt-cassegrain": "miscollimation-secondary",
    "maksutov": "miscollimation-maksutov",
    "refractor": "miscollimation-lens",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class StarWords:
    """The words for one fault; see the head of data/star_faults.toml."""

    title: str
    short: str
    look: str
    means: str
    do: str
    leads: tuple[str, str, str] = (N_("Look"), N_("Cause"), N_("Do"))

    def sentences(self) -> tuple[tuple[str, str], ...]:
        """Return the three sentences, each with a word that leads it."""
        first, second, third = (say(lead) for lead in self.leads)
        return ((first, self.look), (second, self.means), (third, self.do))


@lru_cache(maxsize=1)
def _table() -> Mapping[str, Mapping[str, str]]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))


def words_for(fault: Fault | None, scope: Telescope, layout: str | None = None) -> StarWords:
    """Return the words for a fault of a telescope; None is no fault."""
    key = key_of(fault)
    if fault is not None and fault.name == "cooling" and _has_cooled(fault, scope, layout):
        key = COOLED
    if key == "miscollimation":
        key = _MISCOLLIMATION.get(layout_word(scope, layout), key)
    if key == "secondary-tilt" or (
        key == "secondary-shift" and layout_word(scope, layout) == "newtonian"
    ):
        key, kind = "secondary-flat", key
    else:
        kind = key
    row: dict[str, str] = dict(
        _table().get(key) or _GENERAL | {"title": _titled(key)} | dict(kind_of(kind).words)
    )
    for name in ("look", "means", "do"):
        other = row.pop(f"{name}_lens", row[name])
        row[name] = row[name] if scope.objective == "mirror" else other
    if fault is not None and key == "cooling" and scope.objective == "mirror":
        row["do"] = _wait(fault, scope, layout)
    return _made(row)


def _made(row: Mapping[str, str]) -> StarWords:
    return StarWords(
        title=say(row["title"]),
        short=row["short"],
        look=say(row["look"]),
        means=say(row["means"]),
        do=say(row["do"]),
    )


def _has_cooled(fault: Fault, scope: Telescope, layout: str | None) -> bool:
    """Tell whether a mirror that was carried out warm is as cold as the air, all but a kelvin."""
    if scope.objective != "mirror":
        return False
    mirror = cooling_mirror(scope, layout, fault)
    return mean_warmth_k(mirror, fault.amount, fault.option("difference")) <= READY_K


def _wait(fault: Fault, scope: Telescope, layout: str | None) -> str:
    """Return how much longer to wait."""
    mirror = cooling_mirror(scope, layout, fault)
    ready = minutes_until(mirror, READY_K, fault.option("difference"))
    more = ready - fault.amount
    helps = say("A closed tube cools slowly: take it out earlier.")
    if not mirror.closed:
        helps = say("A fan behind it shortens that.")
    if ready >= LONGEST_MINUTES:
        hours = f"{LONGEST_MINUTES / 60.0:g}"
        long = say("It takes over {hours} hours to come within 1 K.", hours=hours)
        return f"{long} {helps}"
    wait = say(
        "Wait another {minutes} minutes: then the mirror is within 1 K of the air.",
        minutes=f"{5.0 * round(more / 5.0) or 5.0:.0f}",
    )
    return f"{wait} {helps}"


def colour_words() -> StarWords:
    """Return the words for a lens whose only error is the colour of its glass."""
    return _made(_table()[OWN_COLOUR])


def _titled(name: str) -> str:
    return name.replace("-", " ").capitalize()


def key_of(fault: Fault | None) -> str:
    """Return the table's key: signs decide between what is named apart."""
    # Nought minutes after it was carried out a mirror is as warm as it gets.
    if fault is None or not (fault.amount or fault.name == "cooling"):
        return NONE
    if fault.name.startswith("noll "):
        return "noll"
    if fault.name == "spherical":
        return "undercorrection" if fault.amount > 0.0 else "overcorrection"
    return fault.name


def own_faults(wavefront: Wavefront) -> tuple[Fault, ...]:
    """Return the faults that a kit's own wavefront states, as if they had been asked for."""
    found = []
    for name in ("defocus", "spherical", "coma", "astigmatism", "trefoil"):
        amount = getattr(wavefront, name)
        if amount:
            angle = getattr(wavefront, f"{name}_angle_deg", None)
            found.append(Fault(name=name, amount=amount, angle_deg=angle or None))
    found += [Fault(name=f"noll {j}", amount=a) for j, a in wavefront.noll.items() if a]
    return tuple(found)


def in_words(faults: Sequence[Fault]) -> str:
    """Return faults as a reader wants them: "coma 0.3 waves at 45°, turned-down edge 0.5 waves"."""
    if spoken() != ENGLISH:
        return ", ".join(_spoken(fault) for fault in faults)
    return ", ".join(_phrase(fault) for fault in faults)


def _spoken(fault: Fault) -> str:
    told = fault_words(fault)
    if fault.angle_deg is None:
        return told
    return say("{fault} at {angle}°", fault=told, angle=decimal(f"{fault.angle_deg:g}"))


def _phrase(fault: Fault) -> str:
    unit = {"rms": "waves RMS", "ratio": "of the aperture", "arcmin": "′", "arcsec": "″"}.get(
        fault.unit, fault.unit
    )
    gap = "" if unit in ("′", "″") else " "
    angle = f" at {fault.angle_deg:g}°" if fault.angle_deg is not None else ""
    amount = f"{fault.amount:g}".replace("-", "−")
    return f"{fault.name.replace('-', ' ')} {amount}{gap}{unit}{angle}"
