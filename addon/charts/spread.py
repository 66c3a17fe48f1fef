"""Heights of labels beside the ends of lines, moved apart no further than needed."""

from __future__ import annotations


def spread(heights: list[float], pitch: float) -> list[float]:
    """Heights at least a pitch apart, those too near moved to both sides."""
    order = sorted(range(len(heights)), key=heights.__getitem__)
    groups: list[list[int]] = []
    for at in order:
        groups.append([at])
        while len(groups) > 1 and _top(groups[-2], heights, pitch) > _foot(
            groups[-1], heights, pitch
        ):
            groups[-2:] = [groups[-2] + groups[-1]]
    moved = list(heights)
    for group in groups:
        base = _foot(group, heights, pitch)
        for row, at in enumerate(group):
            moved[at] = base + row * pitch
    return moved


def _foot(group: list[int], heights: list[float], pitch: float) -> float:
    """The height of the lowest row, the rows centered on the mean of the heights."""
    return sum(heights[at] for at in group) / len(group) - pitch * (len(group) - 1) / 2


def _top(group: list[int], heights: list[float], pitch: float) -> float:
    """The least height above some rows."""
    return _foot(group, heights, pitch) + pitch * len(group)
