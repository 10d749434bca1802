"""What a sheet is made of, before it is Markdown or a page: plain text in blocks. Nothing here is escaped yet."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Text:
    """A paragraph. `style` is '' | lead | small | quote; a quote keeps its line ends."""

    text: str
    style: str = ""


@dataclass(frozen=True)
class Items:
    """A list; `style` is '' | numbered | caution | box (a box to tick)."""

    items: tuple[str, ...]
    style: str = ""


@dataclass(frozen=True)
class Pairs:
    """Labels with what stands behind them."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Table:
    """A table. `numbers` are the columns set to the right; further lines in a cell are of less weight."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()


@dataclass(frozen=True)
class Talk:
    """One message of the story: its number, what had been asked, the words as typed, what was understood of them."""

    number: int
    asked: str
    said: str
    understood: str


@dataclass(frozen=True)
class Line:
    """One fault in the chart: its name and its share at every moment, None where it did not exist then."""

    name: str
    shares: tuple[float | None, ...]


@dataclass(frozen=True)
class Chart:
    """How the ranking moved: a label for every moment, and marks such as a repair, by the place of their moment."""

    caption: str
    moments: tuple[str, ...]
    lines: tuple[Line, ...]
    marks: tuple[tuple[int, str], ...] = ()


Block = Text | Items | Pairs | Table | Talk | Chart


@dataclass(frozen=True)
class Section:
    """A heading and its blocks."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Sheet:
    """A whole job sheet."""

    title: str
    subtitle: str
    sections: tuple[Section, ...]
    foot: tuple[str, ...] = ()
