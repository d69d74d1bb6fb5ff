#!/usr/bin/env python3
"""Writes testdata/formulas/functions.csv: square roots, and sines, cosines and
tangents of degrees, to 30 decimals, half to even, by an independent library.

Needs python3-mpmath of the distribution, not part of the tests. Renew with
    python3 tools/scipy-check/functions.py > testdata/formulas/functions.csv
"""
import random
from fractions import Fraction

import mpmath

mpmath.mp.dps = 120


def decimals(x):
    n = int(mpmath.nint(x * mpmath.mpf(10) ** 30))
    sign, n = ("-" if n < 0 else ""), abs(n)
    return f"{sign}{n // 10**30}.{n % 10**30:030d}"


def exact(f):
    return mpmath.mpf(f.numerator) / f.denominator


draw = random.Random(2026)
print(f"# made by tools/scipy-check/functions.py with mpmath {mpmath.__version__}; angles in degrees")
print("function,x,value")
for x in [Fraction(n) for n in (0, 1, 2, 4, 10**6, 10**24 + 1)] + [Fraction(1, 4), Fraction(2, 3)]:
    print(f"sqrt,{x},{decimals(mpmath.sqrt(exact(x)))}")
for _ in range(100):
    x = Fraction(draw.randrange(10 ** draw.randrange(1, 25)), draw.randrange(1, 10 ** draw.randrange(1, 12)))
    print(f"sqrt,{x},{decimals(mpmath.sqrt(exact(x)))}")
angles = [Fraction(n) for n in list(range(-390, 400, 15)) + [1, 44, 46, 89, 91, 3600, 123456789]]
angles += [Fraction(draw.randrange(-10**12, 10**12), 10**9) for _ in range(150)]
angles += [Fraction(draw.randrange(-10**6, 10**6), draw.randrange(1, 10**6)) for _ in range(50)]
angles += [Fraction(90) + Fraction(1, 10**6), Fraction(1, 10**15), Fraction(1, 3)]
for a in angles:
    r = exact(a) * mpmath.pi / 180
    print(f"sin,{a},{decimals(mpmath.sin(r))}")
    print(f"cos,{a},{decimals(mpmath.cos(r))}")
    if (a - 90) % 180 != 0:
        print(f"tan,{a},{decimals(mpmath.tan(r))}")
