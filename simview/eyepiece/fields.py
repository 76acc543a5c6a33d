"""Field stop, apparent field and true field: three names for one ring.

The true field follows without doubt from the diameter of the field stop. An apparent field can
only be turned into it by a condition on the eyepiece's distortion, of which there are two:

* tangent: straight lines stay straight, stop = 2 f tan(A / 2), tan(A / 2) = M tan(T / 2);
* angle: magnification is the same for every angle, stop = f A (radians), A = M T.

Real eyepieces lie between. Where the stop of an eyepiece is unknown the angle condition is used:
it is what the trade's "apparent field divided by power" means, and gives the smaller field. For
binoculars the tangent condition is used, as in ISO 14132-1:2002.
"""

from __future__ import annotations

import math

from simview.eyepiece.barrels import LARGEST_STOP_MM
from simview.eyepiece.beam import FieldCondition
from simview.eyepiece.designs import apparent_field_deg as usual_field_deg
from simview.kit import Binocular, Eyepiece

# Apparent field of a binocular whose maker says nothing, deg. Common practice, no source.
USUAL_BINOCULAR_FIELD_DEG = 50.0


def field_stop_mm(
    apparent_field_deg: float, focal_length_mm: float, condition: FieldCondition = "angle"
) -> float:
    """Return the field stop's diameter that gives an apparent field, mm.

    Source: the two conditions in this module's head; e.g. Rutten & van Venrooij 1988, Telescope
    Optics, chapter on eyepieces (from memory).
    Checked by: tests/truth/test_eyepiece_fields.py
    """
    angle = math.radians(apparent_field_deg)
    if condition == "tangent":
        return 2.0 * focal_length_mm * math.tan(angle / 2.0)
    return focal_length_mm * angle


def apparent_from_stop_deg(
    stop_mm: float, focal_length_mm: float, condition: FieldCondition = "angle"
) -> float:
    """Return the apparent field of a field stop, full diameter in degrees."""
    ratio = stop_mm / focal_length_mm
    if condition == "tangent":
        return math.degrees(2.0 * math.atan(ratio / 2.0))
    return math.degrees(ratio)


def true_from_stop_arcmin(stop_mm: float, focal_length_mm: float) -> float:
    """Return the true field of a stop at the focus of an objective, in arcminutes.

    Parameters
    ----------
    stop_mm
        Diameter of the field stop.
    focal_length_mm
        Of the objective, times the amplifiers' factors.

    Notes
    -----
    Source: geometry, T = 2 atan(stop / 2f).
    Checked by: tests/truth/test_eyepiece_fields.py
    """
    return math.degrees(2.0 * math.atan(stop_mm / (2.0 * focal_length_mm))) * 60.0


def true_from_apparent_arcmin(
    apparent_field_deg: float, power: float, condition: FieldCondition = "angle"
) -> float:
    """Return the true field of an apparent field at a power, in arcminutes."""
    if condition == "tangent":
        half = math.atan(math.tan(math.radians(apparent_field_deg) / 2.0) / power)
        return math.degrees(2.0 * half) * 60.0
    return apparent_field_deg / power * 60.0


def apparent_from_true_deg(
    true_field_arcmin: float, power: float, condition: FieldCondition = "angle"
) -> float:
    """Return the apparent field of a true field at a power, in degrees."""
    if condition == "tangent":
        half = math.atan(math.tan(math.radians(true_field_arcmin / 120.0)) * power)
        return math.degrees(2.0 * half)
    return true_field_arcmin / 60.0 * power


def eyepiece_fields(
    eyepiece: Eyepiece, power: float, focal_length_mm: float
) -> tuple[float, float, FieldCondition]:
    """Return true field (arcmin), apparent field (deg) and the condition used.

    A stated field stop decides; else the apparent field, stated or usual, by the angle
    condition; where that would need a stop wider than the barrel, the barrel is the stop.

    Parameters
    ----------
    focal_length_mm
        Of the objective, times the amplifiers' factors.
    """
    stop = eyepiece.field_stop_mm
    largest = LARGEST_STOP_MM[eyepiece.barrel]
    apparent = usual_field_deg(eyepiece)
    if stop is None and field_stop_mm(apparent, eyepiece.focal_length_mm) > largest:
        stop = largest
    elif stop is None:
        return true_from_apparent_arcmin(apparent, power), apparent, "angle"
    if eyepiece.field_stop_mm is None or eyepiece.apparent_field_deg is None:
        apparent = apparent_from_stop_deg(stop, eyepiece.focal_length_mm)
    return true_from_stop_arcmin(stop, focal_length_mm), apparent, "field stop"


def binocular_fields(binocular: Binocular) -> tuple[float, float, FieldCondition]:
    """Return true field (arcmin), apparent field (deg) and the condition used.

    With both fields stated the condition is the one that fits them better.

    Source: ISO 14132-1:2002, tan w' = M tan w (as makers of binoculars quote it).
    Checked by: tests/truth/test_eyepiece_fields.py
    """
    power, true, apparent = binocular.power, binocular.true_field_deg, binocular.apparent_field_deg
    if true is None:
        apparent = USUAL_BINOCULAR_FIELD_DEG if apparent is None else apparent
        return true_from_apparent_arcmin(apparent, power, "tangent"), apparent, "tangent"
    if apparent is None:
        return true * 60.0, apparent_from_true_deg(true * 60.0, power, "tangent"), "tangent"
    conditions: tuple[FieldCondition, ...] = ("tangent", "angle")
    errors = [abs(apparent_from_true_deg(true * 60.0, power, c) - apparent) for c in conditions]
    return true * 60.0, apparent, conditions[errors.index(min(errors))]
