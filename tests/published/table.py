"""Writes docs/checks.md, every published check with our value: python -m tests.published.table"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "docs" / "checks.md"

HEAD = """# Published checks

Every comparison that `tests/published` makes. Printed is the source's figure; ours must agree to
half a unit of its last digit, or to the tolerance beside it. Where the source is a closed form,
Printed is its value computed independently of this project's code. Closed form is the value of the
formula in the test, in full. Meshes have flat faces, so a curved body falls short of its closed
form by what its facets cut off, and the test states the tolerance. Source is a number in the list
at the end: books, papers and law by author, title, edition and page or clause; *from memory* marks
what has not been checked against the print. The page is written by
`python -m tests.published.table` from a run of the tests.
"""


class Collector:
    """Keeps the comparisons of a test run, by test file."""

    def __init__(self) -> None:
        self.rows: dict[str, list[tuple[str, ...]]] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Record the comparisons of each passed test."""
        if report.when == "call" and report.passed:
            rows = self.rows.setdefault(Path(report.location[0]).name, [])
            rows += [row for name, row in report.user_properties if name == "check"]


def page(rows: dict[str, list[tuple[str, ...]]]) -> str:
    """The page: one table for each test file, and the list of sources."""
    sources = list(dict.fromkeys(row[2] for table in rows.values() for row in table))
    lines = [HEAD]
    for name, table in rows.items():
        lines += [f"## {name}", ""]
        lines += ["| Subject | Value | Printed | Closed form | Ours | Source | Test |"]
        lines += ["|---|---|---|---|---|---|---|"]
        before = ""
        for subject, what, source, printed, exact, ours, test in table:
            shown = subject if subject != before else ""
            number = sources.index(source) + 1
            lines.append(
                f"| {shown} | {what} | {printed} | {exact} | {ours} | {number} | `{test}` |"
            )
            before = subject
        lines.append("")
    lines += ["## Sources", ""]
    lines += [f"{number}. {source}" for number, source in enumerate(sources, 1)]
    lines += ["", "## To be confirmed", ""]
    lines += ["Cited from memory, to be checked against the print:", ""]
    lines += [
        f"- source {number}: {source}"
        for number, source in enumerate(sources, 1)
        if "from memory" in source
    ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    collector = Collector()
    outcome = pytest.main(["-q", str(HERE)], plugins=[collector])
    if outcome == 0:
        PAGE.write_text(page(collector.rows), encoding="utf-8")
    sys.exit(outcome)
