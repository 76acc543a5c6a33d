"""What holds for every test: the same run each time, on however few cores."""

from __future__ import annotations

import os

# Before numpy loads: pytest's workers share the cores already.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")

from hypothesis import settings  # noqa: E402

# The same examples in every run, and no clock: a busy machine must not fail a test.
settings.register_profile("steady", derandomize=True, deadline=None, database=None)
# For hunting: --hypothesis-profile=hunt looks at ten times as many, new ones each time.
settings.register_profile("hunt", max_examples=1000, deadline=None)
settings.load_profile("steady")
