"""What a command has loaded at which point: names of modules, since times differ by machine.

A tenth of a second of each command is a library's part that nobody here uses, so what may be
loaded is written down; the times themselves are in docs/performance.md.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from simview.unused import PUT_OFF

# What the parts that are put off would bring along with them.
COME_ALONG = {"numpy.f2py.crackfortran", "numpy.testing._private.utils", "unittest"}
# What only those load that are put off and hold nothing else.
HEAVY = {"_bz2", "_lzma", "_compat_pickle", "_posixsubprocess"}
OTHER_WORK = {"fpdf", "jinja2", "pptx", "matplotlib", "av", "starlette", "uvicorn", "poppy"}


def loaded(*words: str, then: str = "pass") -> set[str]:
    """Run the program as its users do, then more code, and return what was loaded by then."""
    code = (
        "import sys\n"
        "from simview.__main__ import main\n"
        "try:\n    main()\nexcept SystemExit as end:\n    code = end.code\n"
        f"{then}\n"
        "print(code, *sys.modules)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *words, "--quiet"],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
        env={**os.environ, "SIMVIEW_JOBS": "1"},
    )
    return set(done.stdout.splitlines()[-1].split())


def test_view_has_loaded_neither_transforms_nor_other_commands_before_it_computes() -> None:
    # The power is refused where the light's path is followed, right before anything is computed.
    have = loaded("view", "demo:tabletop-150", "-t", "saturn", "--power", "4000")
    assert "2" in have
    assert {"numpy", "PIL.Image", "simview.view"} <= have
    assert not have & (OTHER_WORK | COME_ALONG | {"scipy", "scipy.fft", "scipy.special", "rich"})
    assert not have & {"pydantic", *HEAVY}
    home = "simview.cli.commands."
    assert {name for name in have if name.startswith(home)} == {f"{home}view"}
    assert not {name for name in have if name.startswith(("simview.advice", "simview.diagnosis"))}


def test_help_loads_no_numerics_no_processes_and_no_frames() -> None:
    have = loaded("view", "--help")
    assert {"0", "typer"} <= have
    assert not have & {"numpy", "PIL", "rich", "multiprocessing", "concurrent.futures", *HEAVY}


def test_picture_is_made_without_what_is_put_off(tmp_path: Path) -> None:
    out = tmp_path / "view.png"
    have = loaded("view", "demo:tabletop-150", "-t", "mars", "--size=960x540", "--out", str(out))
    assert out.stat().st_size > 0
    assert "0" in have
    assert "simview.transforms" in have
    assert "pydantic" not in have
    assert not have & (OTHER_WORK | COME_ALONG | {"scipy", "scipy.fft", "scipy.special"})
    # Masked arrays come with numpy's own quantiles and sets.
    assert not have & {"numpy.ma", "threadpoolctl", "rich"}


def test_what_is_put_off_is_there_for_whoever_asks() -> None:
    ask = (
        "import numpy, PIL.Image, scipy.fft\n"
        "assert 'unittest' not in sys.modules\n"
        "numpy.testing.assert_allclose(1.0, 1.0)\n"
        "from numpy.f2py import crackfortran"
    )
    assert loaded("--version", then=ask) >= {*PUT_OFF, *COME_ALONG}
