"""Accept the sheets as they are drawn now. Look at them first; then run this with --accept.

python tests/pictures/accept_sheets.py --show FOLDER    write them full size, accept nothing
python tests/pictures/accept_sheets.py --accept         replace the accepted pictures
"""

from __future__ import annotations

import argparse
from pathlib import Path

import drawn_stars
import drawn_views

ACCEPTED = Path(__file__).parent / "accepted"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    way = parser.add_mutually_exclusive_group(required=True)
    way.add_argument("--show", type=Path, metavar="FOLDER")
    way.add_argument("--accept", action="store_true")
    given = parser.parse_args()
    for drawn in (drawn_views, drawn_stars):
        for name, draw in drawn.SHEETS.items():
            sheet = draw()
            if given.accept:
                drawn.thumb(sheet).save(ACCEPTED / f"{name}.png", optimize=True)
            else:
                sheet.save(given.show / f"{name}.png")


if __name__ == "__main__":
    main()
