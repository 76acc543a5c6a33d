"""The command line program: ``simview`` or ``python -m simview``."""

from __future__ import annotations

import os
import sys


def main() -> None:
    """Run the command line and leave with its exit code."""
    # One thread inside the linear algebra: the work is shared out over wavelengths and panels,
    # and threads within threads only fight. It must be said before numpy loads, and only here,
    # since a library has no say in its user's threads.
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(name, "1")
    from simview.cli.app import run

    sys.exit(run())


if __name__ == "__main__":
    main()
