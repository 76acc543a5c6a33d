"""The program's own targets may be painted by several threads at once; a caller's own may not."""

from __future__ import annotations

import pickle
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.air import level
from simview.kit import Sky
from simview.scene.aiming import aimed
from simview.scene.scene import Scene, Target
from simview.scene.targets import entries, target

KIT = simview.Kit(
    telescope=simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0),
    eyepieces=(simview.Eyepiece(focal_length_mm=10.0, apparent_field_deg=50.0),),
)

# Paints the targets of its arguments, each at three samplings, from so many threads, and tells
# what came out. In a process of its own nothing has been made before, so that all threads miss at
# once; they are changed for one another a hundred times as often as usual.
_PAINTS = """
import hashlib, sys
from concurrent.futures import ThreadPoolExecutor
import numpy as np
from simview.scene.targets import target

def painted(wanted):
    name, times = wanted
    options = {"ra_deg": 83.8, "dec_deg": -5.4} if name == "field" else {}
    if name == "double":
        options = {"double": (2.0, 90.0, 6.0, 7.0)}
    shown = held.setdefault(name, target(**({"name": name} | options)))
    scene = shown.scene(pixel_arcsec=shown.size_arcsec * times / 72.0, pixels=64)
    stars = scene.stars
    parts = [scene.planes, stars.x_arcsec, stars.y_arcsec, stars.magnitude, stars.temperature_k]
    parts += [crowd.shape for crowd in scene.crowds] + [scene.lines] * (scene.lines is not None)
    return f"{name} {times} {hashlib.sha256(b''.join(p.tobytes() for p in parts)).hexdigest()}"

held = {}
wanted = [(name, times) for name in sys.argv[2:] for times in (0.3, 0.5, 1.0)]
threads = int(sys.argv[1])
if threads > 1:
    sys.setswitchinterval(5e-5)
    with ThreadPoolExecutor(threads) as pool:
        found = list(pool.map(painted, wanted))
else:
    found = [painted(each) for each in wanted]
print("\\n".join(found))
"""


def _every_sort() -> list[str]:
    """Return a name for each function that draws, and for each kind of a deep-sky object."""
    told = [entry for entry in entries() if entry.name not in ("photo", "crater")]
    sorts = {(entry.home, entry.kind): entry.name for entry in told}
    deep = ["m31", "orion-nebula", "ring-nebula", "m13", "pleiades"]
    return list(dict.fromkeys([*sorts.values(), *deep]))


def _begun(threads: int, names: list[str]) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", _PAINTS, str(threads), *names], stdout=subprocess.PIPE, text=True
    )


def test_every_sort_of_target_is_painted_alike_by_one_thread_and_by_four() -> None:
    names = _every_sort()
    assert {"moon", "mars", "saturn", "daytime", "field"} <= set(names)
    one, four = _begun(1, names), _begun(4, names)
    told = [run.communicate()[0].splitlines() for run in (one, four)]
    assert one.returncode == four.returncode == 0
    assert len(told[0]) == 3 * len(names)
    assert told[0] == told[1]


def test_picture_of_ones_own_is_painted_alike_by_several_threads(tmp_path) -> None:  # type: ignore[no-untyped-def]
    from PIL import Image

    noise = np.random.default_rng(3).integers(0, 255, (60, 80, 3), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "own.png")
    own = target("photo", image=str(tmp_path / "own.png"), width_arcmin=10.0, mag_arcsec2=20.0)
    assert own.by_several
    with ThreadPoolExecutor(4) as pool:
        several = list(pool.map(lambda pixel: own.paint(pixel, 64).planes, (5.0, 8.0, 10.0, 20.0)))
    for pixel, planes in zip((5.0, 8.0, 10.0, 20.0), several, strict=True):
        assert np.array_equal(planes, own.paint(pixel, 64).planes)


class _Watched:
    """Paints a grey square, slowly, and notes how many threads do so at once."""

    def __init__(self) -> None:
        self.now, self.most, self.times = 0, 0, 0
        self._lock = threading.Lock()

    def __call__(self, pixel_arcsec: float, pixels: int) -> Scene:
        with self._lock:
            self.now, self.times = self.now + 1, self.times + 1
            self.most = max(self.most, self.now)
        time.sleep(0.05)
        with self._lock:
            self.now -= 1
        return Scene(planes=np.ones((3, pixels, pixels), np.float32), pixel_arcsec=pixel_arcsec)


def _grey(paint: _Watched) -> Target:
    return Target(name="grey", title="Grey", kind="chart", size_arcsec=60.0, paint=paint)


@pytest.mark.parametrize("of_ours", [True, False])
def test_what_a_caller_paints_is_painted_by_one_thread_at_a_time(
    of_ours: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    paint = _Watched()
    if of_ours:
        monkeypatch.setattr(_Watched, "by_several", True, raising=False)
    view = simview.look(KIT, _grey(paint), power=75.0)
    with ThreadPoolExecutor(3) as pool:
        list(pool.map(lambda pixel: view.alone(pixel, 16), (1.0, 2.0, 3.0)))
    assert paint.times == 3
    assert (paint.most > 1) is of_ours


def test_threads_that_want_the_same_sampling_have_it_painted_once() -> None:
    paint = _Watched()
    shown = _grey(paint).remembering()
    with ThreadPoolExecutor(3) as pool:
        found = list(pool.map(lambda pixels: shown.paint(1.0, pixels), (64, 64, 48)))
    assert [scene.planes.shape[-1] for scene in found] == [64, 64, 48]
    # Whoever is first may be the one that wants the least.
    assert paint.times <= 2
    assert paint.most == 1


def test_target_of_ours_says_so_however_it_is_wrapped() -> None:
    moon = target("moon", phase_deg=110.0)
    daytime = level.shown(target("daytime"), Sky(air="moment", seed=1), 150.0)
    assert aimed(moon, 600.0).aimed_arcsec != (0.0, 0.0)
    wrapped = [moon, moon.remembering(), aimed(moon, 600.0), aimed(moon, 600.0).remembering()]
    for shown in [*wrapped, daytime, *(pickle.loads(pickle.dumps(each)) for each in wrapped)]:
        assert shown.by_several


def test_target_of_ours_that_a_caller_paints_himself_is_his_own() -> None:
    moon = target("moon", phase_deg=110.0)
    whole, aside = replace(moon, paint=_Watched()), replace(moon, paint_at=_Watched())
    for own in (whole, aside):
        for shown in (own, own.remembering()):
            assert not shown.by_several
    assert not aimed(aside, 600.0).by_several
