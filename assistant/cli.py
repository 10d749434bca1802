"""The command line: arguments and exit status. Each part is imported only when it is asked for."""

from __future__ import annotations

import argparse
import sys
from typing import Any, Sequence

OK, USAGE, KNOWLEDGE, OTHER = 0, 2, 3, 1


def parser() -> argparse.ArgumentParser:
    """All commands with their help."""
    common = argparse.ArgumentParser(add_help=False)
    common.add_argument("--knowledge", metavar="DIR", default=argparse.SUPPRESS, help="read the knowledge files from DIR instead of the installed ones")
    rate = {"action": "append", "metavar": "NAME=NUMBER", "help": "a number of the settings, such as workshop-minutes=200, for this run; may be repeated"}
    common.add_argument("--set", dest="rates", default=argparse.SUPPRESS, **rate)
    top = argparse.ArgumentParser(prog="tickover", description="Find out why a motorcycle will not start or will not keep running. "
                                  "Without a command, opens the chat.")
    top.add_argument("--knowledge", metavar="DIR", help="read the knowledge files from DIR instead of the installed ones")
    top.add_argument("--set", dest="rates", **rate)
    top.add_argument("--version", action="store_true", help="print the version and stop")
    commands = top.add_subparsers(dest="command", metavar="command")
    ask = commands.add_parser("ask", parents=[common], help="read messages, one per line, and answer once after the last",
                              description="Reads one message per line from standard input, or the arguments as messages, and answers after the last.")
    ask.add_argument("message", nargs="*", help="messages; without any, lines of standard input")
    ask.add_argument("--json", action="store_true", help="print one JSON object instead of plain text")
    ask.add_argument("--machine", action="append", default=[], metavar="FACT=VALUE", help="a fact about the machine, such as start-by=kick; may be repeated")
    resume = commands.add_parser("resume", parents=[common], help="go on with an earlier conversation")
    resume.add_argument("name", nargs="?", help="which conversation; without it, the last one")
    commands.add_parser("past", parents=[common], help="list earlier conversations, one line each")
    keep = commands.add_parser("export", parents=[common], help="copy a conversation's log to a file")
    keep.add_argument("name")
    keep.add_argument("file")
    drop = commands.add_parser("delete", parents=[common], help="delete a conversation's log")
    drop.add_argument("name")
    sheet = commands.add_parser("sheet", parents=[common], help="write a conversation's job sheet for a workshop",
                                description="Writes the job sheet as Markdown, or as a page to print; to the output where no file is named.")
    sheet.add_argument("name", help="which conversation, or an exported log")
    sheet.add_argument("--html", action="store_true", help="a self-contained page to print, not Markdown")
    sheet.add_argument("file", nargs="?", help="a new file; a name that ends in .html is a page")
    beside = commands.add_parser("compare", parents=[common], help="show two conversations side by side")
    beside.add_argument("first", metavar="name")
    beside.add_argument("second", metavar="name")
    knowledge = commands.add_parser("knowledge", help="look at and check the knowledge files")
    actions = knowledge.add_subparsers(dest="action", metavar="action", required=True)
    from assistant.trainer import arguments

    arguments.add_to(actions, common)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; returns the exit status: 0 success, 1 another failure, 2 bad usage, 3 bad knowledge files."""
    import gc

    from assistant.harmless import output

    gc.set_threshold(100_000, 20, 50)  # rules and phrases are many small objects that stay: looking through them again and again costs a third of a start
    with output("stderr"):
        return _guarded(arguments)


def _guarded(arguments: Sequence[str] | None) -> int:
    try:
        return _run(parser().parse_args(arguments))
    except BrokenPipeError:
        import os

        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # the reader left; nothing more to say
        return OTHER
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return 130


def _run(options: argparse.Namespace) -> int:
    if options.version:
        from importlib.metadata import PackageNotFoundError, version

        try:
            print(f"tickover {version('tickover')}")
        except PackageNotFoundError:
            print("tickover (not installed)")
        return OK
    if getattr(options, "rates", None):
        import os

        from assistant.rulebook.rates import VARIABLE

        os.environ[VARIABLE] = ",".join(options.rates)
    if options.command in (None, "resume"):  # the chat draws on the terminal itself
        return _chosen(options)
    from assistant.harmless import output

    with output("stdout"):
        return _chosen(options)


def _chosen(options: argparse.Namespace) -> int:
    from assistant.problems import KnowledgeError

    try:
        if options.command == "ask":
            from assistant.asking import ask_command

            return ask_command(options)
        if options.command == "knowledge":
            from assistant.trainer.commands import knowledge_command

            options.draw = drawn
            return knowledge_command(options)
        if options.command in ("sheet", "compare"):
            from assistant.chat.reopen import replay
            from assistant.sheet import command

            return (command.sheet_command if options.command == "sheet" else command.compare_command)(options, replay)
        if options.command in ("past", "export", "delete"):
            from assistant.chat.past import past_command

            return past_command(options)
        from assistant.chat.app import run

        return run(options.knowledge, getattr(options, "name", None) or ("" if options.command == "resume" else None))
    except KnowledgeError as error:
        print_problems(error)
        return KNOWLEDGE


def drawn(mind: Any, state: Any, thinking: Any, answer: Any, width: int) -> str:
    """An answer as the chat draws it at a width, for conversation files that expect a whole screen."""
    from assistant.chat.screen import Marks, View, compose, to_text
    from assistant.dialogue.cards import points

    picture = points(mind.book, thinking) if answer.kind in ("next", "question", "repair", "workshop") else []
    pending = state.pending
    return to_text(compose(list(answer.lines), picture, View(width), answer.kind, Marks(len(pending.choices) if pending is not None else None)))


def print_problems(error: Exception) -> None:
    """Every complaint on standard error, then how many there are."""
    problems = getattr(error, "problems", [])
    for problem in problems:
        print(problem.text(), file=sys.stderr)
    print(f"{error}; mend {'it' if len(problems) == 1 else 'them'} and try again.", file=sys.stderr)


if __name__ == "__main__":
    sys.exit(main())
