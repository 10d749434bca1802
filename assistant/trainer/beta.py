"""The beta distribution: what a frequency may be after so many hits of so many, on top of an elicited value.

Continued fraction of the incomplete beta function after Lentz (any textbook of numerical methods); quantiles by bisection.
Good to about 1e-9, which is far more than a frequency given by hand deserves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Beta:
    """Pseudo-counts of hits `a` and misses `b`, both above 0."""

    a: float
    b: float

    @classmethod
    def elicited(cls, per_100: float, strength: float) -> "Beta":
        """A frequency of 100 that somebody gave, worth `strength` machines seen. Raises ValueError outside (0, 100) or for no strength."""
        if not (0 < per_100 < 100 and strength > 0):
            raise ValueError("a frequency lies between 0 and 100, and counts for more than no machine")
        return cls(strength * per_100 / 100, strength * (1 - per_100 / 100))

    def after(self, hits: int, of: int) -> "Beta":
        """With confirmed cases added. Raises ValueError when there are more hits than cases."""
        if not 0 <= hits <= of:
            raise ValueError("hits lie between none and all")
        return Beta(self.a + hits, self.b + of - hits)

    @property
    def mean(self) -> float:
        """The mean, of 100."""
        return 100 * self.a / (self.a + self.b)

    def interval(self, share: float = 0.9) -> tuple[float, float]:
        """The middle `share` of it, of 100."""
        return 100 * self._quantile((1 - share) / 2), 100 * self._quantile((1 + share) / 2)

    def below(self, x: float) -> float:
        """The chance that the frequency (a fraction) is below x."""
        if x <= 0 or x >= 1:
            return 0.0 if x <= 0 else 1.0
        log = math.lgamma(self.a + self.b) - math.lgamma(self.a) - math.lgamma(self.b) + self.a * math.log(x) + self.b * math.log1p(-x)
        front = math.exp(log)
        if x < (self.a + 1) / (self.a + self.b + 2):
            return front * _fraction(self.a, self.b, x) / self.a
        return 1 - front * _fraction(self.b, self.a, 1 - x) / self.b

    def _quantile(self, p: float) -> float:
        low, high = 0.0, 1.0
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if self.below(middle) < p else (low, middle)
        return (low + high) / 2


def _fraction(a: float, b: float, x: float) -> float:
    tiny = 1e-300
    c, d = 1.0, 1 - (a + b) * x / (a + 1)
    d = 1 / (d if abs(d) > tiny else tiny)
    result = d
    for m in range(1, 400):
        for step in (m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)), -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))):
            d = 1 + step * d
            d = 1 / (d if abs(d) > tiny else tiny)
            c = 1 + step / c
            c = c if abs(c) > tiny else tiny
            result *= d * c
        if abs(d * c - 1) < 1e-13:
            break
    return result
