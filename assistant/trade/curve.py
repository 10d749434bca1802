"""Straight lines between the rows of a published table."""

from __future__ import annotations

from typing import Sequence

Curve = Sequence[tuple[float, float]]


def along(curve: Curve, x: float) -> float:
    """The value of a table at x: linear between rows, held at the end values outside. Rows in rising x."""
    if x <= curve[0][0]:
        return curve[0][1]
    for (x0, y0), (x1, y1) in zip(curve, curve[1:]):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return curve[-1][1]


def beyond(curve: Curve, x: float) -> float:
    """As `along`, but the first and last straight lines go on outside the table."""
    if x < curve[0][0]:
        (x0, y0), (x1, y1) = curve[0], curve[1]
    elif x > curve[-1][0]:
        (x0, y0), (x1, y1) = curve[-2], curve[-1]
    else:
        return along(curve, x)
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def turned(curve: Curve) -> list[tuple[float, float]]:
    """The same table read the other way, for tables whose values rise or fall all the way."""
    return sorted((y, x) for x, y in curve)
