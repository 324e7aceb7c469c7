#!/usr/bin/env python3
"""How much a player's games hang together, measured on games with names: the numbers behind the design effects of
src/answers/stats/groups.rs.

usage: correlations.py FILE.pgn...     (PGN; needs python-chess, NumPy and xxhash; names stay in memory)

Printed are, over the first 30 half-moves:
* choices: in a position, the correlation of two choices of one player beyond chance, (w - b) / (1 - b), where w is the share of
  equal moves among pairs of games of one player and b among pairs of different players, positions weighted by the former;
* scores: the same for residuals, score less what the ratings predict, as the mean product over the variance;
* design effects of the shares in positions with 50 games or more by name, and those by 32 groups of names (the top 5 bits of
  xxh3-64) with the lower bound of the program: median ratio, spread of its logarithm;
* times: for games with clocks, the correlation of two times of one side of one game, each in parts of the mean of its time
  control and half-move; also over the first 12 half-moves. Where no player comes twice it bounds what a player's own speed
  can explain.
"""

import collections
import math
import re
import sys

import chess
import chess.pgn
import numpy
import xxhash

PLIES = 30
OPENING_PLIES = 12
GROUPS = 32


def games(path):
    with open(path, encoding="utf-8", errors="replace") as file:
        while (game := chess.pgn.read_game(file)) is not None:
            if game.headers.get("Result") in ("1-0", "0-1", "1/2-1/2") and "FEN" not in game.headers:
                yield game


def visits(game):
    """Position, mover's name, move and residual of each half-move; the first visit counts."""
    white = {"1-0": 1.0, "0-1": 0.0, "1/2-1/2": 0.5}[game.headers["Result"]]
    ratings = [game.headers.get(tag, "") for tag in ("WhiteElo", "BlackElo")]
    expected = None
    if all(rating.isdigit() for rating in ratings):
        expected = 1 / (1 + 10 ** ((int(ratings[1]) - int(ratings[0])) / 400))
    board, seen = game.board(), set()
    for move in list(game.mainline_moves())[:PLIES]:
        key, first = board.epd(), board.turn == chess.WHITE
        if key not in seen:
            residual = None if expected is None else (white - expected) * (1 if first else -1)
            yield key, game.headers["White" if first else "Black"], move.uci(), residual
        seen.add(key)
        board.push(move)


def pairs(counter):
    return sum(n * (n - 1) / 2 for n in counter.values())


def choices(positions):
    weight = equal = by_chance = 0.0
    for rows in positions.values():
        own = collections.defaultdict(collections.Counter)
        for name, move, _ in rows:
            own[name][move] += 1
        within = sum(math.comb(sum(moves.values()), 2) for moves in own.values())
        between = math.comb(len(rows), 2) - within
        if len(rows) < 30 or not within or not between:
            continue
        same = sum(pairs(moves) for moves in own.values())
        others = (pairs(collections.Counter(move for _, move, _ in rows)) - same) / between
        weight, equal, by_chance = weight + within, equal + same, by_chance + within * others
    return (equal - by_chance) / (weight - by_chance), int(weight)


def scores(positions):
    product = weight = 0.0
    squares = []
    for rows in positions.values():
        known = [(name, residual) for name, _, residual in rows if residual is not None]
        if len(known) < 30:
            continue
        mean = sum(residual for _, residual in known) / len(known)
        own = collections.defaultdict(list)
        for name, residual in known:
            own[name].append(residual - mean)
        for values in own.values():
            product += (sum(values) ** 2 - sum(value**2 for value in values)) / 2
            weight += math.comb(len(values), 2)
            squares += [value**2 for value in values]
    return product / weight / numpy.mean(squares) if weight else math.nan, int(weight)


def effect(rows, cluster):
    """Cluster-robust variance of all shares by the binomial one, without a small-sample factor, and games a cluster."""
    moves = sorted({move for _, move, _ in rows})
    table = collections.defaultdict(lambda: numpy.zeros(len(moves)))
    for name, move, _ in rows:
        table[cluster(name)][moves.index(move)] += 1
    counts = numpy.array(list(table.values()))
    totals, n = counts.sum(axis=1), counts.sum()
    shares = counts.sum(axis=0) / n
    binomial = (shares * (1 - shares)).sum() * n
    return ((counts - numpy.outer(totals, shares)) ** 2).sum() / binomial if binomial else None, totals


def group(name):
    return xxhash.xxh3_64_intdigest(name.strip().lower().encode()) >> 59


def effects(positions):
    found = []
    for rows in positions.values():
        if len(rows) < 50:
            continue
        by_name, _ = effect(rows, str)
        by_group, totals = effect(rows, group)
        if by_name:
            n = totals.sum()
            a_player = max(1, ((totals**2).sum() - n * n / GROUPS) / (n * (1 - 1 / GROUPS)))
            found.append((by_name, max(1, by_group * GROUPS / (GROUPS - 1), 1 + 0.35 * (a_player - 1))))
    return numpy.array(found)


def times(path, plies):
    rows = []
    for number, text in enumerate(re.split(r"\n(?=\[Event )", open(path, encoding="utf-8", errors="replace").read())):
        control = re.search(r'\[TimeControl "(\d+)\+(\d+)"\]', text)
        if control is None:
            continue
        last = {}
        for ply, clock in enumerate(re.findall(r"%clk (\d+):(\d+):([\d.]+)", text)[:plies]):
            now = sum(float(part) * unit for part, unit in zip(clock, (3600, 60, 1)))
            if ply % 2 in last:
                spent = max(0.0, last[ply % 2] - now + int(control[2]))
                rows.append(((number, ply % 2), (control[0], ply), spent))
            last[ply % 2] = now
    cells, sides = collections.defaultdict(list), collections.defaultdict(list)
    for _, cell, spent in rows:
        cells[cell].append(spent)
    for side, cell, spent in rows:
        mean = numpy.mean(cells[cell])
        if len(cells[cell]) >= 8 and mean > 0:
            sides[side].append(spent / mean - 1)
    product = sum((sum(v) ** 2 - sum(x * x for x in v)) / 2 for v in sides.values())
    weight = sum(math.comb(len(v), 2) for v in sides.values())
    squares = [x * x for v in sides.values() for x in v]
    return (product / weight / numpy.mean(squares), len(squares)) if weight else None


def main():
    for path in sys.argv[1:]:
        positions = collections.defaultdict(list)
        number = 0
        for game in games(path):
            number += 1
            for key, name, move, residual in visits(game):
                positions[key].append((name, move, residual))
        print(f"{path}: {number} games")
        players = {name for rows in positions.values() for name, _, _ in rows}
        if len(players) < number:
            print("  choices: %.3f over %d pairs" % choices(positions))
            print("  scores: %.3f over %d pairs" % scores(positions))
            found = effects(positions)
            logs = numpy.log(found[:, 1] / found[:, 0])
            print(
                f"  design effects in {len(found)} positions: by name {found[:, 0].min():.2f} to {found[:, 0].max():.2f}, "
                f"by group to by name: median {math.exp(numpy.median(logs)):.2f}, log spread {logs.std():.2f}"
            )
        for plies in (PLIES, OPENING_PLIES):
            if (measured := times(path, plies)) is not None:
                print("  times: %.3f of %d times in %d half-moves" % (*measured, plies))


if __name__ == "__main__":
    main()
