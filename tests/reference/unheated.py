"""Unheated spaces by their balance of heat, found by halving; writes unheated.json, which tests read.

    python3 unheated.py > unheated.json

Nothing here knows the factor b or the formulas of ISO 13370 for suspended floors: the temperature of a space is halved until as
much heat comes in as goes out. Beside the home: through its walls and with its air (ISO 13789, from memory, high). Below the
floor: the year's mean and the swing of the seasons each have a balance of their own; in the swing the ground takes up A lambda/delta
for each degree of the space and lets out 0.37 P lambda ln(delta/dt + 1) for each degree of the swing outdoors (ISO 13370, annex on
periodic heat flow, from memory, med). Needs no package.
"""
import json
import math
import random

AIR = 0.33  # Wh/(m3 K)


def balanced(surplus, low=-500.0, high=500.0):
    """Where heat in less heat out, which falls as the space warms, is nought."""
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if surplus(middle) > 0 else (low, middle)
    return (low + high) / 2


def beside(pick):
    number = lambda low, high, digits=3: round(pick.uniform(low, high), digits)
    case = {"towards": number(2, 60), "outer": number(5, 200), "changes": number(0.1, 10), "volume": number(20, 250),
            "indoors": number(18, 22), "outdoors": number(-30, 15)}
    out = lambda space: (case["outer"] + AIR * case["changes"] * case["volume"]) * (space - case["outdoors"])
    case["space"] = balanced(lambda space: case["towards"] * (case["indoors"] - space) - out(space))
    return case


def below(pick, is_basement):
    number = lambda low, high, digits=4: round(pick.uniform(low, high), digits)
    case = {"area": number(60, 150), "perimeter": number(32, 60), "soil": pick.choice([1.5, 2.0, 3.5]),
            "reach": pick.choice([2.2, 3.2, 4.2]), "thickness": number(0.5, 6), "floor": number(0.12, 0.6),
            "indoors": 20.0, "mean": number(-2, 14), "swing": number(6, 16)}
    area, perimeter, soil, reach = (case[name] for name in ("area", "perimeter", "soil", "reach"))
    edge = 0.37 * perimeter * soil * math.log(reach / case["thickness"] + 1)
    store, ground = area * soil / reach, number(0.1, 0.5)
    if is_basement:
        case.update(depth=number(1.2, 2.6), height=number(0.2, 0.9), walls=number(0.25, 1.6), changes=0.3, clear=number(2.1, 2.6),
                    base=number(0.15, 0.4), below=number(0.15, 0.5))
        to_air = case["height"] * perimeter * case["walls"] + AIR * case["changes"] * area * case["clear"]
        edge *= 2 - math.exp(-case["depth"] / reach)
        store += case["depth"] * perimeter * soil / reach
        to_ground = area * case["base"] + case["depth"] * perimeter * case["below"]
    else:
        case.update(around=number(0.1, 1.5), ground=ground)
        to_air, to_ground = area * case["around"], area * case["ground"]
    floor = area * case["floor"]
    indoors, mean, swing = case["indoors"], case["mean"], case["swing"]
    space = balanced(lambda t: floor * (indoors - t) - (to_air + to_ground) * (t - mean))
    case["mean_flow"] = floor * (indoors - space)
    # In the depth of winter outdoors is one swing below its mean, and indoors stays.
    dip = balanced(lambda t: floor * (0 - t) - store * t - edge * swing - to_air * (t + swing))
    case["winter_flow"] = floor * (0 - dip)
    case["coldest"] = space + dip
    return case


pick = random.Random(13789)
print(json.dumps({"beside": [beside(pick) for _ in range(20)], "crawl_spaces": [below(pick, False) for _ in range(12)],
                  "basements": [below(pick, True) for _ in range(12)]}, indent=1))
