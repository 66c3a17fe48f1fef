"""Run every check and every suite of tests that this machine can run.

    python3 scripts/test.py [--quick] [--only SUITE]... [--all-blenders] [-- PYTEST_ARGUMENTS]

The checks run at once; then each suite runs in as many processes as there are processors
(`-- -n 0` for one alone, as a debugger needs it). --quick answers in about two minutes on two
processors: the checks, and the tests of core, published and blender that are not marked slow.

The suites in tests/blender run with the Blender of .venv; with --all-blenders also with every
other supported one, each in .venv-blender/VERSION, made on demand. tests/desktop needs a Blender
executable (on PATH, or named in BLENDER) and a display or Xvfb, or whole systems with Blender in
them (folders to chroot into, named in NAVAL_CHECKS_BLENDER_ROOTS, separated by colons).

The suite language runs tests/core and tests/published once more while the core speaks nonsense
(NONSENSE=1, see tests/language.py): nothing may be decided by text.

The last line adds up all suites: a check or an installation counts as one, and so does a suite
that cannot run. Exit 1 when anything failed.
"""

from __future__ import annotations

import argparse
import importlib.metadata
import os
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from house import (
    ROOT,
    apt_line,
    dependency_groups,
    enter,
    equip,
    find_python,
    last_line,
    make,
    python_of,
)

HERE = Path(sys.executable)
CHECKS: dict[str, list[str | Path]] = {
    "ruff": [HERE, "-m", "ruff", "check"],
    "mypy": [HERE, "-m", "mypy"],
    "imports": [
        HERE,
        "-c",
        "from importlinter import cli; cli.lint_imports_command()",
        "--no-logo",
    ],
}
QUICK = (*CHECKS, "core", "published", "blender")
SUITES = (*QUICK, "language", "desktop", "package")
SPREAD = ("-n", "auto", "--dist", "worksteal")
"""Tests over all processors, those of a file mostly in one process, which shares their fixtures."""
NO_TESTS = 5
"""pytest's exit code when nothing was collected."""


@dataclass(frozen=True)
class Outcome:
    suite: str
    passed: int = 0
    failed: int = 0
    skipped: int = 0
    note: str = ""

    def __str__(self) -> str:
        counts = {"passed": self.passed, "failed": self.failed, "skipped": self.skipped}
        shown = ", ".join(f"{count} {word}" for word, count in counts.items() if count)
        return f"  {self.suite:<15} {shown or 'nothing ran'}{self.note and f': {self.note}'}"


def skipped(suite: str, reason: str) -> Outcome:
    return Outcome(suite, skipped=1, note=reason)


def run_commands(commands: dict[str, list[str | Path]]) -> Iterator[Outcome]:
    """Commands by suite, all at once; what each prints stays together."""
    started = {
        suite: subprocess.Popen(
            command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        for suite, command in commands.items()
    }
    for suite, process in started.items():
        print(process.communicate()[0], end="", flush=True)
        code = process.returncode
        yield Outcome(suite, passed=int(code == 0), failed=int(code != 0))


def run_pytest(
    suite: str, folder: str, python: Path, extra: Sequence[str], nonsense: bool = False
) -> Outcome:
    """A run of pytest, with Blender's user folders moved to a throwaway place."""
    if not any((ROOT / folder).rglob("test_*.py")):
        return skipped(suite, f"no tests in {folder}")
    with tempfile.TemporaryDirectory() as home:
        report = Path(home, "report.xml")
        code = subprocess.call(
            [python, "-m", "pytest", folder, f"--junitxml={report}", *extra],
            cwd=ROOT,
            env={**os.environ, "BLENDER_USER_RESOURCES": home, "NONSENSE": str(int(nonsense))},
        )
        if not report.exists():
            return Outcome(suite, failed=1, note=f"pytest ended with code {code}")
        results = next(ET.parse(report).iter("testsuite")).attrib
    total, errors, failures, skips = (
        int(results[key]) for key in ("tests", "errors", "failures", "skipped")
    )
    failed = errors + failures
    if code not in (0, NO_TESTS) and not failed:
        return Outcome(suite, total - skips, 1, skips, f"pytest ended with code {code}")
    return Outcome(suite, total - failed - skips, failed, skips)


def blenders(every: bool) -> Iterator[tuple[str, Path | None, str]]:
    """Version, Python with that bpy, and why there is none, for each Blender to be tested."""
    main = bpy_version()
    yield main, *usable(HERE)
    for group, (bpy, *_) in dependency_groups().items():
        pin = re.fullmatch(r"bpy==([\d.]+); python_version == '([\d.]+)'", bpy)
        if not every or not group.startswith("blender-") or pin is None or pin[1] == main:
            continue
        version, python = pin[1], find_python(pin[2])
        if python is None:
            yield version, None, f"no Python {pin[2]} here"
            continue
        venv = ROOT / ".venv-blender" / version
        if not python_of(venv).exists():
            make(venv, python)
        trouble = equip(venv, ["pytest", group])
        yield version, *((None, trouble) if trouble else usable(python_of(venv)))


def bpy_version() -> str:
    """That of the bpy in .venv; empty without one."""
    try:
        return importlib.metadata.version("bpy")
    except importlib.metadata.PackageNotFoundError:
        return ""


def usable(python: Path) -> tuple[Path | None, str]:
    """The Python itself if `import bpy` works there, else None and why not."""
    trial = subprocess.run([python, "-c", "import bpy"], capture_output=True, text=True)
    if trial.returncode == 0:
        return python, ""
    corrective_action = apt_line()
    return None, last_line(trial.stderr) + (corrective_action and f"; {corrective_action}")


def desktop_trouble() -> str:
    """Why no real window can be tested here; empty when one can."""
    if os.environ.get("NAVAL_CHECKS_BLENDER_ROOTS"):
        return ""
    blender = os.environ.get("BLENDER") or shutil.which("blender")
    if blender is None:
        return "no Blender executable on PATH or in BLENDER"
    if not (os.environ.get("DISPLAY") or shutil.which("Xvfb")):
        return "neither DISPLAY nor Xvfb"
    output = subprocess.run([blender, "--version"], capture_output=True, text=True).stdout
    version = re.search(r"Blender (\d+)\.(\d+)", output)
    if version is None or (int(version[1]), int(version[2])) < (4, 2):
        return f"{blender} is not Blender 4.2 or newer"
    return ""


def run(suites: Sequence[str], every_blender: bool, extra: Sequence[str]) -> Iterator[Outcome]:
    yield from run_commands({name: CHECKS[name] for name in CHECKS if name in suites})
    for name in ("core", "published"):
        if name in suites:
            yield run_pytest(name, f"tests/{name}", HERE, [*SPREAD, *extra])
    if "language" in suites:
        for name in ("core", "published"):
            spread = [*SPREAD, *extra]
            yield run_pytest(f"language {name}", f"tests/{name}", HERE, spread, nonsense=True)
    if "blender" in suites or "package" in suites:
        for version, python, trouble in blenders(every_blender):
            for name in ("blender", "package"):
                if name not in suites:
                    continue
                label = f"{name} {version}".strip()
                if python is None:
                    yield skipped(label, trouble)
                elif name == "blender":
                    yield run_pytest(label, "tests/blender", python, [*SPREAD, *extra])
                elif not bpy_version():
                    yield skipped(label, "the packager comes with bpy, which .venv does not have")
                else:
                    command = [HERE, ROOT / "scripts/build.py", "--install-into", python]
                    yield from run_commands({label: command})
    if "desktop" in suites:
        trouble = desktop_trouble()
        if trouble:
            yield skipped("desktop", trouble)
        else:
            yield run_pytest("desktop", "tests/desktop", HERE, extra)


def main() -> None:
    enter("test", "check", "blender")
    own, extra = sys.argv[1:], []
    if "--" in own:
        cut = own.index("--")
        own, extra = own[:cut], own[cut + 1 :]
    parser = argparse.ArgumentParser(description="Run the checks and tests.")
    parser.add_argument(
        "--quick", action="store_true", help="checks and fast tests only: about two minutes"
    )
    parser.add_argument("--only", action="append", choices=SUITES, help="may be given repeatedly")
    parser.add_argument("--all-blenders", action="store_true", help="every supported Blender")
    arguments = parser.parse_args(own)
    suites = arguments.only or (QUICK if arguments.quick else SUITES)
    if arguments.quick:
        extra = ["-m", "not slow", *extra]
    outcomes = list(run(suites, arguments.all_blenders, extra))
    print("\nSuites")
    print(*outcomes, sep="\n")
    passed, failed, skips = (
        sum(getattr(outcome, word) for outcome in outcomes)
        for word in ("passed", "failed", "skipped")
    )
    print(f"{passed} passed, {failed} failed, {skips} skipped", flush=True)
    sys.exit(failed > 0)


if __name__ == "__main__":
    main()
