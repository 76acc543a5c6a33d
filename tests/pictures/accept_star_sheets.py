"""Accept the sheets on stars as they are now. Look at them first; then run this with --accept.

python tests/pictures/accept_star_sheets.py --show FOLDER    write them full size, accept nothing
python tests/pictures/accept_star_sheets.py --accept         replace the accepted pictures
"""

from __future__ import annotations

import argparse
from pathlib import Path

from drawn_stars import SHEETS, thumb

ACCEPTED = Path(__file__).parent / "accepted"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    way = parser.add_mutually_exclusive_group(required=True)
    way.add_argument("--show", type=Path, metavar="FOLDER")
    way.add_argument("--accept", action="store_true")
    given = parser.parse_args()
    for name, draw in SHEETS.items():
        sheet = draw()
        if given.accept:
            thumb(sheet).save(ACCEPTED / f"{name}.png", optimize=True)
        else:
            sheet.save(given.show / f"{name}.png")


if __name__ == "__main__":
    main()
