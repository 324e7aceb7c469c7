"""Reads a lesson's PGN with python-chess and complains about whatever that finds strange.

usage: read_back.py LESSON.pgn GAMES

Every game must be read without an error or a warning, have one slip ($4) with a refutation ($1) behind it on
its main line, and read the same again after python-chess has written it.
"""

import io
import logging
import sys

import chess.pgn


def games(text):
    source = io.StringIO(text)
    while (game := chess.pgn.read_game(source)) is not None:
        yield game


def check(game):
    """What is wrong with one game."""
    name = game.headers["Event"]
    if game.errors:
        yield f"{name}: {game.errors}"
    line = list(game.mainline())
    slips = [place for place, node in enumerate(line) if chess.pgn.NAG_BLUNDER in node.nags]
    if len(slips) != 1 or chess.pgn.NAG_GOOD_MOVE not in line[slips[0] + 1].nags:
        yield f"{name}: slips at {slips}"
    if not game.comment:
        yield f"{name}: no comment"
    again = next(games(str(game)))
    if str(again) != str(game):
        yield f"{name}: it reads otherwise when written again"


def main(path, expected):
    warnings = io.StringIO()
    logging.basicConfig(stream=warnings, level=logging.WARNING)
    with open(path, encoding="utf-8") as file:
        text = file.read()
    read = list(games(text))
    faults = [fault for game in read for fault in check(game)]
    faults += warnings.getvalue().splitlines()
    faults += [f"line {number} is too long" for number, line in enumerate(text.splitlines(), 1)
               if len(line) > (255 if line.startswith("[") else 79)]
    if len(read) != expected:
        faults.append(f"{len(read)} games, not {expected}")
    print("\n".join(faults) or f"python-chess {chess.__version__}: {len(read)} games without a warning")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], int(sys.argv[2])))
