"""Every public name explains itself, and the examples in its words hold."""

from __future__ import annotations

import doctest
import inspect
import re

import pytest

import simview

# Whatever they are given, there is nothing to refuse.
NEVER_REFUSES = ("faults",)

FUNCTIONS = [name for name in simview.__all__ if inspect.isfunction(getattr(simview, name))]


@pytest.mark.parametrize("name", simview.__all__)
def test_examples_of_public_names_give_what_they_say(name):
    held = getattr(simview, name)
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    for each in doctest.DocTestFinder(recurse=False).find(held, name, globs={}):
        assert runner.run(each).failed == 0


@pytest.mark.parametrize("name", FUNCTIONS)
def test_public_function_has_all_of_its_sections(name):
    told = getattr(simview, name).__doc__ or ""
    assert "Examples\n" in told
    assert "Returns\n" in told or "Yields\n" in told
    assert "Raises\n" in told or name in NEVER_REFUSES
    section = told.partition("Parameters\n")[2].partition("Returns\n")[0].partition("Yields\n")[0]
    named = re.findall(r"^ {4}([\w*][\w, *]*)$", section, re.MULTILINE)
    assert {part.strip(" *") for line in named for part in line.split(",")} >= set(
        inspect.signature(getattr(simview, name)).parameters
    )
