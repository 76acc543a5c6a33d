"""One file to slides, page and handout.

records.py     what a talk is, and what a made slide is
talk_file.py   the file: every key checked, mistakes told with their line
spelling.py    a slide's keys as the words of a command
making.py      slides made side by side, only what changed, each written whole
plain.py       slides of words alone, and of one's own pictures
deck.py        the slides as PPTX
media_timing.py
               when a film in the deck plays
webpage.py     the slides as one HTML file; page/ holds its style and script
handout.py     slides and notes on paper, as PDF
live_links.py  slides that lead to the same view on the live page
words.py       the few words of page and handout, in several languages
starter.toml  what `simview talk --new` writes

What makes a picture is given from outside: a function from a command's words to what it makes.
"""
