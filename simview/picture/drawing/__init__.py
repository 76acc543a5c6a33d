"""What any sheet is drawn with.

palette.py    few colours, chosen for contrast and for colour-blind readers
text.py       the lettering: fonts, measuring, wrapping, angles and powers in words
canvas.py     a sheet to draw on, in units that grow with it
panel.py      one view: field stop, ring, frame, scale bar, marks
plot.py       the axes of a curve over power
sheet.py      title, caption, tables, bars of what limits detail
dress.py      what its maker adds, and its ground: title, foot, logo, white
tongue.py     the language of the words on sheets and slides
shapes.py     what a page is drawn from: words, pictures, lines, areas; for slides and for PDF
papers.py     papers by their names
"""
