"""`tickover knowledge compare OLD NEW`: two versions of the files over all conversations.

What changed in what was understood, in conclusions and next steps; in minutes to a cure; and, over the conversations
whose cause is known, in calibration: how much belief the true cause had in the end, in bits, and how often it led.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from assistant.dialogue.think import Mind
from assistant.problems import count
from assistant.rulebook.load import load
from assistant.trainer.conversations import Conversation, find, read
from assistant.trainer.progress import progress
from assistant.trainer.replay import Outcome, heard_rows, replay
from assistant.trainer.replaying import demo_folder


@dataclass(frozen=True)
class Ending:
    """How one conversation came out under one version."""

    heard: tuple[tuple[str, ...], ...]  # per turn
    fired: frozenset[str]
    leader: str
    chance: float  # of the leader
    cause_share: float | None  # of the true cause, where it is known
    leads: bool | None  # whether the true cause leads
    brier: float | None
    next: tuple[str, ...]  # per turn
    minutes: float  # spent, and expected from the end until it runs


@dataclass(frozen=True)
class Change:
    """One conversation under both versions."""

    name: str
    old: Ending
    new: Ending

    def lines(self) -> list[str]:
        """What changed, as a trainer thinks; empty when nothing did."""
        lines = []
        for number, (before, after) in enumerate(zip(self.old.heard, self.new.heard), start=1):
            lost, gained = [h for h in before if h not in after], [h for h in after if h not in before]
            if lost or gained:
                lines.append(f"turn {number} heard: {_signed(lost, gained)}")
        lost, gained = sorted(self.old.fired - self.new.fired), sorted(self.new.fired - self.old.fired)
        if lost or gained:
            lines.append(f"fired: {_signed(lost, gained)}")
        if self.old.leader != self.new.leader:
            lines.append(f"leads: {self.old.leader} ({self.old.chance * 100:.0f} in 100) -> {self.new.leader} ({self.new.chance * 100:.0f} in 100)")
        elif abs(self.old.chance - self.new.chance) >= 0.01:
            lines.append(f"leads: {self.new.leader}, {self.old.chance * 100:.0f} -> {self.new.chance * 100:.0f} in 100")
        steps = [f"turn {n}: {a} -> {b}" for n, (a, b) in enumerate(zip(self.old.next, self.new.next), start=1) if a != b]
        if steps:
            lines.append(f"next: {'; '.join(steps)}")
        if abs(self.old.minutes - self.new.minutes) >= 0.5:
            lines.append(f"minutes to a cure: {self.old.minutes:.0f} -> {self.new.minutes:.0f}")
        return lines


def _signed(lost: list[str], gained: list[str]) -> str:
    return ", ".join([f"-{x}" for x in lost] + [f"+{x}" for x in gained])


def ending(mind: Mind, conversation: Conversation) -> Ending:
    """Go through a conversation, with a step planned at every turn."""
    outcome: Outcome = replay(mind, conversation, whole=True)
    last = outcome.turns[-1]
    judged = next((t for t in reversed(outcome.turns) if not t.state.repairs), last)  # a repair clears away what led to it
    ranking = judged.ranking
    assert ranking is not None and last.thinking is not None
    top = ranking.standings[0] if ranking.standings else None
    share = leads = brier = None
    if conversation.cause:
        share = sum(s.probability for s in ranking.standings if s.fault in conversation.cause)
        leads = top is not None and top.fault in conversation.cause
        brier = (1 - share) ** 2 + sum(s.probability ** 2 for s in ranking.standings if s.fault not in conversation.cause) + ranking.unlisted ** 2
    best = last.thinking.plan.best
    minutes = last.state.minutes + (best.expected_minutes if best is not None and last.state.cured is None else 0.0)
    return Ending(tuple(tuple(f"{r.get('fact') or r.get('check')}={r['value']}" for r in heard_rows(t.state)) for t in outcome.turns),
                  frozenset(f.rule for t in outcome.turns for f in t.firings or ()), top.fault if top else "", top.probability if top else 0.0,
                  share, leads, brier, tuple(t.next or "" for t in outcome.turns), minutes)


def figures(endings: list[Ending]) -> dict[str, float]:
    """Means over the conversations: minutes, and calibration where the cause is known. Bits lost: 0 is certainty of the truth."""
    told = [e for e in endings if e.cause_share is not None]
    result = {"minutes_to_cure": sum(e.minutes for e in endings) / max(len(endings), 1), "with_cause": float(len(told))}
    if told:
        result["cause_leads"] = sum(bool(e.leads) for e in told) / len(told)
        result["bits_lost"] = sum(-math.log2(max(e.cause_share or 0.0, 1e-6)) for e in told) / len(told)
        result["brier"] = sum(e.brier or 0.0 for e in told) / len(told)
    return result


def compare_folders(old: Path, new: Path, places: list[Path]) -> tuple[list[Change], list[str]]:
    """(every conversation under both versions, those that one version cannot read with the reason)."""
    before, after = Mind(load(old)), Mind(load(new))
    changes: list[Change] = []
    unread: list[str] = []
    for path in progress(find(places), "conversations"):
        pair = [read(mind.book, path) for mind in (before, after)]
        if all(made is not None for made, _ in pair):
            changes.append(Change(path.stem, ending(before, pair[0][0]), ending(after, pair[1][0])))  # type: ignore[arg-type]
        else:
            which, problems = next((name, bad) for name, (made, bad) in zip(("old", "new"), pair) if made is None)
            unread.append(f"{path.stem}: the {which} files do not know what it names. {problems[0].what}")
    return changes, unread


def compare_command(options: argparse.Namespace) -> int:
    """The command. Exit status 0; 1 when a conversation cannot be read, 2 when there is none."""
    places = [Path(p) for p in options.files] or [demo_folder()]
    changes, unread = compare_folders(Path(options.old), Path(options.new), places)
    if not changes and not unread:
        print("tickover knowledge compare: no conversation files found", file=sys.stderr)
        return 2
    old, new = figures([c.old for c in changes]), figures([c.new for c in changes])
    if options.json:
        print(json.dumps({"conversations": [{"name": c.name, "changes": c.lines(), "old": _plain(c.old), "new": _plain(c.new)} for c in changes],
                          "old": old, "new": new, "unread": unread}, ensure_ascii=False))
    else:
        for change in changes:
            lines = change.lines()
            if lines:
                print(change.name)
                print("\n".join(f"  {line}" for line in lines))
        for line in unread:
            print(line)
        changed = sum(bool(c.lines()) for c in changes)
        print(f"{count(len(changes), 'conversation')}: {changed} changed, {sum(c.old.leader != c.new.leader for c in changes)} with another conclusion.")
        for name in new:
            print(f"  {_NAMES[name]:44} {old.get(name, 0):8.2f} -> {new[name]:8.2f}")
    return 1 if unread else 0


_NAMES = {"minutes_to_cure": "minutes to a cure, mean", "with_cause": "conversations whose cause is known", "cause_leads": "share in which the cause leads",
          "bits_lost": "bits lost on the cause, mean", "brier": "Brier score, mean"}


def _plain(made: Ending) -> dict[str, Any]:
    row = asdict(made)
    row["fired"] = sorted(made.fired)
    return row
