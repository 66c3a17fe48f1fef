"""The add-on in a real window of every Blender at hand, under a virtual screen.

A Blender is the one in BLENDER or on PATH, and one in each root of another system named in
NAVAL_CHECKS_BLENDER_ROOTS, separated by colons. NAVAL_CHECKS_SHOTS names a folder for the pictures.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ADDON = HERE.parents[1] / "addon"
PATIENCE = 600
WIDE, TALL = (1500, 1000), (640, 2400)
"""Sizes of the screen in pixels."""
SCRIPT = """
cd "$1"
export HOME="$1" BLENDER_USER_RESOURCES="$1/user"
Xvfb -displayfd 3 -screen 0 $4x$5x24 -nolisten tcp 3>display 2>xvfb.log & screen=$!
trap 'kill $screen' EXIT
for _ in $(seq 100); do [ -s display ] && break; sleep 0.1; done
DISPLAY=:$(cat display) timeout 540 "$2" --factory-startup --window-geometry 0 0 "$4" "$5" \
    --enable-event-simulate --python-exit-code 1 --python driver.py -- "$1" "$3" >blender.log 2>&1
"""


def roots() -> Iterator[tuple[Path, str]]:
    """Roots of systems that have a Blender and Xvfb, with the name of its Blender."""
    own = os.environ.get("BLENDER") or shutil.which("blender")
    if own and shutil.which("Xvfb"):
        yield Path("/"), own
    for name in filter(None, os.environ.get("NAVAL_CHECKS_BLENDER_ROOTS", "").split(":")):
        yield Path(name), "blender"


FOUND = list(roots())
NOTHING = "no Blender with Xvfb: set BLENDER, or NAVAL_CHECKS_BLENDER_ROOTS"


@pytest.mark.skipif(not FOUND, reason=NOTHING)
@pytest.mark.parametrize(("root", "blender"), FOUND or [(Path("/"), "")], ids=str)
@pytest.mark.parametrize("story", ["ship", "compartments", "lengths", "panels"])
def test_in_a_window(root: Path, blender: str, story: str) -> None:
    with tempfile.TemporaryDirectory(dir=root / "tmp") as folder:
        shutil.copytree(ADDON, Path(folder, "addon"), ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(HERE / "driver.py", folder)
        inside = str(Path("/") / Path(folder).relative_to(root))
        enter = [] if root == Path("/") else ["chroot", str(root)]
        size = TALL if story == "panels" else WIDE
        command = ["sh", "-c", SCRIPT, "sh", inside, blender, story, *map(str, size)]
        subprocess.run([*enter, *command], timeout=PATIENCE)
        log = Path(folder, "blender.log").read_text(encoding="utf-8", errors="replace")
        if shots := os.environ.get("NAVAL_CHECKS_SHOTS"):
            for picture in Path(folder).glob("*.png"):
                Path(shots).mkdir(parents=True, exist_ok=True)
                shutil.copy(picture, Path(shots, f"{root.name or 'own'}-{story}-{picture.name}"))
        report = Path(folder, "result.json")
        assert report.exists(), log
        result = json.loads(report.read_text(encoding="utf-8"))
    assert not result["error"], result["error"] + log
    assert [name for name, right in result["checks"].items() if not right] == []
    assert "Traceback" not in log, log
