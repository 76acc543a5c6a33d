"""The telescope: what it makes of a star's light, in the order the light meets it.

    faults      faults in the trade's terms, parsed and added up; catalogue lists them,
                coma holds what a Newtonian out of collimation shows
    opening     the sampled pupil with its path error, colour defocus
      stop      which part of the front opening is in effect
      pupil     how much of each sample is open (grey edges, secondary, vanes, clips)
      wavefront the error of the optics: polynomials, the named ones and Noll's
      terms     errors that are no polynomials: edges, zones, roughness, warm air
      relief    slopes, symmetry and quadrants of maps over the pupil
      glass     refractive index, longitudinal colour, where an eye focuses white light
    exposure    one setting put onto one grid
      fourier   the fast separable transform from pupil to focal plane
      kept      arrays kept between calls
    blur        averaged air multiplied onto the transfer function
    spread      spread_stack for the light path; point_spread and PointSpread for a star
    focus       a star through focus, a cut along the axis, a profile over radius
    quality     Strehl, RMS, PV, encircled energy, contrast transfer
    contrast  contrast at a few frequencies, the perfect lens that keeps as much
    screws      what a turn of each screw does to a mirror's axis
    flat        a Newtonian's flat off its place; flat_screws what its screws do
    collimation the star after turns of them, and the screw to turn next
    poppy_bridge  a telescope for poppy, and poppy as the second engine
    mount       how it shakes, and how long
    motion      the path of the image on a mount that moves, frame by frame

Sense of direction: arrays have row 0 at the top; angles run anticlockwise from the right. A
wavefront that rises to the right moves the star to the right.
"""
