"""Which screw moves the dark middle where.

words.py              what the sheet says
mirror_back.py        the back of a mirror with its screws
collimation_asked.py  what is asked: kit, screws, star; its figures and recipe
collimation_contents.py
                      what the sheet says, before it is drawn
collimation_sheet.py  what each screw does to a star out of focus, and when to stop
collimation_film.py   the same, moving
daylight_sheet.py     a Newtonian's circles by day, through the empty focuser
"""
