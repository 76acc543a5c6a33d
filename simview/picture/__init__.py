"""The picture room: from light on the retina to a sheet that a hall can read.

In the order in which a picture is made:

    display.py   the reader's display, and what is just visible on it
    response.py, adapting.py
                 one adaptation for a whole sheet, and its curves from light to print
    chroma.py    colour is seen coarser than light
    dither.py    a fixed pattern that hides the steps of 8 bits
    tone.py      retinas in troland become 8-bit sRGB
    palette.py   the sheet's few colours, chosen for contrast and for colour-blind readers
    text.py      the lettering: fonts, measuring, wrapping, angles and powers in words
    panel.py     one view: field stop, ring, frame, scale bar, marks
    canvas.py    a sheet to draw on, in units that grow with it
    sheet.py     what all sheets share: title, caption, tables, bars of what limits detail
    bands.py     where power helps, in words, for whatever stands in the view
    ladder.py    the same object at rising powers
    compare_layout.py, compare.py
                 several kits or eyepieces, one object, one apparent scale
    single.py    one view with a loupe at life size
    plot.py, detail_records.py, detail_sheet.py
                 a curve over power: axes, what travels, the sheet
    detail.py, detail_common.py, detail_surface.py, detail_stars.py
                 that sheet from a kit and a target: what is asked of each sort of object
    printing.py, marks.py, captions.py, recipe.py, compose.py, again.py
                 from kits and targets to finished sheets: with detail.py the only ones that look
    lens_drawing.py, eyepiece_views.py, eyepiece_sheet.py
                 an eyepiece's own glass: rays, spots, field as seen
    starlight.py, star_images.py
                 a star's light by wavelength becomes colour, at any pixel and any focus
    star_words.py, star_figures.py, wavemap.py, star_charts.py
                 the star test's words, figures, wavefront map and charts
    startest.py, startest_layout.py, startest_sheet.py, startest_fits.py
                 the star test: what it shows, where it stands, the sheet, the FITS file
    atlas_cells.py, startest_atlas.py
                 all faults as a poster for printing
    mirror_back.py, collimate_sheet.py, collimate_film.py
                 which screw moves the dark middle where: drawings, sheet, animation
    motion.py, film_frame.py, film_star.py, film_camera.py, film_view.py, film.py
                 films: what moves, one frame, a star, a view, all of them from recipes
    moving.py    WebP, APNG or frames written whole or not at all, recipe and figures inside
    save.py      a PNG written whole or not at all, with its recipe and figures inside
    data/        fonts with their licence, the dither pattern, the star test's words

Up to `single` nothing here computes an eye or a telescope: figures come in, pictures go out.
"""
