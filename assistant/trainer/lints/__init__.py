"""The lints: each module is one question a reviewer asks of the files.

A lint has CODE (its name, for good), LEVEL (error | warning), a docstring whose first paragraph says what is wrong and
which carries a Bad and a Good sample, and `check(view)`, which yields findings. It is listed here; nothing is discovered.
"""

from __future__ import annotations

from types import ModuleType


def all_lints() -> tuple[ModuleType, ...]:
    """Every lint, in the order of their codes. Imported only when asked for."""
    from assistant.trainer.lints import (aspect_used_once, caution_missing_for_hazard, check_changes_nothing, fact_changes_nothing,
                                         fact_nobody_can_state, fault_without_direct_check, id_renamed_in_one_place, phrase_claims_two_values,
                                         phrase_does_not_read, phrase_shadowed, rule_denies_its_condition, rule_unreachable, rules_contradict,
                                         rules_say_the_same, source_missing, source_never_cited, value_never_asked)

    return (aspect_used_once, caution_missing_for_hazard, check_changes_nothing, fact_changes_nothing, fact_nobody_can_state,
            fault_without_direct_check, id_renamed_in_one_place, phrase_claims_two_values, phrase_does_not_read, phrase_shadowed,
            rule_denies_its_condition, rule_unreachable, rules_contradict, rules_say_the_same, source_missing, source_never_cited, value_never_asked)
