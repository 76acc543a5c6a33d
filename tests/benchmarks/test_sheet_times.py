"""How long whole sheets take. Nothing is asserted about time: run with --benchmark-enable."""

from __future__ import annotations

import subprocess
import sys

import pytest

import simview
from simview.demo import asset
from simview.picture.views import compose

POWERS = (30.0, 45.0, 100.0, 150.0, 300.0, 450.0)
SIZES = {"1920x1080": (1920, 1080), "3840x2160": (3840, 2160)}


@pytest.mark.parametrize("size", list(SIZES))
def test_ladder_of_six_panels_warm(benchmark, size):
    kit = simview.load_kit(asset("kits/toy-refractor-50.toml"))
    target = simview.target("jupiter")
    sheet = benchmark(compose.ladder, kit, target, powers=POWERS, size=SIZES[size])
    assert sheet.image.size == SIZES[size]


@pytest.mark.parametrize("size", list(SIZES))
def test_ladder_of_six_panels_as_a_whole_process(benchmark, size, tmp_path):
    out = tmp_path / "ladder.png"
    command = [
        sys.executable,
        "-m",
        "simview",
        "ladder",
        "demo:toy-refractor-50",
        "--target=jupiter",
        f"--powers={','.join(f'{p:g}' for p in POWERS)}",
        f"--size={size}",
        "--memory=4",
        f"--out={out}",
        "--force",
        "--quiet",
    ]
    benchmark.pedantic(subprocess.run, args=(command,), kwargs={"check": True}, rounds=3)
    assert out.stat().st_size > 10_000


def test_answer_with_pictures_as_a_whole_process(benchmark, tmp_path):
    out = tmp_path / "answer.html"
    command = [
        *(sys.executable, "-m", "simview", "vet", "demo:present-450x"),
        *("--shelf=demo:shelf", "--letterhead=demo:letterhead", "--budget=150", "--currency=EUR"),
        *(f"--out={out}", "--force", "--quiet"),
    ]
    benchmark.pedantic(
        subprocess.run,
        args=(command,),
        kwargs={"check": True, "capture_output": True},
        rounds=3,
    )
    assert out.stat().st_size > 100_000


def test_close_ups_kernel(benchmark):
    path = simview.look(
        simview.load_kit(asset("kits/toy-refractor-50.toml")), simview.target("jupiter"), power=150
    ).path
    kernel = benchmark(lambda: path.kernels(path.grid(0.3)))
    assert kernel.shape == (4, 3, 576, 576)
