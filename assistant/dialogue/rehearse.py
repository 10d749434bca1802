"""Getting a Mind ready for a conversation: everything is compiled, and what stays is not gone through for garbage again and again."""

from __future__ import annotations

import gc

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind

_OFTEN = (1_000, 5, 3)


def rehearse(mind: Mind) -> None:
    """One message to nobody: whatever is compiled at its first use is compiled now. Then see to the garbage."""
    try:
        Case(mind).say("it will not start")
    except Exception:
        pass  # a fault in answering shows at a real message, where it can be told about
    _settle()


def _settle() -> None:
    """Rules and phrases are hundreds of thousands of small objects that stay. The collector leaves them alone from now on, and so can
    look often through the little that a turn makes: a turn's look ahead is let go of at once, and no turn waits for a look at everything.

    Of files that were read anew, the old ones are let go of at the next time.
    """
    if gc.get_freeze_count():
        gc.unfreeze()
        gc.collect()
    gc.freeze()
    gc.set_threshold(*_OFTEN)
