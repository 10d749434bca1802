"""Two conversations side by side as plain text: what is known of each, where each points, and why they differ, in numbers."""

from __future__ import annotations

from typing import Sequence

from assistant.dialogue import phrasing
from assistant.dialogue.account_sums import moved, share
from assistant.dialogue.account_words import capital
from assistant.dialogue.case import Case
from assistant.dialogue.state import State, concluded
from assistant.dialogue.think import Mind
from assistant.explain.compare import Comparison, Pair, View, compare
from assistant.explain.difference import Shift
from assistant.explain.why import tried_decibans
from assistant.rulebook.book import Rulebook
from assistant.sheet.escape import plain
from assistant.sheet.told import value

_RULES = 6


def view(mind: Mind, state: State, name: str) -> View:
    """One conversation as it stands; what a repair rests on is taken from before that repair."""
    at = concluded(state)
    thinking, best = mind.think(at), mind.think(state).plan.best
    failed = {r.fault for r in at.repairs if r.outcome == "no-change"}
    tried = {f: tried_decibans(mind.book, f, failed) for f in failed}
    firings = tuple(f for f in thinking.firings if not mind.book.rules[f.rule].quiet)
    return View(name, tuple(thinking.facts), firings, thinking.ranking, state.minutes, best.id if best is not None else "", state.cured, tried)


def side_by_side(mind: Mind, first: tuple[str, Case], second: tuple[str, Case], width: int = 80) -> list[str]:
    """The comparison as lines of at most `width` columns."""
    one, two = (view(mind, case.state, name) for name, case in (first, second))
    made = compare(mind.book, one, two)
    table = _Columns(max(width, 40))
    lines = table.row("", plain(one.name), plain(two.name)) + [table.rule()]
    lines += table.row("Stands", _stands(mind.book, one), _stands(mind.book, two))
    lines += table.row("Next", _next(mind.book, one), _next(mind.book, two))
    lines += table.row("At the machine", phrasing.minutes(one.minutes) if one.minutes else "-", phrasing.minutes(two.minutes) if two.minutes else "-")
    different = [p for p in made.known if not p.same]
    lines += _known(mind.book, table, "What differs", different) + _known(mind.book, table, "The same on both", [p for p in made.known if p.same])
    lines += ["", "Chances", table.rule()]
    for fault, before, after in made.faults:
        lines += table.row(capital(mind.book.faults[fault].plain), *("not on it" if p is None else share(p) for p in (before, after)))
    lines += table.row("Something not in my files", share(made.unlisted[0]), share(made.unlisted[1]))
    lines += _only(mind.book, made, one.name, two.name, table.width)
    for shift in made.shifts:
        lines += _why(mind.book, shift, one.name, two.name, table.width)
    return lines


def _stands(book: Rulebook, side: View) -> str:
    if side.cured and side.cured in book.faults:
        return f"cured: {book.faults[side.cured].plain}"
    if not side.ranking.standings:
        return "nothing to go by"
    top = side.ranking.standings[0]
    return f"{book.faults[top.fault].plain}, {phrasing.chance(top.probability)}"


def _next(book: Rulebook, side: View) -> str:
    if side.cured or not side.next:
        return "-"
    return "the workshop" if side.next == "workshop" else book.faults[side.next].repair.do if side.next in book.faults else book.plain(side.next)


def _known(book: Rulebook, table: "_Columns", title: str, pairs: Sequence[Pair]) -> list[str]:
    if not pairs:
        return []
    lines = ["", title, table.rule()]
    for pair in pairs:
        cells = ("; ".join(value(book, f) for f in side) or "-" for side in (pair.first, pair.second))
        lines += table.row(capital(phrasing.short_name(book, pair.topic)), *cells)
    return lines


def _only(book: Rulebook, made: Comparison, one: str, two: str, width: int) -> list[str]:
    lines: list[str] = []
    for name, rules in ((one, made.only_first), (two, made.only_second)):
        if rules:
            lines += ["", *_wrap(f"Rules that fired only for {name}", width, "  ")]
            lines += [line for r in rules for line in _wrap(f"- {book.rules[r].says} [{r}, {book.rules[r].file}:{book.rules[r].line}]", width, "  ")]
    return lines


def _why(book: Rulebook, shift: Shift, one: str, two: str, width: int) -> list[str]:
    """Why one fault stands elsewhere on the other side: the parts and their sum, which is the ratio of the two chances."""
    text = moved(shift, _RULES) or "it stands the same on both."
    return ["", *_wrap(f"{capital(book.faults[shift.fault].plain)}, from {plain(one)} to {plain(two)}: {text}", width, "  ")]


class _Columns:
    """Three columns of text: a label and two sides."""

    def __init__(self, width: int) -> None:
        self.label = max(12, width * 3 // 10)
        self.side = (width - self.label - 4) // 2
        self.width = width

    def rule(self) -> str:
        """A line under a heading."""
        return "-" * (self.label + 2 * self.side + 4)

    def row(self, label: str, first: str, second: str) -> list[str]:
        """One row, as many lines as its longest cell needs."""
        cells = [_wrap(text, room, "") for text, room in ((label, self.label), (first, self.side), (second, self.side))]
        tall = max(len(c) for c in cells)
        rows = zip(*(c + [""] * (tall - len(c)) for c in cells))
        return [f"{a:<{self.label}}  {b:<{self.side}}  {c}".rstrip() for a, b, c in rows]


def _wrap(text: str, width: int, hang: str) -> list[str]:
    from textwrap import wrap

    return wrap(plain(text), width, subsequent_indent=hang, break_on_hyphens=False) or [""]
