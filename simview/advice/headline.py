"""The first two sentences of an answer: for a buyer the verdict, for an owner what is there.

A promise on the box, a piece that can stay in it and a price speak against an offer; they are no
weakness of the telescope, and its owner is not told that they were.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from simview.advice.verdict import Verdict, Word, word_of

# Rules that judge the instrument itself: what stays when promises and loose pieces are left aside.
OF_THE_INSTRUMENT: Final = frozenset(
    (
        "aperture",
        "internal stop",
        "single lens",
        "plastic optics",
        "colour",
        "spherical mirror",
        "built-in corrector",
        "barrel",
        "simple eyepieces",
        "mount",
        "settling",
        "free play",
        "slow motion",
        "small equatorial",
        "held by hand",
        "finder",
        "lowest power",
    )
)


def headline(verdict: Verdict, words: Mapping[str, str], *, owner: bool) -> tuple[Word, str, str]:
    """Return the word that colours the box, and the two sentences in it.

    Parameters
    ----------
    words
        Headings and sentences, as `simview.advice.letterhead.words_of` gives them.
    owner
        True for someone who has the thing already.

    Notes
    -----
    Checked by: tests/unit/advice/test_answer_page.py
    """
    if not verdict.listing.about_telescope:
        return verdict.verdict, words["verdict_other"], words["because_other"]
    if not owner:
        key = verdict.verdict.replace(" ", "_")
        return verdict.verdict, words[f"verdict_{key}"], words[f"because_{key}"]
    own = word_of(one for one in verdict.findings if one.rule in OF_THE_INSTRUMENT)
    key = own.replace(" ", "_")
    because = words[f"owner_because_{key}"]
    if any(one.rule == "sun safety" and one.grade == "stop" for one in verdict.findings):
        return "leave it", words["owner_sun"], because
    return own, words[f"owner_{key}"], because
