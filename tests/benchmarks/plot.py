"""A plain line plot as SVG: share of machines cured against minutes, a line for each policy."""

from __future__ import annotations

from html import escape

WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM = 760, 420, 60, 190, 24, 52
COLOURS = ("#1b5e9b", "#b3471d", "#4d7a1f", "#7a4a9c", "#8a6d00", "#555555")
DASHES = ("", "7 3", "2 3", "9 3 2 3", "4 4", "1 2")
Curve = list[tuple[float, float]]


def plot(curves: dict[str, Curve], most: float, title: str) -> str:
    """The picture. Each line has its own dashes too, so that it can be told without colour."""
    across, up = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM
    top = max([0.1, *(share for line in curves.values() for _, share in line)])
    top = min(1.0, (int(top * 10) + 1) / 10)
    x = lambda minutes: LEFT + across * min(minutes, most) / most  # noqa: E731
    y = lambda share: TOP + up * (1 - share / top)  # noqa: E731
    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" font-family="sans-serif" font-size="12">',
           f"<title>{escape(title)}</title>", f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>']
    for i in range(round(top * 10) + 1):
        out.append(f'<path d="M{LEFT} {y(i / 10):.1f}H{LEFT + across}" stroke="#dddddd"/><text x="{LEFT - 8}" y="{y(i / 10) + 4:.1f}" text-anchor="end">{i * 10}</text>')
    for i in range(7):
        at = most * i / 6
        out.append(f'<path d="M{x(at):.1f} {TOP}V{TOP + up}" stroke="#eeeeee"/><text x="{x(at):.1f}" y="{TOP + up + 18}" text-anchor="middle">{at:.0f}</text>')
    out.append(f'<text x="{LEFT + across / 2}" y="{HEIGHT - 10}" text-anchor="middle">minutes, money and risk on the same scale</text>')
    out.append(f'<text x="16" y="{TOP + up / 2}" text-anchor="middle" transform="rotate(-90 16 {TOP + up / 2})">of 100 machines, cured</text>')
    for i, (name, line) in enumerate(curves.items()):
        colour, dash = COLOURS[i % len(COLOURS)], DASHES[i % len(DASHES)]
        path, last = f"M{x(0):.1f} {y(0):.1f}", 0.0
        for minutes, share in line:
            if minutes > most:
                break
            path += f"H{x(minutes):.1f}V{y(share):.1f}"
            last = share
        path += f"H{LEFT + across}"
        out.append(f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{2.4 if i == 0 else 1.6}" stroke-dasharray="{dash}"/>')
        at = TOP + 14 + 20 * i
        out.append(f'<path d="M{LEFT + across + 14} {at - 4}h26" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"/>'
                   f'<text x="{LEFT + across + 46}" y="{at}">{escape(name)} ({last * 100:.0f})</text>')
    return "\n".join([*out, "</svg>"]) + "\n"
