"""The rules: small named judgements, each with its arithmetic, its source and its grade.

rule.py        what a rule is, what it works on and what it finds
sun.py         the Sun and optics: safety before everything else
power.py       promised, delivered, lowest and highest power; Barlow and erecting prism
eyepieces.py   barrels, simple designs, narrow views
optics.py      aperture, colour, the shape of the mirror, hidden stops and correctors
mounts.py      what holds it: kind, free play, settling, slow motion, hands
trade.py       finder, telephone, price, figures that clash or are only guessed
book.py        all of them in order
"""

from __future__ import annotations
