"""Loaded by the process that stands by, and by nothing else: it loads the libraries."""

from simview.cli.warm import load

load()
