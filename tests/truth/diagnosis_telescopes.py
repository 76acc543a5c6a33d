"""Two hundred random telescopes, photographed by other engines and diagnosed: how far it holds.

    python tests/truth/diagnosis_telescopes.py make FOLDER [FIRST LAST]    photographs (20 minutes)
    python tests/truth/diagnosis_telescopes.py fit FOLDER [FIRST LAST]     diagnoses (15 minutes)
    python tests/truth/diagnosis_telescopes.py tell FOLDER [FIRST LAST]    the figures, as JSON

The figures of the last runs are kept beside this file, in diagnosis_telescopes.json, set by set;
telescopes from number 1000 to 1030 have served to set the widths of intervals
(`simview.diagnosis.sureness`), nine of the set "finer" to choose what a finer fault must be worth.
"""

from __future__ import annotations

import json
import sys
import time
import warnings
from pathlib import Path
from typing import Any

import numpy as np
from outside_stars import Truth, light, photographs, stored

# Numbers of the telescopes of each set. Those of the first were seen while two constants of the fit
# were chosen; those of the second were made once, by both engines in turn, and diagnosed once.
# The third has faults that are no polynomials.
SETS = {"first": range(200), "second": range(5000, 5060), "finer": range(7000, 7036)}
FINER = ("none", "edge", "zone", "plume", "rough", "edge")
FINER_NAMES = {"turned-down-edge": "edge", "turned-up-edge": "edge"}

# The named faults and Noll's polynomials that make them.
KINDS = {"spherical": (11,), "coma": (7, 8), "astigmatism": (5, 6), "pinched": (9, 10)}
NAMES = {"miscollimation": "coma", "undercorrection": "spherical", "overcorrection": "spherical"}


def truth_of(number: int) -> Truth:
    """Return the telescope of a number, and how it was photographed."""
    rng = np.random.default_rng(170_000 + number)
    mirror = rng.random() < 0.8
    every = 10 if number in SETS["first"] else 2
    engine = "poppy" if number % every == every - 1 else "hcipy"
    main = list(KINDS)[int(rng.integers(4))]
    total = rng.uniform(0.03, 0.2)
    noll = {j: float(v) for j, v in zip(range(5, 12), rng.normal(0.0, 1.0, 7), strict=True)}
    small = 0.35 * total / np.sqrt(7.0)
    noll = {j: small * v for j, v in noll.items()}
    direction = rng.normal(0.0, 1.0, len(KINDS[main]))
    direction *= total / np.hypot.reduce(direction)
    for j, v in zip(KINDS[main], direction, strict=True):
        noll[j] += float(v)
    noll |= {j: float(rng.normal(0.0, 0.006)) for j in range(12, 16)}
    noll |= {j: float(rng.normal(0.0, 0.003)) for j in range(16, 29)}
    waves = rng.uniform(3.5, 8.0)
    disc = rng.uniform(70.0, 150.0)  # pixels of the photograph
    seeing = 2.0 if rng.random() < 0.6 else float(rng.uniform(1.0, 3.5))
    camera = {
        "pixel": 8.0 * waves / disc,
        "peak": 1.12 if rng.random() < 0.1 else float(rng.uniform(0.35, 0.85)),
        "electrons": float(np.exp(rng.uniform(np.log(800.0), np.log(15000.0)))),
        "read": float(rng.uniform(0.001, 0.006)),
        "sky": float(rng.uniform(0.0, 0.03)),
        "gamma": float(rng.choice([0.0, 0.0, 2.2])),
        "curve": float(rng.choice([0.0, rng.uniform(0.0, 0.35)])),
        "tilt_deg": float(abs(rng.normal(0.0, 4.0))),
        "along": float(rng.uniform(0.0, 180.0)),
        "fall": float(abs(rng.normal(0.0, 0.04))),
        "burst": 12.0 if rng.random() < 0.4 else 1.0,
    }
    finer = None
    if number in SETS["finer"] and (kind := FINER[number % 6]) != "none":
        width = {"edge": (0.06, 0.12), "zone": (0.12, 0.22), "plume": (0.4, 0.6), "rough": (1, 1)}
        place = rng.uniform(0.0, 360.0) if kind == "plume" else rng.uniform(0.5, 0.8)
        finer = kind, float(rng.uniform(0.03, 0.1)), float(place), float(rng.uniform(*width[kind]))
    return Truth(
        finer=finer,
        engine=engine,
        aperture_mm=float(rng.uniform(80.0, 250.0)),
        obstruction=float(rng.uniform(0.2, 0.36)) if mirror else 0.0,
        vanes=4 if mirror and rng.random() < 0.5 else 0,
        noll=noll,
        defocus=(-waves, waves * float(rng.uniform(0.85, 1.15))),
        seeing_arcsec=seeing,
        moments=24 if engine == "poppy" else 48,
        seed=number,
        camera=camera,
    )


def make(folder: Path, numbers: range) -> None:
    """Store the photographs."""
    for number in numbers:
        places = [folder / f"{number}-{side}.img" for side in ("inside", "outside")]
        if places[-1].exists():
            continue
        truth = truth_of(number)
        quality = int(np.random.default_rng(number).integers(75, 96))
        for n, (place, frames) in enumerate(zip(places, light(truth), strict=True)):
            place.write_bytes(stored(photographs(truth, frames, n), quality))


def fit(folder: Path, numbers: range) -> None:
    """Diagnose the photographs; one line of JSON each."""
    from simview.diagnosis.diagnose import diagnose
    from simview.errors import SimviewError
    from simview.kit import Kit, Telescope

    for number in numbers:
        place = folder / f"{number}.json"
        photos = [folder / f"{number}-{side}.img" for side in ("inside", "outside")]
        if place.exists() or not photos[-1].exists():
            continue
        truth = truth_of(number)
        rng = np.random.default_rng(number + 5)
        scope = Telescope(
            aperture_mm=truth.aperture_mm,
            focal_length_mm=6.0 * truth.aperture_mm,
            # What the maker says of the secondary is a little wrong.
            obstruction=truth.obstruction + (rng.normal(0.0, 0.01) if truth.obstruction else 0.0),
            vanes=truth.vanes,
            vane_mm=1.0,
            objective="mirror",
        )
        start = time.process_time()
        try:
            found = diagnose(
                [photo.read_bytes() for photo in photos],
                Kit(telescope=scope),
                side=["inside", "outside"],
            )
            answer: dict[str, Any] = found.figures()
        except SimviewError as error:
            answer = {"refused": str(error)}
        answer["cpu_s"] = time.process_time() - start
        place.write_text(json.dumps(answer))


def tell(folder: Path, numbers: range) -> dict[str, Any]:
    """Return the figures over all telescopes that were diagnosed."""
    rows = []
    refused = []
    for number in numbers:
        place = folder / f"{number}.json"
        if place.exists():
            told = json.loads(place.read_text())
            if "refused" in told:
                refused.append([number, told["refused"]])
            else:
                rows.append(_row(number, told))
    at_two = [row for row in rows if row["seeing"] == 2.0]
    return {
        "telescopes": len(rows) + len(refused),
        "refused": refused,
        "wavefront_error_left_waves_rms": {
            "all": _spread([row["left"] for row in rows]),
            "at_2_arcsec": _spread([row["left"] for row in at_two]),
            "hcipy": _spread([row["left"] for row in rows if row["engine"] == "hcipy"]),
            "poppy": _spread([row["left"] for row in rows if row["engine"] == "poppy"]),
            "burst": _spread([row["left"] for row in rows if row["burst"]]),
            "one_picture": _spread([row["left"] for row in rows if not row["burst"]]),
        },
        "bias_and_scatter": {
            str(j): [
                round(float(np.mean([row["off"][str(j)] for row in rows])), 5),
                round(float(np.std([row["off"][str(j)] for row in rows])), 5),
            ]
            for j in range(5, 16)
        },
        "coverage_of_90": {
            **{
                str(j): round(float(np.mean([row["held"][str(j)] for row in rows])), 3)
                for j in range(5, 16)
            },
            "5_to_11": _held(rows),
            "burst": _held([row for row in rows if row["burst"]]),
            "one_picture": _held([row for row in rows if not row["burst"]]),
            "strehl": round(float(np.mean([row["strehl_held"] for row in rows])), 3),
        },
        "main_fault": _confusion(rows),
        "finer_true_then_named": _finer_named(rows),
        "cpu_s": _spread([row["cpu_s"] for row in rows]),
        "worst": sorted(([round(r["left"], 4), r["number"]] for r in rows), reverse=True)[:10],
    }


def _held(rows: list[dict[str, Any]]) -> float:
    return round(float(np.mean([row["held"][str(j)] for row in rows for j in range(5, 12)])), 3)


def _spread(values: list[float]) -> dict[str, float]:
    return {
        name: round(float(np.percentile(values, part)), 4) if values else float("nan")
        for name, part in (("median", 50), ("p90", 90), ("most", 100))
    }


def _row(number: int, told: dict[str, Any]) -> dict[str, Any]:
    truth = truth_of(number)
    noll = {int(j): row for j, row in told["noll"].items()}
    off = {str(j): noll[j]["waves"] - truth.noll.get(j, 0.0) for j in range(5, 16)}
    held = {
        str(j): noll[j]["low"] <= truth.noll.get(j, 0.0) <= noll[j]["high"] for j in range(5, 16)
    }
    true = max(KINDS, key=lambda kind: sum(truth.noll[j] ** 2 for j in KINDS[kind]))
    named = told["faults"][0]["name"]
    strehl = _strehl(truth)
    return {
        "number": number,
        "engine": truth.engine,
        "seeing": truth.seeing_arcsec,
        "burst": truth.camera["burst"] > 1,
        "rms": float(np.sqrt(sum(truth.noll[j] ** 2 for j in range(5, 12)))),
        "left": float(np.sqrt(sum(off[str(j)] ** 2 for j in range(5, 12)))),
        "off": off,
        "held": held,
        "true": true,
        "named": NAMES.get(named, named),
        "finer": truth.finer[0] if truth.finer else "none",
        "finer_named": _finer_of([fault["name"] for fault in told["faults"]]),
        "strehl_held": told["strehl"]["low"] <= strehl <= told["strehl"]["high"],
        "cpu_s": told["cpu_s"],
    }


def _finer_of(names: list[str]) -> str:
    own = [FINER_NAMES.get(name, name) for name in names]
    return "+".join(sorted(name for name in own if name in FINER)) or "none"


def _strehl(truth: Truth) -> float:
    """Return the Strehl ratio at best focus of all polynomials, by hcipy's maps of them."""
    import hcipy

    grid = hcipy.make_pupil_grid(96, 1.0)
    radius = 2.0 * np.hypot(grid.x, grid.y)
    open_ = (radius <= 1.0) & (radius >= truth.obstruction)
    modes = hcipy.make_zernike_basis(max(truth.noll), 1.0, grid)
    path = sum(w * np.asarray(modes[j - 1]) for j, w in truth.noll.items())[open_]
    plain = np.stack([np.asarray(modes[j])[open_] for j in range(4)], axis=1)
    path = path - plain @ np.linalg.lstsq(plain, path, rcond=None)[0]
    return float(np.abs(np.exp(2j * np.pi * path).mean()) ** 2)


def _finer_named(rows: list[dict[str, Any]]) -> dict[str, dict[str, int]]:
    answer: dict[str, dict[str, int]] = {}
    for row in rows:
        named = answer.setdefault(row["finer"], {})
        named[row["finer_named"]] = named.get(row["finer_named"], 0) + 1
    return answer


def _confusion(rows: list[dict[str, Any]]) -> dict[str, Any]:
    strong = [row for row in rows if row["rms"] > 0.1]
    table = {
        true: {
            named: sum(row["true"] == true and row["named"] == named for row in strong)
            for named in KINDS
        }
        for true in KINDS
    }
    right = [row["true"] == row["named"] for row in strong]
    weak = [row["true"] == row["named"] for row in rows if row["rms"] <= 0.1]
    return {
        "above_0.1_waves": {"count": len(right), "right": round(float(np.mean(right)), 3)},
        "below": {"count": len(weak), "right": round(float(np.mean(weak)), 3)},
        "true_then_named": table,
    }


def main(words: list[str]) -> None:
    """Do what the command line says."""
    warnings.simplefilter("ignore")
    what, folder = words[0], Path(words[1])
    folder.mkdir(parents=True, exist_ok=True)
    first, last = (int(word) for word in words[2:4]) if len(words) > 3 else (0, 200)
    if what == "tell":
        print(json.dumps(tell(folder, range(first, last)), indent=2))
        return
    {"make": make, "fit": fit}[what](folder, range(first, last))


if __name__ == "__main__":
    main(sys.argv[1:])
