"""An eyepiece's own glass.

lens_drawing.py
              lenses and rays in section
views.py      spots and the field as seen
eyepiece_sheet.py
              the finished sheet
"""
