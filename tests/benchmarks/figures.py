"""Figures of outcomes, each with the interval that holds the true one 95 times in 100."""

from __future__ import annotations

from typing import Callable, Sequence

import numpy as np

from tests.benchmarks.run import Outcome

RESAMPLES = 2000
Figure = dict[str, float]


def figure(values: Sequence[float], of: Callable[[np.ndarray], np.ndarray] = lambda rows: rows.mean(axis=1)) -> Figure:
    """A figure with its interval, by drawing the sample anew (bootstrap, seeded)."""
    array = np.asarray(values, dtype=float)
    rng = np.random.default_rng(1)
    drawn = np.concatenate([of(array[rng.integers(0, len(array), (100, len(array)))]) for _ in range(RESAMPLES // 100)])
    low, high = np.quantile(drawn, [0.025, 0.975])
    return {"value": float(of(array[None])[0]), "low": float(low), "high": float(high)}


def ratio(first: Sequence[float], second: Sequence[float]) -> Figure:
    """The ratio of two means on the same draws, with its interval."""
    one, two = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    rng = np.random.default_rng(1)
    picks = rng.integers(0, len(one), (RESAMPLES, len(one)))
    low, high = np.quantile(one[picks].mean(axis=1) / two[picks].mean(axis=1), [0.025, 0.975])
    return {"value": float(one.mean() / two.mean()), "low": float(low), "high": float(high)}


def described(outcomes: list[Outcome]) -> dict[str, Figure]:
    """One policy on its owners."""
    minutes = [o.minutes for o in outcomes]
    cured = [o.minutes for o in outcomes if o.ended == "cured"]
    made = {
        "minutes, mean": figure(minutes), "minutes, 90th percentile": figure(minutes, lambda rows: np.quantile(rows, 0.9, axis=1)),
        "questions": figure([o.questions for o in outcomes]), "checks": figure([o.checks for o in outcomes]), "repairs": figure([o.repairs for o in outcomes]),
        "wrong parts": figure([o.wrong_parts for o in outcomes]), "given up": figure([o.ended != "cured" for o in outcomes]),
    }
    if cured:
        made |= {"minutes to cure, mean": figure(cured), "minutes to cure, 90th percentile": figure(cured, lambda rows: np.quantile(rows, 0.9, axis=1))}
    return made


def calibration(outcomes: list[Outcome]) -> dict[str, object]:
    """Brier score of the last ranking, and how often a fault was there by the share it was given, in ten bins."""
    pairs = np.array([(p, hit) for o in outcomes for p, hit in o.belief])
    bins = []
    for i in range(10):
        low, high = i / 10, (i + 1) / 10
        inside = pairs[(pairs[:, 0] >= low) & ((pairs[:, 0] < high) | (i == 9))]
        bins.append({"from": low, "to": high, "count": len(inside), "said": float(inside[:, 0].mean()) if len(inside) else None,
                     "found": float(inside[:, 1].mean()) if len(inside) else None})
    return {"brier": figure([o.brier for o in outcomes]), "bins": bins,
            "off": float(sum(b["count"] * abs(b["said"] - b["found"]) for b in bins if b["count"]) / len(pairs))}


def curve(outcomes: list[Outcome]) -> list[tuple[float, float]]:
    """(minutes, share of machines cured by then), a step for each cure."""
    cured = sorted(o.minutes for o in outcomes if o.ended == "cured")
    return [(0.0, 0.0), *((minutes, (i + 1) / len(outcomes)) for i, minutes in enumerate(cured))]
