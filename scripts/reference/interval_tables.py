#!/usr/bin/env python3
"""Intervals and other figures for the statistics of the program, computed with SciPy and
statsmodels: prints the table tests/golden/statistics.csv.

Columns `kind,input,low_or_value,high`; the last is empty where there is one value only.

* wilson: `k/n`, 95 %, statsmodels `proportion_confint(method="wilson")`.
* tango: `wins/draws/losses`, 95 % interval of the mean score (0 to 1): Tango 1998 (Statistics in
  Medicine 17:891-908) for wins against losses, limits by SciPy `brentq` on the score equation.
* product: shares `k/n` joined by `*`: exp of the sum of digamma(a) - digamma(a + b), -+ z times
  the root of the summed trigamma(a) - trigamma(a + b), with a = k + 1/2 and b = n - k + 1/2.
  product_centre is the exponential of the sum alone. The bare formula: an upper limit may pass 1.
* expected: rating difference 0 to 3998, expected score of the higher rated side in thousandths.
* digamma, trigamma: SciPy.
* newcombe: `a/n-b/m`, 95 %, statsmodels `confint_proportions_2indep(method="newcomb")`.
* benjamini_hochberg: `p#i`, the adjusted value of the i-th p of the worked example in Benjamini &
  Hochberg 1995 (J. R. Statist. Soc. B 57:289-300) and of small hand-made lists `p1;p2;...#i`.
* time: groups `n/sum/sum of squares` joined by `+`, 95 % interval of the mean: see `times` below; SciPy
  `scipy.stats.gamma`.
* weighted: rows `weight:k/n*k/n` joined by `;`, equal texts being one and the same share; log-normal around
  S = sum of w exp(centre), the variance by the delta method from a numerical gradient.
* paths: nodes `n>k:next&k:next` joined by `;`, next being the number of an earlier node or G; the last one is the
  start. Log-normal with the mean at Dirichlet(k + 1/2) shares and the variance by the delta method from a
  numerical gradient and the Dirichlet covariances.
* never_rising: `k/n;k/n;...#i`, the i-th value of SciPy `isotonic_regression(increasing=False)`.
* the rest: see margin_tables.py.

z is the normal quantile of 0.975, not 1.96. Values have 12 significant digits; what is below
1e-15 (a limit that is 0 but for floating point) is printed as 0.
"""

import csv
import math
import sys
from decimal import ROUND_HALF_UP, Decimal, getcontext

import numpy
import scipy
import statsmodels
from scipy.optimize import brentq, isotonic_regression
from scipy.special import digamma, polygamma
from scipy.stats import gamma, norm
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

import margin_tables

Z = norm.ppf(0.975)

SHARES = [
    (81, 263), (15, 148), (0, 20), (1, 29), (26, 200), (4, 20), (0, 1), (1, 1), (1, 2), (0, 10),
    (1, 10), (5, 10), (9, 10), (10, 10), (29, 29), (2, 100), (50, 100), (98, 100), (23, 60),
    (0, 1000), (7, 1000), (993, 1000), (1000, 1000), (123, 4567), (17, 50), (49, 50), (1, 51),
    (333, 999), (4096, 8192), (1, 1000000), (1000000, 20000000), (299999999, 1000000000),
]
SCORES = [
    (50, 30, 20), (500, 300, 200), (123, 45, 98), (1, 13, 7), (7, 13, 1), (16, 62, 8), (10, 0, 10),
    (13, 0, 87), (4, 3, 1), (3, 4, 0), (0, 4, 3), (10, 0, 0), (0, 0, 5), (1, 0, 0), (0, 1, 0),
    (0, 0, 1), (0, 10, 0), (0, 1000, 0), (1, 1000, 0), (0, 1000, 1), (25, 0, 25), (30, 1, 20),
    (48012, 4711, 45890), (1200000, 90000, 1150000), (2, 1, 50), (999, 1, 0), (1, 48, 1),
]
PRODUCTS = [
    [(3, 10), (20, 50)], [(1, 2)], [(0, 20)], [(20, 20)], [(81, 263)], [(120, 1000), (450, 800)],
    [(900, 1000), (450, 800), (300, 400), (60, 250)], [(0, 50), (20, 50)], [(50, 50), (49, 50)],
    [(5, 60), (1, 60), (0, 60)], [(100000, 250000), (70000, 90000), (3000, 60000)],
    [(9999, 10000)] * 6, [(1, 1), (1, 1), (1, 1)], [(0, 1)], [(7, 1000), (2, 100)],
]
ARGUMENTS = [
    0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 3.5, 4.5, 5, 5.5, 6.5, 7.25, 8, 9.5, 10, 12.5, 15, 20.5,
    33.5, 50.5, 100.5, 263.5, 1000.5, 4567.5, 10000.5, 123456.5, 1000000.5, 100000000.5,
]
DIFFERENCES = [
    (56, 70, 48, 80), (9, 10, 3, 10), (6, 7, 2, 7), (5, 56, 0, 29), (0, 10, 0, 20),
    (10, 10, 0, 20), (10, 10, 0, 10), (120, 1000, 90, 1000), (1200, 10000, 1100, 10000),
    (3, 10, 9, 10), (5, 83, 12, 99), (0, 20, 20, 20), (50, 100, 50, 100), (1, 1, 0, 1),
]
TRIAL = [
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262,
    0.5719, 0.6528, 0.7590, 1.0000,
]
P_LISTS = [
    TRIAL, [0.0344, 1, 0.0001, 0.0095, 0.4262], [0.04, 0.045, 0.049, 0.0495, 0.05], [0.03],
    [0.5, 0.6, 0.1, 0.001], [0.02, 0.02, 0.02], [1, 1, 0.9],
]
TIMES = [
    [(50, 5000, 900000)], [(300, 4500, 130000), (600, 42000, 6000000), (100, 30000, 20000000)],
    [(3, 120, 5600)], [(40, 60, 130), (9, 700, 90000), (1, 900, 810000)], [(2, 3, 5)],
    [(1000000, 50000000, 2900000000)], [(60, 0, 0), (60, 3000, 250000)],
    [(1200, 18000, 560000), (0, 0, 0), (30, 9000, 5600000)],
]
WEIGHTED = [
    "3000:80/100*30/60;1000:40/100*30/60;500:7/33*9/55", "1:12/30", "5:0/50*3/9;5:1/50*3/9",
    "20000:8000/20000*700/900;15000:5000/15000*700/900;90:40/90*20/70",
    "1:99/100*98/99*1/98;2:100/100*99/100*1/98",
]
PATHS = [
    "500>125:G;200>100:G;1000>500:0&200:1", "100>40:G", "4000>1000:G;8000>4000:0",
    "90>30:G;70>20:G;300>100:0;200>50:0&40:1;5000>900:2&300:3", "50>0:G;400>60:0&10:G",
]
FALLING = [
    [(1, 2), (3, 4), (2, 9)], [(30, 60), (20, 50), (25, 60), (4, 30), (5, 31)], [(0, 5), (1, 5)],
    [(9, 10), (9, 10), (10, 10), (0, 10)],
]


def times(groups, effect=1, z=Z):
    """The mean time at this mix of groups is mean * a / q, q the 0.975 and 0.025 quantiles of a gamma distribution of
    shape a = mean^2 / variance of the mean. That is c^2 sum(n m^2) / N^2 with one coefficient of variation c for all groups,
    times 1 + (1 + z^2) / (N' - 1), N' = sum(n m)^2 / sum(n m^2)."""
    n, total, squares = (numpy.array(column, float) for column in zip(*groups))
    keep = total > 0
    all_games, mean = n.sum(), total.sum() / n.sum()
    n, total, squares = n[keep], total[keep], squares[keep]
    means = total / n
    c_squared = effect * ((squares - n * means**2) / means**2).sum() / (n - 1).sum()
    weight = (n * means**2).sum()
    alike = total.sum() ** 2 / weight
    variance = c_squared * weight / all_games**2 * (1 + (1 + z**2) / max(alike - 1, 1))
    shape = mean**2 / variance
    return tuple(mean * shape / gamma.ppf(norm.cdf(end), shape) for end in (z, -z))


def gradient(function, at):
    """Central differences."""
    def slope(index):
        step = numpy.zeros(len(at))
        step[index] = 1e-6 * max(abs(at[index]), 1e-3)
        return (function(at + step) - function(at - step)) / (2 * step[index])
    return numpy.array([slope(index) for index in range(len(at))])


def weighted(text):
    rows = [row.split(":") for row in text.split(";")]
    names = sorted({name for _, row in rows for name in row.split("*")})
    counts = [tuple(map(int, name.split("/"))) for name in names]
    a, whole = (numpy.array(column, float) for column in zip(*((k + 0.5, n + 1.0) for k, n in counts)))
    weights = numpy.array([float(weight) for weight, _ in rows])

    def log_average(centres):
        sums = [sum(centres[names.index(name)] for name in row.split("*")) for _, row in rows]
        return math.log((weights / weights.sum() * numpy.exp(sums)).sum())

    centres = digamma(a) - digamma(whole)
    variances = polygamma(1, a) - polygamma(1, whole)
    half = Z * math.sqrt((gradient(log_average, centres) ** 2 * variances).sum())
    centre = log_average(centres)
    return math.exp(centre - half), math.exp(centre + half)


def paths(text):
    nodes, shares, covariance = [], [], []
    for node in text.split(";"):
        games, choices = node.split(">")
        choices = [choice.split(":") for choice in choices.split("&")]
        made = [int(k) for k, _ in choices]
        alpha = numpy.array(made + [int(games) - sum(made)], float) + 0.5
        mean = alpha / alpha.sum()
        spread = (numpy.diag(mean) - numpy.outer(mean, mean)) / (alpha.sum() + 1)
        nodes.append([(len(shares) + index, to) for index, (_, to) in enumerate(choices)])
        shares.extend(mean[:-1])
        covariance.append(spread[:-1, :-1])

    def chance(values):
        known = []
        for node in nodes:
            known.append(sum(values[at] * (1.0 if to == "G" else known[int(to)]) for at, to in node))
        return known[-1]

    shares = numpy.array(shares)
    slopes, variance, at = gradient(chance, shares), 0.0, 0
    for block in covariance:
        part = slopes[at:at + len(block)]
        variance += part @ block @ part
        at += len(block)
    mean = chance(shares)
    spread = math.log1p(variance / mean**2)
    centre, half = math.log(mean) - spread / 2, Z * math.sqrt(spread)
    return math.exp(centre - half), math.exp(centre + half)


def wilson(k, n):
    return proportion_confint(k, n, alpha=0.05, method="wilson")


def tango_score(delta, wins, draws, losses):
    """Tango's signed root statistic for the hypothesis that P(win) - P(loss) = delta."""
    n = wins + draws + losses
    a = 2 * n
    b = -wins - losses + (2 * n - wins + losses) * delta
    c = -losses * delta * (1 - delta)
    q = (math.sqrt(b * b - 4 * a * c) - b) / (2 * a)
    variance = n * (2 * q + delta * (1 - delta))
    distance = wins - losses - n * delta
    if distance == 0:
        return 0.0
    return math.copysign(math.inf, distance) if variance <= 0 else distance / math.sqrt(variance)


def tango(wins, draws, losses, z=Z):
    """95 % limits of the mean score. The statistic falls in delta from +inf to -inf, so each
    limit is the only crossing of +z or -z, or the end of the scale where there is none."""
    n = wins + draws + losses
    centre = (wins - losses) / n

    def limit(end, target):
        if centre == end:
            return end
        inside = end * (1 - 1e-15)
        bracket = sorted((inside, centre))
        return brentq(
            lambda delta: tango_score(delta, wins, draws, losses) - target,
            *bracket, xtol=1e-15, rtol=1e-14,
        )

    return (1 + limit(-1.0, z)) / 2, (1 + limit(1.0, -z)) / 2


def product(shares, z=Z):
    a = numpy.array([k + 0.5 for k, _ in shares])
    whole = numpy.array([n + 1.0 for _, n in shares])
    centre = float(sum(digamma(a) - digamma(whole)))
    half = z * math.sqrt(sum(polygamma(1, a) - polygamma(1, whole)))
    return math.exp(centre - half), math.exp(centre), math.exp(centre + half)


def expected_milli(difference):
    getcontext().prec = 60
    odds = Decimal(10) ** (Decimal(-difference) / 400)
    return int((1000 / (1 + odds)).quantize(Decimal(1), ROUND_HALF_UP))


def fraction(k, n):
    return f"{k}/{n}"


def rows():
    for k, n in SHARES:
        yield "wilson", fraction(k, n), *wilson(k, n)
    for triple in SCORES:
        yield "tango", "/".join(map(str, triple)), *tango(*triple)
    for shares in PRODUCTS:
        name = "*".join(fraction(k, n) for k, n in shares)
        low, centre, high = product(shares)
        yield "product", name, low, high
        yield "product_centre", name, centre, None
    for difference in sorted({*range(0, 3999, 7), 1, 100, 400, 736, 3998}):
        yield "expected", difference, expected_milli(difference), None
    for x in ARGUMENTS:
        yield "digamma", x, digamma(x), None
        yield "trigamma", x, polygamma(1, x), None
    for a, n, b, m in DIFFERENCES:
        name = f"{fraction(a, n)}-{fraction(b, m)}"
        yield "newcombe", name, *confint_proportions_2indep(a, n, b, m, method="newcomb")
    for groups in TIMES:
        yield "time", "+".join("/".join(map(str, group)) for group in groups), *times(groups)
    for text in WEIGHTED:
        yield "weighted", text, *weighted(text)
    for text in PATHS:
        yield "paths", text, *paths(text)
    for groups in FALLING:
        k, n = (numpy.array(column, float) for column in zip(*groups))
        fit = isotonic_regression(k / n, weights=n, increasing=False).x
        name = ";".join(fraction(*group) for group in groups)
        for index, value in enumerate(fit):
            yield "never_rising", f"{name}#{index}", value, None
    for values in P_LISTS:
        adjusted = multipletests(values, alpha=0.05, method="fdr_bh")[1]
        name = "p" if values is TRIAL else ";".join(map(str, values))
        for index, value in enumerate(adjusted, start=1):
            yield "benjamini_hochberg", f"{name}#{index}", value, None
    yield from margin_tables.rows(
        lambda triple, z: tango(*triple, z),
        lambda shares, z: product(shares, z)[::2],
        times,
    )


def number(value):
    if value is None or isinstance(value, int):
        return value
    return "0" if abs(value) < 1e-15 else f"{value:.12g}"


def main():
    versions = f"scipy {scipy.__version__}, statsmodels {statsmodels.__version__}"
    print(f"# {versions}, numpy {numpy.__version__}; intervals are 95 %, z = {Z:.15f}")
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(["kind", "input", "low_or_value", "high"])
    for kind, name, low, high in rows():
        writer.writerow([kind, name, number(low), number(high)])


if __name__ == "__main__":
    main()
