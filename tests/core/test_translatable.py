"""What the interface says can be translated: whole sentences, with named places for the figures.

Blender's own tools collect the arguments of `iface_`, `rpt_` and `n_`, the `text` of layout calls
and the messages of reports, where these are literals. Sentences are collected as `templates` does
here.
"""

from __future__ import annotations

import ast
import re
import string
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

ADDON = Path(__file__).parents[2] / "addon"
BLENDER = ADDON / "blender"
MODULES = [
    *sorted(BLENDER.glob("*wording.py")),
    *sorted(path for name in ("operators", "panels") for path in BLENDER.glob(f"{name}/*.py")),
]
READ = [path for name in ("controller", "readers") for path in sorted(BLENDER.glob(f"{name}/*.py"))]
SPEAKING = [*sorted(ADDON.glob("core/**/*.py")), *READ, *MODULES]
MARKS = {"data_", "iface_", "n_", "rpt_"}
SHOWN = {"wrapped": 2, "problem": 2}
"""Functions of ours that show a text, and which argument it is."""
TEMPLATES = {
    "Sentence": (0,),
    "joined": (0,),
    "counted": (1, 2),
    "_tell_faces": (4,),
}
"""What makes a sentence, and which arguments are templates."""
COMPLAINTS = {"BadInputError": 0, "Finding": 2, "_warning": 1, "CorrectiveAction": 2, "_watch": 1}
"""What holds a sentence, and which argument it is."""
WORD = re.compile(r"(?<![\w/])[A-Za-z]{3,}(?![\w/])")


def calls(tree: ast.AST, *names: str) -> Iterator[ast.Call]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            function = node.func
            name = function.id if isinstance(function, ast.Name) else getattr(function, "attr", "")
            if name in names:
                yield node


def literals(node: ast.AST) -> Iterator[str]:
    return (
        part.value
        for part in ast.walk(node)
        if isinstance(part, ast.Constant) and isinstance(part.value, str)
    )


def pieces(tree: ast.AST) -> Iterator[str]:
    """F-strings that have words of their own between the figures."""
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            own = [part for part in node.values if isinstance(part, ast.Constant)]
            if any(WORD.search(str(part.value)) for part in own):
                yield ast.unparse(node)


def unmarked(tree: ast.AST) -> Iterator[str]:
    """Sentences shown that the collecting tools would not find."""
    for call in calls(tree, *SHOWN):
        function = call.func
        shown = call.args[SHOWN[function.id]] if isinstance(function, ast.Name) else call
        if isinstance(shown, ast.Constant) and shown.value:
            yield ast.unparse(shown)


def ill_named(tree: ast.AST) -> Iterator[str]:
    """Texts whose places have no names, or others than the ones filled in there and then."""
    for call in calls(tree, *MARKS):
        for text in literals(call):
            fields = [name for _, name, _, _ in string.Formatter().parse(text) if name is not None]
            if not all(map(str.isidentifier, fields)):
                yield text
    for call in calls(tree, "format"):
        source = call.func.value if isinstance(call.func, ast.Attribute) else None
        if call.args:
            yield ast.unparse(call)
        if isinstance(source, ast.Call) and [*calls(source, *MARKS)]:
            given = {keyword.arg for keyword in call.keywords}
            for text in literals(source):
                if given != {name for _, name, _, _ in string.Formatter().parse(text) if name}:
                    yield ast.unparse(call)


def templates(tree: ast.AST) -> Iterator[tuple[ast.Call, str]]:
    """Templates of sentences with their calls: literals there or under names that calls give.
    Raises LookupError for one that is neither."""
    named: dict[str, list[str]] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            texts = named.setdefault(node.targets[0].id, [])
            with suppress(LookupError):
                texts += given(node.value, named)
        elif isinstance(node, ast.arg):
            named.setdefault(node.arg, [])
    for call in calls(tree, *TEMPLATES):
        if isinstance(call.func, ast.Name):
            for place in TEMPLATES[call.func.id]:
                for argument in call.args[place : place + 1]:
                    yield from ((call, text) for text in given(argument, named))


def given(node: ast.AST, named: dict[str, list[str]]) -> list[str]:
    """Literals that an expression may give."""
    match node:
        case ast.Constant(value=str(text)):
            return [text]
        case ast.IfExp():
            return [*given(node.body, named), *given(node.orelse, named)]
        case ast.Call(func=ast.Name(id="n_")):
            return given(node.args[0], named)
        case ast.Name() if node.id in named:
            return named[node.id]
        case _:
            raise LookupError(ast.unparse(node))


def misplaced(tree: ast.AST) -> Iterator[str]:
    """Templates with places that have no name, or that their call does not fill."""
    for call, text in templates(tree):
        fields = {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}
        filled = {keyword.arg for keyword in call.keywords}
        whole = isinstance(call.func, ast.Name) and call.func.id == "Sentence"
        if not all(map(str.isidentifier, fields)):
            yield text
        elif whole and isinstance(call.args[0], (ast.Constant, ast.IfExp)) and fields != filled:
            yield ast.unparse(call)


def finished(tree: ast.AST) -> Iterator[str]:
    """Sentences put together before anyone could say them in other units."""
    for call in calls(tree, *COMPLAINTS):
        assert isinstance(call.func, ast.Name)
        for text in call.args[COMPLAINTS[call.func.id] :][:1]:
            if isinstance(text, (ast.JoinedStr, ast.Constant, ast.BinOp)):
                yield ast.unparse(call)


@pytest.mark.parametrize("path", SPEAKING, ids=lambda path: path.stem)
@pytest.mark.wording
def test_what_the_core_tells_can_be_collected(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert [*misplaced(tree)] == []
    assert [*finished(tree)] == []


def test_many_sentences_of_the_core_are_collected() -> None:
    trees = (ast.parse(path.read_text(encoding="utf-8")) for path in SPEAKING)
    found = {text for tree in trees for _, text in templates(tree)}
    assert len(found) > 250 and "Stands on the {end}" in found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.name)
def test_sentences_are_whole_and_marked(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert [*pieces(tree)] == []
    assert [*unmarked(tree)] == []
    assert [*ill_named(tree)] == []


@pytest.mark.parametrize(
    ("look", "code"),
    (
        (pieces, "f'{name} belongs to no hull'"),
        (unmarked, "wrapped(layout, context, 'No tanks yet', 'INFO')"),
        (ill_named, "iface_('{} is hidden')"),
        (ill_named, "rpt_('{hull} is hidden').format(name=1)"),
        (ill_named, "text.format(1)"),
        (misplaced, "Sentence('{} is open', name=1)"),
        (misplaced, "Sentence('{hull} is open', name=1)"),
        (finished, "BadInputError(f'{name} is open')"),
        (finished, "Finding('note', 'open', 'Open on ' + side)"),
    ),
)
def test_what_cannot_be_translated_is_found(look, code: str) -> None:
    assert [*look(ast.parse(code))]


@pytest.mark.wording
def test_many_sentences_are_collected() -> None:
    found = set()
    for path in MODULES:
        for call in calls(ast.parse(path.read_text(encoding="utf-8")), *MARKS):
            found.update(literals(call))
    assert len(found) > 100 and "{part} belongs to no hull" in found
