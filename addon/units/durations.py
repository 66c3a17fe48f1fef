"""Durations as people write them."""

from __future__ import annotations


def clock(seconds: float) -> str:
    """'0:45', '12:05', '1:02:33'."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
