"""The documents name what there is."""

from __future__ import annotations

import re
import tokenize
import tomllib
from pathlib import Path

import pytest

from addon.cli.main import build_parser
from addon.core.criteria.codes import CODES
from addon.parts.case_file import parse_case
from addon.parts.declarations import CASE, PARTS

ROOT = Path(__file__).resolve().parents[2]
PAGES = (
    "README.md",
    "DEVELOPERS.md",
    *(f"docs/{page}.md" for page in ("guide", "method", "checks", "renamed")),
)
GUIDE = ROOT / "docs" / "guide.md"

OFFICIAL = (
    *("archive.org", "ecfr.gov", "gutenberg.org", "imo.org", "json-schema.org"),
    *("uscg.mil", "uscgboating.org", "w3.org"),
)
"""Publishers of law and standards, of their own papers and of scanned books in the public domain,
that a source may name; all else is cited in print."""

HOST = re.compile(
    r"(?:https?://|www\.)[\w.-]*\w"
    r"|\b(?:[\w-]+\.)+"
    r"(?:com|org|net|edu|gov|mil|int|info|io|eu|uk|us|ca|au|nz|in|fr|de|nl|it|es|jp|ru|cn|no|se|dk|fi)\b"
)


def text(page: Path) -> str:
    return page.read_text(encoding="utf-8")


def anchors(page: Path) -> set[str]:
    """Anchors of the headings of a page."""
    heads = re.findall(r"^#+ (.*)$", text(page), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("page", PAGES)
def test_links_and_pictures_lead_somewhere(page: str) -> None:
    for link in re.findall(r"\]\(([^)\s]+)\)", text(ROOT / page)):
        path, _, anchor = link.partition("#")
        if re.match(r"[a-z]+:", link):
            continue
        target = (ROOT / page).parent / path if path else ROOT / page
        assert target.exists(), link
        assert not anchor or anchor in anchors(target), link


def test_every_picture_is_shown() -> None:
    shown = "".join(text(ROOT / page) for page in PAGES)
    for picture in (ROOT / "docs" / "pictures").iterdir():
        assert f"pictures/{picture.name})" in shown, picture.name


def test_the_guide_names_every_key_of_a_case_and_every_code() -> None:
    guide = text(GUIDE)
    for part in PARTS:
        assert f"[{part.key}]" in guide, part.key
    keys = {field.key for field in CASE.fields if not field.part}
    keys |= {key for part in PARTS for key in part.keys}
    for key in (*keys, *(code.key for code in CODES)):
        assert f"`{key}`" in guide, key


def test_the_guide_names_every_command() -> None:
    guide = text(GUIDE)
    usage = build_parser("naval-checks").format_help()
    commands = re.findall(r"^    ([a-z-]+)(?: |$)", usage, re.MULTILINE)
    assert "cross-curves" in commands
    for command in commands:
        assert f"| `{command}` |" in guide, command


def test_the_example_of_the_guide_is_a_case() -> None:
    (example,) = re.findall(r"```toml\n(.*?)```", text(GUIDE), re.DOTALL)
    case = parse_case(tomllib.loads(example))
    assert case.tanks and case.conditions and case.custom_criteria


def test_the_map_names_every_package_in_its_place() -> None:
    (drawn,) = re.findall(r"```\n(addon/\n.*?)```", text(ROOT / "DEVELOPERS.md"), re.DOTALL)
    mapped: set[Path] = set()
    branch: list[tuple[int, Path]] = []
    for line in drawn.splitlines():
        entry = re.match(r"( *)((?:[a-z_]+/ +)*[a-z_]+/)(?: |$)", line)
        if not line.startswith(("addon/", "  ")) or entry is None:
            continue
        indent = len(entry[1])
        branch = [(depth, folder) for depth, folder in branch if depth < indent]
        parent = branch[-1][1] if branch else ROOT
        folders = [parent / name.rstrip("/") for name in entry[2].split()]
        branch.append((indent, folders[0]))
        mapped.update(folders)
    packages = {path.parent for path in (ROOT / "addon").rglob("__init__.py")}
    assert mapped == packages


def test_the_table_of_places_leads_to_modules() -> None:
    places = re.findall(r"^\| .*\? \| `(.*?)` \|$", text(ROOT / "DEVELOPERS.md"), re.MULTILINE)
    assert len(places) >= 5
    for place in places:
        assert (ROOT / "addon" / f"{place}.py").is_file(), place


def foreign_hosts(prose: str) -> list[str]:
    """Web hosts that a text names, other than official publishers."""
    hosts = (re.sub(r"^https?://|^www\.", "", found) for found in HOST.findall(prose))
    return [host for host in hosts if not f".{host}".endswith(tuple(f".{own}" for own in OFFICIAL))]


def prose_of(path: Path) -> str:
    """Comments and strings of a module, or all of a page."""
    if path.suffix != ".py":
        return text(path)
    with path.open("rb") as file:
        tokens = list(tokenize.tokenize(file.readline))
    kinds = tokenize.COMMENT, tokenize.STRING
    return "\n".join(token.string for token in tokens if token.type in kinds)


@pytest.mark.parametrize(
    ("prose", "hosts"),
    [
        ("as worked at exercises.example.com (seen there)", ["exercises.example.com"]),
        ("notes at example.co.uk/stability and example.fr.", ["example.co.uk", "example.fr"]),
        ("https://papers.example/7 and www.example.museum", ["papers.example", "example.museum"]),
        ("not-ecfr.gov and imo.org.example.net", ["not-ecfr.gov", "imo.org.example.net"]),
        ("46 CFR 170.170, www.ecfr.gov; scan at archive.org, p. 538; tests/published/table.py", []),
    ],
)
def test_hosts_are_found(prose: str, hosts: list[str]) -> None:
    assert foreign_hosts(prose) == hosts


def test_sources_name_no_host_but_official_publishers() -> None:
    modules = [
        path for part in ("addon", "tests/published") for path in (ROOT / part).rglob("*.py")
    ]
    assert len(modules) > 100
    for path in (*modules, *(ROOT / page for page in PAGES)):
        assert not foreign_hosts(prose_of(path)), path.relative_to(ROOT)
