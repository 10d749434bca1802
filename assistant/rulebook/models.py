"""The shapes of the knowledge entries, for pydantic. See DEVELOPERS.md for what each key means."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from assistant.rulebook.source import as_word


def _kebab(name: str) -> str:
    return name.replace("_", "-")


def _word(value: Any) -> Any:
    """Numbers that stand where a word is meant (a value called 6, or 06) are words, as they were written."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return as_word(value)
    return value


def _flag(value: Any) -> Any:
    """The 1.2 core rules leave yes and no as words; here they mean true and false."""
    return {"yes": True, "no": False}.get(value, value) if isinstance(value, str) else value


def _texts(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


Word = Annotated[str, BeforeValidator(_word)]
Flag = Annotated[bool, BeforeValidator(_flag)]
Texts = Annotated[list[Word], BeforeValidator(_texts)]
Wordings = list[Annotated[str, Field(pattern=r"^[^.]*\.\.\.[^.]*$")]]  # each with a place for the answer
Percent = Annotated[float, Field(gt=0, lt=100)]
Minutes = Annotated[float, Field(ge=0, le=6000)]
Skill = Literal["owner", "handy", "workshop"]


class Entry(BaseModel):
    """What every entry has: its id and its place, put there by the loader."""

    model_config = ConfigDict(extra="forbid", alias_generator=_kebab, frozen=True, allow_inf_nan=False,
                              protected_namespaces=())
    id: str
    file: str
    line: int


class Need(Entry):
    plain: str
    order: int = 0


class Part(Entry):
    plain: str


class Tool(Entry):
    plain: str
    called: Texts = []
    owned: float = 50
    roadside: float = 10


class Access(Entry):
    plain: str
    within: str | None = None
    open: Minutes
    close: Minutes
    how: str
    hazards: Texts = []


class Caution(Entry):
    signal: Literal["DANGER", "WARNING", "CAUTION"]
    hazard: str
    harm: str
    avoid: str


class SourceNote(Entry):
    plain: str
    note: str | None = None


class Term(Entry):
    plain: str
    called: Texts = []


class Setting(Entry):
    plain: str
    value: float


class Fact(Entry):
    about: Literal["machine", "history", "work", "sign", "setting", "manual"]
    plain: str
    ask: str | None = None
    how: str | None = None
    lends: Wordings = []
    ask_when: Any = None
    opening: Flag = False
    known: Annotated[float, Field(gt=0, le=100)] = 85
    minutes: Minutes = 0.3
    tools: Texts = []
    parts: Texts = []
    many: Flag = False
    beside: Texts = []
    values: dict[Word, str] | None = None
    shares: dict[Word, Annotated[float, Field(gt=0, le=100)]] = {}
    unit: str | None = None
    range: tuple[float, float] | None = None
    codes: dict[Word, list[Annotated[str, Field(pattern="^[PCBU][0-3]?[0-9A-F]{0,3}$")]]] = {}
    source: Texts = []


class Band(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
    outcome: Word
    below: float | str | None = None


class Uneven(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
    outcome: Word
    above: float | str


class Scale(BaseModel):
    model_config = ConfigDict(extra="forbid", alias_generator=_kebab, frozen=True, allow_inf_nan=False)
    unit: str
    range: tuple[float, float]
    spread: float = 0
    by_cylinder: Flag = False
    bands: list[Band] = []
    uneven: Uneven | None = None
    normal: Word | None = None


class Slip(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
    what: str
    spoils: Percent


class Check(Entry):
    need: str
    plain: str
    called: Texts = []
    parts: Texts = []
    tools: Texts = []
    instead: str | None = None
    instead_tools: Texts = []
    access: str = "none"
    minutes: Minutes
    skill: Skill = "owner"
    hazards: Texts = []
    steps: Texts
    lends: Wordings = []
    slips: list[Slip] = []
    outcomes: dict[Word, str] = {}
    settles: Texts = []
    same_as: Texts = []
    offer_when: Any = None
    with_: dict[str, Word] = Field(default={}, alias="with")
    reading: Scale | None = None
    source: Texts = []


class Limit(Entry):
    plain: str
    unit: str
    value: float
    manual: str | None = None
    computed_by: str | None = None
    given: dict[str, Word] = {}
    source: Texts = []


class Frequency(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
    usually: Annotated[float, Field(gt=0, lt=1000)]
    when: Any = None


class Repair(BaseModel):
    model_config = ConfigDict(extra="forbid", alias_generator=_kebab, frozen=True, allow_inf_nan=False)
    do: str
    steps: Texts = []
    minutes: Minutes
    access: str = "none"
    tools: Texts = []
    parts_class: Literal["nothing", "consumable", "cheap", "medium", "dear", "major"] = "nothing"
    hazards: Texts = []
    who: Skill = "owner"
    cures: Percent = 90
    renews: Texts = []
    fix: str | None = None


class Proof(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
    do: str
    when: Any


class Fault(Entry):
    need: str
    plain: str
    called: Texts = []
    what: str
    looks_like: str = ""
    parts: Texts = []
    per_1000: list[Frequency] = Field(alias="per-1000", min_length=1)
    disturbed_by: str = ""
    repair: Repair
    proof: Proof
    keep_away: str = ""
    source: Texts = []


class Blocks(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
    hazards: Texts = []
    checks: Texts = []
    repairs: Texts = []


class Rule(Entry):
    kind: Literal["evidence", "show", "rule-out", "disturbed", "derive", "applies", "caution"]
    says: str
    because: str = ""
    when: Any
    source: Texts = []
    seen_in: dict[str, Percent] = {}
    otherwise: Percent | None = None
    aspect: str | None = None
    replaces: Texts = []
    how: dict[str, str] = {}
    then: dict[str, Word] = {}
    lacks: Texts = []
    has: Texts = []
    cautions: Texts = []
    blocks: Blocks | None = None
    until: str | None = None
    quiet: Flag = False
    alarm: Texts = []  # what to do at once; said alone when the message tells of it


class Measured(Entry):
    named: Texts
    unit: str | None = None
    alone: Flag = True  # whether the unit by itself tells what is meant
    while_: Texts = Field(default=[], alias="while")


KINDS: dict[str, type[Entry]] = {
    "needs": Need, "parts": Part, "tools": Tool, "access": Access, "cautions": Caution, "sources": SourceNote,
    "glossary": Term, "settings": Setting, "facts": Fact, "checks": Check, "limits": Limit, "faults": Fault,
    "rules": Rule, "measured": Measured,
}
# Kinds that are plain word lists; entries of one id in several files add up.
WORD_KINDS = ("phrases", "beliefs", "words", "talk", "contractions", "sums")
