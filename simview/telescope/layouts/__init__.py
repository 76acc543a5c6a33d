"""How a telescope is built, surface by surface, and what happens when its parts are out of place.

surfaces.py       a surface in space, and exact rays through a row of them
prescriptions.py  the five layouts as prescriptions: what solves their curves
folded.py         the two with a corrector in front: Maksutov and Schmidt-Cassegrain
ray_wavefront.py  from rays to the error of the wavefront, by Noll's polynomials
misplaced.py      parts tilted, shifted, set wrongly apart: what that adds to the wavefront

Axes: x to the right and y up as the sky is seen along the tube from behind, z along the light that
comes from the sky; the primary's vertex (a refractor's lens) stands at 0.
"""
