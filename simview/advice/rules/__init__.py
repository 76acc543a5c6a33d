"""The rules: small named judgements, each with its arithmetic, its source and its grade.

rule.py            what a rule is, what it works on and what it finds
sun_rules.py       the Sun and optics: safety before everything else
power_rules.py     promised, delivered, lowest and highest power; Barlow and erecting prism
eyepiece_rules.py  barrels, simple designs, narrow views
optics_rules.py    aperture, colour, the shape of the mirror, hidden stops and correctors
mount_rules.py     what holds it: kind, free play, settling, slow motion, hands
damage_rules.py    what the offer itself says of damage
promise_rules.py   what the box promises to the eye, and what an eye sees instead
trade_rules.py     finder, telephone, price, figures that clash or are only guessed
subject.py         an offer of something else than a telescope
book.py            all of them in order
"""

from __future__ import annotations
