"""The public door: what `import simview` offers beyond the records, one module a subject.

looking.py    look, and the view as a picture
"""
