"""What can be looked at, listed and searched."""

from __future__ import annotations

from pathlib import Path

from simview.errors import require_choice
from simview.scene.target_list import Record, listed


def targets(search: str = "", *, kind: str = "", file: str | Path | None = None) -> list[Record]:
    """Return all that can be looked at, or what a word finds among it.

    Parameters
    ----------
    search
        A part of name, title or synonym, in any case; empty for all.
    kind
        "planet", "moon", "double", "stars", "deep-sky", "chart" or "daytime"; empty for all.
    file
        A TOML file with targets of your own, which come first.

    Returns
    -------
    list of Record
        Each with name, title, kind, size_arcsec, magnitude, season and what it teaches.

    Raises
    ------
    SimviewError
        For a file that cannot be read.

    Examples
    --------
    >>> import simview
    >>> [each.name for each in simview.targets("saturn")]
    ['saturn', 'ngc-7009']
    >>> {each.kind for each in simview.targets(kind="double")}
    {'double'}
    """
    wanted = str(search).lower().strip()
    known = listed(file)
    if kind:
        require_choice("kind", kind, dict.fromkeys(each.kind for each in known))
    return [
        each
        for each in known
        if wanted in " ".join([each.name, each.title, *each.aliases]).lower()
        and kind in ("", each.kind)
    ]
