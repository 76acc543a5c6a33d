"""Make each mistake of ``named.toml`` on purpose, and see that the tests named beside it fail.

By hand: ``python tests/mutants/named.py`` in a clone of its own, since it writes into the files it
changes; a word limits it to the mistakes that hold the word.
"""

from __future__ import annotations

import sys
import tomllib

from made import HOME, fails, instead


def main() -> None:
    """Tell of each mistake whether a test minds."""
    listed = tomllib.loads((HOME / "tests/mutants/named.toml").read_text("utf-8"))["mistake"]
    asked = [one for one in listed if " ".join(sys.argv[1:]) in one["says"]]
    every = sorted({test for one in asked for test in one["tests"]})
    if found := fails(every, seconds=600.0):
        raise SystemExit(f"{found} fails before anything is changed")
    caught = 0
    for one in asked:
        path = HOME / one["file"]
        before = path.read_text("utf-8")
        if before.count(one["find"]) != 1:
            raise SystemExit(f"{one['file']}: {one['find']!r} stands there other than once")
        with instead(path, before.replace(one["find"], one["put"])):
            found = fails(one["tests"], seconds=300.0)
        caught += found != ""
        print(f"{'caught' if found else 'ALIVE '}  {one['says']}  {found}", flush=True)
    print(f"{caught} of {len(asked)} caught")


if __name__ == "__main__":
    main()
