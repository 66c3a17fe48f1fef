"""Build the extension with Blender's own packager, and try it in a Blender.

    python3 scripts/build.py [--check] [--install-into [PYTHON_OR_BLENDER]]...

writes dist/naval_checks-VERSION.zip. --check lists what is in it. --install-into installs it into
a throwaway folder of that Blender (an executable, or a Python that has bpy; without a name the
Python of .venv), turns it on, looks whether it is really on, and turns it off again.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

from house import ROOT, enter, say, stop

TROUBLES = ("WARN", "ERROR", "FATAL_ERROR")
GUEST = ROOT / "scripts" / "install_check.py"


def build() -> Path:
    """Stage the manifest, the license and the contents of addon/, and zip them."""
    import tomllib

    manifest = ROOT / "blender_manifest.toml"
    settings = tomllib.loads(manifest.read_text(encoding="utf-8"))
    package = ROOT / "dist" / f"naval_checks-{settings['version']}.zip"
    package.parent.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as stage:
        shutil.copytree(ROOT / "addon", stage, dirs_exist_ok=True)
        shutil.copy(manifest, stage)
        shutil.copy(ROOT / "LICENSE", stage)
        packager("build", "--source-dir", stage, "--output-filepath", str(package))
    packager("validate", str(package))
    return package


def packager(*arguments: str) -> None:
    """Run Blender's packager; whatever it warns of is an error."""
    bpy = importlib.util.find_spec("bpy")
    if bpy is None or bpy.origin is None:
        stop("nothing built: the packager comes with bpy, which .venv does not have")
    (scripts,) = Path(bpy.origin).parent.glob("*/scripts")
    run = subprocess.run(
        [
            sys.executable,
            scripts / "addons_core/bl_pkg/cli/blender_ext.py",
            *arguments,
            "--valid-tags",
            scripts / "modules/_bpy_internal/extensions/tags.py",
            "--output-type=JSON",
        ],
        capture_output=True,
        text=True,
    )
    messages = [json.loads(line) for line in run.stdout.splitlines()]
    if run.returncode or any(kind in TROUBLES for kind, _ in messages):
        stop(run.stderr + "; ".join(str(text) for _, text in messages))


def try_in(target: str, package: Path) -> None:
    """Run the guest script with `target` and print its line, or all its output when it failed."""
    try:
        kind = subprocess.run([target, "--version"], capture_output=True, text=True).stdout
    except OSError as error:
        stop(f"--install-into {target}: {error.strerror}; name a Blender or a Python with bpy")
    is_python = kind.startswith("Python")
    command = [GUEST] if is_python else ["-b", "--python-exit-code", "1", "--python", GUEST, "--"]
    with tempfile.TemporaryDirectory() as home:
        run = subprocess.run(
            [target, *command, package],
            env={**os.environ, "BLENDER_USER_RESOURCES": home},
            capture_output=True,
            text=True,
        )
    result = [line for line in run.stdout.splitlines() if line.startswith("installed")]
    if "No module named 'bpy'" in run.stderr:
        stop(f"--install-into {target}: this Python has no bpy; name one that has, or a Blender")
    if run.returncode or not result:
        say(run.stdout + run.stderr)
        stop(f"the extension does not work in {target}")
    print(*result)


def main() -> None:
    enter("blender")
    parser = argparse.ArgumentParser(description="Build the extension.")
    parser.add_argument("--check", action="store_true", help="list what is in the zip")
    parser.add_argument(
        "--install-into",
        metavar="PYTHON_OR_BLENDER",
        nargs="?",
        const=sys.executable,
        action="append",
        default=[],
        help="try the zip there (the Python of .venv when left out)",
    )
    arguments = parser.parse_args()
    package = build()
    print(f"{package.relative_to(ROOT)}  {package.stat().st_size / 1000:.1f} kB")
    if arguments.check:
        for name in sorted(zipfile.ZipFile(package).namelist()):
            print(f"  {name}")
    for target in arguments.install_into:
        try_in(target, package)


if __name__ == "__main__":
    main()
