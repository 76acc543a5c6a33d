"""A picture on disk: whole or not at all, never over another unasked, with its recipe inside."""

from __future__ import annotations

import json
import os
import struct
import zlib
from pathlib import Path, PureWindowsPath

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image, PngImagePlugin

from simview.errors import FileError, SimviewError
from simview.picture import save

PICTURE = Image.fromarray(
    np.arange(48 * 64 * 3, dtype=np.uint32).astype(np.uint8).reshape(48, 64, 3)
)
RECIPE = {"command": "ladder", "powers": [30.0, 90.0], "kits": ['name = "λ ″"\n']}
FIGURES = {"steps": [{"power": 30.0, "empty": False}], "enough_from": None}

plain_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53), 2**53)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=20).filter(lambda t: not set(t) & set("/\\")),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=12,
)


def saved(path, **more):
    return save.save_png(PICTURE, path, recipe=RECIPE, figures=FIGURES, **more)


def test_picture_comes_back_with_recipe_and_figures(tmp_path):
    path = saved(tmp_path / "a.png", title="Jupiter, 46.9″")
    with Image.open(path) as image:
        assert np.array_equal(np.asarray(image), np.asarray(PICTURE))
        assert image.info["Title"] == "Jupiter, 46.9″"
        assert image.info["Software"].startswith("simview ")
    assert save.read_recipe(path) == RECIPE
    assert save.read_figures(path) == FIGURES


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(recipe=st.dictionaries(st.text(max_size=8), plain_values, max_size=5))
def test_any_plain_recipe_comes_back_as_it_was(tmp_path, recipe):
    path = save.save_png(PICTURE, tmp_path / "a.png", recipe=recipe, figures={}, force=True)
    assert save.read_recipe(path) == json.loads(json.dumps(recipe))


def test_texts_are_readable_by_any_program(tmp_path):
    # Read the chunks by the PNG specification (ISO/IEC 15948), not by the library that wrote them.
    data = saved(tmp_path / "a.png").read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    texts, place, order = {}, 8, []
    while place < len(data):
        length, kind = struct.unpack(">I4s", data[place : place + 8])
        body = data[place + 8 : place + 8 + length]
        order.append(kind)
        if kind == b"iTXt":
            key, rest = body.split(b"\0", 1)
            packed, rest = rest[0], rest[2:]
            text = rest.split(b"\0", 2)[2]
            texts[key.decode()] = (zlib.decompress(text) if packed else text).decode("utf-8")
        place += 12 + length
    assert json.loads(texts[save.RECIPE_KEY])["recipe"] == RECIPE
    assert json.loads(texts[save.FIGURES_KEY]) == FIGURES
    # In front of the pixels, so that reading a recipe decodes none.
    assert max(i for i, k in enumerate(order) if k == b"iTXt") < order.index(b"IDAT")


def test_no_machine_path_gets_into_a_picture(tmp_path):
    recipe = {
        "kit": str(tmp_path / "kits" / "mine.toml"),
        "image": tmp_path / "moon.jpg",
        "windows": PureWindowsPath("C:\\Users\\me\\moon.jpg"),
        "text": "C:\\Users\\me\\kit.toml",
        "note": "/a/ is no path\nin a text of two lines",
        "slash": "/ and a: are no paths",
        "colon": "B: the fainter star",
    }
    path = save.save_png(PICTURE, tmp_path / "a.png", recipe=recipe, figures={})
    read = save.read_recipe(path)
    assert read["kit"] == "mine.toml"
    assert read["image"] == "moon.jpg"
    assert read["windows"] == "moon.jpg"
    assert read["text"] == "kit.toml"
    assert all(read[key] == recipe[key] for key in ("note", "slash", "colon"))
    assert str(tmp_path).encode() not in path.read_bytes()


def test_numbers_that_are_none_become_null_and_numpys_become_plain(tmp_path):
    figures = {"a": np.float64(1.5), "b": np.nan, "c": np.arange(3), "d": float("inf"), "e": (1, 2)}
    path = save.save_png(PICTURE, tmp_path / "a.png", recipe={}, figures=figures)
    assert save.read_figures(path) == {"a": 1.5, "b": None, "c": [0, 1, 2], "d": None, "e": [1, 2]}


def test_what_json_cannot_hold_is_the_programs_fault_and_leaves_nothing(tmp_path):
    with pytest.raises(TypeError, match="set cannot stand"):
        save.save_png(PICTURE, tmp_path / "a.png", recipe={"a": {1}}, figures={})
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_kept(tmp_path):
    path = tmp_path / "a.png"
    path.write_text("mine")
    with pytest.raises(FileError, match="there already"):
        saved(path)
    assert path.read_text() == "mine"
    assert [p.name for p in tmp_path.iterdir()] == ["a.png"]


def test_force_replaces_it(tmp_path):
    path = tmp_path / "a.png"
    path.write_text("mine")
    assert saved(path, force=True) == path
    assert save.read_recipe(path) == RECIPE
    assert [p.name for p in tmp_path.iterdir()] == ["a.png"]


def test_number_writes_beside_it(tmp_path):
    names = [saved(tmp_path / "a.png", number=True).name for _ in range(3)]
    assert names == ["a.png", "a-2.png", "a-3.png"]
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(names)


def test_a_name_taken_in_the_last_moment_is_not_overwritten(tmp_path, monkeypatch):
    path = tmp_path / "a.png"

    def slow(*args):
        path.write_text("faster")
        return b"data"

    monkeypatch.setattr(save, "_encode", slow)
    with pytest.raises(FileError, match="there already"):
        saved(path)
    assert path.read_text() == "faster"
    path.unlink()
    assert saved(path, number=True).name == "a-2.png"
    assert path.read_text() == "faster"


def test_works_where_there_are_no_hard_links(tmp_path, monkeypatch):
    def refuse(*args):
        raise PermissionError("no links here")

    monkeypatch.setattr(os, "link", refuse)
    path = saved(tmp_path / "a.png")
    assert save.read_recipe(path) == RECIPE
    assert [p.name for p in tmp_path.iterdir()] == ["a.png"]
    with pytest.raises(FileError, match="there already"):
        saved(path)


def test_a_full_disk_leaves_nothing_behind(tmp_path, monkeypatch):
    def full(self, data):
        with self.open("wb") as stream:
            stream.write(data[:10])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(FileError, match="No space left"):
        saved(tmp_path / "a.png")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("folder.png", "a folder"),
        ("gone/a.png", "is not there"),
        ("a.jpg", "must end in .png"),
        ("a", "must end in .png"),
        ("x" * 400 + ".png", "not a possible file name|cannot be written"),
    ],
)
def test_an_impossible_name_is_refused_in_one_line(tmp_path, name, words):
    (tmp_path / "folder.png").mkdir()
    with pytest.raises(FileError, match=words) as caught:
        saved(tmp_path / name)
    assert "\n" not in str(caught.value)
    assert [p.name for p in tmp_path.iterdir()] == ["folder.png"]


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_folder_without_permission_is_refused(tmp_path):
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o500)
    with pytest.raises(FileError, match="cannot be written"):
        saved(closed / "a.png")


def broken(tmp_path, kind):
    path = tmp_path / "b.png"
    if kind == "missing":
        return path
    if kind == "folder":
        path.mkdir()
    elif kind == "text":
        path.write_text("no picture")
    elif kind == "empty":
        path.write_bytes(b"")
    elif kind == "jpeg":
        PICTURE.save(path, "JPEG")
    elif kind == "cut short":
        path.write_bytes(saved(tmp_path / "a.png").read_bytes()[:60])
    elif kind == "without":
        PICTURE.save(path)
    else:
        told = PngImagePlugin.PngInfo()
        told.add_itxt(
            save.RECIPE_KEY, {"no json": "{", "a list": "[1]", "other form": '{"format":99}'}[kind]
        )
        PICTURE.save(path, pnginfo=told)
    return path


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("missing", "not found"),
        ("folder", "a folder"),
        ("text", "not a PNG"),
        ("empty", "not a PNG"),
        ("jpeg", "not a PNG"),
        ("cut short", "carries no recipe|broken"),
        ("without", "carries no recipe"),
        ("no json", "damaged"),
        ("a list", "damaged"),
        ("other form", "does not read"),
    ],
)
def test_a_picture_without_a_good_recipe_is_told_in_one_line(tmp_path, kind, words):
    path = broken(tmp_path, kind)
    with pytest.raises(SimviewError, match=words) as caught:
        save.read_recipe(path)
    assert "b.png" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_picture_that_claims_to_be_giant_is_refused(tmp_path):
    def chunk(kind, body):
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    header = struct.pack(">IIBBBBB", 200_000, 200_000, 8, 2, 0, 0, 0)
    path = tmp_path / "bomb.png"
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b"\0"))
        + chunk(b"IEND", b"")
    )
    with pytest.raises(FileError, match="too large"):
        save.read_recipe(path)


def test_a_text_that_unpacks_to_a_giant_is_refused(tmp_path):
    told = PngImagePlugin.PngInfo()
    told.add_itxt(save.RECIPE_KEY, "x" * 80_000_000, zip=True)
    path = tmp_path / "bomb.png"
    PICTURE.save(path, pnginfo=told)
    assert path.stat().st_size < 200_000
    with pytest.raises(FileError):
        save.read_recipe(path)
