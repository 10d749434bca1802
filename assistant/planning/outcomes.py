"""What is believed after each outcome of a question or a check. This is reckoned hundreds of times for one step, so only what moves is touched."""

from __future__ import annotations

from assistant.planning.predict import Prediction
from assistant.planning.rank import further


def after_each(belief: dict[str, float], rest: float, prediction: Prediction,
               strong: dict[tuple[str, str], float]) -> list[tuple[str, float, dict[str, float], float]]:
    """For each outcome: its chance, and the belief and rest after it."""
    result = []
    total, everything = 0.0, rest + sum(belief.values())
    for i, outcome in enumerate(prediction.outcomes):
        usual = prediction.usual[i]
        chance = everything * usual
        for fault, share in prediction.given[i].items():  # only what differs from the usual: most faults have no say in an outcome
            if fault in belief:
                chance += belief[fault] * (share - usual)
        total += chance
        if chance <= 1e-4:
            continue
        ratio, aspect = prediction.ratio[i], prediction.aspect[i]
        if not ratio:
            result.append((outcome, chance, belief, rest))
            continue
        moved = {}
        for fault, factor in ratio.items():
            if fault in belief:
                if aspect is not None and (aspect, fault) in strong:
                    old = strong[aspect, fault]
                    factor = factor / old if further(factor, old) else 1.0
                moved[fault] = belief[fault] * factor
        whole = everything + sum([mass - belief[fault] for fault, mass in moved.items()])
        scale = 1 / whole
        new = {fault: mass * scale for fault, mass in belief.items()}
        for fault, mass in moved.items():
            new[fault] = mass * scale
        result.append((outcome, chance, new, rest * scale))
    return [(o, c / total, b, r) for o, c, b, r in result]
