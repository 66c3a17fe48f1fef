"""The documents name what there is."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from addon.cli.main import build_parser
from addon.core.criteria.codes import CODES
from addon.parts.case_file import CASE_KEYS, HULL_KEYS, WEIGHT_KEYS, parse_case
from addon.parts.outfit import KEYS, SERVICE

ROOT = Path(__file__).resolve().parents[2]
PAGES = (
    "README.md",
    "DEVELOPERS.md",
    *(f"docs/{page}.md" for page in ("guide", "method", "checks")),
)
GUIDE = ROOT / "docs" / "guide.md"


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


def test_the_guide_tells_every_key_of_a_case_and_every_code() -> None:
    guide = text(GUIDE)
    tables = {*CASE_KEYS} - {"title", "weight_list"}
    for table in tables:
        assert f"[{table}]" in guide, table
    keys = {"title", "weight_list", "density_kg_m3", "codes", *HULL_KEYS, *WEIGHT_KEYS, *SERVICE}
    for key in (*keys, *sum(KEYS.values(), ()), *(code.key for code in CODES)):
        assert f"`{key}`" in guide, key


def test_the_guide_tells_every_word() -> None:
    guide = text(GUIDE)
    said = build_parser("nc").format_help()
    words = re.findall(r"^    ([a-z-]+)(?: |$)", said, re.MULTILINE)
    assert "cross-curves" in words
    for word in words:
        assert f"| `{word}` |" in guide, word


def test_the_example_of_the_guide_is_a_case() -> None:
    (example,) = re.findall(r"```toml\n(.*?)```", text(GUIDE), re.DOTALL)
    case = parse_case(tomllib.loads(example))
    assert case.outfit.tanks and case.outfit.conditions and case.outfit.own_rules


def test_the_map_of_the_house_has_every_module() -> None:
    told = text(ROOT / "DEVELOPERS.md")
    for path in (ROOT / "addon").rglob("*.py"):
        folder = path.relative_to(ROOT / "addon").parts[:-1]
        if path.stem != "__init__" and folder[-1:] != ("criteria",):
            name = "/".join([*(part for part in folder if part != "core"), path.stem])
            assert f"`{name}`" in told, name
