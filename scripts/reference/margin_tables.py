"""Margins of games whose players come again, computed with SciPy and statsmodels: rows of the table
tests/golden/statistics.csv, see interval_tables.py.

* t_multiplier: two-sided miss, the quantile of SciPy's `t` with 31 degrees of freedom.
* t_wilson, t_tango, t_product, t_time: as wilson, tango, product and time with all counts divided by the
  design effect, which follows after `#`, and t = 2.0395 in the place of z. Wilson's is statsmodels' at the alpha that belongs to t.
* design: games by group of each move, groups joined by `/`, moves by `;`. First the sum over the moves of the
  variances of their shares, each that of statsmodels `OLS(y, 1).fit(cov_type="cluster", cov_kwds={"groups": group})`, by the
  sum of p (1 - p) / n. Its small-sample factor is G/(G-1) (n-1)/(n-k) with k = 1 coefficient and G the groups that have games: all 32 here, so
  it equals the random group method's. Then games a player, sum n_g^2 - n^2/G by n (1 - 1/G).
* occurrence: games and all games by group, `n/n/...;N/N/...`, the same for their share.
* change: `k;n;k';n'` by group, the covariance of two shares: statsmodels `OLS(y, dummies of the two months)`, clusters
  being groups, without its factor (`use_correction=False`), times G/(G-1).
* slope: `e:wins/draws/losses;...`, slope and standard error of statsmodels `OLS(result, 1 + e)`. slope_shrunk is the 95 % interval of
  the posterior with a normal prior about 0.84, standard deviation 0.05.
* predictive: `low/high/games`, the 2.5 and 97.5 % quantiles of a binomial number whose chance is exp(c + s t), by SciPy `quad` over the
  density of t; predictive_beta: `k/n/games`, those of SciPy `betabinom(games, k + 1/2, n - k + 1/2)`.
"""

import math

import numpy
import statsmodels.api as sm
from scipy.integrate import quad
from scipy.stats import betabinom, binom, norm, t
from statsmodels.stats.proportion import proportion_confint

GROUPS = 32
STUDENT = t(GROUPS - 1)
T = STUDENT.ppf(0.975)

MISSES = [0.5, 0.1, 0.05, 0.025, 0.01, 0.005, 1e-3, 1e-4, 1e-6]
SHARES = [(97, 218, 1.3625), (23, 60, 1.2), (0, 80, 1.5), (400, 400, 8), (13, 5000, 3.7), (1, 51, 1)]
SCORES = [(123, 45, 98, 1.22), (500, 300, 200, 3.5), (1, 13, 7, 1.01), (0, 40, 0, 1.6), (700, 0, 300, 9)]
PRODUCTS = [[(120, 1000, 4), (450, 800, 1.5)], [(0, 50, 1.2), (20, 50, 1)], [(300, 400, 2.5), (399, 400, 3), (7, 90, 1.8)]]
TIMES = [([(300, 4500, 130000), (600, 42000, 6000000)], 2.2), ([(50, 5000, 900000)], 1.4)]
SLOPES = [
    "0.1:20/10/300;0.3:200/60/500;0.5:900/160/880;0.7:500/70/220;0.9:300/20/30",
    "0.36:30/8/42;0.5:55/9/50;0.64:41/7/30", "0.45:400/100/500;0.55:500/100/400",
]
PREDICTIVE = [
    (0.02, 0.03, 50), (0.001, 0.004, 50), (0.2, 0.5, 50), (0.01, 0.012, 1000), (0.9, 1, 20), (0.0001, 0.01, 400),
]
PREDICTIVE_BETA = [(30, 1000, 50), (120, 400, 50), (15, 5000, 200), (60, 100, 20), (200, 2000, 1000)]


def drawn():
    """Positions of a few moves: players with habits, their groups, and a long-tailed number of games."""
    random = numpy.random.default_rng(20310512)
    for players, shares in [(60, [0.5, 0.3, 0.2]), (150, [0.9, 0.1]), (400, [0.2, 0.7, 0.05, 0.05]), (900, [0.03, 0.97])]:
        groups = numpy.concatenate([numpy.arange(GROUPS), random.integers(0, GROUPS, players - GROUPS)])
        games = numpy.minimum(1 + random.pareto(1.2, players).astype(int), 60)
        habits = random.dirichlet(numpy.array(shares) * 0.3 / 0.7, players)
        moves = numpy.zeros((len(shares), GROUPS), int)
        for group, number, habit in zip(groups, games, habits):
            moves[:, group] += random.multinomial(number, habit)
        yield moves


def months():
    """One share in two months in which half of the players are the same."""
    random = numpy.random.default_rng(20310513)
    for players, share in [(200, 0.3), (500, 0.6)]:
        counts = numpy.zeros((4, GROUPS), int)
        for player in range(players):
            group, habit = player % GROUPS, random.beta(share * 0.3 / 0.7, (1 - share) * 0.3 / 0.7)
            for month in range(2):
                if random.random() < 0.7:
                    games = min(1 + int(random.pareto(1.2)), 40)
                    counts[2 * month, group] += random.binomial(games, habit)
                    counts[2 * month + 1, group] += games
        yield counts


def by_group(*tables):
    return ";".join("/".join(map(str, table)) for table in tables)


def indicator(hits, games):
    """One row a game: whether it hit, and its group."""
    group = numpy.concatenate([numpy.repeat(numpy.arange(GROUPS), hits), numpy.repeat(numpy.arange(GROUPS), games - hits)])
    return numpy.repeat([1.0, 0.0], [hits.sum(), (games - hits).sum()]), group


def clustered_variance(hits, games):
    y, group = indicator(hits, games)
    fit = sm.OLS(y, numpy.ones(len(y))).fit(cov_type="cluster", cov_kwds={"groups": group})
    return fit.cov_params()[0, 0]


def binomial_variance(hits, games):
    share = hits.sum() / games.sum()
    return share * (1 - share) / games.sum()


def design(moves):
    games = moves.sum(axis=0)
    variances = [(clustered_variance(move, games), binomial_variance(move, games)) for move in moves]
    effect = sum(v for v, _ in variances) / sum(b for _, b in variances)
    n = games.sum()
    return effect, ((games**2).sum() - n**2 / GROUPS) / (n * (1 - 1 / GROUPS))


def covariance(k1, n1, k2, n2):
    first, second = indicator(k1, n1), indicator(k2, n2)
    y, group = (numpy.concatenate(pair) for pair in zip(first, second))
    month = numpy.repeat([0, 1], [n1.sum(), n2.sum()])
    dummies = numpy.column_stack([month == 0, month == 1]).astype(float)
    kwds = {"groups": group, "use_correction": False}
    fit = sm.OLS(y, dummies).fit(cov_type="cluster", cov_kwds=kwds)
    return fit.cov_params()[0, 1] * GROUPS / (GROUPS - 1)


def slope(text):
    e, result = [], []
    for row in text.split(";"):
        expected, counts = row.split(":")
        for value, number in zip((1.0, 0.5, 0.0), map(int, counts.split("/"))):
            e += [float(expected)] * number
            result += [value] * number
    fit = sm.OLS(numpy.array(result), sm.add_constant(numpy.array(e))).fit()
    return fit.params[1], fit.bse[1]


def shrunk(own, error):
    weights = numpy.array([0.05**-2, error**-2])
    centre, half = (weights * [0.84, own]).sum() / weights.sum(), norm.ppf(0.975) / math.sqrt(weights.sum())
    return centre - half, centre + half


def predictive(low, high, games):
    centre, scale = (math.log(low) + math.log(high)) / 2, (math.log(high) - math.log(low)) / (2 * T)

    def below(hits):
        def density(x):
            return STUDENT.pdf(x) * binom.cdf(hits, games, min(math.exp(centre + scale * x), 1.0))
        return quad(density, -40, 40, limit=400, points=[-5, 0, 5, min(max(-centre / scale, -39), 39)])[0]

    def quantile(level):
        return next(hits for hits in range(games + 1) if below(hits) >= level)

    return quantile(0.025), quantile(0.975)


def rows(tango_at, product_at, times_at):
    """The rows of this page; the formulas that differ by their quantile alone come from the caller."""
    for miss in MISSES:
        yield "t_multiplier", miss, STUDENT.isf(miss / 2), None
    alpha = 2 * norm.sf(T)
    for k, n, effect in SHARES:
        yield "t_wilson", f"{k}/{n}#{effect}", *proportion_confint(k / effect, n / effect, alpha=alpha, method="wilson")
    for *triple, effect in SCORES:
        yield "t_tango", "/".join(map(str, triple)) + f"#{effect}", *tango_at([x / effect for x in triple], T)
    for factors in PRODUCTS:
        name = "*".join(f"{k}/{n}#{effect}" for k, n, effect in factors)
        yield "t_product", name, *product_at([(k / effect, n / effect) for k, n, effect in factors], T)
    for groups, effect in TIMES:
        name = "+".join("/".join(map(str, group)) for group in groups)
        yield "t_time", f"{name}#{effect}", *times_at(groups, effect, T)
    for moves in drawn():
        yield "design", by_group(*moves), *design(moves)
        games, hits = moves.sum(axis=0), moves[0]
        effect = clustered_variance(hits, games) / binomial_variance(hits, games)
        yield "occurrence", by_group(hits, games), effect, None
    for counts in months():
        yield "change", by_group(*counts), covariance(*counts), None
    for text in SLOPES:
        own, error = slope(text)
        yield "slope", text, own, error
        yield "slope_shrunk", text, *shrunk(own, error)
    for low, high, games in PREDICTIVE:
        yield "predictive", f"{low}/{high}/{games}", *predictive(low, high, games)
    for k, n, games in PREDICTIVE_BETA:
        quantiles = betabinom.ppf([0.025, 0.975], games, k + 0.5, n - k + 0.5)
        yield "predictive_beta", f"{k}/{n}/{games}", *map(int, quantiles)
