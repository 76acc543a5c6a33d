"""The page's server: who may come in, what comes out, what is said to wrong input."""

from __future__ import annotations

import json
import struct
import threading
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

import simview
from simview.cli.app import run
from simview.demo import asset
from simview.errors import SimviewError
from simview.live import frames
from simview.live.guard import LARGEST_BODY
from simview.live.kit_table import Table
from simview.live.routes import app
from simview.live.serve import listening, qr_code, who_can_come
from simview.live.wish import SeeWish

HOME = "http://127.0.0.1:8467"
KEY = "a-key-for-tests"
WISH: dict[str, Any] = {
    "number": 7,
    "target": "jupiter",
    "sides": [{"kit": "demo:toy-refractor-50", "power": 45}],
    "side_px": 128,
}


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient]:
    served = app(Table.laid(()), key=KEY, hosts=frozenset({"127.0.0.1:8467"}))
    with TestClient(served, base_url=HOME) as opened:
        yield opened


def asked(client: TestClient, wish: Any) -> tuple[dict[str, Any], list[np.ndarray]]:
    with client.websocket_connect(f"ws://127.0.0.1:8467/k/{KEY}/line") as line:
        line.send_text(wish if isinstance(wish, str) else json.dumps(wish))
        return unpacked(line.receive_bytes())


def unpacked(raw: bytes) -> tuple[dict[str, Any], list[np.ndarray]]:
    (length,) = struct.unpack_from("<I", raw)
    header, at, pictures = json.loads(raw[4 : 4 + length]), 4 + length, []
    for side in header["px"]:
        count = 4 * side * side
        pictures.append(np.frombuffer(raw, np.uint8, count, at).reshape(side, side, 4)[..., :3])
        at += count
    assert at == len(raw)
    return header, pictures


@pytest.mark.parametrize(
    ("path", "headers"),
    [
        ("/", {}),
        ("/?key=", {}),
        ("/?key=another", {}),
        ("/k/another/start", {}),
        ("/start", {}),
        (f"/?key={KEY}", {"host": "telescopes.example:8467"}),
        (f"/?key={KEY}", {"host": "127.0.0.1:80"}),
        (f"/?key={KEY}", {"origin": "http://telescopes.example"}),
        (f"/?key={KEY}", {"origin": "null"}),
    ],
)
def test_stranger_is_refused(client: TestClient, path: str, headers: dict[str, str]) -> None:
    answer = client.get(path, headers=headers)
    assert answer.status_code == 403
    assert "simview live" in answer.text


def test_foreign_page_gets_no_line(client: TestClient) -> None:
    line = client.websocket_connect(
        f"ws://127.0.0.1:8467/k/{KEY}/line", headers={"origin": "http://telescopes.example"}
    )
    with pytest.raises(WebSocketDisconnect), line:
        pass


def test_owner_of_the_link_gets_the_page_under_a_strict_policy(client: TestClient) -> None:
    answer = client.get(f"/?key={KEY}", headers={"origin": HOME})
    assert answer.status_code == 200
    policy = answer.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert f'src="/k/{KEY}/main.js"' in answer.text
    # Nothing in the page itself that such a policy would forbid, or that lies elsewhere.
    assert "<style" not in answer.text
    assert "http" not in answer.text.replace("http-equiv", "")


@pytest.mark.parametrize(
    "name", ["fonts/..%2f..%2fapp.py", "..%2fapp.py", "index.html", "fonts/NOTICE.txt"]
)
def test_only_the_pages_own_files_are_given_out(client: TestClient, name: str) -> None:
    assert client.get(f"/k/{KEY}/{name}").status_code == 404


def test_wish_brings_a_picture_with_the_commands_own_figures(
    client: TestClient, capsys: pytest.CaptureFixture[str]
) -> None:
    header, pictures = asked(client, WISH)
    assert header["number"] == 7
    assert pictures[0].shape == (128, 128, 3)
    kit = "demo:toy-refractor-50"
    assert run(["view", kit, "--target", "jupiter", "--power", "45", "--json"]) == 0
    figures = json.loads(capsys.readouterr().out)
    told = header["sides"][0]
    for name in ("power", "exit_pupil_mm", "finest_detail_arcsec", "relative_brightness"):
        assert told["numbers"][name] == pytest.approx(figures[name], rel=1e-12)
    assert told["enough_from"] == pytest.approx(figures["enough_from"], rel=1e-12)
    assert told["empty_above"] == pytest.approx(figures["empty_above"], rel=1e-12)


def test_picture_dims_with_power_and_drags_without_a_jump(client: TestClient) -> None:
    def light(power: float, *, drag: bool = False) -> float:
        side = {"kit": "demo:toy-refractor-50", "power": power}
        wish = {**WISH, "sides": [side], "frame": "object", "side_px": 400, "drag": drag}
        header, (picture,) = asked(client, wish)
        assert picture.shape[0] == (200 if drag else 400)
        assert header["drag"] is drag
        return float(picture.mean())

    assert light(450) < 0.5 * light(45)
    # Half the pixels a side sample the same blurred disc: to a step of 8 bits.
    assert light(45, drag=True) == pytest.approx(light(45), abs=1.0)


@pytest.mark.parametrize(
    ("wish", "says"),
    [
        ("no json", "JSON"),
        ("[" * 5000, "JSON"),
        ([], "the wish"),
        ({**WISH, "target": "jupter"}, "jupiter"),
        ({**WISH, "sides": []}, "sides"),
        ({**WISH, "sides": [{"kit": "demo:none", "power": 45}]}, "kit"),
        ({**WISH, "sides": [{"kit": "demo:toy-refractor-50", "power": 1e4}]}, "power"),
        ({**WISH, "sides": [{"kit": "demo:toy-refractor-50", "power": "NaN"}]}, "power"),
        ({**WISH, "side_px": 100_000}, "side_px"),
        ({**WISH, "air": {"seeing": -1}}, "seeing"),
        ({**WISH, "air": {"air": "soup"}}, "air"),
        ({**WISH, "more": 1}, "more"),
    ],
)
def test_wrong_wish_is_answered_with_a_sentence(client: TestClient, wish: Any, says: str) -> None:
    header, pictures = asked(client, wish)
    assert says in header["error"]
    assert "failed here" not in header["error"]
    assert pictures == []


def test_newest_wish_wins(client: TestClient) -> None:
    with client.websocket_connect(f"ws://127.0.0.1:8467/k/{KEY}/line") as line:
        for number in range(1, 31):
            side = {"kit": "demo:tabletop-150", "power": 60.0 + number}
            line.send_text(json.dumps({**WISH, "sides": [side], "number": number}))
        numbers: list[int] = []
        while 30 not in numbers:
            numbers.append(unpacked(line.receive_bytes())[0]["number"])
    assert numbers == sorted(numbers)
    assert len(numbers) < 30


def test_wish_does_not_wait_for_what_is_only_held_and_both_are_answered(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, go_on = threading.Event(), threading.Event()
    slow, told = frames.see, dict[int, int]()

    def held_up(wish: SeeWish, table: Table) -> frames.Shown:
        if wish.hold:
            begun.set()
            assert go_on.wait(60.0)
        return slow(wish, table)

    monkeypatch.setattr(frames, "see", held_up)
    with client.websocket_connect(f"ws://127.0.0.1:8467/k/{KEY}/line") as line:
        line.send_text(json.dumps({**WISH, "number": 1, "hold": True}))
        assert begun.wait(60.0)
        line.send_text(json.dumps({**WISH, "number": 2, "shown": []}))
        for _ in range(2):
            header, pictures = unpacked(line.receive_bytes())
            told[header["number"]] = len(pictures)
            go_on.set()
    # The later wish came first: the other was still being worked out.
    assert list(told) == [2, 1]
    assert told == {2: 0, 1: 1}


def test_star_behind_turned_screws_is_told_the_public_rule(client: TestClient) -> None:
    turns = (0.2, -0.05, -0.1)
    wish = {"room": "star", "kit": "demo:tabletop-150", "turns": turns, "side_px": 96}
    header, pictures = asked(client, wish)
    shown = simview.collimation(simview.load_kit(asset("kits/tabletop-150.toml")), turns=turns)
    assert header["axis_off_mm"] == pytest.approx(shown.axis_off_mm)
    assert shown.next is not None
    assert header["next"][0] == shown.next[0]
    assert header["next"][1] == pytest.approx(shown.next[1])
    assert len(pictures) == 2


def test_faultless_star_is_a_perfect_one(client: TestClient) -> None:
    wish = {"room": "star", "kit": "demo:rocker-200", "side_px": 96}
    flawed, perfect = asked(client, {**wish, "faults": ["coma=0.8@0"]})[1]
    assert np.abs(flawed.astype(int) - flawed[:, ::-1]).mean() > 2.0  # lopsided
    # About the star's own pixel, side // 2, the perfect one is even; the print's noise is 1 step.
    even = perfect[1:, 1:].astype(int)
    assert np.abs(even - even[:, ::-1]).mean() < 1.0
    header, _ = asked(client, {**wish, "faults": ["comma=0.8"]})
    assert "coma" in header["error"]


@pytest.mark.parametrize("count", [1, 2])
def test_kept_sheet_has_the_pixels_of_its_command(
    client: TestClient, count: int, tmp_path: Path
) -> None:
    sides = [{"kit": "demo:toy-refractor-50", "power": p} for p in (45, 90)][:count]
    wish = {**WISH, "sides": sides, "air": {"seeing": 3.0}, "age": 60}
    answer = client.post(f"/k/{KEY}/keep", content=json.dumps(wish))
    assert answer.status_code == 200
    import shlex
    from urllib.parse import unquote

    words = shlex.split(unquote(answer.headers["x-command"]))
    out = tmp_path / "sheet.png"
    assert run([*words[1:], "--out", str(out), "--quiet"]) == 0
    kept = np.asarray(Image.open(BytesIO(answer.content)))
    assert np.array_equal(kept, np.asarray(Image.open(out)))


def test_offer_is_judged_as_the_command_judges_it(
    client: TestClient, capsys: pytest.CaptureFixture[str]
) -> None:
    path = asset("adverts/present-450x.txt")
    told = client.post(f"/k/{KEY}/offer?name=present.txt", content=path.read_bytes()).json()
    assert run(["vet", str(path), "--json"]) == 0
    verdict = json.loads(capsys.readouterr().out)
    assert told["verdict"] == verdict["verdict"]
    assert told["findings"] == verdict["findings"]
    assert told["kit"]["word"].startswith("offer:")


def test_two_pages_do_not_share_one_offer(client: TestClient) -> None:
    texts = (b"Refractor 60/700, eyepieces 20 mm 10 mm", b"Reflector 130/650, 25 mm eyepiece")
    first, second = (client.post(f"/k/{KEY}/offer", content=text).json()["kit"] for text in texts)
    assert first["word"] != second["word"]
    # Judged again, an offer keeps its word; another page's list does not show it.
    again = client.post(f"/k/{KEY}/offer", content=texts[0]).json()["kit"]
    assert again["word"] == first["word"]
    words = [kit["word"] for kit in client.get(f"/k/{KEY}/start").json()["kits"]]
    assert not [word for word in words if word.startswith("offer:")]
    linked = client.get(f"/k/{KEY}/start", params={"kits": first["word"]}).json()["kits"]
    assert first["word"] in [kit["word"] for kit in linked]
    header, _ = asked(client, {**WISH, "sides": [{"kit": first["word"], "power": 35}]})
    assert header["sides"][0]["numbers"]["exit_pupil_mm"] == pytest.approx(60.0 / 35.0)


def test_value_put_right_changes_telescope_and_verdict(client: TestClient) -> None:
    text = b"Telescope 50/600, 450x! Eyepieces H20mm, SR4mm, 3x Barlow. 39 EUR"
    wrong = client.post(f"/k/{KEY}/offer", content=text).json()
    assert wrong["values"]["aperture_mm"] == 50.0
    right = {"aperture_mm": 150.0, "claimed_powers": [150], "layout": "newtonian"}
    told = client.post(f"/k/{KEY}/offer", content=text, params={"right": json.dumps(right)}).json()
    assert told["kit"]["aperture_mm"] == 150.0
    assert told["values"]["claimed_powers"] == [150.0]
    # 450 times is 9 to the mm of 50, far past twice (common practice); 150 is 1 to 1 of 150.
    claim, claimed = (
        {one["grade"] for one in each["findings"] if one["rule"] == "claimed power"}
        for each in (told, wrong)
    )
    assert claimed == {"stop"}
    assert not claim & {"stop", "caution"}
    assert told["verdict"] != wrong["verdict"]
    assert told["values"]["eyepieces_mm"] == wrong["values"]["eyepieces_mm"]


@pytest.mark.parametrize(
    ("right", "says"),
    [
        ('{"aperture_mm": 5e9}', "aperture_mm"),
        ('{"layout": "sieve"}', "newtonian"),
        ('{"colour": 3}', "colour"),
        ("{", "JSON"),
    ],
)
def test_wrong_correction_is_answered_with_a_sentence(
    client: TestClient, right: str, says: str
) -> None:
    answer = client.post(f"/k/{KEY}/offer", content=b"Telescope 70/700", params={"right": right})
    assert answer.status_code == 422
    assert says in answer.json()["error"]


def test_evening_lists_what_stands_high_with_its_height(client: TestClient) -> None:
    # 27 November 2026 in Berlin's latitude: Saturn in Pisces, some 40 degrees high in the evening
    # (any almanac); Vega low in the west, the winter's nebula not yet up.
    wish = {"date": "2026-11-27", "lat": 52.5, "lon": 13.4}
    told = client.post(f"/k/{KEY}/tonight", content=json.dumps(wish)).json()
    sights = {sight["name"]: sight for sight in told["sights"]}
    assert 30 < sights["saturn"]["altitude"] < 45
    assert "south" in sights["saturn"]["direction"]
    assert all(sight["altitude"] >= 12 for sight in told["sights"])
    # At 5.6 h of right ascension and -5 degrees it rises about 21 h: not on the evening's list.
    assert "orion-nebula" not in sights
    for sight in list(sights)[:3]:
        header, _ = asked(client, {**WISH, "target": sight, "side_px": 64})
        assert "error" not in header


@pytest.mark.parametrize(
    ("wish", "says"),
    [
        ({"date": "soon", "lat": 50}, "date"),
        ({"date": "2026-11-27", "lat": 95}, "latitude"),
        ({"date": "2026-11-27"}, "lat"),
    ],
)
def test_wrong_evening_is_answered_with_a_sentence(
    client: TestClient, wish: Any, says: str
) -> None:
    answer = client.post(f"/k/{KEY}/tonight", content=json.dumps(wish))
    assert answer.status_code == 422
    assert says in answer.json()["error"]


def test_cone_meets_where_the_wave_theory_says(client: TestClient) -> None:
    # 5 waves of 550 nm at f/5: 8 F^2 W lambda = 8 x 25 x 5 x 0.00055 mm = 0.55 mm
    # (Born & Wolf, Principles of Optics, section 8.8: the shift of focus for a path error).
    header, _ = asked(
        client, {"room": "star", "kit": "demo:tabletop-150", "waves": 5, "side_px": 64}
    )
    assert header["cone"]["shift_mm"] == pytest.approx(0.55)
    assert header["cone"]["focal_ratio"] == pytest.approx(5.0)
    assert header["cone"]["disc_mm"] == pytest.approx(0.11)


@pytest.mark.parametrize(
    ("door", "body", "status"),
    [
        ("offer", b"", 422),
        ("offer", b"\0\1\2", 422),
        ("kit?name=mine.toml", b"aperture_mm = ", 422),
        ("kit?name=mine.toml", b"\xff\xfe", 422),
        ("keep", b"{", 422),
    ],
)
def test_wrong_upload_is_answered_with_a_sentence(
    client: TestClient, door: str, body: bytes, status: int
) -> None:
    answer = client.post(f"/k/{KEY}/{door}", content=body)
    assert answer.status_code == status
    assert answer.json()["error"]
    assert "/tmp" not in answer.json()["error"]


@pytest.mark.parametrize(
    ("asked", "body", "says"),
    [
        ({"kit": "demo:tabletop-150"}, b"no picture", "star.png"),
        ({"kit": "demo:tabletop-150"}, b"", "star.png"),
        ({"kit": "demo:naked-eye"}, b"x", "telescope"),
        ({"kit": "none"}, b"x", "kit"),
        ({"kit": "demo:tabletop-150", "side": "above"}, b"x", "inside"),
    ],
)
def test_photograph_that_is_none_is_answered_with_a_sentence(
    client: TestClient, asked: dict[str, str], body: bytes, says: str
) -> None:
    params = {"name": "star.png", **asked}
    answer = client.post(f"/k/{KEY}/diagnose", content=body, params=params)
    assert answer.status_code == 422
    assert says in answer.json()["error"]
    assert "/tmp" not in answer.json()["error"]


def test_photograph_of_a_star_is_diagnosed_as_by_the_command(client: TestClient) -> None:
    wish = {"room": "star", "kit": "demo:tabletop-150", "faults": ["coma=0.5@30"], "waves": 6}
    shown = asked(client, {**wish, "side_px": 256})[1][0]
    taken = np.zeros((360, 420, 3), np.uint8)
    taken[60:316, 80:336] = shown
    file = BytesIO()
    Image.fromarray(taken).save(file, "png")
    params = {"name": "mine.png", "kit": "demo:tabletop-150", "side": "outside"}
    told = client.post(f"/k/{KEY}/diagnose", content=file.getvalue(), params=params).json()
    worst = told["faults"][0]
    assert "coma" in f"{worst['name']} {worst['says']}"
    # (3 r^3 - 2 r) cos t reaches from -A/2 to A/2 and has an RMS of A / sqrt(32): Born & Wolf,
    # Principles of Optics, section 9.2, the circle polynomial of primary coma. A screen's print
    # bends the brightest light: told within a fifth.
    assert abs(worst["waves"]) == pytest.approx(0.5 / 32**0.5, rel=0.2)
    assert worst["pv_waves"] == pytest.approx(0.5, rel=0.2)


def test_dropped_kit_joins_the_table_and_a_broken_one_names_its_line(client: TestClient) -> None:
    text = asset("kits/rocker-200.toml").read_bytes()
    told = client.post(f"/k/{KEY}/kit?name=mine.toml", content=text).json()
    assert told["word"] == "mine.toml"
    assert "mine.toml" in [kit["word"] for kit in told["kits"]]
    broken = client.post(f"/k/{KEY}/kit?name=mine.toml", content=b"name = 'x'\ncolour = 3")
    assert "mine.toml" in broken.json()["error"]
    assert "colour" in broken.json()["error"]


def test_kit_of_the_same_name_leaves_another_pages_kit_alone(client: TestClient) -> None:
    first, second = (
        asset(f"kits/{name}.toml").read_bytes() for name in ("rocker-200", "tabletop-114")
    )
    words = [
        client.post(f"/k/{KEY}/kit?name=same.toml", content=text).json()["word"]
        for text in (first, second, first)
    ]
    assert words == ["same.toml", "same.toml (2)", "same.toml"]


def test_kit_tells_its_own_sky_and_eye(client: TestClient) -> None:
    text = asset("kits/rocker-200.toml").read_text().split("[sky]")[0]
    text += "\n[sky]\nseeing_arcsec = 3.3\n[observer]\nage_years = 70\n"
    told = client.post(f"/k/{KEY}/kit?name=skied.toml", content=text).json()
    kit = next(each for each in told["kits"] if each["word"] == told["word"])
    assert kit["sky"]["seeing"] == 3.3
    assert kit["age"] == 70


def test_too_large_an_upload_is_refused_unread(client: TestClient) -> None:
    answer = client.post(
        f"/k/{KEY}/offer", content=b"x", headers={"content-length": str(LARGEST_BODY + 1)}
    )
    assert answer.status_code == 413


def test_taken_port_is_told_and_a_second_start_finds_another() -> None:
    first = listening(None)
    second = listening(None)
    try:
        taken = first.getsockname()[1]
        assert second.getsockname()[1] != taken
        with pytest.raises(SimviewError, match="--port"):
            listening(taken)
    finally:
        first.close()
        second.close()


@pytest.mark.parametrize("host", ["0.0.0.0", "no such host", "203.0.113.7"])
def test_host_that_is_not_this_machines_is_told(
    host: str, capsys: pytest.CaptureFixture[str]
) -> None:
    # 203.0.113.0/24 belongs to no machine: RFC 5737.
    assert run(["live", "--host", host, "--no-browser"]) == 2
    done = capsys.readouterr()
    assert done.out == ""
    assert "--host" in done.err
    assert len(done.err.strip().splitlines()) == 1


def test_classroom_is_told_who_can_come_in_and_gets_a_code() -> None:
    assert "only this machine" in who_can_come("127.0.0.1")
    words = who_can_come("192.168.1.20")
    assert "192.168.1.20" in words
    assert "not encrypted" in words
    lines = qr_code("http://192.168.1.20:8467/?key=abcdefghijklmnopqrstuvwx").splitlines()
    # 52 letters at level M need version 4 of ISO/IEC 18004, 33 modules and a margin of 4 a side,
    # two modules a line of text.
    assert len(lines) in (20, 21)
    assert max(map(len, lines)) >= 33


def test_wrong_kit_ends_the_command_with_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["live", "demo:none", "--no-browser"]) == 2
    done = capsys.readouterr()
    assert done.out == ""
    assert len(done.err.strip().splitlines()) == 1


def test_work_cut_off_by_the_end_of_the_server_is_no_fault(
    capsys: pytest.CaptureFixture[str],
) -> None:
    from concurrent.futures import ThreadPoolExecutor

    from simview.live.socket import answered

    ended = ThreadPoolExecutor(1)
    ended.shutdown()
    answered(lambda _: ended.submit(bytes).result(), "{}")
    assert capsys.readouterr().err == ""
    answered(lambda _: bytes(1 // 0), "{}")
    assert "ZeroDivisionError" in capsys.readouterr().err
