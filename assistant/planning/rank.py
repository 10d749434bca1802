"""How options and likelihood ratios are put in order."""

from __future__ import annotations

from assistant.records import Option

_ORDER = {"repair": 0, "check": 1, "question": 2, "workshop": 3}



def further(new: float, old: float) -> bool:
    """Whether a likelihood ratio is further from 1 than another."""
    return max(new, 1 / new) > max(old, 1 / old)


def rank(option: Option) -> tuple:
    return (round(option.expected_minutes, 6), _ORDER[option.kind], option.id)
