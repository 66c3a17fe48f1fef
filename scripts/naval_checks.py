"""Hydrostatics and stability on the command line: python3 scripts/naval_checks.py --help

Runs with any Python that has numpy and trimesh, otherwise inside `.venv`, made on first use.
"""

from __future__ import annotations

import os
import signal

STOPPED = 130

if __name__ == "__main__":  # Ctrl-C is quiet while modules load
    signal.signal(signal.SIGINT, lambda *_: os._exit(STOPPED))

import importlib.util
import io
import shlex
import sys

from house import ROOT, enter

if not all(importlib.util.find_spec(name) for name in ("numpy", "trimesh")):
    enter("test")
sys.path.insert(0, str(ROOT))

from addon.cli.main import main

if __name__ == "__main__":
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a terminal may lack letters of a name
            stream.reconfigure(errors="backslashreplace")
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        code = main(sys.argv[1:], f"python3 {shlex.quote(sys.argv[0])}")
        sys.stdout.flush()
    except BrokenPipeError:  # the reader of a pipe has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = 0
    except KeyboardInterrupt:
        code = STOPPED
    sys.exit(code)
