"""The eyepiece room: from the objective's focus to the beam that enters the eye.

In the order the light meets it::

    designs.py      what is usual for a design: apparent field, glass surfaces, coatings
    barrels.py      barrel sizes: what fits into what, and the largest field that passes
    fields.py       field stop, apparent field and true field, by either condition
    train.py        beam(): power, exit pupil, fields and light of one choice of pieces
    orientation.py  how the view is turned, and the turning of a picture
    drift.py        how long an object stays in the field of an undriven mount
    beam.py         Beam, the record that leaves for the eye
"""
