"""Advice: what an offer is worth, what to do instead, and how to rescue what was bought.

In the order in which an offer passes through:

    listing.py        the records: what an offer says, and which words said it
    reading/          from an advert's free text to a Listing
    listingfile.py    files: advert text or TOML, one or many (listingtoml.py)
    request.py        the adviser's desk: one offer in, verdict and answer out
    corrections.py    what a person knows better than the reading
    doubts.py         what an adviser should look at, and the TOML listing that keeps the answers
    marked.py         the offer's own text with what was understood marked
    understood.py     what was understood, and the marked text, in the answer's language
    delivered.py      the offer's arithmetic: every power that its pieces really give
    rules/            small named judgements, each with its arithmetic, source and grade
    verdict.py        vet(): all rules together, and the verdict
    limits.py         what the power room says of a kit, asked once
    offerkit.py       an offer as a kit to look through, and what had to be assumed
    speech.py         sentences that can be said in several languages; tongues/ holds the catalogues
    likely.py         what optics that nobody describes usually are
    sights.py         what an instrument shows: faintest star, finest detail, widest field, rest
    stock.py          the adviser's own stock or price list
    alternatives.py   what the same money buys instead
    tonight.py        what stands in the sky in a month at a latitude
    hours.py          that evening hour by hour: heights, moonlight, twilight
    finder_charts.py  a small chart to each faint thing, from a star that the naked eye sees
    masks.py          a ring of cardboard over the front, where optics gain from one
    rescue.py         what an owner can do with what is there
    firstlist.py      ten things to look at first, each with its expected view
    firstviews.py     a picture of each of them, at its time, through its pieces
    pictures.py       the offer beside the alternatives, on three objects
    letterhead.py     a club's own name, address and words
    headline.py       the first two sentences: the verdict, or what an owner has
    powertable.py     the table of powers
    paperfonts.py     the letters of the answer on paper
    answer.py         the whole answer as one record; page.py (HTML), paper.py (PDF) and
                      plaintext.py (terminal) write it out; templates/ holds its words and look
    otherletters.py   a font of this computer for letters that the PDF's own font lacks
    ranking.py        many offers at once: a ranked table
"""

from __future__ import annotations
