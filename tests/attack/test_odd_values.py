"""Values that nobody would send: of thousands of digits, nested thousands deep, not a number."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from simview.cli.app import run

TOY = "demo:toy-refractor-50"
VIEW = ["view", TOY, "-t", "jupiter"]
BIG, HUGE = "9" * 400, "9" * 5000
SCOPE = "[telescope]\naperture_mm = 60\nfocal_length_mm = 600\n"

ODD = [
    [*VIEW, "--seed", BIG],
    [*VIEW, "--seed", HUGE],
    [*VIEW, "--set", f"seed={BIG}"],
    [*VIEW, "--power", HUGE],
    [*VIEW, "--eyepiece", HUGE],
    [*VIEW, "--eyepiece", "²"],
    [*VIEW, "--jobs", HUGE],
    [*VIEW, "--memory", HUGE],
    [*VIEW, "--date", HUGE],
    [*VIEW, "--size", f"{HUGE}x1080"],
    [*VIEW, f"--{HUGE}"],
    ["vet", "demo:present-450x", "--rescue", "--month", f"{HUGE}-{HUGE}"],
    ["vet", "demo:present-450x", "--rescue", "--month", f"2026-{HUGE}"],
    ["vet", "demo:present-450x", "--rescue", "--month", "２０２６-１"],
    ["vet", "demo:present-450x", "--budget", HUGE],
    ["targets", "--page", HUGE, "--out", "x.png"],
    ["film", TOY, "--frames", HUGE],
    ["startest", TOY, "--fault", f"coma={HUGE}"],
    [HUGE],
]

DEEP = {
    "lists": f"{SCOPE}x = {'[' * 3000}{']' * 3000}\n",
    "tables": f"{SCOPE}[{'.'.join('a' * 3000)}]\nx = 1\n",
    "inline": f"{SCOPE}x = {'{a=' * 800}1{'}' * 800}\n",
    "dotted": f"{SCOPE}{'.'.join('b' * 900)} = 1\n",
    "digits": f"[telescope]\naperture_mm = {'9' * 5000}\nfocal_length_mm = 600\n",
    "hex": f"[telescope]\naperture_mm = 0x{'f' * 5000}\nfocal_length_mm = 600\n",
}


def one_line(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """Run a command that must be refused in one line of a readable length."""
    assert run(arguments) == 2
    told = capsys.readouterr()
    assert told.err.count("\n") == 1
    assert len(told.err) < 1000
    return told.err


@pytest.mark.parametrize("arguments", ODD, ids=lambda words: " ".join(w[:20] for w in words)[-60:])
def test_odd_value_is_refused_in_one_line_of_readable_length(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    one_line(arguments, capsys)


@pytest.mark.parametrize("kind", DEEP)
@pytest.mark.parametrize(
    "command",
    [
        ["view", "FILE", "-t", "jupiter"],
        ["vet", "FILE"],
        ["vet", "demo:present-450x", "--shelf", "FILE"],
        ["vet", "demo:present-450x", "--letterhead", "FILE"],
        ["targets", "--targets", "FILE"],
        ["eyepiece", "FILE"],
    ],
    ids=" ".join,
)
def test_toml_nested_or_digited_beyond_reason_is_refused(
    kind: str, command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "odd.toml"
    file.write_text(DEEP[kind])
    one_line([str(file) if word == "FILE" else word for word in command], capsys)


@pytest.mark.skipif(sys.platform == "win32", reason="pipes of POSIX")
@pytest.mark.parametrize(
    "command",
    [
        ["view", "pipe.toml", "-t", "jupiter"],
        ["vet", "pipe.txt"],
        ["redo", "pipe.png"],
        ["redo", "pipe.webp"],
        [*VIEW[:2], "--image", "pipe.png", "--width-arcmin", "9", "--mag-arcsec2", "5"],
    ],
    ids=" ".join,
)
def test_named_pipe_is_not_waited_for(
    command: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    for ending in ("toml", "txt", "png", "webp"):
        os.mkfifo(f"pipe.{ending}")
    one_line(command, capsys)


@pytest.mark.parametrize("odd", [np.nan, np.inf, -np.inf, -5.0])
def test_picture_of_what_is_no_number_is_dark_there_and_warns_of_nothing(
    odd: float, tmp_path: Path
) -> None:
    from simview.scene.photo import read_linear

    values = np.full((32, 32), odd, np.float32)
    values[4:9] = 1.0
    Image.fromarray(values).save(tmp_path / "odd.tif")
    light = read_linear(tmp_path / "odd.tif")
    assert np.isfinite(light).all()
    np.testing.assert_array_equal(light[4:9], 1.0)
    # An infinite pixel is as bright as the brightest that is not; all others are dark.
    np.testing.assert_array_equal(light[9:], 1.0 if odd == np.inf else 0.0)


# --- threads and processes ------------------------------------------------------------------------


def test_callers_linear_algebra_has_its_threads_again_after_use_from_eight() -> None:
    """Measured by threadpoolctl, a library of its own, before and after."""
    from concurrent.futures import ThreadPoolExecutor

    from threadpoolctl import threadpool_info, threadpool_limits

    from simview.executor.threads import one_blas_thread, spread_work

    def counts() -> list[int]:
        return [one["num_threads"] for one in threadpool_info() if one["user_api"] == "blas"]

    np.ones((4, 4)) @ np.ones((4, 4))
    with threadpool_limits(limits=2, user_api="blas"):
        before = counts()
        # One goes while another is still at work, as threads do.
        first, second = one_blas_thread(), one_blas_thread()
        first.__enter__()
        second.__enter__()
        assert set(counts()) == {1}
        first.__exit__(None, None, None)
        assert set(counts()) == {1}
        second.__exit__(None, None, None)
        assert counts() == before
        with ThreadPoolExecutor(8) as pool:
            asked = [pool.submit(spread_work, np.sqrt, range(40)) for _ in range(64)]
            assert [len(one.result()) for one in asked] == [40] * 64
        assert counts() == before


def test_two_processes_writing_one_name_leave_one_whole_file_each(tmp_path: Path) -> None:
    """One gets the name, the other the next free one; nothing is lost or half written."""
    import subprocess

    code = (
        "import sys\nfrom PIL import Image\nfrom simview.picture.save import save_png\n"
        "for turn in range(20):\n"
        "    image = Image.new('RGB', (40, 30), sys.argv[1])\n"
        "    save_png(image, 'sheet.png', recipe={}, figures={}, number=True)\n"
    )
    children = [
        subprocess.Popen([sys.executable, "-c", code, colour], cwd=tmp_path)
        for colour in ("red", "blue")
    ]
    assert [child.wait(120) for child in children] == [0, 0]
    found = sorted(tmp_path.iterdir())
    assert len(found) == 40
    colours = []
    for path in found:
        with Image.open(path) as image:
            colours.append(image.getpixel((0, 0)))
    assert colours.count((255, 0, 0)) == colours.count((0, 0, 255)) == 20


def test_small_work_wakes_no_thread_of_the_linear_algebra() -> None:
    """Seen at the library itself, each time one of its products is asked for."""
    from threadpoolctl import threadpool_info, threadpool_limits

    import simview
    from simview.telescope import star

    seen: list[int] = []
    tensordot = np.tensordot

    def watched(*given: object, **more: object) -> object:
        told = threadpool_info()
        seen.extend(one["num_threads"] for one in told if one["user_api"] == "blas")
        return tensordot(*given, **more)

    with pytest.MonkeyPatch.context() as patch, threadpool_limits(limits=2, user_api="blas"):
        patch.setattr(star.np, "tensordot", watched)
        scope = simview.Telescope(aperture_mm=100.0, focal_length_mm=800.0)
        simview.point_spread(scope, pixels=64, wavelengths_nm=[500.0, 600.0])
    assert seen
    assert set(seen) == {1}


@pytest.mark.parametrize("other", ["x.png", "./x.png", "X.PNG"])
def test_film_and_sheet_of_one_name_are_refused_before_anything_is_drawn(
    other: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    # The film was written, and the sheet then found its name taken: half the work, for nothing.
    monkeypatch.chdir(tmp_path)
    told = one_line(["collimate", TOY, "--animation", other, "--out", "x.png"], capsys)
    assert "--animation" in told
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "words",
    [
        ["diagnose", "bad.tif", "--kit", "demo:tabletop-150"],
        ["view", TOY, "--image", "bad.tif", "--width-arcmin", "31", "--mag-arcsec2", "5"],
        ["view", TOY, "-t", "mars", "--for", "slide", "--logo", "bad.tif"],
        ["redo", "bad.tif"],
    ],
    ids=lambda words: words[0],
)
def test_library_that_warns_of_a_damaged_picture_adds_no_line(
    words: list[str], tmp_path: Path
) -> None:
    """A TIFF whose directory says 255 entries and holds none (TIFF 6.0, section 2)."""
    (tmp_path / "bad.tif").write_bytes(b"II*\x00\x08\x00\x00\x00\xff\xff")
    done = subprocess.run(
        [sys.executable, "-m", "simview", *words],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 2, done.stderr
    assert done.stderr.count("\n") == 1, done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["bad.tif"]
