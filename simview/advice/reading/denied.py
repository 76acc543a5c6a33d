"""Whether an offer says that its Sun filter is absent: "Sonnenfilter? nein, keiner dabei".

Only words that leave no doubt count; "no" must end its clause: "filtro solar no usado" is there.
"""

from __future__ import annotations

import re
from typing import Final

from simview.advice.reading.trade_words import fold

_NO: Final = (
    r"(?:no|nope|nein|nee|ne|nej|nie|non|nao|keine?[rs]?|none|aucun|nessuno|ninguno|geen|brak"
    r"|zadny|inget|nenhum)"
)
_END: Final = r"(?= ?(?:[,.;!)\n]|$))"
_THERE: Final = (
    r"(?:included|with it|there|supplied|have|got|dabei|vorhanden|enthalten|bei|aanwezig|erbij"
    r"|inclus|fourni|incluso|compreso|incluido|w zestawie|v baleni|incluido|med)"
)
_ABSENT: Final = re.compile(
    rf"filt\w*(?: (?:for|fur|furs|pour|para|per|voor|na|eyepiece)){{0,3}}"
    rf"(?: ?[:?-]{{1,2}} ?| )(?:- ?)?{_NO}(?:{_END}| {_THERE}\b)"
    r"|filt\w* (?:(?:is|are|ist|sind|er|est|is|zit|zitten|jest|je|ar|e|leider|ook|for|the|fur|furs"
    r"|das|pour|para|per|na|voor|het|eyepiece) ){0,4}(?:not included|nicht (?:dabei|vorhanden"
    r"|enthalten|mit dabei)|fehlt|fehlen|missing|zit er niet bij|niet (?:erbij|inbegrepen|aanwezig"
    r"|bijgeleverd)|er niet bij|zit niet bij|ontbreekt|non (?:incluso|compreso|c ?' ?e|presente"
    r"|fourni|inclus)|manca|no (?:incluido|incluye|lleva|viene|esta)|falta|pas (?:inclus|fourni"
    r"|dispo\w*)|manque|absent|nie ma|nie w zestawie|brak|neni|chybi|nao (?:incluido|vem|tem|ha)"
    r"|ingar (?:inte|ej)|medfoljer (?:inte|ej)|saknas)"
    rf"{_END}"
)
# The answer to "and a Sun filter?".
_ANSWER: Final = re.compile(
    rf"\W*{_NO}(?:{_END}|(?:,? (?:i|hab|habe|have|ich|je|n|en|ai|tengo|ho|heb|ik|mam|mame|nemam"
    r"|tenho|har|jag|there|is|da|ist|leider|sorry|haven ?'? ?t|don ?'? ?t)){0,5}"
    r" (?:got|have|one|none|no|not|keine[nr]?|nicht|dabei|vorhanden|pas|ninguno|nessuno|geen"
    rf"|niet|zadny|nenhum|inget|ingen|nie ma|nie mam|neni)\b(?: dabei| vorhanden| bei| got)?{_END})"
)


def filter_is_absent(clause: str, follows: str) -> bool:
    """Tell a filter that does not come with it.

    Parameters
    ----------
    clause
        The words around the filter, in the readers' words.
    follows
        The next sentence, in which a question is answered.
    """
    said = fold(" ".join(clause.split()))
    if _ABSENT.search(said):
        return True
    asked = re.search(r"filt\w*[^,;:.]{0,24}\?$", said)
    return asked is not None and bool(_ANSWER.match(fold(follows)))
