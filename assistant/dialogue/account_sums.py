"""Numbers of the accounts as they are printed, and sums that can be gone through by hand. What rounding loses is said."""

from __future__ import annotations

from assistant.explain.difference import Shift
from assistant.explain.why import SILENT, Account

_ALL = "so that all faults together make 100 in 100"


def decibans(value: float) -> str:
    """+4.7 dB; never a negative nought."""
    return f"{signed(value)} dB"


def signed(value: float) -> str:
    """A number of decibans with its sign, to one decimal."""
    return f"{value + 0.0:+.1f}".replace("-0.0", "+0.0")


def tally(begin: float, shown: list[float], rest: float, tried: float) -> str:
    """A sum that can be gone through by hand: '-12.7 to begin with, +4.7 +2.4 = -5.6 dB'. What rounding loses is said."""
    parts = [begin, *shown]
    text = f"{signed(begin)} to begin with" + (", " + " ".join(signed(d) for d in shown) if shown else "")
    if abs(rest) > SILENT:
        parts.append(rest)
        text += f", {signed(rest)} all the rest together"
    if abs(tried) > SILENT:
        parts.append(tried)
        text += f", {signed(tried)} for the repair that did not help"
    total = begin + sum(shown) + rest + tried
    return f"{text}{lost(parts, total)} = {decibans(total)}"


def lost(parts: list[float], total: float) -> str:
    """What adding up rounded numbers loses against the rounded total, in brackets; nothing where it loses nothing."""
    missing = round(total, 1) - sum(round(p, 1) for p in parts)
    return f" ({signed(missing)} lost in rounding)" if abs(missing) > SILENT else ""


def share(probability: float) -> str:
    """A probability for reckoning with: 24.5 in 100."""
    percent = probability * 100
    return f"{percent:.1f} in 100" if percent >= 0.1 or percent == 0 else f"{percent:.2g} in 100"


def per_1000(share_: float) -> str:
    """How common something is to begin with, of 1000 no-starts, to two figures."""
    value = share_ * 1000
    return f"{value:.0f}" if value >= 10 else f"{value:.2g}"


def whole_sum(made: Account, shown: list[float], rest: float) -> str:
    """From how common a fault is, over the reasons shown and all the rest, to its share: two sums, one after the other."""
    end = made.score - made.normal
    return (f"{tally(made.prior_decibans, shown, rest, made.tried_decibans)}. {signed(-made.normal)} {_ALL}{lost([made.score, -made.normal], end)} = "
            f"{decibans(end)}, which is {share(made.probability)}.")


def moved(shift: Shift, most: int | None = 8) -> str:
    """Why a fault stands higher or lower somewhere else, rule by rule (all of them, when None); empty where it does not."""
    most = len(shift.rules) if most is None else most
    parts = [("to begin with", shift.prior)]
    parts += [(rule, after - before) for rule, before, after in shift.rules[:most]]
    parts += [("all the rest together", sum(after - before for _, before, after in shift.rules[most:])), ("for the repair that did not help", shift.tried),
              (_ALL, -shift.normal)]
    shown = [(name, value) for name, value in parts if abs(value) > SILENT]
    if not shown or abs(shift.total) < SILENT:
        return ""
    return f"{', '.join(f'{signed(value)} {name}' for name, value in shown)}{lost([v for _, v in shown], shift.total)} = {decibans(shift.total)}."
