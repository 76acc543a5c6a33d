"""What is seen, as sheets.

single.py     one view with a loupe at life size
bands.py      where power helps, in words, for whatever stands in the view
ladder.py     the same object at rising powers
compare_layout.py, compare.py
              several kits or eyepieces, one object, one apparent scale
contact_layout.py
              a page of small views
comparing.py, compose.py, contact_sheet.py
              from kits and targets to finished sheets: the only ones here that look
"""
