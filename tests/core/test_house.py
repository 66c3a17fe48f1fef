"""Imports stand at the head of modules, and none is there for type checkers alone.

That no two modules import each other, directly or in a circle, and that packages keep to their
layers, is held by the contracts of import-linter in pyproject.toml.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MODULES = sorted((ROOT / "addon").rglob("*.py"))
ALLOWED = {
    "addon/__init__.py": {"blender"},  # the package can be imported without Blender
    "addon/files/mesh_file.py": {"trimesh"},  # for the formats that only it reads
}
"""Modules that may import late, and what."""


def late(tree: ast.Module) -> Iterator[str]:
    """What is imported elsewhere than at the head of a module: in functions, classes, branches."""
    head = {id(node) for node in tree.body}
    for node in ast.walk(tree):
        if isinstance(node, (ast.Import, ast.ImportFrom)) and id(node) not in head:
            if isinstance(node, ast.Import):
                yield from (alias.name for alias in node.names)
            else:
                yield node.module or node.names[0].name


def for_type_checkers(tree: ast.Module) -> bool:
    """Whether a module asks if it is being type-checked."""
    named = (getattr(node, "id", getattr(node, "attr", "")) for node in ast.walk(tree))
    return "TYPE_CHECKING" in named


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_imports_stand_at_the_head(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert {*late(tree)} == ALLOWED.get(path.relative_to(ROOT).as_posix(), set())
    assert not for_type_checkers(tree)


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ("import numpy\nfrom .case import Case", []),
        ("def f():\n    from .case import Case", ["case"]),
        ("def f():\n    from . import case", ["case"]),
        ("class C:\n    import numpy", ["numpy"]),
        ("if TYPE_CHECKING:\n    from .case import Case", ["case"]),
        ("try:\n    import trimesh\nexcept ImportError:\n    pass", ["trimesh"]),
    ],
)
def test_late_imports_are_found(code: str, found: list[str]) -> None:
    tree = ast.parse(code)
    assert [*late(tree)] == found
    assert for_type_checkers(tree) == ("TYPE_CHECKING" in code)
