"""The chart of how the ranking moved, as SVG text: no library, no script, nothing from outside, readable in black and white.

Lines differ by colour, dash and the shape of their points, and carry their names at the right end.
"""

from __future__ import annotations

import math

from assistant.sheet import escape
from assistant.sheet.record import Chart, Line

WIDTH, HEIGHT = 720, 270
_LEFT, _RIGHT, _TOP, _BOTTOM = 34, 252, 22, 40
_STEPS = (0.02, 0.05, 0.1, 0.2)
_STEP = 14  # between two names at the right
# Okabe and Ito's colours that survive on white paper, each with its own dash and point
_STYLES = (("#0072b2", "", "circle"), ("#d55e00", "7 3", "square"), ("#009e73", "2 3", "triangle"), ("#7b3294", "9 3 2 3", "diamond"), ("#444444", "4 4", "cross"))
_LETTERS = 32  # of a name


def svg(chart: Chart) -> str:
    """The picture; empty for a chart without moments or lines."""
    if not chart.moments or not chart.lines:
        return ""
    top, step = _scale(chart)
    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="How the chance of each fault moved, message by message">']
    parts += _grid(chart, top, step)
    names = _places([_y(_last(line), top) for line in chart.lines])
    for number, (line, name_at) in enumerate(zip(chart.lines, names)):
        parts += _line(chart, line, _STYLES[number % len(_STYLES)], top, name_at)
    return "".join([*parts, "</svg>"])


def _scale(chart: Chart) -> tuple[float, float]:
    """(share at the top, share from one grid line to the next): the least round step with which five lines do."""
    highest = max((s for line in chart.lines for s in line.shares if s is not None), default=0.0)
    step = next(s for s in _STEPS if s * 5 >= highest or s == _STEPS[-1])
    return min(1.0, max(1, math.ceil(highest / step - 1e-9)) * step), step


def _x(chart: Chart, index: int) -> float:
    room = WIDTH - _LEFT - _RIGHT
    return _LEFT + (room * index / (len(chart.moments) - 1) if len(chart.moments) > 1 else room / 2)


def _y(share: float, top: float) -> float:
    return _TOP + (HEIGHT - _TOP - _BOTTOM) * (1 - min(share, top) / top)


def _last(line: Line) -> float:
    return next((s for s in reversed(line.shares) if s is not None), 0.0)


def _grid(chart: Chart, top: float, step: float) -> list[str]:
    right, foot = WIDTH - _RIGHT, HEIGHT - _BOTTOM
    parts = []
    for count in range(round(top / step) + 1):
        y = _y(count * step, top)
        parts.append(f'<line x1="{_LEFT}" y1="{y:.1f}" x2="{right}" y2="{y:.1f}" stroke="#bbb" stroke-width="{1 if count else 1.4}"/>')
        parts.append(f'<text x="{_LEFT - 6}" y="{y + 4:.1f}" text-anchor="end" font-size="11" fill="#333">{count * step * 100:.0f}</text>')
    every = max(1, math.ceil(len(chart.moments) / 16))
    for index, name in enumerate(chart.moments):
        if index % every == 0 or index == len(chart.moments) - 1 and index % every > every / 2:
            parts.append(f'<text x="{_x(chart, index):.1f}" y="{foot + 16}" text-anchor="middle" font-size="11" fill="#333">{escape.html(name)}</text>')
    for index, name in chart.marks:
        x = _x(chart, index)
        parts.append(f'<line x1="{x:.1f}" y1="{_TOP}" x2="{x:.1f}" y2="{foot}" stroke="#888" stroke-dasharray="3 3"/>')
        parts.append(f'<text x="{x + 3:.1f}" y="{_TOP + 9}" font-size="10" fill="#555">{escape.html(name)}</text>')
    parts.append(f'<text x="{(_LEFT + right) / 2:.0f}" y="{HEIGHT - 6}" text-anchor="middle" font-size="11" fill="#333">message of the story</text>')
    parts.append(f'<text x="2" y="{_TOP - 11}" font-size="10" fill="#333">of 100</text>')
    return parts


def _places(wanted: list[float]) -> list[float]:
    """Heights for the names at the right: near their line ends, never closer than a line of text, inside the picture."""
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], i))
    placed = [0.0] * len(wanted)
    lowest = HEIGHT - _BOTTOM
    for rank, i in enumerate(order):
        above = placed[order[rank - 1]] + _STEP if rank else _TOP
        placed[i] = max(wanted[i], above)
    for rank, i in reversed(list(enumerate(order))):
        below = placed[order[rank + 1]] - _STEP if rank + 1 < len(order) else lowest
        placed[i] = min(placed[i], below)
    return placed


def _line(chart: Chart, line: Line, style: tuple[str, str, str], top: float, name_at: float) -> list[str]:
    colour, dash, shape = style
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    parts, run = [], []
    for index, share in [*enumerate(line.shares), (len(line.shares), None)]:
        if share is not None:
            run.append((_x(chart, index), _y(share, top)))
            continue
        if len(run) > 1:
            points = " ".join(f"{x:.1f},{y:.1f}" for x, y in run)
            parts.append(f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="2"{dashed}/>')
        parts += [_point(shape, x, y, colour) for x, y in run]
        run = []
    end = max((i for i, s in enumerate(line.shares) if s is not None), default=0)
    x, y = _x(chart, end), _y(_last(line), top)
    right = WIDTH - _RIGHT + 16
    parts.append(f'<line x1="{x + 5:.1f}" y1="{y:.1f}" x2="{right - 3:.1f}" y2="{name_at:.1f}" stroke="{colour}" stroke-width="0.7"/>')
    name = line.name if len(line.name) <= _LETTERS else line.name[: _LETTERS - 3].rstrip() + "..."
    parts.append(_point(shape, right + 3, name_at, colour))
    parts.append(f'<text x="{right + 10}" y="{name_at + 4:.1f}" font-size="11" fill="#111">{_last(line) * 100:.0f}&#160; {escape.html(name)}</text>')
    return parts


def _point(shape: str, x: float, y: float, colour: str) -> str:
    if shape == "circle":
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.2" fill="{colour}"/>'
    corners = {"square": ((-3, -3), (3, -3), (3, 3), (-3, 3)), "triangle": ((0, -4), (3.6, 3), (-3.6, 3)), "diamond": ((0, -4), (4, 0), (0, 4), (-4, 0)),
               "cross": ((-3.5, -1), (-1, -1), (-1, -3.5), (1, -3.5), (1, -1), (3.5, -1), (3.5, 1), (1, 1), (1, 3.5), (-1, 3.5), (-1, 1), (-3.5, 1))}[shape]
    points = " ".join(f"{x + dx:.1f},{y + dy:.1f}" for dx, dy in corners)
    return f'<polygon points="{points}" fill="{colour}"/>'
