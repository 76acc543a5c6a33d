"""Every public name explains itself, and the examples in its words hold."""

from __future__ import annotations

import doctest
import inspect
import re

import simview

# Whatever they are given, there is nothing to refuse.
NEVER_REFUSES = ("faults",)

FUNCTIONS = [name for name in simview.__all__ if inspect.isfunction(getattr(simview, name))]


def test_examples_of_public_names_give_what_they_say():
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    tried = {}
    for name in simview.__all__:
        held = getattr(simview, name)
        for each in doctest.DocTestFinder(recurse=False).find(held, name, globs={}):
            tried[name] = runner.run(each)
    assert [name for name, result in tried.items() if result.failed] == []
    assert sum(result.attempted for result in tried.values()) > len(FUNCTIONS)


def test_public_functions_have_all_of_their_sections():
    wrong = []
    for name in FUNCTIONS:
        told = getattr(simview, name).__doc__ or ""
        sections = {word for word in ("Examples", "Returns", "Raises") if f"{word}\n" in told}
        # A generator yields, and some refuse nothing.
        sections |= {"Returns"} if "Yields\n" in told else set()
        sections |= {"Raises"} if name in NEVER_REFUSES else set()
        lacking = {"Examples", "Returns", "Raises"} - sections
        first = told.partition("Parameters\n")[2].partition("Returns\n")[0]
        section = first.partition("Yields\n")[0]
        named = re.findall(r"^ {4}([\w*][\w, *]*)$", section, re.MULTILINE)
        parts = {part.strip(" *") for line in named for part in line.split(",")}
        lacking |= set(inspect.signature(getattr(simview, name)).parameters) - parts
        wrong += [f"{name}: {word}" for word in sorted(lacking)]
    assert wrong == []
