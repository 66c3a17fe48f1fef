"""Whole files in and out, with one clear line when that fails."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path

from ..core.messages.findings import BadInputError


def read_bytes(path: Path) -> bytes:
    """Content of a file."""
    if path.is_dir():
        raise BadInputError(f"{path}: is a directory; name the file in it")
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise BadInputError(f"{path}: there is no such file; check the name") from None
    except (OSError, ValueError) as error:
        raise BadInputError(f"{path}: cannot be read: {_reason(error)}") from None


def read_text(path: Path) -> str:
    """Content of a UTF-8 text file, without a byte order mark."""
    try:
        return read_bytes(path).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInputError(f"{path}: is not UTF-8 text; save it as UTF-8") from None


def write_file(path: Path, content: str | bytes) -> None:
    """Writes or replaces a file in one step."""
    if path.is_dir():
        raise BadInputError(f"{path}: is a directory; name a file to write")
    try:
        _write(path.parent, {path.name: content})
    except OSError as error:
        raise BadInputError(f"{path}: cannot be written: {_reason(error)}") from None


def write_new(directory: Path, files: Mapping[str, str | bytes]) -> tuple[Path, ...]:
    """Writes text files under their names into a directory, made if need be; all or none.

    Raises BadInputError, with nothing changed, when one of them exists already.
    """
    for path in (directory / name for name in files):
        if path.exists():
            raise BadInputError(f"{path}: exists already; choose another directory")
    try:
        directory.mkdir(parents=True, exist_ok=True)
        return _write(directory, files)
    except FileExistsError:
        raise BadInputError(f"{directory}: is a file; choose a directory") from None
    except OSError as error:
        raise BadInputError(f"{directory}: cannot be written: {_reason(error)}") from None


def _write(directory: Path, files: Mapping[str, str | bytes]) -> tuple[Path, ...]:
    """Everything into a place of its own first, so that nothing half-written is ever seen."""
    with tempfile.TemporaryDirectory(prefix=".writing-", dir=directory) as staging:
        for name, content in files.items():
            whole = content.encode() if isinstance(content, str) else content
            (Path(staging) / name).write_bytes(whole)
        return tuple((Path(staging) / name).replace(directory / name) for name in files)


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)
