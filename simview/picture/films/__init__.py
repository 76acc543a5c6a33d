"""What moves.

motion.py     what moves in a view: air, drift, a shaking mount
frame.py      one frame with its words
star_film.py  a film of a star
camera.py, view_film.py
              a film of a view
power_film.py
              a power turned up and down again
again.py      any film from its recipe
moving.py     WebP, APNG or frames written whole or not at all, recipe and figures inside;
              video.py: what slides play
"""
