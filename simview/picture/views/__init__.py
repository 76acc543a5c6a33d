"""What is seen, as sheets.

single.py     one view with a loupe at life size
halves.py     a loupe that two close pairs share
cases.py      kits, eyepieces and conditions paired, each a case
suggestion.py what a power is worth, and which other piece of the kit suits the object better
judged.py     what each view shows and what is said of it, settled before anything is drawn
ladder.py     the same object at rising powers
compare_layout.py, compare.py
              several kits or eyepieces, one object, one apparent scale
abreast.py    views in rows, on sheets that are not lying
contact_contents.py, contact_layout.py
              a page of small views: what it says, and where it stands
page_words.py the words that head it
comparing.py, compose.py, contact_sheet.py
              from kits and targets to finished sheets: the only ones here that look
"""
