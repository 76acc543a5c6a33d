"""What views in the best moments cost against average ones: measured, and kept.

python tests/benchmarks/compare_airs.py [pairs]    prints median and quartiles of the ratio

Views of Jupiter, one in each air, taken in turn, each in a process of its own that has loaded the
program and the moments' table and computed nothing yet, so that nothing is kept between them.
Processor time, so that a busy machine matters little.
"""

from __future__ import annotations

import os
import struct
import sys
import time

import numpy as np

import simview
from simview.air import moments

KIT = simview.Kit(
    telescope=simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3),
    eyepieces=(simview.Eyepiece(focal_length_mm=5.0),),
)


def seconds(air: simview.kit.Air) -> float:
    """Return the processor time of one view and its picture, s."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        start = time.process_time()
        simview.look(KIT, "jupiter", sky=simview.Sky(air=air)).image(pixels_per_degree=20)
        os.write(writing, struct.pack("d", time.process_time() - start))
        os._exit(0)
    os.waitpid(child, 0)
    told = struct.unpack("d", os.read(reading, 8))[0]
    os.close(reading)
    os.close(writing)
    return float(told)


def main(pairs: int) -> None:
    moments.table()
    seconds("best")  # the disk's first reading of everything else
    each = []
    for number in range(pairs):
        # Each goes first every other time.
        airs: list[simview.kit.Air] = ["best", "long"] if number % 2 else ["long", "best"]
        took = {air: seconds(air) for air in airs}
        each.append((took["best"], took["long"]))
    best, average = np.array(each).T
    low, middle, high = np.percentile(best / average, (25, 50, 75))
    print(f"best {np.median(best):.2f} s, average {np.median(average):.2f} s of processor time")
    print(f"ratio of pairs: median {middle:.2f}, quartiles {low:.2f} and {high:.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 14)
