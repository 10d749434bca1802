"""Scores the front end and the ranking on labelled stories: `python -m tests.scoring STORIES.jsonl [--json] [--misses]`.

A story is one JSON object a line: machine, turns, facts [{turn, fact, value}], readings [{turn, check, value, unit,
outcome}], denials, resolved {faults}. Facts count once per (fact, value); a fact about the machine that the label gives
under "machine" is right when it is heard, and not asked for.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from pathlib import Path
from typing import Any

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from assistant.records import SEEN
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load


def read_stories(path: Path) -> list[dict[str, Any]]:
    """All stories of a file."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines() if line.strip()]


def score_story(mind: Mind, story: dict[str, Any]) -> dict[str, Any]:
    """What was heard against the labels, and where the confirmed fault stands after the whole story."""
    case = Case(mind)
    heard_facts: set[tuple[str, str]] = set()
    denied: set[tuple[str, str]] = set()
    readings: list[tuple[str, Any, Any]] = []
    for turn in story["turns"]:
        case.hear(turn)
        for s in case.state.heard.statements:
            if s.when == "now":
                (denied if s.denied else heard_facts).add((s.fact, str(s.value)))
        for r in case.state.heard.readings:
            if r.confidence >= SEEN:  # what is only believed is not counted as a reading
                readings.append((r.check, r.value, r.outcome))
    _, _, _, _, ranking = mind.weigh_up(case.state)
    wanted = {(f["fact"], str(f["value"])) for f in story["facts"]}
    machine = {(k, str(v)) for k, v in story.get("machine", {}).items()}
    extra = heard_facts - wanted - machine
    wanted_denied = {(f["fact"], str(f["value"])) for f in story.get("denials", [])}
    hits = [w for w in story["readings"] if any(_same(mind, w, r) for r in readings)]
    false = [r for r in readings if not any(_same(mind, w, r) for w in story["readings"])]
    faults = story["resolved"]["faults"]
    order = [s.fault for s in ranking.standings]
    share = {s.fault: s.probability for s in ranking.standings}
    place = min((order.index(f) for f in faults if f in order), default=None)
    needs: Counter[str] = Counter()
    for s in ranking.standings:
        needs[mind.book.faults[s.fault].need] += s.probability  # type: ignore[assignment]
    right_needs = {mind.book.faults[f].need for f in faults if f in mind.book.faults}
    brier = None
    if faults:
        mass = sum(share.get(f, 0.0) for f in faults)
        brier = (1 - mass) ** 2 + sum(p * p for f, p in share.items() if f not in faults) + ranking.unlisted ** 2
    return {
        "id": story["id"], "hit": len(wanted & heard_facts), "wanted": len(wanted), "extra": sorted(extra), "missed": sorted(wanted - heard_facts),
        "reversed": sorted((wanted & denied - heard_facts) | (wanted_denied & heard_facts)), "readings_hit": len(hits), "readings_wanted": len(story["readings"]),
        "readings_false": false, "readings_missed": [w for w in story["readings"] if w not in hits], "place": place,
        "need": (needs.most_common(1)[0][0] in right_needs) if needs and right_needs else None, "brier": brier,
        "faults": faults, "top": [(f, round(share[f], 3)) for f in order[:3]],
        "mass": sum(share.get(f, 0.0) for f in faults),
    }


def _same(mind: Mind, wanted: dict[str, Any], heard: tuple[str, Any, Any]) -> bool:
    check, value, outcome = heard
    if check != wanted["check"]:
        return False
    if wanted.get("value") is not None:
        return value is not None and abs(float(value) - float(wanted["value"])) < 1e-6
    return outcome == wanted.get("outcome") or value is not None


def total(rows: list[dict[str, Any]]) -> dict[str, float]:
    """The figures over all stories."""
    hit, extra, wanted = sum(r["hit"] for r in rows), sum(len(r["extra"]) for r in rows), sum(r["wanted"] for r in rows)
    rhit, rwant = sum(r["readings_hit"] for r in rows), sum(r["readings_wanted"] for r in rows)
    rfalse = sum(len(r["readings_false"]) for r in rows)
    told = [r for r in rows if r["faults"]]
    first = lambda n: sum(r["place"] is not None and r["place"] < n for r in told) / max(len(told), 1)  # noqa: E731
    needs = [r["need"] for r in told if r["need"] is not None]
    return {
        "stories": len(rows), "fact_precision": hit / max(hit + extra, 1), "fact_recall": hit / max(wanted, 1),
        "reading_precision": rhit / max(rhit + rfalse, 1), "reading_recall": rhit / max(rwant, 1), "reversed": sum(len(r["reversed"]) for r in rows),
        "top1": first(1), "top3": first(3), "top5": first(5), "need_first": sum(needs) / max(len(needs), 1),
        "brier": sum(r["brier"] for r in told if r["brier"] is not None) / max(len(told), 1),
    }


def main(arguments: list[str] | None = None) -> int:
    """The command."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("stories", type=Path)
    options.add_argument("--json", action="store_true")
    options.add_argument("--misses", action="store_true", help="also print what was missed and what was heard falsely, story by story")
    options.add_argument("--knowledge")
    chosen = options.parse_args(arguments)
    mind = Mind(load(knowledge_folder(chosen.knowledge)))
    rows = [score_story(mind, story) for story in read_stories(chosen.stories)]
    figures = total(rows)
    if chosen.json:
        print(json.dumps(figures))
        return 0
    if chosen.misses:
        for r in rows:
            print(f"{r['id']} place {r['place']} faults {r['faults']} ({r['mass']:.2f}) top {r['top']}")
            for name in ("missed", "extra", "reversed", "readings_missed", "readings_false"):
                if r[name]:
                    print(f"    {name}: {r[name]}")
    for name, value in figures.items():
        print(f"{name:18} {value:.3f}" if isinstance(value, float) else f"{name:18} {value}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
