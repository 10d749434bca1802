"""What the generic fault codes that matter for a no-start concern: data only, in our own words.

Each row: code -> (what it says in plain words, need it belongs to, parts it concerns). Needs and parts are ids of the
knowledge files. Source: an open-source engine control program's list of generic codes; not checked against the
paid standard. A code names a circuit, never a part: its wire and plug come first.
"""

from __future__ import annotations

Row = tuple[str, str, tuple[str, ...]]
_SENSORS = ("engine-management",)

ROWS: dict[str, Row] = {
    "P0087": ("fuel pressure too low", "fuel", ("fuel-pump",)),
    "P0105": ("intake or air pressure sensor, its circuit", "fuel", _SENSORS),
    "P0107": ("intake or air pressure sensor reads too low", "fuel", _SENSORS),
    "P0108": ("intake or air pressure sensor reads too high", "fuel", _SENSORS),
    "P0110": ("intake air temperature sensor, its circuit", "fuel", _SENSORS),
    "P0112": ("intake air temperature sensor reads too low", "fuel", _SENSORS),
    "P0113": ("intake air temperature sensor reads too high", "fuel", _SENSORS),
    "P0115": ("engine temperature sensor, its circuit", "fuel", _SENSORS),
    "P0117": ("engine temperature sensor reads too low", "fuel", _SENSORS),
    "P0118": ("engine temperature sensor reads too high", "fuel", _SENSORS),
    "P0120": ("throttle position sensor, its circuit", "fuel", _SENSORS),
    "P0122": ("throttle position sensor reads too low", "fuel", _SENSORS),
    "P0123": ("throttle position sensor reads too high", "fuel", _SENSORS),
    "P0130": ("oxygen sensor in the exhaust, its circuit", "fuel", _SENSORS),
    "P0171": ("the mixture is too lean", "fuel", ("injector", "fuel-pump")),
    "P0172": ("the mixture is too rich", "fuel", ("injector", "fuel-pump")),
    "P0200": ("injector, its circuit", "fuel", ("injector",)),
    "P0230": ("fuel pump, the switching side of its relay", "fuel", ("fuel-pump",)),
    "P0231": ("fuel pump feed too low", "fuel", ("fuel-pump",)),
    "P0232": ("fuel pump feed too high", "fuel", ("fuel-pump",)),
    "P0300": ("misfires, no one cylinder", "spark", ("spark-plug", "ignition-coil", "injector")),
    "P0335": ("crank sensor, its circuit", "spark", ("pickup",)),
    "P0336": ("crank sensor signal does not make sense", "spark", ("pickup",)),
    "P0337": ("crank sensor signal too low", "spark", ("pickup",)),
    "P0338": ("crank sensor signal too high", "spark", ("pickup",)),
    "P0339": ("crank sensor signal comes and goes", "spark", ("pickup",)),
    "P0340": ("cam sensor, its circuit", "spark", ("pickup", "valves")),
    "P0350": ("ignition coil, its circuit", "spark", ("ignition-coil",)),
    "P0505": ("idle control", "air", ("idle-valve",)),
    "P0512": ("the request of the starter button, its circuit", "cranking", ("starter-motor",)),
    "P0513": ("the key is not the right one for the immobiliser", "rider", ("immobiliser",)),
    "P0560": ("system voltage", "power", ("battery", "charging-system")),
    "P0561": ("system voltage unsteady", "power", ("battery", "charging-system")),
    "P0562": ("system voltage too low", "power", ("battery", "charging-system")),
    "P0563": ("system voltage too high", "power", ("battery", "charging-system")),
    "P0601": ("control unit: its memory does not add up", "spark", ("engine-management",)),
    "P0602": ("control unit: not programmed right", "spark", ("engine-management",)),
    "P0603": ("control unit: lost what it keeps while the key is off", "power", ("engine-management", "battery")),
    "P0604": ("control unit: working memory", "spark", ("engine-management",)),
    "P0605": ("control unit: fixed memory", "spark", ("engine-management",)),
    "P0606": ("control unit: processor", "spark", ("engine-management",)),
    "P0615": ("starter relay, its circuit", "cranking", ("starter-motor",)),
    "P0616": ("starter relay circuit too low", "cranking", ("starter-motor",)),
    "P0617": ("starter relay circuit too high", "cranking", ("starter-motor",)),
    "P0620": ("alternator control, its circuit", "power", ("charging-system",)),
    "P0627": ("fuel pump control, wire open", "fuel", ("fuel-pump",)),
    "P0628": ("fuel pump control too low", "fuel", ("fuel-pump",)),
    "P0629": ("fuel pump control too high", "fuel", ("fuel-pump",)),
    "P0633": ("the immobiliser does not know this key", "rider", ("immobiliser",)),
    "P0641": ("supply of the sensors, wire open", "fuel", _SENSORS),
    "P0642": ("supply of the sensors too low", "fuel", _SENSORS),
    "P0643": ("supply of the sensors too high", "fuel", _SENSORS),
    "P0685": ("main relay of the control unit, its control wire open", "power", ("engine-management",)),
    "P0686": ("main relay of the control unit, control too low", "power", ("engine-management",)),
    "P0687": ("main relay of the control unit, control too high", "power", ("engine-management",)),
}
for _number in range(1, 5):
    ROWS[f"P020{_number}"] = (f"injector of cylinder {_number}, its circuit", "fuel", ("injector",))
    ROWS[f"P030{_number}"] = (f"misfires in cylinder {_number}", "spark", ("spark-plug", "ignition-coil", "injector"))
    ROWS[f"P035{_number}"] = (f"ignition coil {'ABCD'[_number - 1]}, primary or secondary circuit", "spark", ("ignition-coil",))

# Third character of a generic powertrain code (P0 and the digit).
SUBJECTS = {
    "0": "fuel, air and auxiliary emission controls",
    "1": "fuel and air metering",
    "2": "injector circuits",
    "3": "ignition and misfires",
    "4": "auxiliary emission controls",
    "5": "vehicle speed and idle control",
    "6": "control unit and its outputs",
    "7": "transmission",
}
SYSTEMS = {"P": "engine and drive", "C": "brakes, wheels and frame", "B": "body and instruments", "U": "talk between control units"}
# Second character: who defined the code.
OWNERS = {
    "P": ("public", "maker", "public", "maker or reserved"),
    "C": ("public", "maker", "maker", "reserved"),
    "B": ("public", "maker", "maker", "reserved"),
    "U": ("public", "maker", "maker", "maker or reserved"),
}
