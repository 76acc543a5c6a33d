"""A sheet on disk, as the kind of file that its name asks for."""

from __future__ import annotations

from pathlib import Path

from simview.picture.finished import Sheet
from simview.picture.outputs import write
from simview.record import require_type


def save_sheet(sheet: Sheet, path: str | Path, *, force: bool = False) -> Path:
    """Write a sheet: a picture that carries its recipe, or its figures as a table.

    Parameters
    ----------
    sheet
        From `simview.ladder`, `simview.compare`, `simview.detail` and others that give sheets.
    path
        Ends in .png for the picture, or .csv for a row of figures for each step or panel.
    force
        True replaces a file that is there.

    Returns
    -------
    Path
        Where the file lies.

    Raises
    ------
    SimviewError
        For another ending, or a file that is there already.

    Examples
    --------
    >>> import simview, tempfile, pathlib
    >>> scope = simview.Telescope(aperture_mm=150, focal_length_mm=750, obstruction=0.3)
    >>> curve = simview.detail(simview.Kit(telescope=scope), "jupiter", [40, 120])
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     place = simview.save_sheet(curve, pathlib.Path(folder) / "curve.csv")
    ...     place.read_text("utf-8-sig").splitlines()[0][:28]
    'powers,finest_detail_arcsec,'
    """
    require_type("sheet", sheet, Sheet, "a sheet, such as simview.ladder gives")
    return write(sheet, path, force=force)
