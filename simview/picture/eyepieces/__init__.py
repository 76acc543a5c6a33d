"""An eyepiece's own glass.

lens_drawing.py
              lenses and rays in section
views.py      spots and the field as seen
sheet.py      the finished sheet
"""
