"""Where power is enough, what tonight's air carries, and where it turns empty on any night."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from simview.air.alone import is_calm
from simview.air.conditions import conditions
from simview.eye.clarity import blur_arcsec
from simview.eye.contrast import sight_sigma_arcmin
from simview.eye.starimage import star_image
from simview.eye.stations import base_beam, highest, stations
from simview.kit import Kit, Observer, Sky
from simview.power.detail import COMFORTABLE_ARCMIN, EMPTY_ARCMIN, DetailCurve
from simview.power.faint import is_glow, visibility_curve
from simview.power.finest import air_off, judging_curve, judging_curves
from simview.power.multiple import Pair, pairs_of
from simview.power.outlines import is_drawn_in
from simview.power.pairs import PairCurve, pair_curve
from simview.power.records import Limit, Marks, Outcome
from simview.power.starfields import star_curve
from simview.scene.scene import Target

ONE_POWER: Final = "it has one power only"

# How much wider than two equal stars a pair is looked at, arcmin for each magnitude between them.
WIDER_ARCMIN: Final = 1.0

# How much wider still at the most, where the stars' discs fill the gap between them: to 6 arcmin of
# two equal ones. A choice; past it the gap hardly deepens any more (docs/models/power.md).
FILLED_ARCMIN: Final = 2.0

# From this difference on a pair's second star is far fainter, mag: of 16 times the light. Then it
# is not the pair's width that makes it hard. A choice.
FAR_FAINTER_MAG: Final = 3.0


def marks(
    kit: Kit, target: Target, *, sky: Sky | None = None, observer: Observer | None = None
) -> Marks:
    """Find the three marks of a kit on an object.

    Parameters
    ----------
    kit
        A telescope; an instrument of one power has no marks.
    target
        A surface is judged by its finest visible detail P (a period, arcsec), tonight and with the
        air off: enough from 150 / P, the air carries 240 / P, empty above 276 / P without air,
        that is where P stands 2.5, 4 and 4.6 arcmin wide at the eye; no air carries all that the
        aperture gives. A double is enough where it is split tonight, stands `comfortable_arcmin`
        wide at the eye and its gap has seven times the contrast that the eye needs, or where it
        stands 2 arcmin wider, or as wide as the air carries; one that no power splits where it
        would stand so wide in comfort. A field of stars is enough where the faintest star
        is within 0.1 mag of its best, but no further than it fits into the field; a faint glow
        where it stands out about as near its best; their other two marks make a star's own blur
        4.6 arcmin wide, tonight and with the air off.
    sky, observer
        As in `simview.look`. The sky's own choice of air is tonight's.

    Notes
    -----
    Source: see `simview.power.detail`; docs/models/power.md.
    Checked by: tests/unit/power/test_marks.py, tests/property/test_power_laws.py
    """
    sky, observer = conditions([kit], target, sky, observer)
    if kit.kind != "telescope":
        return Marks(reason=ONE_POWER)
    if is_glow(target):
        return _glow_marks(kit, target, sky, observer)
    if target.luminance_cd_m2 is not None:
        return _surface_marks(kit, target, sky, observer)
    pairs = pairs_of(target)
    if not pairs:
        return _field_marks(kit, target, sky, observer)
    each = [
        pair_marks(_judged(kit, target, pair, sky, observer), pair, kit, target, sky, observer)
        for pair in pairs
    ]
    named = [replace(found, hard=(pair.name,)) for found, pair in zip(each, pairs, strict=True)]
    return hardest(named) if len(pairs) > 1 else each[0]


def carried(
    kit: Kit, target: Target, *, sky: Sky | None = None, observer: Observer | None = None
) -> float | None:
    """Return the power that tonight's air carries, alone of the marks and much sooner had.

    Of a surface the same as `marks` says; of stars the power that makes their own blur 4.6 arcmin
    wide, which `marks` raises where the faintest of a field ask for more. None where nothing is
    seen.
    """
    sky, observer = conditions([kit], target, sky, observer)
    if kit.kind != "telescope":
        return None
    if target.luminance_cd_m2 is not None and not is_glow(target):
        return _carried(judging_curve(kit, target, sky=sky, observer=observer), sky)
    return _blur_power(kit, target, sky, observer)


def _surface_marks(kit: Kit, target: Target, sky: Sky, observer: Observer) -> Marks:
    tonight, ever = judging_curves(kit, target, sky=sky, observer=observer)
    if tonight.best_period_arcsec is None or ever.empty_above is None:
        held: Limit = "light" if ever.best_period_arcsec is None else "air"
        return Marks(empty_above=ever.empty_above, held_by=held, reason=tonight.reason)
    return _in_order(
        enough=tonight.enough_from,
        air=_carried(tonight, sky),
        ever=ever.empty_above,
        full=ever.carries,
        fades=tonight.worse_above,
        reason=f"finest detail of contrast {target.contrast:g}",
    )


def _carried(tonight: DetailCurve, sky: Sky) -> float | None:
    """Return what the air carries: where there is none, all that the aperture gives."""
    return tonight.empty_above if is_calm(sky) else tonight.carries


def _field_marks(kit: Kit, target: Target, sky: Sky, observer: Observer) -> Marks:
    field = star_curve(kit, target, sky=sky, observer=observer)
    whole = max(whole_power(kit, target), field.powers[0])
    return _in_order(
        enough=min(field.enough_from, whole),
        air=_blur_power(kit, target, sky, observer),
        ever=_blur_power(kit, target, air_off(sky), observer),
        reason="the faintest stars and their own blur"
        if field.enough_from <= whole
        else "the whole of it in the field",
    )


def whole_power(kit: Kit, target: Target) -> float:
    """Return the power at which an object as wide as the target just fills the field, times."""
    return 3600.0 * base_beam(kit).apparent_field_deg / target.size_arcsec


def _glow_marks(kit: Kit, target: Target, sky: Sky, observer: Observer) -> Marks:
    glow = visibility_curve(kit, target, sky=sky, observer=observer)
    found = _in_order(
        enough=glow.enough_from,
        air=_blur_power(kit, target, sky, observer),
        ever=_blur_power(kit, target, air_off(sky), observer),
        fades=glow.fades_above,
        reason=glow.reason or "how the glow stands out, and its stars' own blur",
    )
    return found if glow.enough_from is not None else replace(found, held_by="light")


def _judged(
    kit: Kit,
    target: Target,
    pair: Pair,
    sky: Sky,
    observer: Observer,
) -> PairCurve:
    return pair_curve(
        kit,
        target,
        separation_arcsec=pair.separation_arcsec,
        magnitudes=pair.magnitudes,
        sky=sky,
        observer=observer,
        closest=False,
    )


def hardest(each: Sequence[Marks]) -> Marks:
    """Return the marks of a multiple star's pairs together: where all are wide enough, and split.

    What stands in the way is the hardest one's.
    """
    hard = max(each, key=lambda found: (found.split_from is None, found.split_from or 0.0))

    def last(name: str) -> float | None:
        known = [getattr(found, name) for found in each]
        return max((power for power in known if power is not None), default=None)

    never = [found for found in each if found.split_from is None]
    told = never or [hard]
    return replace(
        hard,
        hard=tuple(name for found in told for name in found.hard),
        outcomes=tuple(each for found in told for each in found.outcomes),
        plainly=all(found.plainly for found in each),
        enough_from=last("enough_from"),
        air_carries=last("air_carries"),
        empty_above=last("empty_above"),
    )


def comfortable_arcmin(magnitudes: tuple[float, float]) -> float:
    """Return how wide at the eye a pair is looked at in comfort, arcmin.

    Twice what the eye needs behind a telescope that leaves each star a point, which is 1.7 arcmin
    for two equal stars and 0.55 arcmin more for each magnitude between them; rounded. Choices; the
    measured ones stand in docs/models/power.md.
    """
    return COMFORTABLE_ARCMIN + WIDER_ARCMIN * abs(magnitudes[1] - magnitudes[0])


def pair_marks(
    judged: PairCurve, pair: Pair, kit: Kit, target: Target, sky: Sky, observer: Observer
) -> Marks:
    """Return the marks of a double that has been judged tonight.

    Parameters
    ----------
    judged
        The double at every power, tonight.
    pair
        The pair itself.
    kit, target, sky, observer
        For what the air alone takes away.
    """
    ever = judged
    if sky.air != "none":
        ever = _judged(kit, target, pair, air_off(sky), observer)
    a_minute = 60.0 / (pair.separation_arcsec * min(observer.acuity, 1.0))
    comfort = comfortable_arcmin(pair.magnitudes) * a_minute
    tonight, better = (_from(each, comfort) for each in (judged, ever))
    wide = comfort
    if tonight is not None:
        wide = judged.reads_from(comfort, comfort + FILLED_ARCMIN * a_minute)
    air = _blur_power(kit, target, sky, observer)
    # Past what the air carries the stars swell as fast as the gap between them; past the last
    # power that splits the pair there is no gap to be set wider.
    ends = [each for each in (air, judged.splits_to) if each is not None]
    found = _in_order(
        # Nothing is wide enough before it is split.
        enough=max(min([wide, *ends]), tonight or 0.0),
        air=air,
        ever=_blur_power(kit, target, air_off(sky), observer),
        fades=judged.splits_to,
        reason=judged.reason or "the pair splits",
    )
    held = _held_by(judged, better) if tonight is None else None
    outcome = _outcome(judged, ever, found.empty_above or math.inf)
    if outcome == "elongated" and _drawn_in(kit, target, pair, _steadiest(sky), observer, found):
        outcome = "pinched"
    # A ring that the air washes out may hide a companion without air only.
    return replace(
        found,
        pair=True,
        plainly=tonight is not None and judged.margin_at(found.enough_from or tonight) >= _PLAIN,
        faint=abs(pair.magnitudes[1] - pair.magnitudes[0]) >= FAR_FAINTER_MAG,
        split_from=tonight,
        better_night_from=better,
        held_by=held,
        outcomes=(outcome,),
    )


# A pair that no power splits tonight is hidden by the air alone where without it the gap would have
# so many times the contrast that the eye needs: hardly any observer misses such a thing (Blackwell
# 1946; memory). Below that it is at the limit of the telescope. A choice.
_PLAIN: Final = 2.0


def _outcome(tonight: PairCurve, ever: PairCurve, empty: float) -> Outcome:
    """Return what becomes of a pair at its best power up to the one that is empty."""
    if tonight.splits_from is not None:
        return "split"
    now, best = (_grades(curve, empty) for curve in (tonight, ever))
    if ever.splits_from is not None and (ever.margin >= _PLAIN or now <= {"single"}):
        return "hidden"
    if "notched" in now:
        return "notched"
    if ever.splits_from is not None or not {"notched", "limit"}.isdisjoint(now | best):
        return "limit"
    return "elongated" if "elongated" in now else "lost"


# Seeing of the steadiest nights, arcsec: common practice, no source. Such air is not as good as
# none, and a notch in an outline, which needs no gap, is lost in less.
STEADIEST_ARCSEC: Final = 0.7


def _steadiest(sky: Sky) -> Sky:
    """Return the same sky on a night as steady as they come."""
    return replace(sky, seeing_arcsec=min(sky.seeing_arcsec, STEADIEST_ARCSEC))


def _drawn_in(
    kit: Kit, target: Target, pair: Pair, sky: Sky, observer: Observer, found: Marks
) -> bool:
    """Return whether a pair without a gap is drawn in between its stars where power turns empty."""
    if found.empty_above is None:
        return False
    (place,) = stations(kit, target, powers=[found.empty_above], sky=sky, observer=observer)
    nerves_arcmin = sight_sigma_arcmin(observer.acuity)
    reach = 3.0 * pair.separation_arcsec
    return is_drawn_in(
        star_image(place.path, reach, nerves_arcmin=nerves_arcmin),
        pair.separation_arcsec,
        10.0 ** (-0.4 * abs(pair.magnitudes[1] - pair.magnitudes[0])),
        place.power,
    )


def _grades(curve: PairCurve, empty: float) -> set[str]:
    """Return what a pair is at the powers up to this one."""
    each = zip(curve.powers, curve.grades, strict=True)
    return {grade for power, grade in each if power <= empty}


def _held_by(judged: PairCurve, better: float | None) -> Limit:
    """Return what stands in the way of a pair that no power splits tonight."""
    alone: Limit = "aperture" if "run together" in judged.reason else "light"
    return alone if better is None else "air"


def _from(judged: PairCurve, wide: float) -> float | None:
    """Return the lowest power that splits a pair.

    The lowest power tried is none to speak of: a pair that it splits is split by any less that
    still sets it wide apart, in a beam that the eye stops down.
    """
    found = judged.splits_from
    return min(found, wide) if found == judged.powers[0] else found


def _blur_power(kit: Kit, target: Target, sky: Sky, observer: Observer) -> float | None:
    """Return the power that makes a star's own blur 4.6 arcmin wide at the eye.

    The blur is the telescope's and the air's: the eye's own stays as wide at every power.
    """
    place = highest(kit, target, sky=sky, observer=observer)
    if place is None:
        return None
    path = replace(place.path, acuity_arcsec=0.0, fault_arcsec=0.0)
    return EMPTY_ARCMIN * 60.0 / (blur_arcsec(path) * min(observer.acuity, 1.0))


# A better night that carries no more than this many times tonight's power shows hardly more: what
# is in the way there is the aperture. A choice.
_HARDLY_BETTER: Final = 1.1


def _past_the_air(full: float, air: float) -> float:
    """Return the power past which the aperture gives no more, never below what the air carries."""
    return air if full <= _HARDLY_BETTER * air else full


def _in_order(
    *,
    enough: float | None,
    air: float | None,
    ever: float | None,
    full: float | None = None,
    fades: float | None = None,
    reason: str,
) -> Marks:
    """Return the marks in their order: a power that still shows more is never past the next one.

    Surfaces keep it by their definition, but for the last digits of a search; the faintest stars
    and hard pairs may ask for a power past the one that makes a star's blur comfortable.
    """
    if air is not None and enough is not None:
        air = max(air, enough)
    if ever is not None and air is not None:
        ever = max(ever, air)
        full = _past_the_air(full, air) if full is not None else None
    if fades is not None and enough is not None:
        fades = max(fades, enough)
    return Marks(
        enough_from=enough,
        air_carries=air,
        full_above=full,
        empty_above=ever,
        fades_above=fades,
        reason=reason,
    )
