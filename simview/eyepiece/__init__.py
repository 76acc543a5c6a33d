"""The eyepiece room: from the objective's focus to the beam that enters the eye.

In the order the light meets it::

    designs.py      what is usual for a design: apparent field, glass surfaces, coatings
    barrels.py      barrel sizes: what fits into what, and the largest field that passes
    fields.py       field stop, apparent field and true field, by either condition
    train.py        beam(): power, exit pupil, fields and light of one choice of pieces
    orientation.py  how the view is turned, and the turning of a picture
    drift.py        how long an object stays in the field of an undriven mount
    beam.py         Beam, the record that leaves for the eye

An eyepiece traced through its glass::

    markings.py     what the letters on a barrel mean
    lens.py         Lens and Surface: a layout
    lensfile.py     the library of layouts (data/lenses.toml), a user's own in TOML; lensmodel.py
    trace.py        exact skew rays through spheres, many at once
    paraxial.py     first-order points and third-order sums
    bundle.py       light from the telescope's focus through a lens to the eye
    spots.py        what becomes of a point, as smooth functions of the pupil; spotkernels.py
                    the same as small pictures
    coatings.py     light that the surfaces pass
    lensfigures.py  EyepieceFigures: all of it for one piece behind one telescope

and laid over a view::

    quarters.py     the quarters of a picture, of which one tells all that is round
    distortion.py   straight lines bent
    field_blur.py   blur and colour that vary over the field
    bending.py      the same bending where pictures must come quickly
    field_edge.py   the ring that bounds the field: sharp, soft or coloured; vignetting
    traced.py       a kit's eyepiece as traced glass, laid over a view: the door for look()
"""
