"""The command line from a checkout: python3 scripts/naval_checks.py --help

Runs with any Python that has numpy and trimesh, otherwise inside `.venv`, made on first use.
"""

from __future__ import annotations

import os
import signal

if __name__ == "__main__":  # Ctrl-C is quiet while modules load
    signal.signal(signal.SIGINT, lambda *_: os._exit(130))

import importlib.util
import shlex
import sys

from house import ROOT, enter

if not all(importlib.util.find_spec(name) for name in ("numpy", "trimesh")):
    enter("test")
sys.path.insert(0, str(ROOT))

from addon.cli.main import console

if __name__ == "__main__":
    console(f"python3 {shlex.quote(sys.argv[0])}")
