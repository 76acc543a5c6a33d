"""The night's course of a telescope that was carried out warm: figures for a sheet."""

from __future__ import annotations

from typing import Any, Final

from simview.picture.drawing.text import figure
from simview.picture.drawing.tongue import decimal, say
from simview.picture.fault_words import fault_words
from simview.picture.startest.patterns import StarTest
from simview.telescope.cooling import cooled, grip
from simview.telescope.faults import Fault, cooling_mirror
from simview.telescope.focus_drift import drift_mm

# When figures are told, minutes.
TOLD: Final = (0.0, 15.0, 30.0, 45.0, 60.0, 90.0, 120.0, 180.0)


# A focuser is not set more finely than this, mm. Common practice, no source.
_UNFELT_MM: Final = 0.01


def any_cooling(test: StarTest) -> bool:
    """Tell whether the telescope that is tested is cooling."""
    return _asked(test) is not None


def cooling_rows(test: StarTest) -> list[dict[str, Any]]:
    """Return the state of the mirror through the night, its own minute among them.

    Raises
    ------
    FitError
        For a lens.
    """
    fault = _asked(test)
    assert fault is not None
    mirror = cooling_mirror(test.scope, test.kit.layout, fault)
    difference = fault.option("difference")
    rows = []
    for minutes in sorted({*TOLD, fault.amount}):
        state = cooled(mirror, minutes, difference)
        rows.append(
            {
                "minutes": minutes,
                "warmer_k": state.warmer_k,
                "spherical_waves": state.noll[11] * 1.5 * 5.0**0.5,
                "seeing_arcsec": state.seeing_arcsec,
                "plume_waves": state.plume_waves,
                "pinch_waves": fault.option("pinch") * grip(mirror, minutes),
                "focus_still_to_drift_mm": drift_mm(
                    test.scope, test.kit.layout, state.warmer_k, glass=mirror.glass
                ),
            }
        )
    return rows


def drift_words(test: StarTest) -> str:
    """Return how far the focus will still move, "" where that is nothing to be seen."""
    fault = _asked(test)
    if fault is None:
        return ""
    row = next(row for row in cooling_rows(test) if row["minutes"] == fault.amount)
    drift = float(row["focus_still_to_drift_mm"])
    if abs(drift) < _UNFELT_MM:
        return ""
    mm = figure(abs(drift))
    if drift > 0.0:
        return say("Until it is cold the focus moves {mm} mm outwards.", mm=mm) + " "
    return say("Until it is cold the focus moves {mm} mm inwards.", mm=mm) + " "


def since_words(test: StarTest) -> str:
    """Return how long ago it was carried out, "" for a telescope that is not cooling."""
    fault = _asked(test)
    if fault is None:
        return ""
    return fault_words(fault)


def taken_words(test: StarTest) -> str:
    """Return what is taken of the room and of the mirror, "" for one that is not cooling."""
    fault = _asked(test)
    if fault is None:
        return ""
    mirror = cooling_mirror(test.scope, test.kit.layout, fault)
    pinch = ""
    if fault.option("pinch"):
        pinch = say(", pinch {waves} waves", waves=decimal(f"{fault.option('pinch'):g}"))
    told = say(
        "Carried out {kelvin} K too warm; {mm} mm of {glass} glass, {tube}{pinch}; times are good"
        " to a factor of {factor}.",
        kelvin=decimal(f"{fault.option('difference'):g}"),
        mm=figure(mirror.thickness_mm),
        glass=mirror.glass,
        tube=say("closed tube") if mirror.closed else say("open tube"),
        pinch=pinch,
        factor=decimal("1.5"),
    )
    return f"{told} "


def _asked(test: StarTest) -> Fault | None:
    return next((each for each in test.faults if each.name == "cooling"), None)
