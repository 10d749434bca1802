"""The command line: arguments and exit status. Each part is imported only when it is asked for."""

from __future__ import annotations

import argparse
import sys
from typing import Sequence

OK, USAGE, KNOWLEDGE, OTHER = 0, 2, 3, 1


def parser() -> argparse.ArgumentParser:
    """All commands with their help."""
    common = argparse.ArgumentParser(add_help=False)
    common.add_argument("--knowledge", metavar="DIR", help="read the knowledge files from DIR instead of the installed ones")
    top = argparse.ArgumentParser(prog="tickover", parents=[common], description="Find out why a motorcycle will not start or will not keep running. "
                                  "Without a command, opens the chat.")
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
    knowledge = commands.add_parser("knowledge", help="look at and check the knowledge files")
    actions = knowledge.add_subparsers(dest="action", metavar="action", required=True)
    listing = actions.add_parser("list", parents=[common], help="list the entries of every kind")
    listing.add_argument("--json", action="store_true", help="print one JSON object: kind to a list of entries")
    listing.add_argument("kind", nargs="?", help="only this kind")
    show = actions.add_parser("show", parents=[common], help="show one entry and where it is used")
    show.add_argument("id")
    check = actions.add_parser("check", parents=[common], help="say everything that is wrong with the files")
    check.add_argument("--json", action="store_true", help="print the complaints as JSON")
    check.add_argument("--strict", action="store_true", help="warnings fail too")
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; returns the exit status: 0 success, 1 another failure, 2 bad usage, 3 bad knowledge files."""
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
    from assistant.problems import KnowledgeError

    try:
        if options.command == "ask":
            from assistant.asking import ask_command

            return ask_command(options)
        if options.command == "knowledge":
            from assistant.trainer.listing import knowledge_command

            return knowledge_command(options)
        if options.command in ("past", "export", "delete"):
            from assistant.chat.past import past_command

            return past_command(options)
        from assistant.chat.app import run

        return run(options.knowledge, getattr(options, "name", None) or ("" if options.command == "resume" else None))
    except KnowledgeError as error:
        print_problems(error)
        return KNOWLEDGE


def print_problems(error: Exception) -> None:
    """Every complaint on standard error, then how many there are."""
    problems = getattr(error, "problems", [])
    for problem in problems:
        print(problem.text(), file=sys.stderr)
    print(f"{error}; mend {'it' if len(problems) == 1 else 'them'} and try again.", file=sys.stderr)


if __name__ == "__main__":
    sys.exit(main())
