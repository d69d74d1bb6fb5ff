#!/usr/bin/env python3
"""Writes testdata/uncertainty/shared.json: standard uncertainties of formulas in
which several measurements share the error of their gauge, by an independent
library that follows each error through the formula.

Needs python3-uncertainties of the distribution, not part of the tests. Renew with
    python3 tools/scipy-check/budgets.py > testdata/uncertainty/shared.json
"""
import json
import math
import random

import uncertainties
from uncertainties import ufloat, umath

FORMULAS = [
    "a - b", "a + b", "a - b + c", "2*a + b/3 - c", "(a + b)/2 - d", "mean(a, b, c) - d",
    "a*b/c", "a*c/(b + d)", "(a + b)*(a - c)/(d + e)", "a*a/e",
    "sqrt(a*a + b*b)", "sqrt(a*b) - c", "sqrt(a*a - b*b/100)", "sqrt(sqrt(a*b*c*d))",
    "a*sin(t)", "a*sin(t) + b*cos(t)", "b*tan(t) - a*tan(u)", "sqrt(a*b)*sin(t)/cos(u)", "a*cos(t - u) + c", "d/sin(t + u)",
]


def sin(x):
    return umath.sin(x * math.pi / 180)


def cos(x):
    return umath.cos(x * math.pi / 180)


def tan(x):
    return umath.tan(x * math.pi / 180)


def mean(*xs):
    return sum(xs) / len(xs)


draw = random.Random(522)
cases = []
for formula in FORMULAS * 8:
    gauges = {name: round(draw.uniform(0.002, 0.02), 4) for name in ("one", "two", "three")}
    gauges["protractor"] = round(draw.uniform(0.02, 0.2), 3)
    varies = {name: round(error * draw.uniform(0.1, 1), 4) for name, error in gauges.items() if draw.random() < 0.4}
    common = {name: ufloat(0, math.sqrt(error**2 - varies.get(name, 0) ** 2) / math.sqrt(3)) for name, error in gauges.items()}
    values, by, known = {}, {}, {"sin": sin, "cos": cos, "tan": tan, "mean": mean, "sqrt": umath.sqrt}
    for name in "abcdetu":
        angle = name in "tu"
        values[name] = str(round(draw.uniform(15, 40) if angle else draw.uniform(20, 60), 3))
        by[name] = "protractor" if angle else draw.choice(["one", "two", "three"])
        known[name] = float(values[name]) + common[by[name]] + ufloat(0, varies.get(by[name], 0) / math.sqrt(3))
    y = eval(formula, known)
    cases.append({"formula": formula, "gauges": gauges, "varies": varies, "values": values, "by": by, "value": y.n, "standard": y.s})
about = "made by tools/scipy-check/budgets.py, uncertainties " + uncertainties.__version__
print(f'{{"_about": {json.dumps(about)}, "cases": [')
print(",\n".join(json.dumps(case) for case in cases))
print("]}")
