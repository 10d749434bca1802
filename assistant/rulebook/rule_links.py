"""Rules: the keys each kind may have, the names they use, and rules that chase one another round in a circle."""

from __future__ import annotations

from assistant.problems import article
from assistant.rulebook.checker import Checker
from assistant.rulebook.models import Rule
from assistant.rulebook.source import Path_, Source
from assistant.rulebook.strata import loops

_NEEDED = {  # kind of rule -> keys it must have; all the other kind-bound keys are out of place
    "evidence": {"seen_in", "otherwise"}, "show": {"seen_in", "otherwise"}, "rule-out": {"seen_in", "otherwise"},
    "disturbed": {"seen_in", "otherwise"}, "derive": {"then"}, "applies": set(), "caution": set(),
}
_ALLOWED = {
    "evidence": {"aspect", "replaces"}, "show": {"aspect", "replaces"}, "rule-out": {"aspect", "replaces"},
    "disturbed": {"how", "aspect", "replaces"}, "derive": set(), "applies": {"lacks", "has"},
    "caution": {"cautions", "blocks", "until", "quiet", "alarm"},
}
_ONE_OF = {"applies": ("lacks", "has"), "caution": ("cautions", "blocks", "alarm")}
_BOUND = {"seen_in", "otherwise", "then", "aspect", "replaces", "how", "lacks", "has", "cautions", "blocks", "until", "quiet", "alarm"}


def check(checker: Checker) -> None:
    """Complain about single rules, then about rules together."""
    for rule in checker.book.rules.values():
        source, path = checker.places["rules", rule.id]
        _keys(rule, source, path)
        _names(checker, rule, source, path)
    _circles(checker)


def _keys(rule: Rule, source: Source, path: Path_) -> None:
    given = rule.model_fields_set & _BOUND
    for key in sorted(_NEEDED[rule.kind]):
        if not getattr(rule, key):
            name = key.replace("_", "-")
            place = (*path, name) if key in given else path
            source.complain(place, "missing-key", f"{article(rule.kind).capitalize()} rule needs '{name}'{', and it is empty' if key in given else ''}.",
                            f"add {name}:, or change the kind.")
    for key in sorted(given - _NEEDED[rule.kind] - _ALLOWED[rule.kind]):
        name = key.replace("_", "-")
        source.complain((*path, name), "key-out-of-place", f"'{name}' has no meaning in {article(rule.kind)} rule.", "remove it, or change the kind.")
    either = _ONE_OF.get(rule.kind)
    if either and not any(getattr(rule, key) for key in either):
        names, keys = " or ".join(f"'{key}'" for key in either), " or ".join(f"{key}:" for key in either)
        source.complain(path, "missing-key", f"{article(rule.kind).capitalize()} rule needs {names}.", f"add {keys}.")
    if rule.kind == "show" and len(rule.seen_in) > 1:
        source.complain((*path, "seen-in"), "show-one-fault", f"A show rule shows one fault; this one lists {len(rule.seen_in)}.",
                        "keep the fault it shows; use kind evidence where several explain the outcome.")


def _names(checker: Checker, rule: Rule, source: Source, path: Path_) -> None:
    book = checker.book
    for tail, names, shelf, noun in (
        (("seen-in",), rule.seen_in, "faults", "fault"), (("how",), rule.how, "faults", "fault"),
        (("lacks",), rule.lacks, "parts", "part"), (("has",), rule.has, "parts", "part"),
        (("cautions",), rule.cautions, "cautions", "caution"), (("replaces",), rule.replaces, "rules", "rule"),
        (("source",), rule.source, "sources", "source"),
    ):
        checker.ids("rules", rule.id, tail, names, shelf, noun)
    if rule.blocks:
        checker.ids("rules", rule.id, ("blocks", "hazards"), rule.blocks.hazards, "cautions", "caution")
        checker.ids("rules", rule.id, ("blocks", "checks"), rule.blocks.checks, "checks", "check")
        checker.ids("rules", rule.id, ("blocks", "repairs"), rule.blocks.repairs, "faults", "fault")
    for topic, value in rule.then.items():
        place = (*path, "then", topic)
        if checker.topic(source, place, topic):
            checker.values(source, place, topic, [value])
    if rule.id in book.conditions:
        checker.condition("rules", rule.id, ("when",), book.conditions[rule.id])


def _circles(checker: Checker) -> None:
    book = checker.book
    for loop in loops(book):
        source, path = checker.places["rules", loop[0]]
        if len(loop) == 1:
            what = f"'{loop[0]}' feeds itself: its condition waits for what it concludes."
        else:
            named = ", ".join(f"'{r}' ({book.rules[r].file}:{book.rules[r].line})" for r in loop)
            what = f"These {len(loop)} rules feed one another round in a circle: {named}."
        source.complain(path, "rules-feed-themselves", what, "let one of them start from something that was said, not from what the others conclude.")
    for rule in book.rules.values():
        source, path = checker.places["rules", rule.id]
        for index, other in enumerate(rule.replaces):
            if other == rule.id or other in book.rules and rule.id in book.rules[other].replaces and rule.id < other:
                them = "itself" if other == rule.id else f"'{other}' ({book.rules[other].file}:{book.rules[other].line}), which replaces it"
                place = (*path, "replaces", index)
                source.complain(place if place in source.marks else (*path, "replaces"), "replaces-in-a-circle",
                                f"'{rule.id}' replaces {them}; so neither would count." if other != rule.id else f"'{rule.id}' replaces itself, so it would never count.",
                                "keep the name in the rule that says more, and remove the other.")
