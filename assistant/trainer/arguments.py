"""The arguments of `tickover knowledge`, and which module answers each. Imports nothing that takes time."""

from __future__ import annotations

import argparse
from typing import Any


def add_to(actions: Any, common: argparse.ArgumentParser) -> None:
    """All actions, as sub-commands."""
    _looking(actions, common)
    _checking(actions, common)
    _writing(actions, common)
    _conversations(actions, common)


def _add(actions: Any, common: argparse.ArgumentParser, name: str, help_: str, json: bool = False) -> argparse.ArgumentParser:
    made = actions.add_parser(name, parents=[common], help=help_, description=help_[:1].upper() + help_[1:] + ".")
    if json:
        made.add_argument("--json", action="store_true", help="print one JSON value for other programs")
    return made


def _looking(actions: Any, common: argparse.ArgumentParser) -> None:
    listing = _add(actions, common, "list", "list the entries of every kind", json=True)
    listing.add_argument("kind", nargs="?", help="only this kind")
    show = _add(actions, common, "show", "show one entry, where it is used and what lies around it")
    show.add_argument("id")


def _checking(actions: Any, common: argparse.ArgumentParser) -> None:
    check = _add(actions, common, "check", "say everything that is wrong with the files", json=True)
    check.add_argument("path", nargs="*", metavar="PATH", help="report on these files only, or read this folder instead")
    check.add_argument("--strict", action="store_true", help="warnings fail too")
    check.add_argument("--mend", action="store_true", help="carry out the mends that need no judgement; comments and layout stay")
    check.add_argument("--explain", metavar="CODE", help="what a code means, with a bad and a good sample; 'list' shows all codes")
    _add(actions, common, "cases", "run the cases beside the rules", json=True)


def _writing(actions: Any, common: argparse.ArgumentParser) -> None:
    new = actions.add_parser("new", help="write a stub and its case that pass check")
    kinds = new.add_subparsers(dest="kind_of", metavar="kind", required=True)
    rule = _add(kinds, common, "rule", "a rule that weighs faults by one or more values")
    rule.add_argument("id")
    rule.add_argument("--when", action="append", required=True, metavar="TOPIC=VALUE", help="what must hold; may be repeated")
    rule.add_argument("--fault", action="append", required=True, metavar="FAULT", help="a fault it speaks of; may be repeated")
    rule.add_argument("--kind", choices=("evidence", "show", "rule-out", "disturbed"), default="evidence")
    rule.add_argument("--seen", type=float, metavar="N", help="of 100 machines with the fault, how many show it (default 40, or what fits)")
    rule.add_argument("--otherwise", type=float, metavar="N", help="and of 100 of all the others (default 10, or what fits)")
    rule.add_argument("--says", metavar="TEXT", help="the sentence that is shown")
    check = _add(kinds, common, "check", "a check with two outcomes and a rule for each")
    check.add_argument("id")
    check.add_argument("--need", required=True)
    check.add_argument("--fault", required=True, metavar="FAULT", help="the fault that its outcomes speak of")
    check.add_argument("--access", default="none", metavar="STATE", help="what must be open for it (default none)")
    check.add_argument("--plain", metavar="TEXT", help="its name in plain words")
    fault = _add(kinds, common, "fault", "a fault, weighed by one sign or outcome")
    fault.add_argument("id")
    fault.add_argument("--need", required=True)
    fault.add_argument("--sign", required=True, metavar="TOPIC=VALUE", help="a sign or outcome that points at it; a check becomes its direct test")
    fault.add_argument("--plain", metavar="TEXT", help="its name in plain words")
    phrase = _add(kinds, common, "phrase", "one more way to say a value")
    phrase.add_argument("topic")
    phrase.add_argument("value")
    phrase.add_argument("words", help="the phrase, in the small pattern language")
    case = _add(kinds, common, "case", "cases for rules, made from their conditions")
    case.add_argument("rule", nargs="*")
    case.add_argument("--missing", action="store_true", help="for every rule that no case fires yet")


def _conversations(actions: Any, common: argparse.ArgumentParser) -> None:
    files = {"nargs": "*", "metavar": "FILE", "help": "conversation files or folders of them; without any, those of the checkout"}
    replay = _add(actions, common, "replay", "go through recorded conversations and say what came out differently", json=True)
    replay.add_argument("files", **files)
    replay.add_argument("--accept", action="store_true", help="show each difference and ask before its expectation is rewritten")
    replay.add_argument("--strict", action="store_true", help="things heard that no expectation names count as differences too")
    coverage = _add(actions, common, "coverage", "what no conversation exercises", json=True)
    coverage.add_argument("files", **files)
    coverage.add_argument("--floor", action="append", default=[], metavar="[KIND=]PERCENT", help="fail below this share; of one kind, or of each")
    coverage.add_argument("--all", action="store_true", help="list everything that is not exercised, not the first few")
    coverage.add_argument("--cases", action="store_true", help="count the cases beside the rules too")
    compare = _add(actions, common, "compare", "what changes between two versions of the files", json=True)
    compare.add_argument("old", metavar="OLD", help="a knowledge folder")
    compare.add_argument("new", metavar="NEW", help="another")
    compare.add_argument("files", **files)
    record = _add(actions, common, "record", "make a conversation file of a chat's log, with what happened as its expectations")
    record.add_argument("log", metavar="LOG", help="the log's file, or the number of an earlier conversation")
    record.add_argument("file", metavar="FILE", help="where to write it; never overwritten")
    learn = _add(actions, common, "learn", "propose frequencies from confirmed cases, as a patch; nothing is written", json=True)
    learn.add_argument("file", metavar="FILE", help="confirmed cases, one JSON object a line")
    learn.add_argument("--strength", type=float, default=20, metavar="N", help="how many machines the present numbers count for (default 20)")
    learn.add_argument("--least", type=int, default=5, metavar="N", help="confirmed cases needed before a number is touched (default 5)")
