"""All rules in order."""

from __future__ import annotations

from typing import Final

from simview.advice.rules import eyepieces, mounts, optics, power, promises, subject, sun, trade
from simview.advice.rules.rule import Rule

# Safety first; then what speaks most of the whole offer.
RULES: Final[tuple[Rule, ...]] = (
    *sun.RULES,
    *subject.RULES,
    *trade.RULES[:4],
    *power.RULES,
    *optics.RULES,
    *eyepieces.RULES,
    *mounts.RULES,
    *trade.RULES[4:5],
    *promises.RULES,
    *trade.RULES[5:],
)
