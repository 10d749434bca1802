"""A number read on this machine to the outcome word its bands give it, and how sure that word is.

The owner's service manual beats everything; where physics moves a limit (temperature, altitude, compression ratio,
battery kind) the trade computation named in the limit is asked; else the plain value of the files stands.
"""

from __future__ import annotations

import importlib
import math
from dataclasses import dataclass
from typing import Any, Iterable

from assistant.records import Known, Reading
from assistant.rulebook.book import Rulebook
from assistant.rulebook.models import Check


@dataclass(frozen=True, slots=True)
class LimitUsed:
    """A limit as it stood: its value, where it came from (manual | computed | files) and what went in."""

    id: str
    value: float
    unit: str
    origin: str
    given: tuple[tuple[str, str], ...] = ()
    source: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Judged:
    """An outcome word with its sureness (1 = far from any limit, 0.5 = on it) and the limits it was judged by."""

    outcome: str | None
    confidence: float
    limits: tuple[LimitUsed, ...] = ()
    borderline: bool = False
    impossible: bool = False


def limit(book: Rulebook, limit_id: str, facts: Iterable[Known]) -> LimitUsed:
    """The value of a limit on this machine. A computation that refuses its inputs falls back to the plain value."""
    entry = book.limits[limit_id]
    told = {f.topic: f for f in facts if not f.denied}
    if entry.manual and entry.manual in told and told[entry.manual].number is not None:
        return LimitUsed(limit_id, float(told[entry.manual].number), entry.unit, "manual", (), tuple(entry.source))  # type: ignore[arg-type]
    if entry.computed_by:
        arguments: dict[str, Any] = {}
        for name, topic in entry.given.items():
            if topic in told:
                fact = told[topic]
                arguments[name] = fact.number if fact.number is not None else fact.value
        if arguments:
            value = _compute(entry.computed_by, arguments)
            if value is not None:
                return LimitUsed(limit_id, value, entry.unit, "computed",
                                 tuple((n, str(v)) for n, v in sorted(arguments.items())), tuple(entry.source))
    return LimitUsed(limit_id, entry.value, entry.unit, "files", (), tuple(entry.source))


def _compute(name: str, arguments: dict[str, Any]) -> float | None:
    module, _, function = name.partition(".")
    if not module.isidentifier() or not function.isidentifier() or function.startswith("_"):
        return None
    try:  # late: most conversations need none of the computations
        call = getattr(importlib.import_module(f"assistant.trade.{module}"), function)
        result = call(**arguments)
        return float(getattr(result, "value", result))
    except (ImportError, AttributeError, TypeError, ValueError):
        return None


def judge(book: Rulebook, check: Check, value: float, facts: Iterable[Known]) -> Judged:
    """The outcome of one number in the check's own unit."""
    scale = check.reading
    if scale is None:
        return Judged(None, 0.0)
    low, high = scale.range
    if not math.isfinite(value) or not low <= value <= high:
        return Judged(None, 0.0, impossible=True)
    if not scale.bands:
        return Judged(None, 0.0)
    facts = list(facts)
    used: list[LimitUsed] = []
    edges: list[float] = []
    for band in scale.bands[:-1]:
        if isinstance(band.below, str):
            used.append(limit(book, band.below, facts))
            edges.append(used[-1].value)
        else:
            edges.append(float(band.below or 0.0))
    outcome = next((band.outcome for band, edge in zip(scale.bands, edges) if value < edge), scale.bands[-1].outcome)
    nearest = min((abs(value - edge) for edge in edges), default=math.inf)
    sure = 0.5 * (1 + math.erf(nearest / (scale.spread * math.sqrt(2)))) if scale.spread > 0 else 1.0
    return Judged(outcome, sure, tuple(used), borderline=sure < 0.84)


def judge_all(book: Rulebook, check: Check, readings: list[Reading], facts: Iterable[Known]) -> Judged:
    """The outcome of one number per cylinder: the worst cylinder's word, or the uneven one's where they differ too much.

    The wording of both is the check's: its bands, and its `uneven` entry if it has one. The worst is the lowest, among
    those that are not in the `normal` band where the check names one (a valve can be too tight or too loose).
    """
    values = [r.value for r in readings if r.value is not None]
    facts = list(facts)
    judged = [judge(book, check, value, facts) for value in values]
    if not judged:
        return Judged(None, 0.0)
    impossible = next((j for j in judged if j.impossible), None)
    if impossible is not None:
        return impossible
    normal = check.reading.normal if check.reading else None
    amiss = [i for i, j in enumerate(judged) if normal is None or j.outcome != normal] or list(range(len(judged)))
    worst = judged[min(amiss, key=lambda i: values[i])]
    uneven = check.reading.uneven if check.reading else None
    if uneven and len(values) > 1:
        if isinstance(uneven.above, str):
            most = limit(book, uneven.above, facts)
            bound, used = most.value, (*worst.limits, most)
        else:
            bound, used = uneven.above, worst.limits
        spread = max(values) - min(values)
        if spread > bound:
            scatter = (check.reading.spread if check.reading else 0) * math.sqrt(2)
            sure = 0.5 * (1 + math.erf((spread - bound) / (scatter * math.sqrt(2)))) if scatter else 1.0
            return Judged(uneven.outcome, sure, used, borderline=sure < 0.84)
    return worst
