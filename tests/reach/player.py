"""A truthful owner in a real conversation: everything but the reading of words is the assistant's own."""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.dialogue.case import Case
from assistant.dialogue.state import State
from assistant.dialogue.think import Mind, Thinking
from assistant.language.answers import Pending
from assistant.planning.costs import to_open
from assistant.records import Heard, Intent, Reading, Statement
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import topics
from assistant.rulebook.evaluate import holds, index
from tests.reach.table import Owner

MOST = 45
PROOFS = 6


class Mouth:
    """Stands in for the reader of words: hands over what was meant, as if it had been said and wholly understood."""

    def __init__(self) -> None:
        self.next = Heard()

    def read(self, message: str, pending: Pending | None = None, answered: Pending | None = None) -> Heard:
        """What the next message means."""
        heard, self.next = self.next, Heard()
        return heard


@dataclass
class Play:
    """How one conversation went. `end` is shown, cured, same-fix, workshop, stuck or endless."""

    fault: str
    machine: str
    end: str = "endless"
    minutes: float = 0.0
    steps: int = 0
    questions: int = 0
    path: list[str] = field(default_factory=list)
    leader: str = ""
    proofs: int = 0  # direct tests the owner asked for when the workshop was proposed on a suspicion

    @property
    def reached(self) -> bool:
        """Whether the fault was shown, or mended and the cure proved."""
        return self.end in ("shown", "cured", "same-fix")


def say(case: Case, mouth: Mouth, words: str, heard: Heard):
    """One message whose meaning is given."""
    mouth.next = heard
    return case.say(words)


def statements(book: Rulebook, told: dict[str, tuple[str, ...]]) -> tuple[Statement, ...]:
    """Topics with their values as statements; numeric facts as numbers."""
    return tuple(Statement(topic, value if book.values(topic) else float(value), words=value) for topic, values in told.items() for value in values)


def finding(book: Rulebook, check: str, value: str) -> Reading:
    """What a check gave: a number in the check's own unit where it has one, else a word."""
    scale = book.checks[check].reading
    if scale is not None and value not in book.checks[check].outcomes:
        return Reading(check, float(value), scale.unit, None, words=value)
    return Reading(check, None, None, value, words=value)


def proof_of_the_leader(mind: Mind, thinking: Thinking, state: State) -> str | None:
    """The quickest check that may be done here and could show one of the three leading faults; None when there is none."""
    book = mind.book
    told, known = index(thinking.known), {f.topic for f in thinking.known if not f.denied} | state.passed
    held = {b.what for b in thinking.blocks}
    for standing in thinking.ranking.standings[:3]:
        showing = {t for r in book.rules.values() if r.kind == "show" and standing.fault in r.seen_in for t in topics(book.conditions[r.id])}
        able = [c for c in book.checks.values() if (standing.fault in c.settles or c.id in showing) and c.id not in known and c.id not in held
                and thinking.lacking.isdisjoint(c.parts) and (c.id not in book.ask_when or holds(book.ask_when[c.id], told))]
        if able:
            return min(able, key=lambda c: (c.minutes + to_open(book, c.access, state.opened)[0], c.id)).id
    return None


def _asked_by_proof(when: object) -> set[str]:
    """The topics that a proof wants reported: a truthful owner also reports one of them that is wrong."""
    if isinstance(when, dict):
        return {t for key, value in when.items() for t in ({key} | _asked_by_proof(value))}
    return {t for part in when for t in _asked_by_proof(part)} if isinstance(when, list) else set()


def play(mind: Mind, owner: Owner, most: int = MOST) -> Play:
    """Play one owner to the end. `mind.reader` must be a Mouth.

    An owner who is sent to the workshop on a suspicion asks first for the direct test of what is suspected.
    """
    book, mouth = mind.book, mind.reader
    assert isinstance(mouth, Mouth)
    case, result = Case(mind), Play(owner.fault, owner.machine)
    answer = say(case, mouth, "it will not start", Heard(statements=statements(book, owner.opening())))
    true = book.faults[owner.fault]
    for _ in range(most):
        assert case.thinking is not None
        standing = case.thinking.ranking.of(owner.fault)
        if case.thinking.ranking.standings:
            first = case.thinking.ranking.standings[0]
            result.leader = f"{first.fault} {first.probability:.2f} (true {standing.probability if standing else 0:.2f})"
        if standing is not None and standing.standing == "shown":
            result.end = "shown"
            break
        if answer.kind == "workshop" and result.proofs < PROOFS:
            wanted = proof_of_the_leader(mind, case.thinking, case.state)
            if wanted is not None:
                result.proofs += 1
                result.path.append("before I hand it over")
                answer = say(case, mouth, f"I want to do {wanted}", Heard(intents=(Intent("want", wanted),)))
        if answer.kind in ("workshop", "cured", "doubt", "said"):
            result.end = answer.kind if answer.kind in ("workshop", "cured") else "stuck"
            break
        pending = case.state.pending
        assert pending is not None
        result.steps += 1
        result.path.append(f"{pending.kind} {pending.id}")
        if pending.kind == "question":
            result.questions += 1
        if pending.kind in ("question", "check"):
            values = owner.answers.get(pending.id, (owner.facts[pending.id],) if pending.id in owner.facts else ())
            if not values:
                heard = Heard(intents=(Intent("dont-know"),))
            elif pending.kind == "check":
                heard = Heard(readings=(finding(book, pending.id, values[0]),))
            else:
                heard = Heard(statements=statements(book, {pending.id: values}))
            result.path[-1] += f" {','.join(values) or '?'}"
        elif pending.kind == "repair":
            heard = Heard(intents=(Intent("done"),))
        else:
            tried = book.faults[pending.id]
            cured = pending.id == owner.fault or (tried.repair.fix is not None and tried.repair.fix == true.repair.fix)
            seen = () if cured else tuple(finding(book, t, owner.answers[t][0]) for t in sorted(_asked_by_proof(tried.proof.when)) if t in book.checks
                                          and t in owner.own and t in owner.answers)
            heard = Heard(readings=seen, intents=(Intent("yes" if cured else "still-bad"),))
            if cured:
                answer = say(case, mouth, "answer", heard)
                result.end = "cured" if pending.id == owner.fault else "same-fix"
                break
        answer = say(case, mouth, "answer", heard)
    result.minutes = case.state.minutes
    return result
