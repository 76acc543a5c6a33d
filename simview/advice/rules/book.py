"""All rules in order."""

from __future__ import annotations

from typing import Final

from simview.advice.rules import (
    damage_rules,
    eyepiece_rules,
    mount_rules,
    optics_rules,
    power_rules,
    promise_rules,
    subject,
    sun_rules,
    trade_rules,
)
from simview.advice.rules.rule import Rule

# Safety first; then what speaks most of the whole offer.
RULES: Final[tuple[Rule, ...]] = (
    *sun_rules.RULES,
    *subject.RULES,
    *damage_rules.RULES,
    *trade_rules.RULES[:4],
    *power_rules.RULES,
    *optics_rules.RULES,
    *eyepiece_rules.RULES,
    *mount_rules.RULES,
    *trade_rules.RULES[4:5],
    *promise_rules.RULES,
    *trade_rules.RULES[5:],
)
