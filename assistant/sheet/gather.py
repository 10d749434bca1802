"""A conversation to the sections of its sheet. Each section is made by a function that may have nothing to say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Iterable

from assistant.dialogue import phrasing
from assistant.dialogue.state import RepairDone, State
from assistant.dialogue.think import Mind, Thinking
from assistant.records import Known
from assistant.rulebook.book import Rulebook
from assistant.session.events import Event
from assistant.sheet import found, told
from assistant.sheet.history import Moment, moments
from assistant.sheet.record import Section, Sheet
from assistant.session.store import when


@dataclass(frozen=True)
class Case:
    """What the sections are made from: the conversation as it stands, and the moments it went through."""

    mind: Mind
    state: State
    thinking: Thinking
    moments: tuple[Moment, ...]

    @property
    def book(self) -> Rulebook:
        """The rulebook."""
        return self.mind.book

    @property
    def repair(self) -> RepairDone | None:
        """The last repair that was done."""
        return self.state.repairs[-1] if self.state.repairs else None

    @property
    def concluded(self) -> Moment:
        """The moment that the conclusion rests on: before the last repair while that one cured it or is unproven, else now."""
        repair = self.repair
        if repair is None or repair.outcome == "no-change":
            return self.moments[-1]
        before = [m for m in self.moments if m.turn < repair.turn]
        return before[-1] if before else self.moments[0]

    @property
    def facts(self) -> tuple[Known, ...]:
        """The facts worth writing down: those the conclusion rests on, and what was told since the repair."""
        at = self.concluded
        if at is self.moments[-1] or self.repair is None:
            return self.thinking.facts
        return (*at.facts, *(f for f in self.thinking.facts if f.turn > self.repair.turn))

    def since_repair(self, turn: int) -> bool:
        """Whether a turn came after the repair that the sheet is about."""
        return self.repair is not None and self.repair.outcome != "no-change" and turn > self.repair.turn

    @property
    def subject(self) -> str | None:
        """The fault the sheet is about: the repaired one, else the one that leads."""
        repair = self.repair
        if repair is not None and repair.outcome != "no-change" and self.concluded.ranking.of(repair.fault) is not None:
            return repair.fault
        standings = self.concluded.ranking.standings
        return standings[0].fault if standings else None


def gather(mind: Mind, events: Iterable[Event], name: str = "", made: str = "") -> Sheet:
    """The whole sheet of a conversation. `name` is what it is kept under, `made` when the sheet is written, in UTC like the log."""
    gone_through = moments(mind, events)
    state = gone_through[-1].state
    case = Case(mind, state, mind.think(state), tuple(gone_through))
    sections = [make(case) for make in (
        found.conclusion, told.machine, told.story, told.signs, told.readings, told.checks, found.ranking, found.rules,
        found.repair, found.proof, found.untested, found.cautions, found.no_longer)]
    return Sheet("Job sheet: will not start, or will not keep running", _subtitle(case, name, made), tuple(s for s in sections if isinstance(s, Section)), _foot(case))


def _subtitle(case: Case, name: str, made: str) -> str:
    begun = next((m.at for m in case.moments if m.at), "")
    parts = [f"Conversation {name}" if name else "", f"begun {when(begun)}" if begun else "", f"written {when(made)}" if made else "",
             f"{phrasing.minutes(case.state.minutes)} at the machine so far" if case.state.minutes >= 1 else ""]
    return ", ".join(p for p in parts if p)


def _foot(case: Case) -> tuple[str, ...]:
    return ("Made by Tickover from what the owner said and read. Chances are of 100 such machines, reckoned from the rules and frequencies of its knowledge "
            f"files ({case.book.fingerprint[:12]}); they are no measurements.",
            "The service manual, local rules and licensed practice come first.")
