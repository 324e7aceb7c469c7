#!/usr/bin/env python3
"""Judges the margins of `deadfall` by the players' names, which the program never keeps.

usage: players.py PROGRAM FILE [--half-moves N] [--splits N] [--positions N]

Reads the games of FILE with their names, in memory only, and builds stores of them with PROGRAM. Two comparisons, over
the positions with at least 100 games:

* Design effects. That of the program comes from 32 random groups of players (n by n_eff of a share in `moves --claims`
  as JSON). The one by name is computed here: the sum over the moves of the variances of their shares, each that of statsmodels
  `OLS(y, 1).fit(cov_type="cluster", cov_kwds={"groups": name})`, by the sum of p (1 - p) / n. Both are at least 1. The median of
  their ratio has to lie from 0.85 to 1.15.
* Random halves of the players. Each half's choices are counted in a store of its own: a store of the games in which White is of
  that half tells of positions with White to move, one by Black's names of those with Black to move. The share of the move that is
  played most differs beyond the joint margin if the distance of the two shares is larger than the two distances to the ends of the intervals
  that face each other, squared and added (R. G. Newcombe 1998, Statistics in Medicine 17:873-890). That may happen in 9 % at the
  most. For comparison the same with Wilson's intervals of games as persons.

Only the first visit of a position counts, as in count.py; that both have the same games is checked. Exit status 1 if a bound is broken.
"""

import argparse
import hashlib
import json
import math
import statistics
import subprocess
import sys
import tempfile
import warnings
from argparse import Namespace
from collections import Counter, defaultdict
from pathlib import Path

import chess
import numpy
import statsmodels.api as sm
from statsmodels.stats.proportion import proportion_confint

from count import open_text, position_key, read_main_line, read_move
from games import split_games
from rules import as_written, left_out_by_tags

LEAST = 100
MOST_CLAIMS = 2000
EVERYTHING = Namespace(since=None, until=None, pace=None, max_gap=None)


def names(game, number):
    """White's and Black's; who has none is a person of one game."""
    written = (as_written(game.tags.get(tag, "")).lower() for tag in ("White", "Black"))
    return [name if name not in (b"", b"?", b"-") else (number, side) for side, name in enumerate(written)]


class Replay:
    """Plays the first moves of games; what was played before is known by the position and the text of the move."""

    def __init__(self):
        self.known = {}
        self.start = position_key(chess.Board())

    def plies(self, texts):
        """Pairs of key and move, or None at the first that cannot be played."""
        key, plies, board = self.start, [], None
        for ply, text in enumerate(texts):
            found = self.known.get((key, text))
            if found is None:
                if board is None:
                    board = chess.Board()
                    for _, uci in plies:
                        board.push_uci(uci)
                move = read_move(board, text)
                if move is None:
                    return None
                board.push(move)
                found = self.known[key, text] = move.uci(), position_key(board)
            elif board is not None:
                board.push_uci(found[0])
            plies.append((key, found[0]))
            key = found[1]
        return plies


class Position:
    def __init__(self, line):
        self.line = line
        self.names = []
        self.moves = []


def read(path, half_moves):
    """Games as (names, text), and what was played in each position."""
    games, positions, replay = [], {}, Replay()
    for number, game in enumerate(split_games(open_text(path))):
        if left_out_by_tags(game.tags, EVERYTHING):
            continue
        moves, marker = read_main_line(game)
        if game.comment_left_open or marker != game.tags["Result"] or not moves:
            continue
        plies = replay.plies([text for text, _ in moves[:half_moves]])
        if plies is None:
            continue
        who = names(game, number)
        games.append((who, "\n".join(game.lines) + "\n\n"))
        seen = set()
        for ply, (key, uci) in enumerate(plies):
            if key not in seen:
                seen.add(key)
                if key not in positions:
                    positions[key] = Position([uci for _, uci in plies[:ply]])
                positions[key].names.append(who[ply % 2])
                positions[key].moves.append(uci)
    popular = [position for position in positions.values() if len(position.moves) >= LEAST]
    popular.sort(key=lambda position: -len(position.moves))
    return games, popular


def design_effect(position):
    """By name, at least 1; None where all games chose one move."""
    codes = {}
    groups = numpy.array([codes.setdefault(name, len(codes)) for name in position.names])
    moves = numpy.array(position.moves)
    constant = numpy.ones(len(moves))
    variance = binomial = 0.0
    for move in set(position.moves):
        played = (moves == move).astype(float)
        fit = sm.OLS(played, constant).fit(cov_type="cluster", cov_kwds={"groups": groups})
        variance += fit.cov_params()[0, 0]
        binomial += played.mean() * (1 - played.mean()) / len(moves)
    return max(1.0, variance / binomial) if binomial else None


class Stores:
    """Stores of texts of games, asked for shares."""

    def __init__(self, program, folder, half_moves):
        self.program, self.folder, self.half_moves = program, Path(folder), half_moves

    def run(self, *arguments):
        done = subprocess.run([self.program, *map(str, arguments)], capture_output=True, text=True)
        if done.returncode:
            sys.exit(f"players: {' '.join(map(str, arguments))}: {done.stderr}")
        return done.stdout

    def shares(self, texts, positions):
        """The figure of the share of the most played move of each position."""
        dump, store, claims = (self.folder / name for name in ("games.pgn", "games.redb", "claims.txt"))
        store.unlink(missing_ok=True)
        dump.write_bytes(b"".join(as_written(text) for text in texts))
        self.run("build", "--quiet", "--store", store, "--keep-from", 1, "--half-moves", self.half_moves, dump)
        figures = []
        for at in range(0, len(positions), MOST_CLAIMS):
            lines = (
                f"{' '.join(position.line) or 'start'}: {most_played(position)} >= 0%\n"
                for position in positions[at : at + MOST_CLAIMS]
            )
            claims.write_text("".join(lines))
            answer = self.run("moves", "--store", store, "--claims", claims, "--min-sample", 1, "--format", "json")
            figures += [claim["because"]["share"] for claim in json.loads(answer)["claims"]]
        return figures


def most_played(position):
    return min(Counter(position.moves).items(), key=lambda item: (-item[1], item[0]))[0]


def compare_design_effects(stores, games, positions):
    ratios, ours = [], []
    for position, share in zip(positions, stores.shares([text for _, text in games], positions)):
        if (share["k"], share["n"]) != (position.moves.count(most_played(position)), len(position.moves)):
            sys.exit(f"players: other games at {' '.join(position.line)}: {share}")
        by_name = design_effect(position)
        if by_name is not None:
            ours.append(share["n"] / share["n_eff"])
            ratios.append(ours[-1] / by_name)
    median = statistics.median(ratios)
    spread = statistics.stdev(map(math.log, ratios))
    low, high = numpy.quantile(ours, [0.1, 0.9])
    print(
        f"  design effects of {len(ratios)} positions, {low:.2f} to {high:.2f} in eight of ten: by group / by name "
        f"{median:.3f} in the median, spread of the logarithm {spread:.2f}"
    )
    return 0.85 <= median <= 1.15


def half(name, split):
    return hashlib.sha256(f"{split}:{name!r}".encode()).digest()[0] & 1


def apart(one, other):
    """Whether two shares, each (share, low, high), differ beyond the joint margin."""
    (p, low, _), (q, _, high) = (one, other) if one[0] >= other[0] else (other, one)
    return p - q > math.hypot(p - low, high - q)


def compare_halves(stores, games, positions, splits):
    found = defaultdict(Counter)
    for split in range(splits):
        for side in (0, 1):
            asked = [position for position in positions if len(position.line) % 2 == side]
            halves = ([text for who, text in games if half(who[side], split) == wanted] for wanted in (0, 1))
            for one, other in zip(*(stores.shares(texts, asked) for texts in halves)):
                if min(one["n"], other["n"]) == 0:
                    continue
                ours = [(share["k"] / share["n"], share["low"], share["high"]) for share in (one, other)]
                persons = [
                    (share["k"] / share["n"], *proportion_confint(share["k"], share["n"], method="wilson"))
                    for share in (one, other)
                ]
                which = ["together"] + ["in each half"] * (min(one["n"], other["n"]) >= LEAST)
                for kind in which:
                    found[kind].update(n=1, ours=apart(*ours), persons=apart(*persons))
    good = True
    for kind, counted in found.items():
        ours, persons = (100 * counted[key] / counted["n"] for key in ("ours", "persons"))
        print(
            f"  halves of the players, {LEAST} games {kind}, {splits} splits: {ours:.1f} % of {counted['n']} beyond the joint "
            f"margin; with games as persons {persons:.1f} %"
        )
        good &= ours <= 9
    return good


def main():
    parser = argparse.ArgumentParser(description="Judge margins by the players' names.")
    parser.add_argument("program")
    parser.add_argument("file")
    parser.add_argument("--half-moves", type=int, default=16)
    parser.add_argument("--splits", type=int, default=20)
    parser.add_argument("--positions", type=int, default=2000, help="only so many, the most popular")
    options = parser.parse_args()
    warnings.filterwarnings("error", category=RuntimeWarning)
    games, positions = read(options.file, options.half_moves)
    positions = positions[: options.positions]
    players = len({name for who, _ in games for name in who})
    print(f"{Path(options.file).name}: {len(games)} games of {players} players, {len(positions)} positions")
    with tempfile.TemporaryDirectory() as folder:
        stores = Stores(options.program, folder, options.half_moves)
        good = compare_design_effects(stores, games, positions)
        good &= compare_halves(stores, games, positions, options.splits)
    sys.exit(0 if good else 1)


if __name__ == "__main__":
    main()
