"""A star in and out of focus, and what it says about the optics.

starlight.py  a star's light by wavelength becomes colour
images.py     its image at any pixel and any focus
patterns.py   a star test computed: the strip through focus, the cone of light
words.py, star_figures.py
              what the patterns mean, in words and in figures
wavemap.py, star_plots.py
              the wavefront and the profile drawn
star_layout.py, star_sheet.py
              where all of it stands, and the finished sheet
fits.py       the patterns as a FITS file
atlas_cells.py, atlas.py
              all faults as a poster for printing
"""
