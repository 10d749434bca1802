"""What the planner is told of the conversation: the belief, what is open, what is to hand, what is held back."""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.records import Block, Known, Ranking, Weight


@dataclass(frozen=True)
class Scene:
    """One moment of a conversation, as far as choosing the next step goes."""

    ranking: Ranking
    facts: tuple[Known, ...] = ()
    lacking: frozenset[str] = frozenset()  # parts this machine does not have
    opened: frozenset[str] = frozenset()  # access states that are open now
    tools_have: frozenset[str] = frozenset()
    tools_lack: frozenset[str] = frozenset()
    cannot_open: frozenset[str] = frozenset()  # access states the person cannot reach here
    done: frozenset[str] = frozenset()  # checks and questions answered, skipped or not known, and repairs passed over
    tried: frozenset[str] = frozenset()  # faults whose repair was tried
    blocks: tuple[Block, ...] = ()
    skill: str = "handy"
    questions_in_a_row: int = 0  # asked without anything learnt
    weights: tuple[Weight, ...] = field(default=())
