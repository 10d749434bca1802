"""The questions the computations answer, for whoever offers them to a person. Data, and one way to ask.

`function` is 'module.function' in this package, as in the `computed-by` of a limit. An argument's `topic` is the id of
the fact or check whose value or reading can give it. `sense` says how a reading is held against the result: least (it
should reach it), most (it should not pass it), expected (it should be near), value (nothing to compare).
"""

from __future__ import annotations

import importlib
import math
from typing import Any, Mapping

from assistant.trade.question import Argument, Computation
from assistant.trade.questions_engine import ENGINE
from assistant.trade.questions_power import POWER
from assistant.trade.result import Estimate, prefer_manual

COMPUTATIONS: tuple[Computation, ...] = (*POWER, *ENGINE)
_BY_ID = {c.id: c for c in COMPUTATIONS}


def find(computation_id: str) -> Computation:
    """The computation of that id. Errors: ValueError when there is none."""
    if computation_id not in _BY_ID:
        raise ValueError(f"no computation is called '{computation_id}'")
    return _BY_ID[computation_id]


def answer(computation: Computation, given: Mapping[str, Any], manual: float | None = None) -> Estimate:
    """Ask a computation with what is known; what is missing is assumed where it can be, and marked so.

    `manual` is the service manual's own figure in the computation's unit, and wins. Errors: ValueError with a
    sentence for the person when something needed is missing or cannot be, or when a name is not one of its arguments.
    """
    names = {a.name: a for a in computation.arguments}
    strange = [name for name in given if name not in names]
    if strange:
        raise ValueError(f"this has nothing to do with {', '.join(strange)}")
    missing = [a.plain for a in computation.missing_without if given.get(a.name) is None]
    if missing:
        raise ValueError(f"to answer that I need the {' and the '.join(missing)}")
    arguments = {name: value for name, value in given.items() if value is not None}
    return prefer_manual(_function(computation.function)(**arguments), manual)


def _function(path: str) -> Any:
    module, _, name = path.partition(".")
    return getattr(importlib.import_module(f"assistant.trade.{module}"), name)


def is_answerable(computation: Computation, topics: Mapping[str, Any]) -> bool:
    """Whether the known topics give everything that must be given (finite numbers or words)."""
    return all(
        a.topic in topics and (not isinstance(topics[a.topic], float) or math.isfinite(topics[a.topic]))
        for a in computation.missing_without
    )


__all__ = ["COMPUTATIONS", "Argument", "Computation", "answer", "find", "is_answerable"]
