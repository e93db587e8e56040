"""Works out printed equations (shunting yard), in numbers with units, sharing no code with mateline.

Standard input: one JSON object a line, {"at", "equation", "terms": [[symbol, number, unit]], "result": [symbol, number,
unit]}; numbers as text. Standard output: one line for each that does not hold, then "worked out N".

Units: definitions of the inch, pound, international table Btu and standard gravity; inch of water and of mercury as NIST
SP 811 gives them (from memory).
"""
import json, math, re, sys

INCH, FOOT, POUND, BTU, G0 = 0.0254, 0.3048, 0.45359237, 1055.05585262, 9.80665
GALLON, PSF = 231 * INCH**3, POUND * G0 / FOOT**2
UNITS = {
    "m": 1, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "µm": 1e-6, "in": INCH, "ft": FOOT, "yd": 3 * FOOT, "mil": INCH / 1e3,
    "L": 1e-3, "mL": 1e-6, "gal": GALLON, "kg": 1, "g": 1e-3, "mg": 1e-6, "µg": 1e-9, "ng": 1e-12, "t": 1e3, "lb": POUND,
    "oz": POUND / 16, "gr": POUND / 7000, "s": 1, "min": 60, "h": 3600, "d": 86400, "yr": 365 * 86400, "ACH": 1 / 3600,
    "N": 1, "kN": 1e3, "lbf": POUND * G0, "kip": 1e3 * POUND * G0, "plf": POUND * G0 / FOOT, "Pa": 1, "hPa": 100,
    "kPa": 1e3, "psf": PSF, "psi": 144 * PSF, "inwg": 249.08891, "W": 1, "kW": 1e3, "J": 1, "kJ": 1e3, "MJ": 1e6,
    "Wh": 3600, "kWh": 3.6e6, "Btu": BTU, "kBtu": 1e3 * BTU, "cfm": FOOT**3 / 60, "gpm": GALLON / 60,
    "perm": POUND / 7000 / (3600 * FOOT**2 * 3386.389), "A": 1, "V": 1, "Bq": 1, "pCi": 0.037, "$": 1, "rad": 1,
    "°": math.pi / 180, "sone": 1, "dB": 1, "%": 1e-2, "ppm": 1e-6, "ppb": 1e-9, "K": 1, "Δ°F": 5 / 9, "°C": 1,
    "°F": 5 / 9, "R": FOOT**2 * 3600 * 5 / 9 / BTU, "RSI": 1,
}  # fmt: skip
# How far a number may be off, as a share of it: both sides convert and round on ways of their own.
OFF = 1e-11
POWERS = dict(zip("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789"))
TOKEN = re.compile(r"\d+(?:\.\d+)?(?:\[[^\]]*\])?|[^\W\d][\w'°]*|[°%$][\w]*|\S")
ORDER = {",": 0, "+": 1, "−": 1, "Σ": 2, "over min": 2, "over max": 2, "neg": 2, "·": 3, "/": 3, "^": 4, "√": 6}
ONE = {
    "exp": math.exp, "ln": math.log, "log₁₀": math.log10, "sin": math.sin, "cos": math.cos, "tan": math.tan,
    "atan": math.atan, "√": math.sqrt, "⌈": math.ceil, "⌊": math.floor, "|": abs, "neg": lambda x: -x,
}  # fmt: skip


def numeric(f):
    """A function of pairs (value, how far it may be off), of lists of them one by one; the error by trying both ends."""

    def of(*pairs):
        values = [value for value, _ in pairs]
        result, off = f(*values), 0.0
        for i, (value, error) in enumerate(pairs):
            for end in (value - error, value + error) if error else ():
                try:
                    off += abs(f(*values[:i], end, *values[i + 1 :]) - result)
                except (ValueError, ZeroDivisionError):
                    pass
        return result, off

    def each(*arguments):
        lengths = {len(a) for a in arguments if isinstance(a, list)}
        if len(lengths) > 1:
            raise ValueError("lists of different lengths")
        rows = range(lengths.pop()) if lengths else None
        row = lambda i: of(*(a[i] if isinstance(a, list) else a for a in arguments))
        return of(*arguments) if rows is None else [row(i) for i in rows]

    return each


TWO = {
    "+": numeric(lambda a, b: a + b), "−": numeric(lambda a, b: a - b), "·": numeric(lambda a, b: a * b),
    "/": numeric(lambda a, b: a / b), "^": numeric(lambda a, b: a**b),
}  # fmt: skip
FUNCTIONS = {name: numeric(f) for name, f in ONE.items()} | {"min": numeric(min), "max": numeric(max)}


def over(operator, values):
    if not isinstance(values, list):
        return values
    if operator == "Σ":
        return math.fsum(v for v, _ in values), sum(off for _, off in values)
    return (min if operator == "over min" else max)(values)


def evaluate(text, symbols):
    """The value of an expression. A symbol that is not known is an empty list: there is nothing to sum."""
    text = re.sub("[" + "".join(POWERS) + "]+", lambda m: "^(" + "".join(POWERS[c] for c in m[0]) + ")", text)
    tokens, values, operators, after_value = TOKEN.findall(text), [], [], False

    def reduce():
        operator = operators.pop()
        last = values.pop()
        if operator == ",":
            first = values.pop()
            values.append((*first, last) if isinstance(first, tuple) and isinstance(first[0], tuple) else (first, last))
        elif operator in TWO:
            values.append(TWO[operator](values.pop(), last))
        elif operator in ("min", "max"):
            values.append(FUNCTIONS[operator](*last))
        elif operator in FUNCTIONS:
            values.append(FUNCTIONS[operator](last))
        else:
            values.append(over(operator, last))

    def push(operator):
        while operators and ORDER.get(operators[-1], 6 if operators[-1] in FUNCTIONS else -1) >= ORDER[operator]:
            if operators[-1] in "⌈⌊|":
                break
            reduce()
        operators.append(operator)

    for token, following in zip(tokens, tokens[1:] + [""]):
        closes = token in (")", "⌉", "⌋") or token == "|" and after_value and "|" in operators
        if closes:
            opener = {")": "(", "⌉": "⌈", "⌋": "⌊", "|": "|"}[token]
            while operators[-1] != opener:
                reduce()
            if operators.pop() != "(":
                values.append(FUNCTIONS[opener](values.pop()))
            after_value = True
        elif token in ("+", "-", "−", "·", "×", "/", "^", ","):
            token = {"-": "−", "×": "·"}.get(token, token)
            if after_value:
                push(token)
            elif token == "−":
                operators.append("neg")
            else:
                raise ValueError(f"'{token}' has nothing before it")
            after_value = False
        else:
            if after_value:
                push("·")
            name = f"over {token}" if token in ("min", "max") and following != "(" else token
            if token in symbols:
                values.append(symbols[token])
            elif token[0].isdigit():
                number, _, unit = token.rstrip("]").partition("[")
                values.append((convert(float(number), unit), 0.0))
            elif token == "π":
                values.append((math.pi, 0.0))
            elif name in ORDER or name in FUNCTIONS or name == "(":
                operators.append(name)
                after_value = False
                continue
            else:
                values.append([])
            after_value = True
    while operators:
        reduce()
    (value,) = values
    return value


def factor(unit):
    """SI units in one of a unit, itself an expression of names."""
    return evaluate(unit, {name: (float(value), 0.0) for name, value in UNITS.items()})[0] if unit else 1.0


def convert(number, unit):
    scales = {"°C": number, "°F": (number - 32) * 5 / 9, "dB(A)": number}
    return scales[unit] if unit in scales else number * factor(unit)


def fault(step):
    """What is wrong with a step, if anything."""
    text, terms, result = step["equation"], {}, {}
    for symbols, listed in ((terms, step["terms"]), (result, [step["result"]])):
        for symbol, number, unit in listed:
            if number is None:
                return f"{symbol} is no number"
            value = convert(float(number), unit)
            symbols.setdefault(symbol, []).append((value, abs(value) * OFF if math.isfinite(value) else 0.0))
        symbols.update({symbol: values[0] for symbol, values in symbols.items() if len(values) == 1})
    written_out = lambda m: " + ".join(f"{m[1]}{i}" for i in range(1, int(m[2]) + 1))
    text = re.sub(r"([\w']*[^\W\d]|[\w']+_)1 \+ … \+ \1(\d+)", written_out, text)
    names = set(TOKEN.findall(re.sub("[" + "".join(POWERS) + "]", " ", text)))
    unused = [symbol for symbol in terms | result if symbol not in names]
    if unused:
        return f"not in it: {', '.join(unused)}"
    left, equals, right = text.partition("=")
    if not equals or "=" in right:
        return "no equation"
    sides = [evaluate(left, terms | result), evaluate(right, result | terms)]
    if any(isinstance(side, list) for side in sides):
        return "a symbol has no term, or stands twice outside a sum"
    (a, a_off), (b, b_off) = sides
    if a == b or abs(a - b) <= a_off + b_off:
        return None
    return f"{a!r} on the left, {b!r} on the right"


count = 0
for line in sys.stdin:
    step, count = json.loads(line), count + 1
    try:
        found = fault(step)
    except (ArithmeticError, LookupError, TypeError, ValueError) as error:
        found = f"cannot be worked out: {error!r}"
    if found:
        print(f"{step['at']}: {step['equation']}: {found}")
print(f"worked out {count}")
