"""How much power an object can use in one kit.

case.py           one kit on one object at many powers, and the answer
records.py        what travels from the figures to the drawing
common.py, surface.py, star_curves.py
                  what is asked of each sort of object: finest detail, faint glow, stars
detail_layout.py  the sheet drawn
detail_sheet.py   from a kit and a target to the finished sheet
"""
