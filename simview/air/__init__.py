"""The air room: what the atmosphere does to the light on its way down.

In the order the light meets it::

    conditions.py   which sky, and whose eye, when nothing else is said
    level.py        before an object on the ground: a level path takes the place of all that follows
    extinction.py   how much light is lost, by wavelength and altitude; air mass
    refraction.py   how far the colours are spread towards the zenith
    glow.py         the light that the sky itself adds; lit_sky.py: that of Moon and twilight
    turbulence.py   the statistics of the turbulent air: structure function, spectrum
    seeing.py       what it does to a long or a short exposure, as a transfer factor
    moments.py      what an eye keeps of it: the best moments, or usual ones (drawn by ensemble.py)
    stopping.py     the same for an observer who stops down where that shows more
    alone.py        the air by itself before a perfect telescope
    screens.py      what it does at a single moment, as a screen of path errors
    flow.py         the same in motion: a stream of screens for films, on the wind of wind.py
    shimmer.py      turbulence along a level path near the ground, as seeing
    warp.py         what it does at a single moment: every part of the picture shifted its own way
"""
