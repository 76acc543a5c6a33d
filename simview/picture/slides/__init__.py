"""Slides: one message each, read from the back row.

What a slide says is settled before anything is drawn:

records.py       the plain record of a slide: title, panels, at most three figures
says.py          its words: titles that make the point, conditions by their names
plan.py          how large everything is, before the pictures are made
arrange.py       where everything stands, as a list of shapes and words
paint.py         that list as a picture
vector.py        the same list as a page of PDF whose words stay words
printed.py, view_slide.py, compare_slide.py
                 from kits and targets to slides of views: the only ones here that look
again.py         slides from their recipes
detail_slide.py  from the curve over power to a slide
star_slide.py    from a star test to a slide
collimation_slide.py, eyepiece_slide.py, targets_slide.py
                 from screws, an eyepiece, a list of targets to a slide
film_slide.py    from a film to frames of a slide
"""
