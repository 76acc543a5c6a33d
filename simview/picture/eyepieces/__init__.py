"""An eyepiece's own glass.

lens_drawing.py
              lenses and rays in section
views.py      spots and the field as seen
eyepiece_contents.py
              what the sheet says, before it is drawn
eyepiece_sheet.py
              the finished sheet
"""
