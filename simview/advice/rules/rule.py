"""What a rule is, what it works on and what it finds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final, Literal

from simview.advice.delivered import Delivered, focal_length_mm, powers_of
from simview.advice.listing import Listing
from simview.advice.speech import Sentence, say
from simview.power.rules import useful_powers

if TYPE_CHECKING:
    from simview.advice.stock import Shelf
    from simview.power.records import Marks

Grade = Literal["stop", "caution", "note"]
Label = Literal["formula", "published source", "common practice", "safety"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What one rule found in one offer.

    Parameters
    ----------
    rule
        The rule's name.
    grade
        "stop" speaks against the offer, "caution" wants care, "note" is good to know.
    says
        In plain words, with the figures that it rests on.
    source
        What the rule rests on: its label, and where there is one the publication.
    title
        What it is about, as people say it.
    arithmetic
        The sum itself, line by line.
    changes_mind
        What would make the rule fall silent.
    """

    rule: str
    grade: Grade
    says: str
    source: str
    title: str = ""
    arithmetic: str = ""
    changes_mind: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a rule's own function returns when it has something to say."""

    grade: Grade
    says: str
    arithmetic: str = ""


@dataclass(frozen=True)
class Case:
    """One offer on the bench, with what most rules need already worked out.

    Parameters
    ----------
    marks
        The limits of power on Jupiter, as the commands tell them; None where no kit can be made
        of the offer.
    """

    listing: Listing
    shelf: Shelf | None = None
    marks: Marks | None = None

    @cached_property
    def powers(self) -> tuple[Delivered, ...]:
        """Every power that the pieces give, lowest first."""
        return powers_of(self.listing)

    @cached_property
    def plain_powers(self) -> tuple[Delivered, ...]:
        """The powers of the eyepieces alone, lowest first."""
        return tuple(one for one in self.powers if not one.amplifiers)

    @property
    def aperture_mm(self) -> float | None:
        """The aperture that really works: that of a known inner stop, else as stated."""
        return self.listing.stop_mm or self.listing.aperture_mm

    @property
    def focal_length_mm(self) -> float | None:
        """Stated, or from aperture and f-ratio."""
        return focal_length_mm(self.listing)

    @property
    def ratio(self) -> float | None:
        """Focal ratio."""
        return self.listing.ratio

    @property
    def useful(self) -> tuple[float, float] | None:
        """The highest useful power, lower and upper rule; None without an aperture."""
        return None if self.aperture_mm is None else useful_powers(self.aperture_mm)

    @property
    def most(self) -> float | None:
        """The power above which nothing is to be had on any night; None without an aperture."""
        if self.marks is not None and self.marks.empty_above is not None:
            return self.marks.empty_above
        return None if self.useful is None else self.useful[1]

    @property
    def is_telescope(self) -> bool:
        """False for binoculars and monoculars."""
        return self.listing.instrument == "telescope"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One small named judgement.

    Parameters
    ----------
    name
        Short and fixed: scripts rely on it.
    label
        What kind of ground it stands on.
    cites
        The publication, or the remark that there is none.
    title
        What it is about, as people say it; by it a reader finds the source at the foot.
    changes_mind
        What would make it fall silent.
    weigh
        The judgement itself: an Outcome, or None when there is nothing to say.
    """

    name: str
    title: str
    label: Label
    changes_mind: str
    weigh: Callable[[Case], Outcome | None]
    cites: str = ""

    @property
    def ground(self) -> str:
        """What it rests on, label and publication."""
        label = _LABELS[self.label]
        return say("{label}: {cites}", label=label, cites=self.cites) if self.cites else label

    def find(self, case: Case) -> Finding | None:
        """Return what this rule finds in an offer, or None."""
        outcome = self.weigh(case)
        if outcome is None:
            return None
        return Finding(
            rule=self.name,
            grade=outcome.grade,
            says=outcome.says,
            source=self.ground,
            title=self.title,
            arithmetic=outcome.arithmetic,
            changes_mind=self.changes_mind,
        )


_LABELS: Final[dict[Label, Sentence]] = {
    "formula": say("formula"),
    "published source": say("published source"),
    "common practice": say("common practice"),
    "safety": say("safety"),
}
