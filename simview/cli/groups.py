"""How a command takes a group of options as one record.

typer wants every option as a parameter of its own. `grouped` lets a command ask for a whole
dataclass of options instead, so that an option that ten commands share is declared once.
"""

from __future__ import annotations

import dataclasses
import inspect
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from functools import wraps
from typing import Annotated, Any, cast, get_args, get_origin, get_type_hints

from simview.cli.several import Several, gathered, typed


def grouped(command: Callable[..., None]) -> Callable[..., None]:
    """Return the command with each parameter that is a dataclass spread into its fields.

    The fields' annotations carry typer's declarations. When the command is run, the values are
    gathered into the dataclasses again. A group with a method `in_force` has the command run
    within the context that it returns.
    """
    hints = get_type_hints(command, include_extras=True)
    groups = {name: hint for name, hint in hints.items() if dataclasses.is_dataclass(_group(hint))}

    @wraps(command)
    def gather(**values: Any) -> None:
        with ExitStack() as while_it_runs:
            for name, hint in groups.items():
                group = cast(type, _group(hint))
                fields = [spot.name for spot in dataclasses.fields(group)]
                own = {field: values.pop(field) for field in fields}
                listed = get_origin(hint) is Several
                made = gathered(group, get_type_hints(group), own) if listed else group(**own)
                values[name] = made
                if hasattr(made, "in_force"):
                    while_it_runs.enter_context(made.in_force())
            command(**values)

    parameters = list(_spread(inspect.signature(command), hints))
    gather.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    gather.__annotations__ = {each.name: each.annotation for each in parameters}
    return gather


def _group(hint: Any) -> Any:
    """Return the dataclass that a parameter asks for, alone or `Several` times."""
    return get_args(hint)[0] if get_origin(hint) is Several else hint


def _listed(annotation: Any) -> Any:
    """Return an option's declaration with a type that lets lists through."""
    kind, *declared = get_args(annotation)
    return Annotated[typed(kind), *declared]


def _spread(signature: inspect.Signature, hints: dict[str, Any]) -> Iterator[inspect.Parameter]:
    for name, parameter in signature.parameters.items():
        hint = hints[name]
        group = _group(hint)
        if not dataclasses.is_dataclass(group):
            yield parameter.replace(annotation=hint, kind=inspect.Parameter.KEYWORD_ONLY)
            continue
        own = get_type_hints(group, include_extras=True)
        for spot in dataclasses.fields(group):
            declared = own[spot.name]
            yield inspect.Parameter(
                spot.name,
                inspect.Parameter.KEYWORD_ONLY,
                default=spot.default,
                annotation=_listed(declared) if get_origin(hint) is Several else declared,
            )
