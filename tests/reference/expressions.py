"""Reference values for the expression language of rule packs.

Writes expressions.json beside this file: random expressions with what they come to. Numbers and units are reckoned by
pint, truth values by tables; nothing here shares code with the language. Needs pint 0.24.4 (Python 3.11):

    pip install pint==0.24.4
    python expressions.py

A result is {"si", "dimension", "point"} for a number, {"flag"} for a truth value, "unknown" where data are missing,
"failed" where the data do not allow a result, "refused" where the pieces do not go together.
"""

import math
import random

import pint

import lines

PINNED = {"pint": "0.24.4"}
REGISTRY = pint.UnitRegistry()
REGISTRY.define("dollar = [money]")

# As a pack writes a unit, and as pint does. The Btu is the International Table's, a perm that of 0 degrees C.
UNITS = {
    "length": [("m", "m"), ("mm", "mm"), ("in", "inch"), ("ft", "foot"), ("yd", "yard"), ("mil", "mil_length")],
    "area": [("m²", "m**2"), ("ft²", "foot**2"), ("in²", "inch**2")],
    "volume": [("m³", "m**3"), ("ft³", "foot**3"), ("yd³", "yard**3"), ("L", "liter"), ("gal", "gallon")],
    "mass": [("kg", "kg"), ("lb", "pound"), ("g", "gram"), ("oz", "ounce")],
    "time": [("s", "s"), ("min", "minute"), ("h", "hour"), ("d", "day")],
    "pressure": [("Pa", "Pa"), ("kPa", "kPa"), ("psf", "force_pound/foot**2"), ("psi", "psi")],
    "flow": [("cfm", "foot**3/minute"), ("L/s", "liter/s"), ("m³/h", "m**3/hour")],
    "power": [("W", "W"), ("kW", "kW"), ("Btu/h", "Btu_it/hour")],
    "u": [("W/(m²·K)", "W/(m**2*kelvin)"), ("Btu/(h·ft²·°F)", "Btu_it/(hour*foot**2*delta_degF)")],
    "r": [("m²·K/W", "m**2*kelvin/W"), ("h·ft²·°F/Btu", "hour*foot**2*delta_degF/Btu_it")],
    "money": [("$", "dollar")],
    "share": [("%", "percent")],
    "plain": [("", "dimensionless")],
}
REGISTRY.define("mil_length = 0.001 * inch")
SCALES = [("°C", "degC"), ("°F", "degF")]
DIFFERENCES = [("K", "delta_degC"), ("Δ°F", "delta_degF")]
WORDS = ["wall", "ceiling", "floor", "roof"]
# Two numbers nearer than this are not compared: the last digits of a float are not what is tested.
NEAR = 1e-9


class Refused(Exception):
    """Pieces that do not go together, whatever the data."""


UNKNOWN, FAILED = "unknown", "failed"


class Node:
    def __init__(self, text, level, value):
        self.text, self.level, self.value = text, level, value

    def within(self, level):
        return self.text if self.level >= level else f"({self.text})"


class Names:
    """Names of one run: quantities, words and flags, some of them missing."""

    def __init__(self, rng):
        self.rng, self.table = rng, {}

    def add(self, kind, written, value):
        name = f"{kind}.n{len(self.table)}"
        self.table[name] = {"kind": kind, "written": written, "missing": value is UNKNOWN}
        return name


def number(rng, names, kind):
    spelling, unit = rng.choice(UNITS[kind])
    magnitude = rng.choice([rng.randint(0, 40), round(rng.uniform(0.01, 50), 3)])
    written = f"{magnitude} {spelling}".strip()
    value = REGISTRY.Quantity(float(magnitude), unit)
    if rng.random() < 0.55:
        return Node(written, 9, value)
    value = UNKNOWN if rng.random() < 0.2 else value
    return Node(names.add("share" if kind == "share" else kind, written, value), 9, value)


def is_word(value, word):
    return isinstance(value, str) and value == word


def strict(values, reckon):
    if any(is_word(value, FAILED) for value in values):
        return FAILED
    if any(is_word(value, UNKNOWN) for value in values):
        return UNKNOWN
    return reckon(*values)


def arithmetic(sign, left, right):
    def reckon(a, b):
        if sign == "+":
            return a + b
        if sign == "-":
            return a - b
        if sign == "*":
            return a * b
        if b.to_base_units().magnitude == 0:
            return FAILED
        return a / b

    level = 5 if sign in "+-" else 6
    text = f"{left.within(level)} {sign} {right.within(level + 1)}"
    return Node(text, level, strict([left.value, right.value], reckon))


def sum_of(rng, names, kind, depth):
    """A number of a kind, as a quantity of the kind's dimension."""
    roll = rng.random()
    if depth == 0 or roll < 0.3:
        return number(rng, names, kind)
    if roll < 0.55:
        return arithmetic(rng.choice("+-"), sum_of(rng, names, kind, depth - 1), sum_of(rng, names, kind, depth - 1))
    if roll < 0.75:
        scale = sum_of(rng, names, "plain", depth - 1)
        return arithmetic(rng.choice("*/"), sum_of(rng, names, kind, depth - 1), scale)
    if roll < 0.85:
        function = rng.choice(["min", "max"])
        pieces = [sum_of(rng, names, kind, depth - 1) for _ in range(rng.randint(2, 3))]
        pick = min if function == "min" else max
        reckon = lambda *values: pick(values, key=lambda value: value.to_base_units().magnitude)
        text = f"{function}({', '.join(piece.text for piece in pieces)})"
        return Node(text, 9, strict([piece.value for piece in pieces], reckon))
    if roll < 0.93:
        inner = sum_of(rng, names, kind, depth - 1)
        return Node(f"abs({inner.text})", 9, strict([inner.value], abs))
    inner = sum_of(rng, names, kind, depth - 1)
    return Node(f"-{inner.within(7)}" if inner.text[0] not in "-0123456789." else f"-({inner.text})", 7,
                strict([inner.value], lambda value: -value))


PRODUCTS = [("u", "*", "area"), ("area", "*", "length"), ("volume", "/", "time"), ("length", "*", "length"),
            ("flow", "/", "area"), ("power", "/", "area"), ("r", "*", "u"), ("plain", "/", "r"), ("mass", "/", "volume"),
            ("money", "/", "volume"), ("pressure", "*", "area"), ("share", "*", "flow")]


def product(rng, names, depth):
    a, sign, b = rng.choice(PRODUCTS)
    return arithmetic(sign, sum_of(rng, names, a, depth), sum_of(rng, names, b, depth))


def temperature(rng, names, depth):
    """A temperature on a scale."""
    if depth == 0 or rng.random() < 0.5:
        spelling, unit = rng.choice(SCALES)
        magnitude = rng.randint(-20, 90)
        written = f"{magnitude} {spelling}"
        value = REGISTRY.Quantity(float(magnitude), unit)
        if rng.random() < 0.5:
            return Node(written, 9 if magnitude >= 0 else 7, value)
        value = UNKNOWN if rng.random() < 0.2 else value
        return Node(names.add("temperature", written, value), 9, value)
    spelling, unit = rng.choice(DIFFERENCES)
    magnitude = rng.randint(0, 40)
    step = Node(f"{magnitude} {spelling}", 9, REGISTRY.Quantity(float(magnitude), unit))
    return arithmetic(rng.choice("+-"), temperature(rng, names, depth - 1), step)


def order(value):
    return value.to_base_units().magnitude


def comparison(rng, names, depth):
    roll = rng.random()
    if roll < 0.15:
        left, right = temperature(rng, names, 2), temperature(rng, names, 2)
    elif roll < 0.3:
        left, right = product(rng, names, 1), None
        value = left.value if not isinstance(left.value, str) else None
        if value is None:
            return truth(rng, names)
        # The same dimension, written as a multiple of the same product.
        factor = round(rng.uniform(0.2, 3.0), 2)
        right = Node(f"{left.within(6)} * {factor}", 6, value * factor)
    else:
        kind = rng.choice([kind for kind in UNITS if kind != "plain"] + ["plain"] * 3)
        left, right = sum_of(rng, names, kind, depth), sum_of(rng, names, kind, depth)
    sign = rng.choice(["<", "<=", ">", ">=", "==", "!="])

    def reckon(a, b):
        a, b = order(a), order(b)
        if a != b and abs(a - b) <= NEAR * max(abs(a), abs(b), 1e-30):
            raise ArithmeticError("too near to compare")
        return {"<": a < b, "<=": a <= b, ">": a > b, ">=": a >= b, "==": a == b, "!=": a != b}[sign]

    return Node(f"{left.within(5)} {sign} {right.within(5)}", 3, strict([left.value, right.value], reckon))


def word(rng, names):
    value = rng.choice(WORDS)
    if rng.random() < 0.5:
        return Node(f"'{value}'", 9, value)
    known = rng.random() > 0.25
    return Node(names.add("word", value, value if known else UNKNOWN), 9, value if known else UNKNOWN)


def truth(rng, names):
    roll = rng.random()
    if roll < 0.25:
        flag = rng.choice([True, False])
        return Node(str(flag).lower(), 9, flag)
    if roll < 0.6:
        flag = rng.choice([True, False, UNKNOWN])
        written = "true" if flag is UNKNOWN else str(flag).lower()
        return Node(names.add("flag", written, flag), 9, flag)
    if roll < 0.75:
        value = rng.choice([1.0, UNKNOWN])
        name = names.add("plain", "1", value)
        return Node(f"given({name})", 9, value is not UNKNOWN)
    if roll < 0.87:
        left, right = word(rng, names), word(rng, names)
        sign = rng.choice(["==", "!="])
        equal = strict([left.value, right.value], lambda a, b: (a == b) == (sign == "=="))
        return Node(f"{left.text} {sign} {right.text}", 3, equal)
    left, items = word(rng, names), [word(rng, names) for _ in range(rng.randint(0, 3))]
    text = f"{left.text} in [{', '.join(item.text for item in items)}]"
    if left.value is UNKNOWN:
        return Node(text, 3, UNKNOWN)
    halves = [half(UNKNOWN if item.value is UNKNOWN else item.value == left.value) for item in items]
    return Node(text, 3, whole(max(halves, default=0)))


def half(value):
    """False, unknown and true as 0, 1 and 2."""
    return 1 if value is UNKNOWN else 2 * int(value)


def whole(halves):
    return [False, UNKNOWN, True][halves]


def junction(word_, left, right):
    """Kleene's strong tables; a side that cannot be worked out counts unless the other settles the matter."""
    settles = word_ == "or"
    if left.value is settles or right.value is settles:
        value = settles
    elif is_word(left.value, FAILED) or is_word(right.value, FAILED):
        value = FAILED
    else:
        pick = max if settles else min
        value = whole(pick(half(left.value), half(right.value)))
    level = 0 if settles else 1
    sign = {"or": ["or", "||"], "and": ["and", "&&"]}[word_]
    return Node(f"{left.within(level)} {sign[len(left.text) % 2]} {right.within(level + 1)}", level, value)


def condition(rng, names, depth):
    roll = rng.random()
    if depth == 0 or roll < 0.2:
        return comparison(rng, names, 1) if rng.random() < 0.6 else truth(rng, names)
    if roll < 0.4:
        inner = condition(rng, names, depth - 1)
        value = inner.value if is_word(inner.value, FAILED) or inner.value is UNKNOWN else not inner.value
        return Node(f"{rng.choice(['not ', '! '])}{inner.within(2)}", 2, value)
    word_ = rng.choice(["and", "or"])
    return junction(word_, condition(rng, names, depth - 1), condition(rng, names, depth - 1))


def wrong(rng, names):
    """Two numbers that do not add up or compare. Whether they do is for pint to say."""
    if rng.random() < 0.4:
        a, b = temperature(rng, names, 1), temperature(rng, names, 1)
        sign = rng.choice("+*/")
        nodes = [a, b] if rng.random() < 0.5 else [a, number(rng, names, "plain")]
    else:
        kinds = rng.sample([kind for kind in UNITS if kind not in ("plain", "share")], 2)
        nodes = [number(rng, names, kind) for kind in kinds]
        sign = rng.choice(["+", "-", "<", "=="])
    values = [node.value for node in nodes]
    if any(isinstance(value, str) for value in values):
        return None
    a, b = values
    try:
        if sign in "+-*/":
            {"+": lambda: a + b, "-": lambda: a - b, "*": lambda: a * b, "/": lambda: a / b}[sign]()
        else:
            a.to_base_units().check(b.dimensionality) or (_ for _ in ()).throw(pint.DimensionalityError(a, b))
    except (pint.DimensionalityError, pint.OffsetUnitCalculusError):
        return Node(f"{nodes[0].within(7)} {sign} {nodes[1].within(7)}", 0, "refused")
    return None


def told(value):
    if isinstance(value, bool):
        return {"flag": value}
    if isinstance(value, str):
        return value
    point = value.units in (REGISTRY.degC, REGISTRY.degF)
    exponents = {name.strip("[]"): round(power) for name, power in value.dimensionality.items() if round(power)}
    si = value.to("degC").magnitude if point else value.to_base_units().magnitude
    if not math.isfinite(si) or abs(si) > 1e200:
        raise ArithmeticError("beyond what is tested")
    # pint's base units are m, kg, s, K and A; a gram would be seen at once.
    return {"si": si, "dimension": exponents, "point": point}


def cases():
    rng = random.Random(20261005)
    made = []
    makers = [
        (600, lambda names: sum_of(rng, names, rng.choice(list(UNITS)), 3)),
        (400, lambda names: product(rng, names, 2)),
        (200, lambda names: temperature(rng, names, 3)),
        (150, lambda names: arithmetic("-", temperature(rng, names, 1), temperature(rng, names, 1))),
        (1000, lambda names: condition(rng, names, 4)),
        (200, lambda names: wrong(rng, names)),
    ]
    for count, make in makers:
        found = 0
        while found < count:
            names = Names(rng)
            try:
                node = make(names)
                if node is None or len(node.text) > 500:
                    continue
                made.append({"text": node.text, "names": names.table, "result": told(node.value)})
            except (ArithmeticError, OverflowError):
                continue
            found += 1
    return made


def main():
    assert pint.__version__ == PINNED["pint"], pint.__version__
    # A check of pint itself, by hand: one Btu/(h·ft²·°F) in W/(m²·K).
    factor = REGISTRY.Quantity(1.0, "Btu_it/(hour*foot**2*delta_degF)").to_base_units().magnitude
    assert abs(factor - 5.678263341113488) < 1e-9, factor
    lines.write(__file__, {"made_by": "expressions.py", "versions": PINNED, "cases": list(cases())})


if __name__ == "__main__":
    main()
