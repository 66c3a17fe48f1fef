"""Every figure of --json on every example, of two checkouts, compared.

    python3 scripts/figures.py collect CHECKOUT OUT.json    # with that checkout's own command line
    python3 scripts/figures.py compare BEFORE.json AFTER.json

`compare` goes through both in the order they are printed: numbers must be equal to the last digit,
keys may have other names, which it lists. Exit 1 when a figure differs.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from house import enter

EXAMPLES = (
    *("survey-launch", "half-launch", "open-dinghy", "pontoon", "catamaran", "block-barge"),
    *("sectional-pontoon", "workboat", "leaky-workboat"),
)
"""Those of all versions."""

QUESTIONS: dict[str, tuple[str, ...]] = {
    "float": ("float --all",),
    "hydrostatics 0": ("hydrostatics",),
    "hydrostatics 1": ("hydrostatics --heel 12 --trim 0.1",),
    "stability 0": ("stability --all",),
    "stability 1": ("stability --fixed-trim",),
    "conditions": ("conditions",),
    "cross curves": ("cross-curves",),
    "limiting KG": ("limiting-kg", "limits"),
    "compartments": ("compartments", "rooms"),
    "tanks": ("tanks --heel 5",),
    "each flooded": ("flood --each",),
    "pairs flooded": ("flood --pairs",),
    "floodable length": ("floodable-length", "floodable"),
    "bulkheads": ("bulkheads --count 2",),
    "time to flood": (
        "time-to-flood --compartment hold --breach 6,2,0.6 --area 0.02",
        "time-to-flood --room hold --hole 6,2,0.6 --area 0.02",
    ),
}
"""Questions, each as this version words it and as earlier ones did."""

NEW = {"format"}
"""Keys that an earlier version does not have."""


def collect(checkout: Path) -> dict[str, Any]:
    """Answers by example and question, of what a checkout can answer."""
    found: dict[str, Any] = {}
    with tempfile.TemporaryDirectory() as folder:
        for example in EXAMPLES:
            case = f"{folder}/{example}"
            if ask(checkout, "new", case, "--example", example) is None:
                continue
            for question, wordings in QUESTIONS.items():
                for command, *rest in map(str.split, wordings):
                    answer = ask(checkout, command, f"{case}/case.toml", "--json", *rest)
                    if answer is not None:
                        found[f"{example}: {question}"] = json.loads(answer)
                        print(example, question, file=sys.stderr)
                        break
    return found


def ask(checkout: Path, *words: str) -> str | None:
    """What a command of a checkout prints; None where it does not know the command."""
    command = [sys.executable, str(checkout / "scripts/naval_checks.py"), *words]
    ran = subprocess.run(command, capture_output=True, text=True)
    return ran.stdout if ran.returncode in (0, 1) else None


def leaves(node: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Figures with their paths, in the order printed; text is left out."""
    if isinstance(node, dict):
        for key, value in node.items():
            if key not in NEW:
                yield from leaves(value, f"{path}.{key}")
    elif isinstance(node, list):
        for value in node:
            yield from leaves(value, f"{path}[]")
    elif not isinstance(node, str):
        yield path, node


def compare(before: dict[str, Any], after: dict[str, Any]) -> int:
    """Print what differs and which keys were renamed; the exit code."""
    renamed: set[tuple[str, str]] = set()
    wrong = count = 0
    for question in sorted(before.keys() | after.keys()):
        if question not in before or question not in after:
            print(f"{question}: in one of the two only")
            continue
        one, other = list(leaves(before[question])), list(leaves(after[question]))
        count += len(one)
        pairs = list(zip(one, other, strict=False))
        differ = [pair for pair in pairs if repr(pair[0][1]) != repr(pair[1][1])]
        if len(one) != len(other) or differ:
            wrong += 1
            print(
                f"{question}: {len(one)} and {len(other)} figures; first that differ {differ[:1]}"
            )
        else:
            renamed.update((old, new) for (old, _), (new, _) in pairs if old != new)
    for old, new in sorted(renamed):
        print(f"  {old} -> {new}")
    print(f"{count} figures compared; {wrong} answers differ")
    return int(wrong > 0)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    tasks = parser.add_subparsers(dest="task", required=True)
    collecting = tasks.add_parser("collect", help="collect the figures of a checkout")
    collecting.add_argument("checkout", type=Path)
    collecting.add_argument("output", type=Path)
    comparing = tasks.add_parser("compare", help="compare two collections")
    comparing.add_argument("before", type=Path)
    comparing.add_argument("after", type=Path)
    args = parser.parse_args()
    if args.task == "collect":
        args.output.write_text(json.dumps(collect(args.checkout.resolve())), encoding="utf-8")
    else:
        read = (json.loads(path.read_text(encoding="utf-8")) for path in (args.before, args.after))
        sys.exit(compare(*read))


if __name__ == "__main__":
    enter("test")
    main()
