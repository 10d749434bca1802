"""A bad and a good sample for the loader's codes, as `check --explain CODE` shows them. What only a folder can show has none.

Each stands as a file of its own beside others that know its ids: a lamp, how the engine turns, a battery and its joint.
"""

from __future__ import annotations

_RULE = """rules:
  dim-and-slow-is-flat:
    kind: {kind}
    says: Dim and slow together is a flat battery.
    when: {when}
    seen-in: {seen}
    otherwise: 3
    source: {source}
"""
_WHEN, _SEEN = "{lamp: dim, turning: slow}", "{battery-flat: 60}"


def _rule(kind: str = "evidence", when: str = _WHEN, seen: str = _SEEN, source: str = "common-practice", more: str = "") -> str:
    return _RULE.format(kind=kind, when=when, seen=seen, source=source) + more


def _about(lamp: str, seen: str) -> str:
    """A rule on one value of the lamp alone."""
    return _rule(when=f"{{lamp: {lamp}}}", seen=seen).replace("dim-and-slow-is-flat", f"{lamp}-lamp-tells").replace(
        "Dim and slow together is a flat battery.", f"A {lamp} lamp tells how full the battery is.")


def _derive(then: str, more: str = "") -> str:
    return ("rules:\n  dim-lamp-turns-slowly:\n    kind: derive\n    says: A dim lamp goes with a slow turn.\n    when: {lamp: dim}\n"
            f"    then: {then}\n    source: common-practice\n{more}")


def _check(reading: str, need: str = "power") -> str:
    return (f"checks:\n  running-volts:\n    need: {need}\n    plain: measure the battery while it runs\n    minutes: 2\n    steps: [Hold the tips to the posts.]\n"
            f"    outcomes: {{low: too little, good: enough, high: too much}}\n    reading: {reading}\n    source: common-practice\n")


def _reading(first: object, second: object = 15) -> str:
    return f"{{unit: V, range: [0, 30], bands: [{{outcome: low, below: {first}}}, {{outcome: good, below: {second}}}, {{outcome: high}}]}}"


def _access(within: str = "none", more: str = "") -> str:
    return f"access:\n  tank-off: {{plain: the tank off, within: {within}, open: 5, close: 5, how: Undo its bolt.{more}}}\n"


def _limit(more: str) -> str:
    return f"limits:\n  volts-most: {{plain: most volts, unit: V, value: 15, {more}source: common-practice}}\n"


def _fact(body: str) -> str:
    return f"facts:\n  oil-level: {{about: sign, plain: the oil level, {body}}}\n"


def _blocks(what: str) -> str:
    return ("rules:\n  wait-for-the-lamp:\n    kind: caution\n    says: Wait until the lamp is bright.\n    when: {lamp: dim}\n    cautions: [hot-parts]\n"
            f"    blocks: {what}\n    source: common-practice\n")


_VALUES = "values: {low: it is low, full: it is full}"
_CIRCLE = """  slow-turning-dims:
    kind: derive
    says: A slow turn goes with a dim lamp.
    when: {turning: slow}
    then: {lamp: dim}
    source: common-practice
"""
_SECOND = """  slow-is-flat:
    kind: evidence
    says: Slow with a dead lamp is a flat battery.
    when: {lamp: dead, turning: slow}
    seen-in: {battery-flat: 40}
    otherwise: 3
    replaces: [dim-and-slow-is-flat]
    source: common-practice
"""
_BRANCHES = "{any: [{lamp: dim}, {lamp: dead}, {turning: slow}]}"
_FAULT = """faults:
  kick-spring-broken:
    need: power
    plain: broken kick spring
    what: The kick does not come back.
    per-1000: [%s]
    repair: {do: Fit a spring., minutes: 60}
    proof: {do: It comes back., when: {turning: quick}}
    source: common-practice
"""

SAMPLES: dict[str, tuple[str, str]] = {
    "file-empty": ("# Nothing but this remark.\n", "# A remark, and an entry.\nparts:\n  bell: {plain: a bell}\n"),
    "yaml-syntax": ("parts:\n  bell: {plain: a bell\n", "parts:\n  bell: {plain: a bell}\n"),
    "alias-used": ("parts:\n  bell: &first {plain: a bell}\n  horn: *first\n", "parts:\n  bell: {plain: a bell}\n  horn: {plain: a horn}\n"),
    "tag-used": ("parts:\n  bell: {plain: !loud a bell}\n", "parts:\n  bell: {plain: \"!loud, a bell\"}\n"),
    "key-not-a-word": ("parts:\n  [bell, horn]: {plain: a bell and a horn}\n", "parts:\n  bell: {plain: a bell}\n  horn: {plain: a horn}\n"),
    "duplicate-key": ("parts:\n  bell: {plain: a bell}\n  bell: {plain: another bell}\n", "parts:\n  bell: {plain: a bell}\n  second-bell: {plain: another bell}\n"),
    "file-shape": ("- bell\n- horn\n", "parts:\n  bell: {plain: a bell}\n  horn: {plain: a horn}\n"),
    "unknown-kind": ("part:\n  bell: {plain: a bell}\n", "parts:\n  bell: {plain: a bell}\n"),
    "id-shape": ("parts:\n  Big_Bell: {plain: a big bell}\n", "parts:\n  big-bell: {plain: a big bell}\n"),
    "entry-shape": ("parts:\n  bell: a bell\n", "parts:\n  bell: {plain: a bell}\n"),
    "duplicate-id": ("tools:\n  multimeter: {plain: a second meter}\n", "tools:\n  second-multimeter: {plain: a second meter}\n"),
    "unknown-key": (_rule().replace("seen-in", "seen_in"), _rule()),
    "missing-key": (_rule().replace("    otherwise: 3\n", ""), _rule()),
    "unknown-word": (_rule(kind="evidense"), _rule()),
    "number-out-of-range": (_rule(seen="{battery-flat: 100}"), _rule(seen="{battery-flat: 99}")),
    "not-a-number": (_access().replace("open: 5", "open: 5 min"), _access()),
    "not-yes-or-no": (_fact(f"many: perhaps, {_VALUES}"), _fact(f"many: yes, {_VALUES}")),
    "not-a-text": ("parts:\n  bell: {plain: [a bell, or two]}\n", "parts:\n  bell: {plain: \"a bell, or two\"}\n"),
    "wrong-shape": (_fact("unit: mm, range: [150]"), _fact("unit: mm, range: [0, 150]")),
    "condition-shape": (_rule(when="a dim lamp"), _rule()),
    "too-many-alternatives": (_rule(when=f"{{all: [{_BRANCHES}, {_BRANCHES}, {_BRANCHES}, {_BRANCHES}]}}"), _rule(when=f"{{all: [{_BRANCHES}, {{turning: slow}}]}}")),
    "unknown-topic": (_rule(when="{lampe: dim, turning: slow}"), _rule()),
    "unknown-value": (_rule(when="{lamp: dimm, turning: slow}"), _rule()),
    "not-a-number-topic": (_rule(when="{lamp: dim, turning: {below: 3}}"), _rule(when="{lamp: dim, battery-voltage: {below: 11}}")),
    "unknown-access": (_access("seat-of"), _access("seat-off")),
    "unknown-caution": (_access(more=", hazards: [battery-shrt]"), _access(more=", hazards: [battery-short]")),
    "unknown-check": (_blocks("{checks: [joint-wigle]}"), _blocks("{checks: [joint-wiggle]}")),
    "unknown-fact": (_limit("manual: manual-volts-most, "), _limit("") + "facts:\n  manual-volts: {about: manual, plain: volts by the manual, unit: V, range: [5, 30]}\n"),
    "unknown-fault": (_rule(seen="{battery-flatt: 60}"), _rule()),
    "unknown-limit": (_check(_reading("volts-lest")), _check(_reading(12))),
    "unknown-need": (_check(_reading(12), need="powr"), _check(_reading(12))),
    "unknown-part": (_fact(f"parts: [kick-start], {_VALUES}"), _fact(f"parts: [kickstart], {_VALUES}")),
    "unknown-rule": (_rule(more="    replaces: [dim-lamp-is-low-vots]\n"), _rule(more="    replaces: [dim-lamp-is-low-volts]\n")),
    "unknown-source": (_rule(source="common-practise"), _rule()),
    "unknown-tool": (_fact(f"tools: [torsh], {_VALUES}"), _fact(f"tools: [multimeter], {_VALUES}")),
    "unknown-computation": (_limit("computed-by: batery.volts, "), _limit("")),
    "access-not-a-tree": (_access("box-out") + "  box-out: {plain: the box out, within: tank-off, open: 5, close: 5, how: Undo its screws.}\n",
                          _access() + "  box-out: {plain: the box out, within: tank-off, open: 5, close: 5, how: Undo its screws.}\n"),
    "fact-without-values": ("facts:\n  oil-level: {about: sign, plain: the oil level}\n", _fact(_VALUES)),
    "range-upside-down": (_fact("unit: mm, range: [150, 0]"), _fact("unit: mm, range: [0, 150]")),
    "bands-out-of-order": (_check(_reading(15, 12)), _check(_reading(12, 15))),
    "prior-only-sometimes": (_FAULT % "{usually: 4, when: {start-by: kick}}", _FAULT % "{usually: 0.1}, {usually: 4, when: {start-by: kick}}"),
    "key-out-of-place": (_derive("{turning: slow}", "    otherwise: 10\n"), _derive("{turning: slow}")),
    "show-one-fault": (_rule("show", seen="{battery-flat: 60, joint-bad: 20}"), _rule("show")),
    "rules-feed-themselves": (_derive("{turning: slow}", _CIRCLE), _derive("{turning: slow}")),
    "replaces-in-a-circle": (_rule(more="    replaces: [slow-is-flat]\n" + _SECOND), _rule(more=_SECOND)),
    "value-has-two-rules": (_about("dim", "{battery-flat: 60}"), _rule()),
    "frequencies-over-100": (_about("bright", "{battery-flat: 60, joint-bad: 40}"), _about("bright", "{battery-flat: 2, joint-bad: 5}")),
}
