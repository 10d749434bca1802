"""What a conversation has come to: a frozen record, changed only by folding events into it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from assistant.evidence.bands import Judged, judge, judge_all
from assistant.language.answers import Pending
from assistant.language.quantities import convert
from assistant.records import Heard, Intent, Known, Reading, Statement
from assistant.rulebook.book import Rulebook


@dataclass(frozen=True, slots=True)
class Note:
    """One statement or reading with the turn it was said in. An inactive note was taken back or made stale by a repair."""

    turn: int
    item: Statement | Reading
    active: bool = True
    why_not: str = ""  # taken-back | before-repair
    unasked: bool = False  # told of the person's own accord

    @property
    def topic(self) -> str:
        """The fact or check it speaks of."""
        return self.item.fact if isinstance(self.item, Statement) else self.item.check


@dataclass(frozen=True, slots=True)
class RepairDone:
    """A repair that was tried; `outcome` is None until its proof was reported or denied. `notes` are those it rests on."""

    fault: str
    turn: int
    outcome: str | None = None  # cured | no-change
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True)
class State:
    """The whole of a conversation between two messages."""

    turn: int = 0
    notes: tuple[Note, ...] = ()
    pending: Pending | None = None
    answered: Pending | None = None  # the question that got the last answer
    opened: frozenset[str] = frozenset()
    tools_have: frozenset[str] = frozenset()
    tools_lack: frozenset[str] = frozenset()
    cannot_open: frozenset[str] = frozenset()
    passed: frozenset[str] = frozenset()
    minutes: float = 0.0
    repairs: tuple[RepairDone, ...] = ()
    cured: str | None = None
    stopped: bool = False
    wants: str | None = None
    dry: int = 0  # questions in a row from which nothing was learnt
    heard: Heard = Heard()
    text: str = ""
    account: Intent | None = None  # the account that was asked for last; whatever is told after it closes it
    remarks: tuple[str, ...] = ()  # what the fold did that the person should be told

    def with_(self, **changes: object) -> "State":
        """A copy with some fields changed."""
        return replace(self, **changes)  # type: ignore[arg-type]


def concluded(state: State) -> State:
    """What the conclusion rests on: the state before the last repair while that one cured it or is unproven, else the state itself."""
    last = state.repairs[-1] if state.repairs else None
    if last is None or last.outcome == "no-change" or not last.notes:
        return state
    return state.with_(notes=last.notes, repairs=state.repairs[:-1], cured=None)


def facts(book: Rulebook, state: State) -> tuple[Known, ...]:
    """The facts that hold now, from the active notes; numbers are judged by the bands of their check on this machine."""
    told: dict[tuple[str, str, bool], Known] = {}
    plain: list[Note] = [n for n in state.notes if n.active and getattr(n.item, "when", "now") == "now"]
    for note in plain:
        if isinstance(note.item, Statement):
            _tell(book, told, note)
    machine = list(told.values())
    by_check: dict[str, list[Note]] = {}
    for note in plain:
        if isinstance(note.item, Reading):
            by_check.setdefault(note.item.check, []).append(note)
    for _ in (1, 2):  # twice: a limit may lean on another check's number
        for check, notes in by_check.items():
            known = reading_fact(book, check, notes, machine)
            if known is not None:
                told.pop(next((k for k in told if k[0] == check), known.key()), None)
                told[known.key()] = known
        machine = list(told.values())
    return tuple(told[key] for key in sorted(told))


def _tell(book: Rulebook, told: dict[tuple[str, str, bool], Known], note: Note) -> None:
    item = note.item
    assert isinstance(item, Statement)
    number = float(item.value) if isinstance(item.value, (int, float)) else None
    value = str(item.value)
    known = Known(item.fact, value, number, item.denied, item.confidence, note.turn, item.words, unasked=note.unasked)
    told.pop((item.fact, value, not item.denied), None)  # the later word on the same value stands
    if not item.denied and not book.many(item.fact):
        for key in [k for k in told if k[0] == item.fact and not k[2]]:
            del told[key]
    told[known.key()] = known


def reading_fact(book: Rulebook, check_id: str, notes: list[Note], known: list[Known]) -> Known | None:
    """The newest reading of a check as one fact; per-cylinder numbers of the same turn count together."""
    check = book.checks[check_id]
    last = notes[-1]
    assert isinstance(last.item, Reading)
    if last.item.value is None:
        if last.item.outcome is None or last.item.outcome not in check.outcomes:
            return None
        return Known(check_id, last.item.outcome, None, False, last.item.confidence, last.turn, last.item.words)
    judged, number = judged_reading(book, check_id, notes, known)
    if judged.outcome is None:
        return None
    words = ", ".join(n.item.words for n in _batch(notes))
    return Known(check_id, judged.outcome, number, False, min(1.0, last.item.confidence) * judged.confidence, last.turn, words)


def judged_reading(book: Rulebook, check_id: str, notes: list[Note], known: list[Known]) -> tuple[Judged, float | None]:
    """How the newest number (or numbers, one per cylinder) of a check is judged, and the number in the check's unit."""
    check = book.checks[check_id]
    scale = check.reading
    if scale is None:
        return Judged(None, 0.0), None
    batch = [n.item for n in _batch(notes)]
    values = [convert(r.value, r.unit, scale.unit) for r in batch if r.value is not None]  # type: ignore[union-attr]
    good = [v for v in values if v is not None]
    if not good or len(good) < len(values):
        return Judged(None, 0.0, impossible=True), None
    if scale.by_cylinder and len(good) > 1:
        readings = [replace(r, value=v, unit=scale.unit) for r, v in zip(batch, good)]  # type: ignore[arg-type]
        return judge_all(book, check, readings, known), min(good)
    return judge(book, check, good[-1], known), good[-1]


def _batch(notes: list[Note]) -> list[Note]:
    """The readings with a number that belong together: those of the last turn that gave one, plus earlier named cylinders."""
    numbered = [n for n in notes if isinstance(n.item, Reading) and n.item.value is not None]
    last = numbered[-1].turn
    batch = [n for n in numbered if n.turn == last]
    named = {n.item.where for n in batch if n.item.where}  # type: ignore[union-attr]
    if named and "both" not in named:
        earlier = {n.item.where: n for n in numbered if n.turn < last and n.item.where and n.item.where not in named}  # type: ignore[union-attr]
        batch = [*earlier.values(), *batch]
    return batch
