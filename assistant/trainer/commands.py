"""`tickover knowledge ...`: each action's module, imported when it is asked for."""

from __future__ import annotations

import argparse
import sys

from assistant.rulebook.find import knowledge_folder


def knowledge_command(options: argparse.Namespace) -> int:
    """Run one of the knowledge actions; returns the exit status. KnowledgeError is the caller's."""
    folder = knowledge_folder(options.knowledge)
    action = options.action
    if action in ("list", "show"):
        from assistant.trainer.listing import looking_command

        return looking_command(folder, options)
    if action == "check":
        from assistant.trainer.checking import check_command

        return check_command(folder, options)
    if action == "cases":
        from assistant.trainer.cases import cases_command

        return cases_command(folder, options)
    if action == "new":
        from assistant.trainer.new import new_command

        return new_command(folder, options)
    if action == "replay":
        from assistant.trainer.replaying import replay_command

        return replay_command(folder, options)
    if action == "coverage":
        from assistant.trainer.coverage import coverage_command

        return coverage_command(folder, options)
    if action == "compare":
        from assistant.trainer.compare import compare_command

        return compare_command(options)
    if action == "record":
        from assistant.trainer.record import record_command

        return record_command(folder, options)
    if action == "learn":
        from assistant.trainer.learn import learn_command

        return learn_command(folder, options)
    print(f"tickover knowledge: no action '{action}'", file=sys.stderr)
    return 2
