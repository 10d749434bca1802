"""What goes into a computation: checked, and remembered with whether it was given or assumed."""

from __future__ import annotations

import math
from typing import Iterable

from assistant.trade.result import Input


class Intake:
    """Collects the inputs of one computation. Each `take` returns the number to work with."""

    def __init__(self) -> None:
        self._inputs: list[Input] = []

    def take(self, name: str, value: float | None, unit: str, low: float, high: float, hint: str, assume: float | None = None) -> float:
        """A number between low and high. None takes `assume`, marked as assumed.

        Errors: ValueError with a sentence made of the name, the value and the hint when it is missing, not a number
        or out of range: 'a battery voltage of -5 V cannot be: check which way round the probes were'.
        """
        if value is None and assume is None:
            raise ValueError(f"{name} is needed for this: {hint}")
        number = checked(name, assume if value is None else value, unit, low, high, hint)
        self._inputs.append(Input(name, number, unit, value is None))
        return number

    def choose(self, name: str, value: str | None, choices: Iterable[str], assume: str) -> str:
        """A word out of a few. None takes `assume`. Errors: ValueError that lists the words it may be."""
        choices = list(choices)
        word = assume if value is None else value
        if not isinstance(word, str) or word not in choices:
            raise ValueError(f"{name} cannot be '{word}': it is one of {', '.join(choices)}")
        self._inputs.append(Input(name, word, "", value is None))
        return word

    def all(self) -> tuple[Input, ...]:
        """Everything taken so far, in order."""
        return tuple(self._inputs)


def checked(name: str, value: float, unit: str, low: float, high: float, hint: str) -> float:
    """The value as a float when it is a number from low to high. Errors: ValueError as in `Intake.take`."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise ValueError(f"{name} of '{value}' is not a number: type figures only")
    number = float(value)
    shown = f"{number:g}{' ' + unit if unit else ''}"
    if not math.isfinite(number):
        raise ValueError(f"{name} of {shown} is not a number one can work with: measure again")
    if not low <= number <= high:
        raise ValueError(f"{name} of {shown} cannot be: {hint}")
    return number


def temperature(intake: Intake, value: float | None, assume: float = 20.0, name: str = "temperature") -> float:
    """A temperature outdoors or of a part in it, -60 to 70 C."""
    return intake.take(
        name, value, "C", -60.0, 70.0, "the trade's figures hold from -60 to 70 C; check that it is not in Fahrenheit", assume
    )


def altitude(intake: Intake, value: float | None, assume: float = 0.0) -> float:
    """A height at which people ride, -500 to 6000 m."""
    return intake.take(
        "height above the sea", value, "m", -500.0, 6000.0, "roads lie between -500 and 6000 m; check that it is not in feet", assume
    )
