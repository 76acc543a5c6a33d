"""The picture room: from light on the retina to a sheet that a hall can read.

In the order in which a picture is made, a folder a step:

    prints/       light on the retina becomes a print: display, adaptation, tone
    drawing/      what any sheet is drawn with: lettering, colours, a view in its field stop
    views/        what is seen: one view, a ladder of powers, kits side by side, a page of targets
    detail/       how much power an object can use: a curve over power
    startest/     a star in and out of focus, and what it says about the optics; the poster
    collimation/  which screw moves the dark middle where: sheet and animation
    eyepieces/    an eyepiece's own glass: rays, spots, its field as seen
    films/        what moves: air, drift, a shaking mount

and what all of them share:

    captions.py   what a picture says about itself: air, eye, sources
    around_views.py
                  through what one looks, the air's prism, against what brightness is told
    limit_bars.py what limits detail step by step, or blurs a point, as bars
    pair_words.py what is said of the pairs of a double star
    moon_words.py which of the dots beside a planet is which of its moons
    fault_words.py
                  faults by their names, with their amounts
    retelling.py  what the rooms below say in English, in the language spoken
    tongues/      the languages' catalogues
    finished.py   a sheet with its figures, footer and recipe, ready to be saved
    outputs.py    what a sheet can be written as: picture, table, page
    recipe.py     all that a picture was made from, to be made again
    again.py      any picture from its recipe
    png.py        a PNG's bytes, deflated by all threads
    save.py       a PNG written whole or not at all, with recipe and figures inside
    data/         fonts with their licence, the dither pattern, the star test's words

In `drawing` nothing computes an eye or a telescope: figures come in, pictures go out. What a sheet
says is settled before it is drawn, for sheet, slide, table and JSON alike: of looks in
`views/judged.py`, of the others in modules named for it, such as `collimation_contents`.
"""
