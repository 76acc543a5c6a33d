"""What can be shown."""

from __future__ import annotations

from simview.cli.options import ReportOptions
from simview.cli.report import Reporter

EXAMPLES = ("", "--json")


def command(report: ReportOptions = ReportOptions()) -> None:
    """List what can be looked at."""
    from simview.scene.targets import entries

    reporter = Reporter(report, suffix="")
    reporter.rows(
        "targets", [{"name": e.name, "title": e.title, "kind": e.kind} for e in entries()]
    )
