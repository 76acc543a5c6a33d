"""The planets' and the Moon's published colours, and what they are against sunlight."""

from __future__ import annotations

from typing import Final

# Published colour indices B-V and V-Rc of the whole disc. Source: Mallama, Krobusek & Pavlov 2017,
# Icarus 282, 19, table 3. Saturn's are not taken: rings lay before the globe when they were
# measured, and its Rc was put right since (Mallama & Pavlov 2017, arXiv:1701.00256).
INDICES: Final = {
    "mercury": (0.97, 0.52),
    "venus": (0.70, 0.35),
    "mars": (1.36, 0.82),
    "jupiter": (0.86, 0.35),
    "uranus": (0.50, -0.27),
    "neptune": (0.39, -0.33),
}

# The same as linear sRGB against sunlight's, luminance 1. The albedo between B, V and R is a smooth
# curve (the logarithm a parabola in wavelength), for Uranus and Neptune times the methane bands
# after Karkoschka 1994, Icarus 111, 174 (shape from memory). The Sun: B-V 0.653, V-Rc 0.352
# (Ramirez et al. 2012, ApJ 752, 5). Found anew in tests/truth/test_planet_colours.py. Saturn is its
# globe alone, from its spectrum of July 1995 with the rings edge-on (Karkoschka 1998, Icarus 133,
# 134): through the CIE's 1931 observer, adapted from the Sun's white (Bradford), 8-bit sRGB
# (197, 185, 156) for a white surface of 255.
AGAINST_SUNLIGHT: Final = {
    "mercury": (1.158, 0.973, 0.720),
    "venus": (1.011, 1.000, 0.957),
    "mars": (1.408, 0.913, 0.456),
    "jupiter": (1.051, 1.000, 0.819),
    "saturn": (1.140, 0.991, 0.680),
    "uranus": (0.581, 1.120, 1.235),
    "neptune": (0.525, 1.125, 1.376),
}

# The Moon's mean ground in the primaries against sunlight's, green 1: B-V of 0.92 against the Sun's
# 0.65 is 0.27 mag over 110 nm. Source: Allen's Astrophysical Quantities (memory). The map's own
# means (643 nm 9 % above, 472 nm 8 % below 532 nm) say the same within 1 %.
MOON_AGAINST_SUNLIGHT: Final = (1.10, 1.0, 1.10**-2)
