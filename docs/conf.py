"""How Sphinx builds the site: `sphinx-build -W docs build/site`.

Pages are Markdown (MyST); those with code cells are run when the site is built, so that what they
show is what this version computes.
"""

from __future__ import annotations

import simview

project = "simview"
author = "the simview authors"
copyright = "2026, the simview authors"
version = release = simview.__version__

extensions = [
    "myst_nb",
    "numpydoc",
    "sphinx.ext.autodoc",
    "sphinx.ext.autosummary",
    "sphinx_design",
]
exclude_patterns = ["build", "pictures"]
myst_enable_extensions = ["colon_fence", "deflist", "dollarmath"]
myst_heading_anchors = 3
# The pages' own links lead to files outside the site, which is how they read on a code host.
suppress_warnings = ["myst.xref_missing"]

nb_execution_mode = "force"
nb_execution_raise_on_error = True
nb_execution_timeout = 1800  # a cell may have to wait for tests beside it: .ci/run
nb_execution_excludepatterns = []

autodoc_typehints = "none"
autosummary_generate = False
numpydoc_show_class_members = False
numpydoc_xref_param_type = False

html_theme = "furo"
html_title = f"simview {version}"
html_theme_options = {"navigation_with_keys": True}
