"""What a computation gives back: a value that carries its spread, its formula, its inputs and its sources."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

NINE_IN_TEN = 1.645  # half the width that holds 90 of 100, in standard deviations


@dataclass(frozen=True, slots=True)
class Input:
    """One number that went in. `assumed` is true where nobody gave it and the usual figure was taken."""

    name: str
    value: float | str
    unit: str = ""
    assumed: bool = False

    def text(self) -> str:
        """In words: 'capacity of the battery 10 Ah (assumed)'."""
        value = self.value if isinstance(self.value, str) else f"{self.value:g}"
        return f"{self.name} {value}{' ' + self.unit if self.unit else ''}{' (assumed)' if self.assumed else ''}"


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number of the trade. Between `low` and `high` it lies nine times out of ten.

    `formula` says in words how it was found; `source` holds ids of knowledge/sources.yaml; `note` is one plain
    sentence on what the number means, or empty. A value may be infinite ("may never melt"); it is never not a number.
    """

    value: float
    unit: str
    low: float
    high: float
    formula: str
    inputs: tuple[Input, ...] = ()
    source: tuple[str, ...] = ("derived",)
    note: str = ""

    def __post_init__(self) -> None:
        """Refuse a spread that does not hold the value; it would be our own mistake. Rounding dust is swept up."""
        dust = 1e-9 * abs(self.value) if math.isfinite(self.value) else 0.0
        if self.low - dust <= self.value <= self.high + dust:
            object.__setattr__(self, "low", min(self.low, self.value))
            object.__setattr__(self, "high", max(self.high, self.value))
        else:
            raise AssertionError(f"the spread {self.low:g} to {self.high:g} does not hold {self.value:g}")

    def __float__(self) -> float:
        return self.value

    @property
    def assumed(self) -> tuple[Input, ...]:
        """What nobody gave."""
        return tuple(i for i in self.inputs if i.assumed)

    @property
    def given(self) -> tuple[Input, ...]:
        """What was told or measured."""
        return tuple(i for i in self.inputs if not i.assumed)

    def times(self, factor: float, unit: str) -> Estimate:
        """The same number in another unit that differs by a positive factor."""
        return replace(self, value=self.value * factor, low=self.low * factor, high=self.high * factor, unit=unit)


@dataclass(frozen=True, slots=True)
class Comparison:
    """A reading held against an estimate.

    `side` is below | above. `sureness` is the chance, 0.5 to 1, that the reading really lies on that side, given the
    scatter of the meter and the spread of the estimate; `borderline` says that it is under 0.84 (one standard deviation).
    """

    reading: float
    side: str
    sureness: float
    borderline: bool
    by: float  # reading minus value, in the unit of the estimate


def compare(reading: float, estimate: Estimate, scatter: float = 0.0) -> Comparison:
    """Hold a reading against an estimate, both in the estimate's unit.

    `scatter` is what an ordinary meter and hand scatter, one standard deviation. The spread of the estimate on the
    side of the reading counts as 1.645 standard deviations. Errors: ValueError when the reading or scatter is not a number.
    """
    if not math.isfinite(reading) or not math.isfinite(scatter) or scatter < 0:
        raise ValueError("the reading is not a number that can be compared: type it again")
    by = reading - estimate.value
    width = (estimate.high - estimate.value) if by >= 0 else (estimate.value - estimate.low)
    if math.isinf(by):
        sure = 1.0
    else:
        sigma = math.hypot(width / NINE_IN_TEN if math.isfinite(width) else 0.0, scatter)
        sure = 0.5 * (1 + math.erf(abs(by) / (sigma * math.sqrt(2)))) if sigma else (1.0 if by else 0.5)
    return Comparison(reading, "above" if by >= 0 else "below", sure, sure < 0.84, by)


def prefer_manual(estimate: Estimate, manual: float | None) -> Estimate:
    """The service manual's own figure where it was given, in the estimate's unit; else the estimate as it is.

    The answer says that the manual wins and what the rule of thumb would have been. Errors: ValueError when the
    figure is not a number.
    """
    if manual is None:
        return estimate
    if isinstance(manual, bool) or not isinstance(manual, (int, float)) or not math.isfinite(manual):
        raise ValueError("the figure from the manual is not a number: type it again")
    value = float(manual)
    return replace(
        estimate,
        value=value,
        low=value,
        high=value,
        source=("your-manual",),
        inputs=(Input("figure of the service manual", value, estimate.unit),),
        formula=f"the figure of the service manual; the rule of thumb would have said {estimate.value:.3g} {estimate.unit}",
    )
