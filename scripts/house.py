"""The repository's own Python environment, made on first use.

Every script begins with::

    from house import enter

    enter("test")  # groups of [dependency-groups] in pyproject.toml

and goes on inside `.venv`. `python3 scripts/house.py` makes the whole environment and prints the
`apt-get` line for the system libraries that Blender's Python module lacks here, if any.
Standard library only, and no syntax that an older Python rejects.
"""

from __future__ import annotations

import ctypes
import hashlib
import importlib.util
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NoReturn

ROOT = Path(__file__).resolve().parents[1]
VENV = ROOT / ".venv"
PYTHONS = ("3.13", "3.11")
"""The Pythons that Blender 4.2 to 5.2 carry: bpy has wheels for no other."""

LIBRARIES = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libICE.so.6": "libice6",
    "libSM.so.6": "libsm6",
    "libX11.so.6": "libx11-6",
    "libXext.so.6": "libxext6",
    "libXfixes.so.3": "libxfixes3",
    "libXi.so.6": "libxi6",
    "libXrender.so.1": "libxrender1",
    "libXxf86vm.so.1": "libxxf86vm1",
    "libgomp.so.1": "libgomp1",
    "libvulkan.so.1": "libvulkan1",
    "libxkbcommon.so.0": "libxkbcommon0",
}
"""System libraries that bpy links or opens, with the Debian packages that hold them."""


def say(line: str) -> None:
    """Print a line to standard error; standard output stays free for results."""
    print(line, file=sys.stderr, flush=True)


def stop(line: str) -> NoReturn:
    """End the script with one line that says what to do."""
    say(line)
    sys.exit(2)


def enter(*groups: str) -> None:
    """Go on inside `.venv`, where the project's dependencies and `groups` are installed.

    Outside, the calling script starts again inside. Without bpy the script goes on too, since
    not every machine can have it; any other failure ends it.
    """
    if not (VENV.exists() and os.path.samefile(sys.prefix, VENV)):
        if not python_of(VENV).exists():
            python = next(filter(None, map(find_python, this_python_first())), None)
            if python is None:
                stop(
                    f"needs Python {' or '.join(PYTHONS)} with venv: install one"
                    " (pyenv install 3.13, or apt-get install python3-venv) and start again"
                )
            make(VENV, python)
        relaunch(python_of(VENV))
    if this_python() not in PYTHONS:
        stop(f"{VENV} has Python {this_python()}: delete it, a supported one will be made")
    trouble = equip(VENV, groups)
    if trouble and "blender" in groups:
        say(f"bpy cannot be installed here ({trouble}); going on without Blender")
        trouble = equip(VENV, [group for group in groups if group != "blender"])
    if trouble:
        stop(f"pip cannot set up {VENV}: {trouble}")


def this_python() -> str:
    return "{}.{}".format(*sys.version_info)


def this_python_first() -> list[str]:
    return sorted(PYTHONS, key=lambda version: version != this_python())


def find_python(version: str) -> str | None:
    """An interpreter of that version ("3.13") that can make environments."""
    name = f"python{version}"
    candidates = [
        sys.executable if version == this_python() else None,
        shutil.which(name),
        *map(str, Path.home().glob(f".pyenv/versions/{version}.*/bin/{name}")),
    ]
    for candidate in filter(None, candidates):
        trial = subprocess.run([candidate, "-c", "import ensurepip"], capture_output=True)
        if trial.returncode == 0:
            return candidate
    return None


def python_of(venv: Path) -> Path:
    """The interpreter of an environment, whether or not it is there yet."""
    return venv / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def make(venv: Path, python: str) -> None:
    """An empty environment."""
    trial = subprocess.run([python, "-m", "venv", "--clear", venv], capture_output=True, text=True)
    if trial.returncode:
        stop(f"{python} cannot make {venv}: {last_line(trial.stderr or trial.stdout)}")


def relaunch(python: Path) -> NoReturn:
    """Start the calling script again with another interpreter."""
    command = [str(python), *sys.argv]
    if os.name == "nt":
        sys.exit(subprocess.call(command))
    os.execv(command[0], command)


def dependency_groups() -> dict[str, list[str]]:
    """Requirements by group, inclusions resolved; "project" has those of the project itself."""
    import tomllib

    tables = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))

    def expand(group: str) -> Iterator[str]:
        for entry in tables["dependency-groups"][group]:
            yield from [entry] if isinstance(entry, str) else expand(entry["include-group"])

    groups = {group: list(expand(group)) for group in tables["dependency-groups"]}
    return {"project": tables["project"]["dependencies"], **groups}


def equip(venv: Path, groups: Iterable[str]) -> str:
    """Install the project's dependencies and `groups`, unless the stamp in `venv` says they are.

    Returns what pip complained of, empty when all is well.
    """
    table = dependency_groups()
    digest = hashlib.sha256(repr(table).encode()).hexdigest()
    stamp = venv / "installed-groups"
    stamped, *installed = stamp.read_text().split() if stamp.exists() else [""]
    if stamped != digest:
        installed = []
    missing = sorted({"project", *groups} - set(installed))
    if not missing:
        return ""
    heavy = any(group.startswith("blender") for group in missing)
    say(
        f"setting up {venv} ({', '.join(missing)}):"
        f" {'bpy is about 400 MB, some minutes' if heavy else 'about a minute'}"
    )
    wanted = [*installed, *missing]
    requirements = sorted({requirement for group in wanted for requirement in table[group]})
    pip = [str(python_of(venv)), "-m", "pip", "install", "--quiet", *requirements]
    trial = subprocess.run(pip, capture_output=True, text=True)
    if trial.returncode:
        offline = "no network: " if "connection broken" in trial.stderr else ""
        return offline + last_line(trial.stderr)
    stamp.write_text("\n".join([digest, *wanted]))
    return ""


def last_line(text: str) -> str:
    """The line that names the failure: pip's last ERROR, else the last one of all."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    errors = [line for line in lines if line.startswith("ERROR")]
    return (errors or lines or ["no message"])[-1]


def missing_system_libraries() -> list[str]:
    """Names of the shared libraries that bpy needs and this machine lacks (Linux only)."""
    if not sys.platform.startswith("linux"):
        return []
    missing = {library for library in LIBRARIES if not loads(library)}
    bpy = importlib.util.find_spec("bpy")
    if bpy and bpy.origin and shutil.which("ldd"):
        linked = subprocess.run(["ldd", bpy.origin], capture_output=True, text=True).stdout
        missing.update(re.findall(r"(\S+) => not found", linked))
    return sorted(missing)


def loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def apt_line() -> str:
    """The command that installs the missing system libraries on Debian; empty when none is."""
    missing = missing_system_libraries()
    for library in missing:
        if library not in LIBRARIES:
            say(f"bpy lacks {library}; find the package that holds it")
    packages = sorted(LIBRARIES[library] for library in missing if library in LIBRARIES)
    return f"apt-get install -y {' '.join(packages)}" if packages else ""


if __name__ == "__main__":
    enter("test", "check", "blender")
    if line := apt_line():
        print(line)
