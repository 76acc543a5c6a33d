"""The picture room: from light on the retina to a sheet that a hall can read.

In the order in which a picture is made:

    tone.py      one adaptation for a whole sheet; retinas in troland become 8-bit sRGB
    palette.py   the sheet's few colours, chosen for contrast and for colour-blind readers
    text.py      the lettering: fonts, measuring, wrapping, angles and powers in words
    panel.py     one view: field stop, ring, frame, scale bar, marks
    layout.py    where everything goes: sizes that a caller needs before it computes a view
    ladder.py    the same object at rising powers
    compare.py   several kits or eyepieces, one object, one apparent scale
    single.py    one view with a loupe at life size
    sheet.py     what travels to a sheet, and the three doors `ladder`, `compare`, `view`
    save.py      a PNG written whole or not at all, with its recipe and figures inside
    data/        fonts with their licence, the dither pattern

Nothing here computes an eye or a telescope: figures come in, pictures go out.
"""
