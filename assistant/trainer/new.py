"""`tickover knowledge new`: a stub and its case, in the right file, that `check` has nothing to say about.

The sentences of a stub are made of the plain names of what it speaks of, and its numbers are round: both are there to be
replaced. Whatever `check` would complain of is not written at all.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Callable

from assistant.dialogue.think import Mind
from assistant.problems import Problem, nearest
from assistant.rulebook.shapes import ID
from assistant.trainer.case_files import ENDING
from assistant.trainer.casewriter import Draft, case_lines, drafts
from assistant.trainer.homes import OTHERWISE, SEEN, at_most, file_for, file_for_phrase, file_for_rule, has_topic, own_line, room, text_of
from assistant.trainer.layout import flow, scalar, wrapped
from assistant.trainer.lint import essence, inspect
from assistant.trainer.view import View
from assistant.trainer.writing import Writing


class NotWritten(Exception):
    """Nothing was written; the text says why, in one line, and `problems` what `check` would have said."""

    def __init__(self, text: str, problems: tuple[Problem, ...] = ()) -> None:
        super().__init__(text)
        self.problems = problems


@dataclass
class Stub:
    """What was written: the places, and the rules whose cases are wanted."""

    places: list[str] = field(default_factory=list)
    rules: list[str] = field(default_factory=list)


def write(folder: Path, make: Callable[[View, Writing], Stub]) -> Stub:
    """Make a stub and its cases; take all of it back, raising NotWritten, when it brings a complaint that was not there."""
    before = inspect(folder)
    known = {essence(p) for p in before.problems}
    with Writing(folder) as writing:
        stub = make(before.view, writing)
        after = inspect(folder, before)
        new = tuple(p for p in after.problems if essence(p) not in known)
        if new:
            raise NotWritten("nothing is written: check would complain of it", new)
        if stub.rules:
            stub.places += write_cases(after.view, writing, stub.rules)
    return stub


def write_cases(view: View, writing: Writing, rules: list[str]) -> list[str]:
    """Cases for rules, each beside its rule's file; returns their places."""
    made, failed = drafts(view, Mind(view.book), rules)
    if failed:
        raise NotWritten(f"no facts were found under which '{failed[0]}' fires")
    return [place for draft in made for place in [add_case(view, writing, view.book.rules[(draft.fires or draft.silent)[0]].file, draft)]]


def add_case(view: View, writing: Writing, file: str, draft: Draft) -> str:
    """One case at the end of the file of cases that belongs to a knowledge file; returns its place."""
    path = view.path_of(file)
    beside = path.with_name(path.name.removesuffix(".yaml") + ENDING)
    line = writing.add_entry(beside, "cases", case_lines(draft), f"Facts in; which rules of {path.name} fire on them, and which stay silent.")
    return f"{beside}:{line}"


# -- the kinds -----------------------------------------------------------------


def rule(view: View, writing: Writing, options: argparse.Namespace) -> Stub:
    """An evidence rule (or show, rule-out, disturbed) on one or more values."""
    when = [_pair(view, text) for text in options.when]
    for fault in options.fault:
        _known(view.book.faults, fault, "fault")
    _free(view, "rules", options.id)
    if len(when) == 1:
        other = view.book.single.get(when[0][0], {}).get(when[0][1])
        if other:
            entry = view.book.rules[other]
            raise NotWritten(f"'{when[0][0]}: {when[0][1]}' is weighed already by '{other}' at {entry.file}:{entry.line}; add the fault there, or give a second --when")
    signs = " and ".join(view.book.values(t).get(v, v) for t, v in when)
    says = options.says or f"{signs[:1].upper()}{signs[1:]} points at: {', '.join(view.book.faults[f].plain for f in options.fault)}."
    path = file_for_rule(view, [t for t, _ in when], options.fault)
    seen, otherwise = {f: options.seen or SEEN for f in options.fault}, options.otherwise or OTHERWISE
    if len(when) == 1:
        topic, value = when[0]
        seen = {f: options.seen or at_most(SEEN, room(view, topic, value, f)) for f in options.fault}
        rest = [f for f in view.book.faults if f not in options.fault]
        otherwise = options.otherwise or at_most(OTHERWISE, min([room(view, topic, value, f) for f in rest] + [room(view, topic, value, None)]))
    line = writing.add_entry(path, "rules", _rule_lines(options.id, options.kind, says, dict(when), seen, otherwise))
    return Stub([f"{path}:{line}"], [options.id])


def check(view: View, writing: Writing, options: argparse.Namespace) -> Stub:
    """A check with two outcomes, and a rule for each."""
    _known(view.book.needs, options.need, "need")
    _known(view.book.faults, options.fault, "fault")
    _known(view.book.access, options.access, "access state")
    _free(view, "checks", options.id)
    name, fault = options.plain or options.id.replace("-", " "), view.book.faults[options.fault]
    path = file_for(view, "checks", options.need)
    entry = [f"  {options.id}:", f"    need: {options.need}", f"    plain: {scalar(name)}", f"    access: {options.access}", "    minutes: 5",
             f"    hazards: {flow(_usual_hazards(view, options.access))}", "    steps:", f"      - {scalar(name[:1].upper() + name[1:] + '.')}",
             f"    outcomes: {flow({'bad': 'it is not as it should be', 'good': 'it is as it should be'})}", f"    source: {_source(view)}"]
    places = [f"{path}:{writing.add_entry(path, 'checks', entry)}"]
    beside = file_for_rule(view, [], [options.fault])
    rules = {f"{options.id}-bad": ("bad", 60, 10, f"When this is bad, it points at the {fault.plain}: {name}."),
             f"{options.id}-good": ("good", 30, 80, f"When this is good, it speaks against the {fault.plain}: {name}.")}
    for rule_id, (outcome, seen, otherwise, says) in rules.items():
        _free(view, "rules", rule_id)
        line = writing.add_entry(beside, "rules", _rule_lines(rule_id, "evidence", says, {options.id: outcome}, {options.fault: seen}, otherwise))
        places.append(f"{beside}:{line}")
    return Stub(places, list(rules))


def fault(view: View, writing: Writing, options: argparse.Namespace) -> Stub:
    """A fault, weighed by a sign or an outcome that points at it, with a case that it comes out likelier."""
    _known(view.book.needs, options.need, "need")
    _free(view, "faults", options.id)
    topic, value = _pair(view, options.sign)
    name = options.plain or options.id.replace("-", " ")
    path = file_for(view, "faults", options.need)
    tests = topic in view.book.checks
    allowance = "" if tests else "  # allow: fault-without-direct-check, because no check for it is written yet"
    entry = [f"  {options.id}:{allowance}", f"    need: {options.need}", f"    plain: {scalar(name)}", f"    what: {scalar(name[:1].upper() + name[1:] + '.')}",
             "    per-1000:", "      - {usually: 2}", "    repair:", f"      do: {scalar('Put this right: ' + name + '.')}", "      minutes: 15",
             "      cures: 85", f"      renews: [{topic}]", "    proof:", "      do: It starts, and keeps running for a minute.",
             f"      when: {{not: {{{topic}: {value}}}}}", f"    source: {_source(view)}"]
    stub = Stub([f"{path}:{writing.add_entry(path, 'faults', entry)}"])
    if tests:
        _settle(view, writing, topic, options.id)
    other = view.book.single.get(topic, {}).get(value)
    if other:
        file, line, _ = view.at("rules", other, "seen-in")
        writing.add_item(view.path_of(file), line, f"{options.id}: {scalar(at_most(SEEN, room(view, topic, value, None)))}")
        stub.places.append(f"{view.path_of(file)}:{line}")
    else:
        other = f"{options.id}-{value}"
        gloss = view.book.values(topic).get(value, value)
        file_path = file_for_rule(view, [topic], [])
        lines = _rule_lines(other, "evidence", f"{gloss[:1].upper()}{gloss[1:]} points at: {name}.", {topic: value}, {options.id: at_most(SEEN, room(view, topic, value, None))},
                            at_most(OTHERWISE, min(room(view, topic, value, f) for f in [*view.book.faults, None])))
        stub.places.append(f"{file_path}:{writing.add_entry(file_path, 'rules', lines)}")
        stub.rules.append(other)
        file = f"{view.folder.name}/{file_path.relative_to(view.folder).as_posix()}"
    stub.places.append(add_case(view, writing, file, Draft((((topic, value),), ()), raises=[options.id])))
    return stub


def phrase(view: View, writing: Writing, options: argparse.Namespace) -> Stub:
    """One more way to say a value, with a sentence that must be heard as it."""
    topic, value = _pair(view, f"{options.topic}={options.value}")
    from assistant.language.patterns import PatternError, parse

    try:
        sentence = _sentence(parse(options.words, view.book.words))
    except PatternError as error:
        raise NotWritten(f"the phrase does not read: {error}") from error
    old = view.phrased.get((topic, value), [])
    lines = [p for p in old if own_line(view, p.file, p.line)]
    home = max({p.file for p in lines}, key=lambda f: (sum(p.file == f for p in lines), f), default=None)  # where most of them stand
    block = next((p for p in reversed(lines) if p.file == home), None)
    if block is not None:
        path, line = view.path_of(block.file), block.line + 1
        indent = len(text_of(path, block.line)) - len(text_of(path, block.line).lstrip())
        writing.insert(path, line, f"{' ' * indent}- {scalar(options.words)}")
    elif old:
        path, line = view.path_of(old[0].file), old[0].line
        writing.add_item(path, line, scalar(options.words))
    else:
        path = file_for_phrase(view, topic)
        line = writing.add_entry(path, "phrases", [f"  {topic}:", f"    {value}:", f"      - {scalar(options.words)}"]) \
            if not has_topic(path, topic) else _add_value(writing, path, topic, value, options.words)
    beside = path.with_name(path.name.removesuffix(".yaml") + ENDING)
    case = [f"  - says: {scalar(sentence)}", f"    hears: {{{topic}: {scalar(value)}}}"]
    at = writing.add_entry(beside, "cases", case, f"Words in; what is heard in them, by the phrases of {path.name}.")
    return Stub([f"{path}:{line}", f"{beside}:{at}"])


def case(view: View, writing: Writing, options: argparse.Namespace) -> Stub:
    """Cases for rules that have none, or for the rules named."""
    from assistant.trainer.cases import run_folder

    names = list(options.rule)
    for name in names:
        _known(view.book.rules, name, "rule")
    if options.missing:
        without = set(run_folder(Mind(view.book), view.folder).without)
        names += [rule for rule in view.book.rules if rule in without]  # in the order of the files
    if not names:
        raise NotWritten("every rule has its case already" if options.missing else "name a rule, or say --missing")
    return Stub([], list(dict.fromkeys(names)))


# -- helpers -------------------------------------------------------------------


def _rule_lines(rule_id: str, kind: str, says: str, when: dict[str, str], seen: dict[str, float], otherwise: float) -> list[str]:
    return [f"  {rule_id}:", f"    kind: {kind}", f"    says: {scalar(says)}", f"    when: {flow(when)}",
            *wrapped("    seen-in: ", flow(seen), 6), f"    otherwise: {scalar(otherwise)}", "    source: common-practice"]


def _pair(view: View, text: str) -> tuple[str, str]:
    topic, sign, value = text.partition("=")
    if not sign:
        raise NotWritten(f"'{text}' is not TOPIC=VALUE")
    _known({**view.book.facts, **view.book.checks}, topic, "fact or check")
    if value not in view.book.values(topic):
        near = nearest(value, view.book.values(topic))
        raise NotWritten(f"'{topic}' has no value '{value}'" + (f"; did you mean '{near[0]}'?" if near else f"; it has: {', '.join(view.book.values(topic))}"))
    return topic, value


def _known(shelf: Any, name: str, noun: str) -> None:
    if name not in shelf:
        near = nearest(name, shelf)
        raise NotWritten(f"'{name}' is not a {noun}" + (f"; did you mean '{near[0]}'?" if near else ""))


def _free(view: View, kind: str, name: str) -> None:
    if not ID.match(name):
        raise NotWritten(f"'{name}' is not an id: ids are lower-case words joined by hyphens")
    if name in view.book.kind(kind):
        entry = view.book.kind(kind)[name]
        raise NotWritten(f"'{name}' exists already at {entry.file}:{entry.line}")


def _usual_hazards(view: View, access: str) -> list[str]:
    """Hazards that every other check at this place names: a new one starts from them."""
    steps = [set(c.hazards) for c in view.book.checks.values() if c.access == access]
    return sorted(set.intersection(*steps)) if steps else []


def _source(view: View) -> str:
    return "common-practice" if "common-practice" in view.book.sources else next(iter(view.book.sources), "common-practice")


def _settle(view: View, writing: Writing, check_id: str, fault_id: str) -> None:
    file, line, _ = view.at("checks", check_id, "settles")
    if view.book.checks[check_id].settles:
        writing.add_item(view.path_of(file), line, fault_id)
    else:
        file, line, _ = view.at("checks", check_id, "need")
        writing.insert(view.path_of(file), line + 1, f"    settles: [{fault_id}]")


def _sentence(items: list) -> str:
    """The plainest sentence a pattern hears."""
    return " ".join(word for alternatives, optional in items if alternatives is not None and not optional
                    for word in min(alternatives, key=lambda a: (len(a), a))).replace("#", "12")


def _add_value(writing: Writing, path: Path, topic: str, value: str, words: str) -> int:
    lines = path.read_text(encoding="utf-8").splitlines()
    at = next(i for i, line in enumerate(lines) if line.rstrip() == f"  {topic}:") + 2
    writing.insert(path, at, f"    {value}:")
    writing.insert(path, at + 1, f"      - {scalar(words)}")
    return at + 1


KINDS: dict[str, Callable[[View, Writing, argparse.Namespace], Stub]] = {
    "rule": rule, "check": check, "fault": fault, "phrase": phrase, "case": case}


def new_command(folder: Path, options: argparse.Namespace) -> int:
    """The command. Exit status 0 when something was written, else 1."""
    try:
        stub = write(folder, lambda view, writing: KINDS[options.kind_of](view, writing, options))
    except NotWritten as error:
        for problem in error.problems:
            print(problem.text(), file=sys.stderr)
        print(f"tickover knowledge new: {error}.", file=sys.stderr)
        return 1
    for place in stub.places:
        print(place)
    return 0
