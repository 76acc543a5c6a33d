"""From light on the retina to a print.

In the order of the light:

display.py    the reader's display, and what is just visible on it
choices.py    the numbers that the print rests on
response.py, adapting.py
              one adaptation for a whole sheet, and its curves from light to print
resting.py    where the eye rests on a part of the Moon, and adapts to it
hue.py        how far colour is seen in a light
star_factors.py
              by how much each star's light is taken down before it is printed with the rest
whites.py     the Sun's light through the air is white to the eye
chroma.py     colour is seen coarser than light
lens_hues.py  what a lens leaves of an object's own hue: a planet has that of all its light
dither.py     a fixed pattern that hides the steps of 8 bits
pair_prints.py
              double stars: gaps that are not seen are bridged, glare is added
planet_dots.py
              a planet's moons are finer dots in a whole view, as much brighter
pair_patches.py
              a close pair's own stars are finer dots in a whole view
judging.py    which stars of a view are seen
fine.py       what an eye at night makes of the fine detail of faint light
patches.py    how large a patch of light each place belongs to
printable.py  what is printed: light on the retina, and what it was seen with
tone.py       retinas in troland become 8-bit sRGB
wanted.py     one panel that is to be printed, and how it is computed
exposing.py   panels exposed side by side
printing.py   all panels of one sheet exposed, adapted to together, developed
gliding.py    the same for a power that changes under a hand, quickly
"""
