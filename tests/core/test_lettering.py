"""Letters drawn with strokes: where they lie, and how wide they are."""

from __future__ import annotations

import string

import numpy as np
import pytest

from addon.drawing.canvas import filled
from addon.drawing.lettering import ADVANCE, STROKES, UNIT, WEIGHT, outline, text_size
from addon.drawing.picture import CAPITAL

LETTERS = string.ascii_letters + string.digits
SIGNS = ".,:;!?()[]{}/\\|'\"*&#@$%^~`_+-=<>°·…²³±×≤≥−–—∆∇"
ACCENTED = (
    "àáâãäåçèéêëìíîïñòóôõöùúûüýÿčďěňřšťůžąęćłńśźżőűșțāēğİ" + "ÀÁÂÃÄÅÇÈÉÊÑÖÜÝČŘŠŽŁŐŰ" + "æøœßðþđ"
)


def rasterized(text: str, size: float = 40.0) -> np.ndarray:
    """Pixels of a text, whose left end stands at 20, 20."""
    width = round(text_size(text, size)[0]) + 40
    return filled(outline(text) * size + 20.0, width, round(2 * size))


def test_a_text_is_as_wide_as_its_letters() -> None:
    assert text_size("GZ 0.61 m", 10.0)[0] == pytest.approx(
        10 * sum(map(ADVANCE.__getitem__, "GZ 0.61 m"))
    )
    assert text_size("", 10.0) == (0.0, 10 * CAPITAL)
    assert {ADVANCE[digit] for digit in string.digits} == {0.556}, "figures stand in columns"


@pytest.mark.parametrize("letter", LETTERS + SIGNS.replace("∆", "Δ") + ACCENTED)
def test_each_letter_lies_within_its_width(letter: str) -> None:
    edges = outline(letter)
    width, _ = text_size(letter, 1.0)
    assert len(edges) and edges[..., 0].min() > -0.06 and edges[..., 0].max() < width + 0.06
    assert edges[..., 1].min() > -0.32 and edges[..., 1].max() < 1.15
    unknown = outline("語")
    assert edges.shape != unknown.shape or not np.allclose(edges, unknown)


@pytest.mark.parametrize("letter", sorted(STROKES))
def test_every_stroke_has_a_width(letter: str) -> None:
    assert letter in ADVANCE


def test_capitals_have_the_height_of_capitals() -> None:
    for letter in "EHILMNTZ":
        high = outline(letter)[..., 1]
        assert high.max() - high.min() == pytest.approx(CAPITAL + WEIGHT * UNIT, abs=0.01)
    assert outline("x")[..., 1].max() < 0.8 * outline("H")[..., 1].max()


def test_accents_stand_over_their_letters_and_below() -> None:
    for plain, accented in (("e", "é"), ("E", "É"), ("u", "ů"), ("ı", "ì")):
        bare, marked = outline(plain), outline(accented)
        assert marked[..., 1].max() > bare[..., 1].max() + 0.1
        assert np.array_equal(marked[: len(bare)], bare)
    assert outline("ç")[..., 1].min() < outline("c")[..., 1].min() - 0.1
    assert np.array_equal(outline("e\N{COMBINING ACUTE ACCENT}"), outline("é"))


def test_letters_are_filled_where_strokes_cross() -> None:
    """The bar of an H and its stems are solid, what is between them is not."""
    pixels = rasterized("H", 100.0)
    rows = pixels[20:92]
    columns = rows.any(axis=0).nonzero()[0]
    left, right = columns.min(), columns.max()
    middle = (left + right) // 2
    assert rows[:, left + 3].all() and rows[:, right - 3].all()
    bar = rows[:, middle].nonzero()[0]
    assert 5 < len(bar) < 12 and 30 < bar.mean() < 42


def test_what_is_not_there_is_a_box_and_broad_letters_have_space() -> None:
    assert np.array_equal(outline("я"), outline("ж"))
    assert text_size("語", 1.0)[0] == 2 * text_size("я", 1.0)[0]
    assert not len(outline("   "))


def test_typographic_marks_are_drawn_as_plain_ones() -> None:
    assert np.array_equal(outline("\N{RIGHT SINGLE QUOTATION MARK}"), outline("'"))
    assert np.array_equal(outline("\N{NO-BREAK SPACE}a"), outline(" a"))
