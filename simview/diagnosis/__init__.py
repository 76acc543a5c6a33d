"""Photographs of a star out of focus, and what ails the telescope that took them.

diagnose.py         from photographs to a diagnosis: all of these in order
photo_files.py      files to frames: photographs, FITS, bursts
finding.py          the star in a frame: cut out, sky taken off, or refused with a reason
plates.py           frames of one side aligned, graded and averaged onto the working grid
radial.py           where to start: focus, scale and blur from the mean over rings
pattern.py          a star out of focus and all its slopes
model.py            the pictures as a function of everything unknown
fit.py              least squares, stage by stage; search.py: from several starts and sides
sureness.py         intervals that hold
comparison.py       a small set of explanations, alone and together, weighed by evidence
found_faults.py     which faults, in words, and what to do
records.py          the record of it all
howto.py            how to take the pictures
diagnosis_sheet.py  all of it on one page
again.py            the sheet made again from its recipe
"""
