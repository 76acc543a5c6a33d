"""What is said about power: plain records, ready for a sheet, a page or JSON."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, ClassVar, Final, Literal, get_args

# What stands in the way at a power: too little of it ("power": more would show more), the
# aperture (empty on any night), tonight's air (a better night would show more), the light or the
# eye (too dim, too small).
Limit = Literal["power", "aperture", "air", "light"]

# What a power is worth: "low", more shows more; "enough", hardly anything more to come; "air",
# past what tonight's air carries; "hidden", a pair that this power splits on a better night, and
# tonight a higher one; "tight", a pair that is split and not yet comfortably wide; "full", past
# what the aperture itself shows in comfort, and not yet empty; "light", too dim again; "empty",
# past what the aperture gives on any night; "plain", no power is right or wrong here.
State = Literal["low", "enough", "hidden", "tight", "full", "air", "light", "empty", "plain"]


# What becomes of a pair at its best power: "split"; "hidden" where tonight's air alone hides its
# gap; "notched", a gap that is made out now and then; "limit", a notch or a bare split on the
# steadiest nights; "pinched", drawn out, with a notch in its outline and no gap on those;
# "elongated", drawn out on any night; "lost", one star tonight.
Outcome = Literal["split", "hidden", "notched", "limit", "pinched", "elongated", "lost"]


# From the best to the worst.
ORDER: Final[tuple[Outcome, ...]] = get_args(Outcome)


# Marks are said in whole times, and a power that is one of them when said so is at it: nobody is to
# read "enough from 90" over a view at 90 that is called too little. Where a pair splits is told
# rounded up, and taken as it is: a view says for itself whether it is split.
NEAR: Final = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """One power, judged.

    Parameters
    ----------
    power
        Times.
    limited_by
        See `Limit`; None where nothing stands in the way, or nothing can be said.
    empty
        True only beyond the aperture's own limit.
    state
        See `State`.
    """

    power: float
    limited_by: Limit | None
    empty: bool
    state: State

    def figures(self) -> dict[str, Any]:
        """Return the record as plain numbers and words, for JSON."""
        return asdict(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """The powers at which the answer changes, for one kit, object, sky and observer.

    Always enough_from <= air_carries <= empty_above, as far as they are known.

    Parameters
    ----------
    enough_from
        From here on more power shows hardly anything more; None where no power is enough. Of a
        double: here it is split and stands as wide at the eye as is comfortable; of one that no
        power splits, here it would.
    air_carries
        Above this tonight's air gives nothing finer; a better night would.
    empty_above
        Above this nothing finer is to be had on any night: the instrument's own limit, air off.
    full_above
        Above this, up to `empty_above`, a better night would only enlarge, too: it is the aperture
        that gives no more, and not tonight's air. None for stars, whose two marks are of one angle.
    fades_above
        Above this the object is too dim again; None where that does not happen.
    pair
        Whether it is a double, which is split or not besides being wide enough.
    faint
        Of a double: whether its second star is far fainter, which words tell in place of its width.
    plainly
        Of a double: whether its gap has at `enough_from` twice the contrast that the eye needs and
        more, so that hardly a look misses it.
    split_from
        Of a double: the lowest power that splits it tonight; None where none does.
    better_night_from
        Of a double: the lowest power that splits it with the air off. From here to `split_from` it
        is tonight's air that hides the gap.
    held_by
        What stands in the way at every power where none is enough, or none splits a double.
    reason
        What was looked for, in words.
    hard
        Of several pairs the names of those that stand in the way: the one that takes most power,
        or all that no power splits. () for any other object.
    outcomes
        Of a double: what becomes of it at its best power; of several pairs, of each of `hard`.
    """

    names: ClassVar[tuple[str, str, str]] = ("enough_from", "air_carries", "empty_above")

    enough_from: float | None = None
    air_carries: float | None = None
    full_above: float | None = None
    empty_above: float | None = None
    fades_above: float | None = None
    pair: bool = False
    faint: bool = False
    plainly: bool = True
    split_from: float | None = None
    better_night_from: float | None = None
    held_by: Limit | None = None
    reason: str = ""
    hard: tuple[str, ...] = ()
    outcomes: tuple[Outcome, ...] = ()

    @property
    def shown_from(self) -> float | None:
        """`enough_from`, times; None for a double that no power splits."""
        return None if self.pair and self.split_from is None else self.enough_from

    def is_empty(self, power: float) -> bool:
        """Return whether a power lies past the aperture's own limit."""
        return _past(power, self.empty_above)

    def is_enough(self, power: float) -> bool:
        """Return whether more power would show hardly anything more, and a double is split."""
        return _reached(power, self.enough_from) and self.is_split(power)

    def is_split(self, power: float) -> bool:
        """Return whether a double is split from no more than this power on; True for others."""
        return not self.pair or (self.split_from is not None and power >= self.split_from)

    def is_hidden(self, power: float) -> bool:
        """Return whether a pair is split by more power tonight, and on a better night by this."""
        later = self.split_from is not None and not self.is_split(power)
        return later and _reached(power, self.better_night_from)

    def limited_by(self, power: float) -> Limit | None:
        """Return what stands in the way at a power; None where nothing does."""
        limits: dict[State, Limit | None] = {
            "low": "power",
            "hidden": "air",
            "full": "aperture",
            "air": "air",
            "light": "light",
            "empty": "aperture",
            "plain": "light" if self._faded(power) else self.held_by,
        }
        return limits.get(self.state(power))

    def state(self, power: float) -> State:
        """Return what a power is worth."""
        enough = self.is_enough(power)
        judged: tuple[tuple[State, bool], ...] = (
            ("hidden", self.is_hidden(power)),
            ("empty", self.is_empty(power)),
            ("plain", self.shown_from is None),
            ("light", self._faded(power)),
            ("tight", not enough and self.pair and self.is_split(power)),
            ("low", not enough),
            ("full", _past(power, self.full_above) and _past(power, self.air_carries)),
            ("air", _past(power, self.air_carries)),
        )
        return next((state for state, holds in judged if holds), "enough")

    def breaks(self) -> tuple[float, ...]:
        """Return the powers at which the answer may change, rising."""
        known = (
            self.enough_from,
            self.split_from,
            self.better_night_from,
            self.air_carries,
            self.full_above,
            self.fades_above,
            self.empty_above,
        )
        return tuple(sorted(power for power in known if power is not None))

    def _faded(self, power: float) -> bool:
        return _past(power, self.fades_above)

    def at(self, power: float) -> Judgement:
        """Judge one power."""
        return Judgement(
            power=power,
            limited_by=self.limited_by(power),
            empty=self.is_empty(power),
            state=self.state(power),
        )

    def figures(self) -> dict[str, float | str | None]:
        """Return the three marks by their fixed names, for JSON; of a double where it splits."""
        told: dict[str, float | str | None] = {name: getattr(self, name) for name in self.names}
        if self.pair:
            told |= {
                "split_from": self.split_from,
                "split_without_air_from": self.better_night_from,
                "at_best": max(self.outcomes, key=ORDER.index, default=None),
            }
        return told


def _reached(power: float, mark: float | None) -> bool:
    return mark is not None and power >= mark - NEAR


def _past(power: float, mark: float | None) -> bool:
    return mark is not None and power > mark + NEAR
