"""Crank, rod and piston: where the piston stands at an angle, and what volume is left above it.

`rod_ratio` is the rod's length over the crank radius (half the stroke); engines have 3 to 5, usually about 3.6.
Valid for a pin on the cylinder's axis; an offset pin shifts it by less than 1 percent. Source: slider-crank geometry.
"""

from __future__ import annotations

import math


def travel(angle_deg: float, stroke_mm: float, rod_mm: float) -> float:
    """Millimetres of the piston from top dead centre: a (1 - cos) + l - sqrt(l^2 - a^2 sin^2), a half the stroke.

    Errors: ValueError when the rod is shorter than the crank radius or a length is not above 0. Exact.
    """
    radius = stroke_mm / 2
    if not stroke_mm > 0 or not rod_mm > radius:
        raise ValueError("a rod must be longer than half the stroke: measure it from pin to pin in mm")
    angle = math.radians(angle_deg)
    return radius * (1 - math.cos(angle)) + rod_mm - math.sqrt(rod_mm**2 - (radius * math.sin(angle)) ** 2)


def angle_at(travel_mm: float, stroke_mm: float, rod_mm: float) -> float:
    """Degrees from top dead centre, 0-180, at which the piston has gone so far.

    Inverse of `travel`, by halving; to 1e-9 degrees.

    Errors: ValueError when the piston never gets there.
    """
    if not 0 <= travel_mm <= stroke_mm:
        raise ValueError(f"the piston moves 0 to {stroke_mm:g} mm, so it is never {travel_mm:g} mm from the top")
    low, high = 0.0, 180.0
    for _ in range(60):
        middle = (low + high) / 2
        if travel(middle, stroke_mm, rod_mm) < travel_mm:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def volume_over_clearance(angle_deg: float, compression_ratio: float, rod_ratio: float) -> float:
    """Volume above the piston over that at top dead centre: 1 + (CR - 1)/2 x (R + 1 - cos - sqrt(R^2 - sin^2)).

    1 at the top, the compression ratio at the bottom. Errors: ValueError for a ratio not above 1. Exact.
    """
    if not compression_ratio > 1 or not rod_ratio > 1:
        raise ValueError("compression ratio and rod ratio are both above 1")
    angle = math.radians(angle_deg)
    return 1 + 0.5 * (compression_ratio - 1) * (rod_ratio + 1 - math.cos(angle) - math.sqrt(rod_ratio**2 - math.sin(angle) ** 2))
