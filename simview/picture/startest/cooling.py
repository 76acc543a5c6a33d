"""The night's course of a telescope that was carried out warm: figures for a sheet."""

from __future__ import annotations

from typing import Any, Final

from simview.picture.startest.patterns import StarTest
from simview.telescope.cooling import cooled, focus_drift_mm
from simview.telescope.faults import Fault, cooling_mirror

# When figures are told, minutes.
TOLD: Final = (0.0, 15.0, 30.0, 45.0, 60.0, 90.0, 120.0, 180.0)


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
                "focus_still_to_drift_mm": focus_drift_mm(
                    test.scope.focal_length_mm, state.warmer_k
                ),
            }
        )
    return rows


def _asked(test: StarTest) -> Fault | None:
    return next((each for each in test.faults if each.name == "cooling"), None)
