"""Options read without pydantic are read as typer reads them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import typer
import typer.main
from hypothesis import given
from hypothesis import strategies as st
from typer._coercion import build_runtime_param

from simview.cli.app import alone, names
from simview.cli.typed import _Plainly

TYPED = st.one_of(
    st.from_regex(r"-?[0-9]{1,4}(\.[0-9]{0,18})?", fullmatch=True),
    st.sampled_from(
        ["", " 7 ", "1e3", "007", "-0", "+5", "1_000", "nan", "inf", "Ä", "12345678901234567890"]
    ),
    st.sampled_from(["moon", "-", "/", ".", "no/such/file.png", "true", "1920x1080"]),
    st.text(max_size=4),
)


def options(name: str) -> list[Any]:
    command = typer.main.get_command(alone(name))
    with command.make_context(name, [], resilient_parsing=True) as context:
        return command.get_params(context)


ALL = [each for name in names() for each in options(name)]


def outcome(reader: Any, option: Any, value: Any) -> str:
    try:
        found = reader.coerce(value, option, None)
    except typer.BadParameter as error:
        return f"refused: {error.message}"
    return f"{type(found).__name__} {found!r}"


def test_every_option_of_every_command_is_read_here_first() -> None:
    assert len(ALL) > 300
    assert all(isinstance(each._runtime_param, _Plainly) for each in ALL)


@given(TYPED, TYPED)
def test_what_was_typed_is_read_as_typer_reads_it(one: str, other: str) -> None:
    kinds = {
        (str(each.type_descriptor.annotation), each.multiple, each.nargs): each for each in ALL
    }
    for option in kinds.values():
        several = option.multiple or option.nargs == -1
        value = (one, other) if several else one
        typers = build_runtime_param(option.type_descriptor)
        mine = outcome(_Plainly(option), option, value)
        assert mine == outcome(typers, option, value), option.name


def test_defaults_are_read_as_typer_reads_them() -> None:
    for option in ALL:
        typers, mine = build_runtime_param(option.type_descriptor), _Plainly(option)
        for value in (option.default, None):
            assert outcome(mine, option, value) == outcome(typers, option, value), option.name


def test_name_of_a_file_that_is_there_goes_typers_way(tmp_path: Path) -> None:
    option = next(each for each in ALL if each.type_descriptor.annotation is Path)
    there = tmp_path / "there.png"
    there.touch()
    typers = build_runtime_param(option.type_descriptor)
    for value in (str(there), str(tmp_path), str(tmp_path / "not-there")):
        assert outcome(_Plainly(option), option, value) == outcome(typers, option, value)
