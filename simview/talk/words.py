"""The page's and the handout's own few words, in several languages."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

_WORDS: Final[Mapping[str, Mapping[str, str]]] = {
    "en": {
        "back": "Back",
        "back_key": "left arrow, page up",
        "on": "On",
        "on_key": "right arrow, page down, space",
        "notes": "Notes",
        "notes_key": "N: the notes in a window of their own",
        "whole": "Full screen",
        "whole_key": "F",
        "steering": "Slides",
        "next": "Next",
        "page": "Page",
        "of": "of",
        "sources": "Sources",
        "continued": "Notes, continued",
        "slide": "Slide",
        "live": "Live",
    },
    "de": {
        "back": "Zurück",
        "back_key": "Pfeil nach links, Bild auf",
        "on": "Weiter",
        "on_key": "Pfeil nach rechts, Bild ab, Leertaste",
        "notes": "Notizen",
        "notes_key": "N: die Notizen in einem eigenen Fenster",
        "whole": "Vollbild",
        "whole_key": "F",
        "steering": "Folien",
        "next": "Als Nächstes",
        "page": "Seite",
        "of": "von",
        "sources": "Quellen",
        "continued": "Notizen, Fortsetzung",
        "slide": "Folie",
        "live": "Live",
    },
    "fr": {
        "back": "Retour",
        "back_key": "flèche gauche, page précédente",
        "on": "Suite",
        "on_key": "flèche droite, page suivante, espace",
        "notes": "Notes",
        "notes_key": "N : les notes dans une fenêtre à part",
        "whole": "Plein écran",
        "whole_key": "F",
        "steering": "Diapositives",
        "next": "Ensuite",
        "page": "Page",
        "of": "sur",
        "sources": "Sources",
        "continued": "Notes, suite",
        "slide": "Diapositive",
        "live": "En direct",
    },
    "es": {
        "back": "Atrás",
        "back_key": "flecha izquierda, página anterior",
        "on": "Adelante",
        "on_key": "flecha derecha, página siguiente, espacio",
        "notes": "Notas",
        "notes_key": "N: las notas en una ventana aparte",
        "whole": "Pantalla completa",
        "whole_key": "F",
        "steering": "Diapositivas",
        "next": "A continuación",
        "page": "Página",
        "of": "de",
        "sources": "Fuentes",
        "continued": "Notas, continuación",
        "slide": "Diapositiva",
        "live": "En vivo",
    },
}


def words(language: str) -> Mapping[str, str]:
    """Return the words in a language, English where there are none."""
    return _WORDS.get(language.partition("-")[0].lower(), _WORDS["en"])
