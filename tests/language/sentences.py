"""Sentences with what they state of this machine now, and what they only seem to state. Used by the tests and by the comparison of layers."""

# (text, a fact it states or None, a fact it does not state or None)
SCOPED = [
    ("no spark but it is clicking", ("starter-sound", "single-click"), None),
    ("it cranks fine but it will not fire", ("firing", "none"), ("cranking", "none")),
    ("if I hold the throttle open it backfires", ("backfire", "exhaust"), None),
    ("if the tank is empty it will not start", None, ("fuel-level", "empty")),
    ("could it be that the engine is seized?", None, ("engine-turns", "locked")),
    ("is the tank empty?", None, ("fuel-level", "empty")),
    ("my mate's bike was seized solid", None, ("engine-turns", "locked")),
    ("it feels as if the tank was empty", None, ("fuel-level", "empty")),
    ("I am going to fit new plugs", None, ("recent-work", "plugs-replaced")),
    ("it used to backfire, now nothing", None, ("backfire", "exhaust")),
    ("the previous owner rebuilt the carbs years ago", None, ("recent-work", "carburettor-cleaned")),
    ("swapped the CDI for another one, no change", None, ("recent-work", "ignition-module")),
    ("the oil light is not on and it does not smoke", None, ("exhaust-smoke", "some")),
    ("Fuel? Plenty. Spark? None. It cranks without trouble", ("fuel-level", "plenty"), None),
    ("the tank is not empty", None, ("fuel-level", "empty")),
    ("the engine is not seized", None, ("engine-turns", "locked")),
    ("it has never ever backfired through the exhaust", None, ("backfire", "exhaust")),
    ("not only does it backfire, it kicks back as well", ("backfire", "exhaust"), None),
    ("my other bike had a seized engine", None, ("engine-turns", "locked")),
    ("they advised me to clean the carbs", None, ("recent-work", "carburettor-cleaned")),
    ("Washed it? No.", None, ("recent-work", "washed")),
    ("Does it turn over? No.", ("cranking", "none"), ("cranking", "normal")),
    ("unless the battery is flat it cranks normally", ("cranking", "normal"), None),
]
