"""The public door: what `import simview` offers beyond the records, one module a subject.

looking.py        look, and the view as a picture
rows.py           ladder, comparison, detail against power; units of figures
stars.py          faults by name, a star through focus
films.py          a view in motion, frame by frame
glasswork.py      an eyepiece's glass traced
target_search.py  what can be looked at
answers.py        an offer judged, and what can be sent, printed or shown of it
saving.py         a sheet on disk, as the kind of file that its name asks for
python.py         errors in Python's words
"""
