"""Whether a limit's `computed-by` names a function of assistant/trade, and takes the arguments that `given` names."""

from __future__ import annotations

import ast
from functools import lru_cache
from pathlib import Path
from typing import Iterable

from assistant.problems import nearest, quoted
from assistant.rulebook.shapes import near_text

_TRADE = Path(__file__).resolve().parent.parent / "trade"


def trouble(name: str, given: Iterable[str]) -> str | None:
    """One sentence on what is wrong with `module.function`, None when nothing is. The modules are read, not run."""
    module, _, function = name.partition(".")
    functions = _functions(module) if module.isidentifier() else None
    if functions is None:
        near = nearest(module, [path.stem for path in _TRADE.glob("*.py") if not path.stem.startswith("_")])
        return f"{quoted(name)} names no module of computations.{near_text(near)}"
    if function not in functions:
        near = nearest(function, functions)
        return f"{quoted(name)} names no computation of '{module}'.{near_text(near)}"
    odd = [argument for argument in given if argument not in functions[function]]
    if odd:
        return f"'{name}' has no argument {', '.join(quoted(a) for a in odd)}; it takes {', '.join(functions[function]) or 'none'}."
    return None


@lru_cache(None)
def _functions(module: str) -> dict[str, tuple[str, ...]] | None:
    path = _TRADE / f"{module}.py"
    try:
        tree = ast.parse(path.read_text(encoding="utf-8"))
    except (OSError, SyntaxError, ValueError):
        return None
    return {node.name: tuple(a.arg for a in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs))
            for node in tree.body if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")}


