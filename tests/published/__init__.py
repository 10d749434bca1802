"""Values from outside. Each assertion names its row (BAT-01) and its source beside it.

"Derived" means worked out from a stated formula by another route; "from memory" that no public source was seen. Tolerances are
ours, chosen from the spread between sources.
"""
