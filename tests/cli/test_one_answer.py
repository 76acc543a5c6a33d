"""One answer: view, ladder, compare, detail, a talk and the page give a power the same marks."""

from __future__ import annotations

import json
import struct
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from starlette.testclient import TestClient

from simview.cli.app import run
from simview.live.kit_table import Table
from simview.live.routes import app

KEY = "a-key-for-tests"
MARKS = ("enough_from", "air_carries", "empty_above")
# Of a double besides.
SPLIT = ("split_from", "split_without_air_from")
# A power past the aperture, one past tonight's air, one that is too low.
ASKED = (
    ("demo:toy-refractor-50", "jupiter", 90.0),
    ("demo:rocker-200", "saturn", 300.0),
    ("demo:tabletop-150", "castor", 30.0),
)


def printed(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    assert run([*words, "--json"]) == 0
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def on_the_page(kit: str, name: str, power: float) -> dict[str, Any]:
    host = "127.0.0.1:8467"
    served = app(Table.laid(()), key=KEY, hosts=frozenset({host}))
    wish = {"number": 1, "target": name, "sides": [{"kit": kit, "power": power}], "side_px": 64}
    with (
        TestClient(served, base_url=f"http://{host}") as client,
        client.websocket_connect(f"ws://{host}/k/{KEY}/line") as line,
    ):
        line.send_text(json.dumps(wish))
        raw = line.receive_bytes()
    (length,) = struct.unpack_from("<I", raw)
    side: dict[str, Any] = json.loads(raw[4 : 4 + length])["sides"][0]
    return side


def in_a_talk(folder: Path, kit: str, name: str, power: float) -> dict[str, Any]:
    text = (
        'title = "A talk"\nauthor = "A club"\nsize = "960x540"\nsources = ["A source, 1966"]\n'
        f'[[slide]]\nname = "one"\ntitle = "One"\ncommand = "view"\nkit = "{kit}"\n'
        f'target = "{name}"\npower = {power:g}\n'
    )
    (folder / "talk.toml").write_text(text, encoding="utf-8")
    assert run(["talk", str(folder / "talk.toml"), "--out", str(folder / "out"), "--quiet"]) == 0
    with Image.open(folder / "out/pictures/one.png") as picture:
        told: dict[str, Any] = json.loads(picture.text["simview:figures"])  # type: ignore[attr-defined]
    return told


@pytest.mark.parametrize(("kit", "name", "power"), ASKED)
def test_every_door_gives_a_power_the_same_marks(
    kit: str, name: str, power: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    at = f"{power:g}"
    view = printed(capsys, "view", kit, "--target", name, "--power", at)
    ladder = printed(capsys, "ladder", kit, "--target", name, "--powers", f"20,{at}")
    compare = printed(capsys, "compare", kit, "--target", name, "--powers", f"{at},20")
    detail = printed(capsys, "detail", kit, "--target", name, "--powers", at)
    page, slide = on_the_page(kit, name, power), in_a_talk(tmp_path, kit, name, power)
    for told in (ladder, compare["panels"][0], detail, page, slide):
        assert {mark: told[mark] for mark in MARKS} == pytest.approx(
            {mark: view[mark] for mark in MARKS}, rel=1e-9
        )
        assert [told.get(figure) for figure in SPLIT] == [view.get(figure) for figure in SPLIT]
    assert ("split_from" in view) is (name == "castor")
    limits = [view, ladder["steps"][1], compare["panels"][0], page, slide]
    assert {one["limited_by"] for one in limits} == {*detail["limited_by"]}
    assert (page["state"] == "empty") is view["empty"] is slide["empty"]
    assert ladder["steps"][1]["empty"] is view["empty"]
