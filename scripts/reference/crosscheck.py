#!/usr/bin/env python3
"""Compares the moves that the reference reads with those of python-chess's own PGN reader, game
by game. For clean files only: that reader steps over junk. Usage: crosscheck.py FILE..."""

import itertools
import sys

import chess
import chess.pgn

import count
from games import split_games


def our_moves(game):
    board = chess.Board()
    for text, _ in count.read_main_line(game)[0]:
        board.push(count.read_move(board, text))
    return [move.uci() for move in board.move_stack]


def their_games(path):
    with count.open_text(path) as lines:
        while game := chess.pgn.read_game(lines):
            yield game


def main():
    games = moves = 0
    for path in sys.argv[1:]:
        with count.open_text(path) as lines:
            for ours, theirs in itertools.zip_longest(split_games(lines), their_games(path)):
                games += 1
                if ours is None or theirs is None or theirs.errors:
                    sys.exit(f"{path}: game {games} stands on one side only, or with errors")
                expected = [move.uci() for move in theirs.mainline_moves()]
                if our_moves(ours) != expected or ours.tags["Result"] != theirs.headers["Result"]:
                    sys.exit(f"{path}: game {games} differs")
                clocks = [node.clock() for node in theirs.mainline()]
                read = [count.clock_tenths(text) for _, text in count.read_main_line(ours)[0]]
                if [None if clock is None else int(clock * 10 + 1e-6) for clock in clocks] != read:
                    sys.exit(f"{path}: game {games} has other clocks")
                moves += len(expected)
    print(f"{games} games, {moves} half-moves: equal")


if __name__ == "__main__":
    main()
