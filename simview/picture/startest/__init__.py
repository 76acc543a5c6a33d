"""A star in and out of focus, and what it says about the optics.

starlight.py  a star's light by wavelength becomes colour
images.py     its image at any pixel and any focus
patterns.py   a star test computed: the strip through focus, the cone of light
words.py, star_figures.py
              what the patterns mean, in words and in figures
wavemap.py, star_plots.py
              the wavefront and the profile drawn
star_contents.py
              what the sheet says, before it is drawn
star_layout.py, star_sheet.py
              where all of it stands, and the finished sheet
cooling_rows.py, clockface.py
              the night's course of a warm mirror; which side of the telescope it is
tested.py     all that a star test says, before it is drawn
fits.py       the patterns as a FITS file
riddle.py     a fault to guess
atlas_cells.py, atlas_page.py, atlas.py
              all faults as a poster for printing
"""
