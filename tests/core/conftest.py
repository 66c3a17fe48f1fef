"""The command line as the tests of the core ask it."""

from __future__ import annotations

import pytest

from addon.cli.main import main


@pytest.fixture
def run_command(capsys):
    """Runs words; gives exit code, stdout, stderr."""

    def run(*argv, **keywords):
        code = main([str(word) for word in argv], **keywords)
        return code, *capsys.readouterr()

    return run
