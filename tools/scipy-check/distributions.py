#!/usr/bin/env python3
"""Writes testdata/uncertainty/scipy.json: distribution functions and the
probabilities of mixed sums, computed by an independent library.

Needs python3-scipy of the distribution, not part of the tests. Renew with
    python3 tools/scipy-check/distributions.py > testdata/uncertainty/scipy.json
"""
import json
import sys

import numpy
import scipy
from scipy import integrate, optimize, stats

FREEDOMS = [0.5, 1, 1.5, 2, 2.7, 3, 4, 5, 8, 12.3, 16.741366, 25, 29.9, 30, 30.1, 41.93, 60, 100, 333.56, 1000, 1e4, 1e6]
POINTS = [1e-9, 1e-4, 0.01, 0.1, 0.5, 1, 1.5, 1.96, 2.5, 3, 4, 5, 7, 10, 20]
TAILS = [1e-6, 1e-4, 0.001, 0.005, 0.025, 0.05, 0.1, 0.2, 0.3, 0.4, 0.45]


def student_rows():
    for nu in FREEDOMS:
        for t in POINTS:
            yield {"freedom": nu, "t": t, "above": float(stats.t.sf(t, nu))}


def normal_rows():
    for z in POINTS:
        yield {"t": z, "above": float(stats.norm.sf(z))}


def t_above(q, nu):
    """stats.t.isf is good to 8 digits only: it starts a root of stats.t.sf."""
    near = float(stats.t.isf(q, nu))
    return optimize.brentq(lambda t: stats.t.sf(t, nu) / q - 1, near * 0.999, near * 1.001, xtol=1e-15, rtol=1e-14)


def quantile_rows():
    for nu in FREEDOMS:
        for q in TAILS:
            yield {"freedom": nu, "above": q, "t": t_above(q, nu)}
    for q in TAILS:
        yield {"freedom": 0, "above": q, "t": float(stats.norm.isf(q))}


# Deviates of standard uncertainty 1 (Student: scale 1) as (shape, u, freedom).
SUMS = {
    "rectangular and normal": [("rectangular", 2, 0), ("normal", 1, 0)],
    "rectangular and triangular": [("rectangular", 1, 0), ("triangular", 2, 0)],
    "sine and normal": [("u-shaped", 3, 0), ("normal", 1, 0)],
    "student 4 and rectangular": [("student", 1, 4), ("rectangular", 1, 0)],
    "student 2 and sine": [("student", 1, 2), ("u-shaped", 2, 0)],
    "student 0.8 and triangular": [("student", 1, 0.8), ("triangular", 1, 0)],
    "student 9 and normal": [("student", 1, 9), ("normal", 1, 0)],
}


def distribution(shape, u, freedom):
    if shape == "normal":
        return stats.norm(0, u)
    if shape == "student":
        return stats.t(freedom, 0, u)
    if shape == "rectangular":
        a = u * 3**0.5
        return stats.uniform(-a, 2 * a)
    if shape == "triangular":
        a = u * 6**0.5
        return stats.triang(0.5, -a, 2 * a)
    a = u * 2**0.5
    return stats.arcsine(-a, 2 * a)


def sum_above(parts, y):
    """P(X1 + X2 > y): the mean of P(X2 > y - x) over the quantiles of X1.
    The part with limits is the one averaged over."""
    parts = sorted((p for p in parts), key=lambda p: p[0] in ("normal", "student"))
    first, second = (distribution(*p) for p in parts)
    value, _ = integrate.quad(lambda r: second.sf(y - first.ppf(r)), 0, 1, epsabs=1e-10, epsrel=1e-10, limit=2000)
    return value


def sum_rows():
    for name, parts in SUMS.items():
        u = sum(p[1] ** 2 for p in parts) ** 0.5
        yield {
            "name": name,
            "parts": [{"shape": s, "standard": v, "freedom": f} for s, v, f in parts],
            "above": [{"y": k * u, "p": sum_above(parts, k * u)} for k in (0.25, 0.8, 1.3, 1.645, 1.96, 2.5)],
        }


json.dump(
    {
        "_about": "made by tools/scipy-check/distributions.py, which says how to renew it",
        "_versions": f"scipy {scipy.__version__}, numpy {numpy.__version__}, python {sys.version.split()[0]}",
        "student": list(student_rows()),
        "normal": list(normal_rows()),
        "quantiles": list(quantile_rows()),
        "f_quantiles": [
            {"d1": a, "d2": b, "p": p, "f": float(stats.f.ppf(p, a, b))}
            for a in (1, 2, 5, 9.5, 30) for b in (1, 3, 10, 40.5, 300) for p in (0.01, 0.5, 0.95, 0.975, 0.999)
        ],
        "grubbs": [
            {"n": n, "level": a, "two_sided": two, "critical": float(grubbs)}
            for n in (3, 4, 5, 8, 10, 20, 50) for a in (0.05, 0.01) for two in (False, True)
            for t in [t_above(a / (2 * n if two else n), n - 2)]
            for grubbs in [(n - 1) / n**0.5 * (t * t / (n - 2 + t * t)) ** 0.5]
        ],
        "sums": list(sum_rows()),
    },
    sys.stdout,
    indent=1,
)
print()
