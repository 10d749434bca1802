"""Minutes: of opening the machine, of a check, of a question, of a repair. All on one scale, money and hazard too."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.planning.scene import Scene
from assistant.rulebook.book import Rulebook
from assistant.rulebook.models import Check


@dataclass(frozen=True, slots=True)
class Prices:
    """The rates of the settings file, read once. All in minutes."""

    workshop: float
    workshop_known: float
    try_start: float
    question: float
    fetch_tool: float
    make_safe: float  # seeing to what holds a step back: a spill, a hot joint
    wrong_part: float  # share of its price that is lost when a part was not the fault
    hazards: dict[str, float]
    parts: dict[str, float]

    @classmethod
    def of(cls, book: Rulebook) -> "Prices":
        """Read the rates; what the files do not set has a plain default."""
        number = book.setting
        signal = {"DANGER": number("hazard-minutes-danger", 6), "WARNING": number("hazard-minutes-warning", 3),
                  "CAUTION": number("hazard-minutes-caution", 1)}
        classes = {"nothing": 0, "consumable": 6, "cheap": 20, "medium": 60, "dear": 150, "major": 300}
        return cls(
            workshop=number("workshop-minutes", 240), workshop_known=number("workshop-known-minutes", 150),
            try_start=number("try-start-minutes", 1.5), question=number("question-minutes", 0.2),
            fetch_tool=number("fetch-tool-minutes", 20), make_safe=number("make-safe-minutes", 10), wrong_part=number("wrong-part-share", 0.8),
            hazards={c.id: signal[c.signal] for c in book.cautions.values()},
            parts={name: number(f"parts-minutes-{name}", default) for name, default in classes.items()},
        )


def to_open(book: Rulebook, access: str, opened: frozenset[str]) -> tuple[float, tuple[str, ...]]:
    """Minutes to open what is still closed on the way to an access state (closing again included), and what that is."""
    closed = tuple(state for state in book.path_to(access) if state not in opened)
    return sum(book.access[s].open + book.access[s].close for s in closed), closed


def reachable(book: Rulebook, access: str, scene: Scene) -> bool:
    """Whether the person can get there."""
    return scene.cannot_open.isdisjoint(book.path_to(access)) or set(book.path_to(access)) <= scene.opened


def tool_minutes(book: Rulebook, prices: Prices, tools: list[str], scene: Scene) -> float | None:
    """Expected minutes to lay hands on tools nobody has spoken of; None when one is known to be missing."""
    total = 0.0
    for tool in tools:
        if tool in scene.tools_have:
            continue
        if tool in scene.tools_lack:
            return None
        owned = book.tools[tool].owned if tool in book.tools else 50
        total += prices.fetch_tool * (1 - owned / 100)
    return total


def hazard_minutes(prices: Prices, hazards: list[str]) -> float:
    """What the hazards of a step weigh on the scale of minutes: the worst one, and a tenth of the others."""
    costs = sorted((prices.hazards.get(h, 1.0) for h in hazards), reverse=True)
    return costs[0] * 0.5 + sum(costs[1:]) * 0.05 if costs else 0.0


def check_minutes(book: Rulebook, prices: Prices, check: Check, scene: Scene) -> tuple[float, bool] | None:
    """Minutes at the machine beyond the access, and whether the substitute is used; None when it cannot be done here."""
    if not reachable(book, check.access, scene):
        return None
    tools = tool_minutes(book, prices, check.tools, scene)
    substitute = False
    if tools is None:
        tools = tool_minutes(book, prices, check.instead_tools, scene) if check.instead else None
        substitute = True
        if tools is None:
            return None
    elif tools > prices.fetch_tool * 0.5 and check.instead:
        other = tool_minutes(book, prices, check.instead_tools, scene)
        if other is not None and other < tools:
            tools = other
    skill = prices.fetch_tool if check.skill == "workshop" and scene.skill != "workshop" else 0.0
    return check.minutes + tools + skill + hazard_minutes(prices, check.hazards), substitute
