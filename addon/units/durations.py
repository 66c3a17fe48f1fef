"""Durations as people write them."""

from __future__ import annotations


def clock(seconds: float) -> str:
    """'0:45', '12:05', '1:02:33'."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def duration(seconds: float) -> str:
    """'42.0 s', '12 min 05 s', '2 h 03 min'."""
    if seconds < 59.95:
        return f"{seconds:.1f} s"
    minutes, rest = divmod(round(seconds), 60)
    if minutes < 60:
        return f"{minutes} min {rest:02} s"
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours} h {minutes:02} min"
