"""The predictions of a rulebook as arrays, made once: one row for each outcome of each topic, one column for each fault.

The last column stands for whatever is not in the files; it takes each row's `otherwise`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.planning.predict import Prediction, predictions
from assistant.rulebook.book import Rulebook

Array = np.ndarray


@dataclass(frozen=True)
class Tables:
    """All topics that somebody can be asked or can check, in id order, with their outcome rows one after another."""

    faults: tuple[str, ...]
    topics: tuple[str, ...]
    outcomes: tuple[tuple[str, ...], ...]
    start: Array  # first row of each topic, and the number of rows at the end
    likely: Array  # rows x (faults + 1): chance of the outcome, given the fault
    said: Array  # rows x faults: natural logarithm of the likelihood ratio that the evidence will use
    aspect: tuple[str | None, ...]  # of each row
    place: dict[str, int]  # fault -> column
    speaks: Array  # topics x faults: whether any outcome is likelier or rarer with the fault than it usually is

    def rows(self, topic: int) -> slice:
        """The rows of a topic."""
        return slice(int(self.start[topic]), int(self.start[topic + 1]))


def tables(book: Rulebook) -> Tables:
    """Lay out the predictions of a rulebook."""
    made: dict[str, Prediction] = predictions(book)
    faults = tuple(sorted(book.faults))
    place = {fault: i for i, fault in enumerate(faults)}
    topics = tuple(sorted(made))
    start, aspects = [0], []
    likely: list[Array] = []
    said: list[Array] = []
    for topic in topics:
        prediction = made[topic]
        for i in range(len(prediction.outcomes)):
            row = np.full(len(faults) + 1, prediction.usual[i])
            for fault, share in prediction.given[i].items():
                row[place[fault]] = share
            ratio = np.zeros(len(faults))
            for fault, factor in prediction.ratio[i].items():
                ratio[place[fault]] = np.log(factor)
            likely.append(row)
            said.append(ratio)
            aspects.append(prediction.aspect[i])
        start.append(len(likely))
    width = len(faults)
    rows, weights = np.array(likely).reshape(-1, width + 1), np.array(said).reshape(-1, width)
    differs = (np.abs(rows[:, :-1] - rows[:, -1:]) > 1e-9) | (weights != 0)
    speaks = np.logical_or.reduceat(differs, start[:-1], axis=0) if topics else np.zeros((0, width), dtype=bool)
    return Tables(faults, topics, tuple(made[t].outcomes for t in topics), np.array(start), rows, weights, tuple(aspects), place, speaks)
