"""Every entry is whole: nothing is left to be filled in later."""

from __future__ import annotations

import math
import re

import pytest

from assistant.rulebook.conditions import topics
from tests.knowledge.raw import entries
from tests.real import BOOK

FAULT_KEYS = {"need", "plain", "called", "what", "looks-like", "per-1000", "disturbed-by", "repair", "proof", "keep-away", "source"}
REPAIR_KEYS = {"do", "steps", "minutes", "access", "tools", "parts-class", "hazards", "who", "cures", "renews"}
CHECK_KEYS = {"need", "plain", "called", "parts", "tools", "access", "minutes", "skill", "hazards", "steps", "slips", "outcomes", "source"}

# A check without a substitute of its own, and the quicker check, or the sign, that does duty for it where the tool is missing.
DUTY = {
    "compression-dry": "finger-over-plug-hole", "relay-contact-drop": "relay-bypass", "starter-cable-drop": "starter-direct-supply",
    "starter-direct-supply": "relay-bypass", "starter-current": "battery-cranking-voltage", "injector-pulse": "injector-click",
    "injector-resistance": "injector-click", "fresh-fuel-trial": "fuel-sample-look", "battery-specific-gravity": "battery-resting-voltage",
    "jump-start-trial": "bump-start", "stator-phase-resistance": "stator-ac-output", "regulator-diode-test": "battery-running-voltage",
    "cap-and-lead-resistance": "spark-at-lead-end", "coil-primary-resistance": "spark-at-lead-end",
    "coil-secondary-resistance": "spark-at-lead-end", "coil-swap": "spark-at-lead-end", "module-swap": "spark-at-lead-end",
    "pickup-resistance": "crank-sensor-signal", "pickup-ac-output": "crank-sensor-signal", "source-coil-resistance": "spark-at-lead-end",
}
ORDINARY = {"hand-tools", "torch"}


def _bearing(fault: str, least: float = 2.0) -> set[str]:
    """Checks of which some outcome speaks for or against the fault by at least so many decibans."""
    found = set()
    for rule in BOOK.rules.values():
        if fault in rule.seen_in and abs(10 * math.log10(rule.seen_in[fault] / (rule.otherwise or 50))) >= least:
            found |= topics(BOOK.conditions[rule.id]) & set(BOOK.checks)
    return found


@pytest.mark.parametrize("fault", sorted(BOOK.faults))
def test_fault_has_every_field(fault: str) -> None:
    """What it is, how it looks, what disturbs it, how it is mended and proved, and what keeps it away."""
    written = entries("faults")[fault]
    assert FAULT_KEYS <= set(written), FAULT_KEYS - set(written)
    assert REPAIR_KEYS <= set(written["repair"]), REPAIR_KEYS - set(written["repair"])
    entry = BOOK.faults[fault]
    for text in (entry.plain, entry.what, entry.looks_like, entry.disturbed_by, entry.keep_away, entry.repair.do, entry.proof.do):
        assert len(text.split()) >= 2 and text.strip() == text
    assert entry.called and len(entry.repair.steps) >= 2
    assert 50 <= entry.repair.cures < 100
    assert entry.repair.renews


@pytest.mark.parametrize("fault", sorted(BOOK.faults))
def test_fault_has_checks_that_bear_on_it(fault: str) -> None:
    """At least three checks speak of it, or a look that costs next to nothing settles it; and something can show it."""
    direct = [c for c in BOOK.checks.values() if fault in c.settles]
    shown = [r.id for r in BOOK.rules.values() if r.kind == "show" and fault in r.seen_in]
    assert direct or shown
    assert len(_bearing(fault)) >= 3 or any(c.access == "none" and c.minutes <= 2 for c in direct)


@pytest.mark.parametrize("fault", sorted(BOOK.faults))
def test_repair_makes_the_signs_of_its_fault_stale(fault: str) -> None:
    """What a repair changes is asked anew afterwards: the check that settles the fault is among it."""
    settling = {c.id for c in BOOK.checks.values() if fault in c.settles}
    shown_by = {t for r in BOOK.rules.values() if r.kind == "show" and fault in r.seen_in for t in topics(BOOK.conditions[r.id])}
    assert not settling or settling & (set(BOOK.faults[fault].repair.renews) | shown_by), settling


@pytest.mark.parametrize("check", sorted(BOOK.checks))
def test_check_has_every_field(check: str) -> None:
    """Steps a novice can follow, what spoils it, and what each outcome means."""
    written = entries("checks")[check]
    assert CHECK_KEYS <= set(written), CHECK_KEYS - set(written)
    entry = BOOK.checks[check]
    assert len(entry.steps) >= 2 and len(entry.outcomes) >= 2 and entry.slips
    assert sum(s.spoils for s in entry.slips) <= 50
    assert all(len(meaning.split()) >= 1 for meaning in entry.outcomes.values())


@pytest.mark.parametrize("check", sorted(BOOK.checks))
def test_check_that_needs_a_tool_has_a_substitute(check: str) -> None:
    """Without the tool there is another way, or another check that does duty."""
    entry = BOOK.checks[check]
    if set(entry.tools) <= ORDINARY or entry.instead:
        return
    assert check in DUTY, f"{check} needs {entry.tools} and names no substitute"
    other = DUTY[check]
    assert other in BOOK.checks or other in BOOK.facts
    if other in BOOK.checks:
        spare = BOOK.checks[other]
        assert not set(entry.tools) - ORDINARY <= set(spare.instead_tools if spare.instead else spare.tools)


def test_no_duty_is_kept_that_is_not_needed() -> None:
    """The list above holds only checks that are there and have no substitute of their own."""
    for check in DUTY:
        assert BOOK.checks[check].instead is None, check


@pytest.mark.parametrize("check", sorted(BOOK.checks))
def test_each_outcome_means_something(check: str) -> None:
    """Nearly every outcome of a check is spoken of by a rule; at most two (an unclear one, a slip) may say nothing."""
    silent = set(BOOK.checks[check].outcomes)
    for rule in BOOK.rules.values():
        if rule.id in BOOK.conditions and rule.kind != "caution":
            silent -= _values(BOOK.conditions[rule.id], check)
    assert len(silent) <= 2, silent


def _values(condition: object, topic: str) -> set[str]:
    from assistant.rulebook.conditions import Is, Within, walk

    found: set[str] = set()
    for node in walk(condition):  # type: ignore[arg-type]
        if isinstance(node, Is) and node.topic == topic:
            found |= set(node.values)
        if isinstance(node, Within) and node.topic == topic:
            found |= set(BOOK.values(topic))
    return found


def test_sources_exist() -> None:
    """Nobody cites what is not among the sources."""
    for kind in ("facts", "checks", "limits", "faults", "rules"):
        for entry in getattr(BOOK, kind).values():
            for source in entry.source:
                assert source in BOOK.sources, (entry.id, source)
    for kind in ("checks", "limits", "faults", "rules"):
        assert all(entry.source for entry in getattr(BOOK, kind).values())


def test_hazards_have_a_caution() -> None:
    """Every hazard that is named has its words."""
    named = {h for c in BOOK.checks.values() for h in c.hazards} | {h for f in BOOK.faults.values() for h in f.repair.hazards}
    named |= {h for a in BOOK.access.values() for h in a.hazards}
    assert named <= set(BOOK.cautions)
    for caution in BOOK.cautions.values():
        assert caution.hazard.endswith(".") and caution.harm.endswith(".") and caution.avoid.endswith(".")


CRANKS = re.compile(r"[Cc]rank for|[Cc]rank until|let somebody crank|while someone presses the starter|[Pp]ress the (?:starter )?button for|[Pp]ress the button|[Pp]ress the starter for"
                    r"|press the starter for|try to start|and start it|[Ss]tart it|start the engine|kick it through|kick five times")
NOT_FORCED = {"plug-out-crank", "turn-engine-by-hand", "kick-lever-slow-push"}  # how it is made safe, or gently felt


@pytest.mark.parametrize("rule", ["no-starter-against-a-held-engine", "no-starter-after-deep-water"])
def test_no_check_cranks_an_engine_that_water_or_a_broken_part_may_hold(rule: str) -> None:
    """Liquid in a cylinder does not give way: every check whose steps crank, kick or start the engine waits. Common practice, no source."""
    held = set(BOOK.rules[rule].blocks.checks)
    cranking = {c.id for c in BOOK.checks.values() if any(CRANKS.search(step) and not re.search(r"[Nn]ever|Key off and stop|after you tried", step) for step in c.steps)}
    assert len(cranking) > 30
    assert cranking - held - NOT_FORCED - {"starter-button-continuity"} == set()  # whose button is pressed with the plug apart
