"""Numbers with their units as people type them, and numbers that are prices, times, distances or years instead."""

from __future__ import annotations

import re
from dataclasses import dataclass

from assistant.records import Span

# spelling -> (canonical unit, factor). Factors: NIST SP 811 conversions, exact by definition where they are exact.
_UNITS: dict[str, tuple[str, float]] = {}


def _unit(canonical: str, factor: float, *spellings: str) -> None:
    for spelling in spellings:
        _UNITS[spelling] = (canonical, factor)


_unit("V", 1, "v", "volt", "volts", "vdc", "vac", "v dc", "v ac")
_unit("V", 0.001, "mv", "millivolt", "millivolts")
_unit("kV", 1, "kv", "kilovolt", "kilovolts")
_unit("ohm", 1, "ohm", "ohms", "Ω", "ω", "r")
_unit("ohm", 1000, "kohm", "kohms", "k ohm", "k ohms", "kilohm", "kilohms", "kilo ohm", "kilo ohms", "kω", "k-ohm", "k-ohms", "k")
_unit("ohm", 1e6, "mohm", "megohm", "megohms", "mega ohm", "megaohm")
_unit("A", 1, "a", "amp", "amps", "ampere", "amperes")
_unit("mA", 1, "ma", "milliamp", "milliamps", "milli amps", "milli amp")
_unit("psi", 1, "psi", "lbs", "lb", "pounds", "psig", "p.s.i", "lbs/in2", "pound")
_unit("bar", 1, "bar", "bars")
_unit("kPa", 1, "kpa", "kilopascal")
_unit("kg/cm2", 1, "kg/cm2", "kg/cm²", "kg/cm^2", "kgf/cm2", "kg per cm2", "kilos", "kgs/cm2", "kg/sq cm", "kg")
_unit("mm", 1, "mm", "millimetre", "millimetres", "millimeter", "millimeters", "mil")
_unit("mm", 25.4, "in", "inch", "inches", '"')
_unit("mm", 0.0254, "thou", "thousandths")
_unit("C", 1, "c", "°c", "degc", "deg c", "degrees c", "celsius", "degrees celsius", "°", "degrees", "deg")
_unit("F", 1, "f", "°f", "degf", "deg f", "degrees f", "fahrenheit", "degrees fahrenheit")
_unit("cc", 1, "cc", "ccm", "cm3", "cubes", "cubic centimetres")
_unit("ml", 1, "ml", "millilitre", "millilitres", "milliliters")
_unit("%", 1, "%", "percent", "per cent", "pct")
_unit("rpm", 1, "rpm", "revs", "r/min")
_unit("Hz", 1, "hz", "hertz")
_unit("Ah", 1, "ah", "amp hour", "amp hours", "amp-hour", "amp-hours")
_unit("to 1", 1, ":1", ": 1", "to 1", "to one")
_unit("mm2", 1, "mm2", "mm²", "mm^2", "sq mm", "sqmm", "square mm", "square millimetres", "square millimeters")
_unit("AWG", 1, "awg", "gauge wire", "ga")
_unit("m", 1, "m", "masl", "metres", "meters", "metre", "meter")
# Not readings: distances, money, times, volumes bought, speeds.
_OTHER = ("km", "kms", "kilometres", "kilometers", "kilometre", "kilometer", "k's", "ks", "klicks", "clicks", "mile", "miles", "mi", "mph", "kmh",
          "km/h", "kph", "mins", "min", "minute", "minutes", "hr", "hrs", "hour", "hours", "h", "s", "sec", "secs", "second", "seconds", "day",
          "days", "week", "weeks", "month", "months", "year", "years", "yr", "yrs", "times", "time", "x", "gallon", "gallons", "gal",
          "litre", "litres", "liter", "liters", "l", "ltr", "ounce", "ounces", "oz", "ft", "feet", "foot", "yd", "yds", "yard", "yards", "am", "pm", "o'clock", "quid",
          "bucks", "dollars", "pounds sterling", "euros", "euro", "rupees", "rs", "grand", "pesos", "bob", "th", "st", "nd", "rd", "hp", "bhp",
          "kicks", "goes", "attempts", "tries", "jet", "jets", "t", "stroke", "cylinder", "cylinders", "valve", "speed", "wheels", "wire",
          "pin", "plugs", "owners", "or", "old", "w", "watt", "watts", "twist", "kilo", "of us", "people", "bikes", "ways")
_ALL = sorted([*_UNITS, *_OTHER], key=len, reverse=True)
_SPELL = "|".join(re.escape(u) for u in _ALL)
_BETWEEN = "more|odd|or so|extra|further|good|solid|whole|full|short|long|straight"  # 'got 11 more miles'
_NUMBER = r"(?:\d{1,3}(?:,\d{3})+(?!\d)|\d+(?:[.,]\d+)?|\.\d+)"
_QUANTITY = re.compile(
    rf"(?P<money>[$£€₹]\s?)?(?P<year>['’](?=\d\d\b))?(?<![\w.,])(?P<sign>(?:-|−|minus )\s{{0,3}})?(?P<number>{_NUMBER})(?:\s{{0,3}}(?:-|–|to|\bor\b)\s{{0,3}}(?!1\b|one\b)(?P<high>{_NUMBER}))?"
    rf"(?P<ish>ish|-ish)?(?:\s{{0,3}}-?(?:(?:{_BETWEEN})\s{{1,3}})?(?P<unit>{_SPELL})(?![a-z]))?(?![\w])", re.IGNORECASE)
_MEASURES = "|".join(re.escape(u) for u in sorted(_UNITS, key=len, reverse=True))
_WANTED = re.compile(rf"\b(?:in|to|into|as|many|much|the)\s+({_MEASURES})(?![\w/])", re.IGNORECASE)
_CLOCK = re.compile(r"(?<!\d)\d{1,2}:\d\d(?!\d)")  # a time of day
_REVS = re.compile(r"\b(?:at|past|above|over|under|below|to)\s+$", re.IGNORECASE)  # 'at 4k' is a speed of the engine
_DISTANCE = re.compile(r"\s*(?:miles?|mi|kms?|kilomet\w+|on the (?:clock|odo))\b", re.IGNORECASE)  # '32k miles' are no kilohms
_COUNTED = 13  # whole things are counted in brackets up to here
_V_FIRST = re.compile(r"(?<![\w.])(\d{1,2})[vV](\d)(?!\w)")  # 12v4

_ENDLESS = 1e12  # nothing on a machine comes to as much in any unit: a cat on the keys

@dataclass(frozen=True, slots=True)
class Quantity:
    """One number: its value as typed, canonical unit and the value in it; `kind` is measure | year | money | other | bare."""

    number: float
    unit: str | None
    factor: float
    span: Span
    kind: str
    high: float | None = None  # the far end of a range or a drop

    @property
    def value(self) -> float:
        """In the canonical unit."""
        return self.number * self.factor


def quantities(message: str) -> list[Quantity]:
    """All numbers of a message in order, each with what kind of number it is."""
    volts = {m.start() for m in _V_FIRST.finditer(message)}
    message = _V_FIRST.sub(r"\1.\2", message)  # as long as before, so that places stay
    result = []
    for match in _QUANTITY.finditer(message):
        number = _float(match.group("number"))
        if number is None:
            continue
        high = _float(match.group("high")) if match.group("high") else None
        if match.group("sign"):
            number = -number
        unit_text = (match.group("unit") or "").lower()
        span = Span(match.start(), match.end())
        if _CLOCK.search(message, max(0, match.start() - 3), match.end() + 3) or not unit_text and message.startswith("+", match.end()):
            kind, unit, factor = "other", None, 1.0
        elif not unit_text and number < _COUNTED and message[span.start - 1:span.start] == "(" and message[span.end:span.end + 1] == ")":
            kind, unit, factor = "other", None, 1.0  # 'new plug (2)' is how many
        elif match.group("money"):
            kind, unit, factor = "money", None, 1.0
        elif match.group("year"):
            number, kind, unit, factor = number + (1900 if number > 30 else 2000), "year", None, 1.0
        elif unit_text == "k" and number <= 13 and number.is_integer() and _REVS.search(message[max(0, match.start() - 8):match.start()]):
            kind, unit, factor = "other", None, 1.0
        elif unit_text == "k" and _DISTANCE.match(message, match.end()):
            kind, unit, factor = "other", None, 1.0
        elif unit_text in _UNITS:
            unit, factor = _UNITS[unit_text]
            kind = "measure"
        elif unit_text:
            kind, unit, factor = "other", None, 1.0
        elif match.start("number") in volts:
            kind, unit, factor = "measure", "V", 1.0
        else:
            kind, unit, factor = "bare", None, 1.0
        result.append(Quantity(number, unit, factor, span, kind, high))
    return result


def _float(text: str | None) -> float | None:
    if not text:
        return None
    if re.fullmatch(r"\d{1,3}(?:,\d{3})+", text):
        text = text.replace(",", "")
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        return None
    return number if number < _ENDLESS else None


_FAMILY = {"psi": ("pressure", 1.0), "bar": ("pressure", 14.503774), "kPa": ("pressure", 0.14503774),
           "kg/cm2": ("pressure", 14.223343), "A": ("current", 1.0), "mA": ("current", 0.001), "ohm": ("ohm", 1.0), "kohm": ("ohm", 1000.0),
           "V": ("volt", 1.0), "mV": ("volt", 0.001), "kV": ("volt", 1000.0)}


def units_named(text: str) -> list[str]:
    """The units asked for without a number, in order: 'in psi', 'how many bar'."""
    return [_UNITS[match.group(1).lower()][0] for match in _WANTED.finditer(text)]


def convert(value: float, unit: str | None, wanted: str) -> float | None:
    """A value from one unit to another of its family; None when they do not measure the same thing.

    Pressure factors: 1 bar = 14.503774 psi, 1 kgf/cm2 = 14.223343 psi (exact by definition of the units, NIST SP 811).
    """
    if unit is None or unit == wanted:
        return value
    if {unit, wanted} == {"C", "F"}:
        return value * 9 / 5 + 32 if wanted == "F" else (value - 32) * 5 / 9
    if unit in _FAMILY and wanted in _FAMILY and _FAMILY[unit][0] == _FAMILY[wanted][0]:
        return value * _FAMILY[unit][1] / _FAMILY[wanted][1]
    return None
