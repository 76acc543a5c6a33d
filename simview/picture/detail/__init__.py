"""How much power an object can use in one kit.

case.py       one kit on one object at many powers, and the answer
records.py    what travels from the figures to the drawing
common.py, surface.py, stars.py
              what is asked of each sort of object: finest detail, faint glow, stars
layout.py     the sheet drawn
sheet.py      from a kit and a target to the finished sheet
"""
