"""A sheet as Markdown. Every text goes through `escape.markdown`; the chart becomes a table of shares."""

from __future__ import annotations

from typing import Sequence

from assistant.sheet import escape
from assistant.sheet.record import Block, Chart, Items, Pairs, Section, Sheet, Table, Talk, Text

_COLUMNS = 9  # moments that a table of the movement shows: those at which it moved most


def to_markdown(sheet: Sheet) -> str:
    """The whole sheet, ending with a line end."""
    out = [f"# {escape.markdown(sheet.title)}", ""]
    if sheet.subtitle:
        out += [escape.markdown(sheet.subtitle), ""]
    for section in sheet.sections:
        out += _section(section)
    out += ["---", ""]
    out += [line for text in sheet.foot for line in (escape.markdown(text), "")]
    return "\n".join(out).rstrip() + "\n"


def _section(section: Section) -> list[str]:
    out = [f"## {escape.markdown(section.title)}", ""]
    for block in section.blocks:
        out += [*_block(block), ""]
    return out


def _block(block: Block) -> list[str]:
    if isinstance(block, Text):
        text = escape.markdown(block.text)
        return [f"**{text}**" if block.style == "lead" and text else text]
    if isinstance(block, Items):
        sign = {"numbered": "1.", "box": "- [ ]", "caution": "- **!**"}.get(block.style, "-")
        return [f"{sign} {escape.markdown(item)}" for item in block.items]
    if isinstance(block, Pairs):
        return [f"- {escape.markdown(label)}: {escape.markdown(value)}" for label, value in block.rows]
    if isinstance(block, Table):
        return _table(block.head, block.rows, block.numbers)
    if isinstance(block, Talk):
        return _talk(block)
    return _movement(block)


def _table(head: Sequence[str], rows: Sequence[Sequence[str]], numbers: Sequence[int]) -> list[str]:
    cell = lambda text: "; ".join(escape.markdown(line) for line in escape.lines(text) if line) or " "  # noqa: E731
    return ["| " + " | ".join(cell(h) for h in head) + " |",
            "|" + "|".join(" ---: " if i in numbers else " --- " for i in range(len(head))) + "|",
            *("| " + " | ".join(cell(c) for c in row) + " |" for row in rows)]


def _talk(talk: Talk) -> list[str]:
    out = [f"**Message {talk.number}**" + (f" (asked: {escape.markdown(talk.asked)})" if talk.asked else ""), ""]
    out += ["> " + (escape.markdown(line) or "\\") for line in escape.lines(talk.said)]
    return out + (["", escape.markdown(talk.understood)] if talk.understood else [])


def _liveliest(chart: Chart) -> list[int]:
    """The first and the last moment, those with a mark, and the ones at which the lines moved most."""
    last = len(chart.moments) - 1
    moved = [sum(abs((line.shares[i] or 0.0) - (line.shares[i - 1] or 0.0)) for line in chart.lines) for i in range(1, last)]
    kept = {0, last, *(i for i, _ in chart.marks)}
    order = sorted((i for i in range(1, last) if i not in kept), key=lambda i: (-moved[i - 1], i))
    return sorted({*kept, *order[: max(0, _COLUMNS - len(kept))]})


def _movement(chart: Chart) -> list[str]:
    count = len(chart.moments)
    chosen = list(range(count)) if count <= _COLUMNS else _liveliest(chart)
    marks = dict(chart.marks)
    head = ["Chance of 100 after message", *(chart.moments[i] + (f" ({marks[i]})" if i in marks else "") for i in chosen)]
    rows = [[line.name, *("-" if line.shares[i] is None else f"{100 * (line.shares[i] or 0):.0f}" for i in chosen)] for line in chart.lines]
    return [f"{escape.markdown(chart.caption)}:", "", *_table(head, rows, range(1, len(head)))]
