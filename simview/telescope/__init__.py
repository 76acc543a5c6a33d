"""The telescope: what it makes of a star's light, in the order the light meets it.

What is wrong with it::

    fault_kinds.py        all faults that can be asked for, each an entry in one table
    faults.py             faults parsed, added up, laid onto a telescope
    terms.py              errors that are no polynomials: edges, zones, roughness, warm air
    coma.py               what a Newtonian out of collimation shows
    traced_faults.py      parts out of their place, by exact rays (layouts/: how it is built)
    cooling.py            a mirror carried out of a warm room; focus_drift.py: how its focus moves
    colour_focus.py       where each colour comes to a focus, and which focus an eye chooses

From the front opening to the focal plane::

    opening.py            the sampled pupil with its path error, colour defocus
    stop.py               which part of the front opening is in effect
    pupil.py              how much of each sample is open: grey edges, secondary, vanes, clips
    wavefront.py          the error of the optics: polynomials, the named ones and Noll's
    phase_map.py          slopes, symmetry and quadrants of maps over the pupil
    exposure.py           one setting put onto one grid
    fourier.py            the fast separable transform from pupil to focal plane
    scratch.py            scratch arrays, one of a name for each thread
    blur.py               averaged air multiplied onto the transfer function
    spread.py             spread_stack for the light path; planes.py: a star plane by plane
    overlap.py            the transfer at low frequencies, without a point spread
    poppy_bridge.py       a telescope for poppy, and poppy as the second engine

A star, and what its image says::

    star.py               point_spread and PointSpread
    focus.py              through focus, a cut along the axis, a profile over radius
    quality.py            Strehl, RMS, PV, encircled energy, contrast transfer
    contrast_transfer.py  contrast at a few frequencies, the perfect lens that keeps as much

Screws and mount::

    screws.py             what a turn of each screw does to a mirror's axis
    flat.py               a Newtonian's flat off its place; flat_screws.py: what its screws do
    daylight.py           the circles seen by day through its empty focuser
    collimation.py        the star after turns of them, and the screw to turn next
    mount.py              how it shakes, and how long
    mount_motion.py       the path of the image on a mount that moves, frame by frame

Sense of direction: arrays have row 0 at the top; angles run anticlockwise from the right. A
wavefront that rises to the right moves the star to the right.
"""
