"""Reads a lesson's PGN with python-chess and its cards with csv, and complains about whatever is strange.

usage: read_back.py FOLDER GAMES [SOURCE.pgn]
       read_back.py --annotated

Every game must be read without an error or a warning, have one slip of its trap with an answer behind it on
its main line, and read the same again after python-chess has written it. Of the games of a SOURCE every comment, every mark and every
variation must be there again. Every card must be two columns of well-formed markup with a picture on its front.

With --annotated: writes traps with an author's comments, marks and variations.
"""

import csv
import io
import logging
import sys
import xml.etree.ElementTree as ElementTree

import_error = None
try:
    import chess.pgn
except ImportError as error:
    import_error = error

LONG = " ".join(["The knight on e5 looks free, and so everybody takes it without a second look."] * 12)
ANNOTATED = f"""[Event "Damiano, with words"]
[Site "?"]
[Result "*"]

{{For the club evening.}} 1. e4 e5 2. Nf3 f6 $2 {{Weakens <the> king & more.}} (2... Nc6 {{is usual}} 3. Bb5 (3. Bc4 $5 Bc5
{{quiet}}) 3... a6 $14) 3. Nxe5 $1 fxe5 $4 {{{LONG}}} (3... Qe7 $1 {{the only move}}
4. Nf3 Qxe4+) 4. Qh5+ g6 5. Qxe5+ Qe7 6. Qxh8 $18 *

[Event "Queen and bishop"]
[Site "?"]
[Result "*"]

1. e4 e5 2. Qh5 Nc6 3. Bc4 Nf6 $2 {{Attacks the queen, overlooks f7.}} 4. Qxf7# *
"""


def games(text):
    source = io.StringIO(text)
    while (game := chess.pgn.read_game(source)) is not None:
        yield game


def nodes(game):
    """All nodes of a game, the first one included."""
    open_nodes = [game]
    while open_nodes:
        node = open_nodes.pop()
        yield node
        open_nodes += node.variations


def places(game):
    """Comments and marks by the moves that lead to them."""
    found = {}
    for node in nodes(game):
        way = tuple(move.uci() for move in moves_to(node))
        comment, marks = found.get(way, ("", set()))
        found[way] = (" ".join([comment, getattr(node, "starting_comment", ""), node.comment]), marks | node.nags)
    return found


def moves_to(node):
    moves = []
    while node.parent is not None:
        moves.append(node.move)
        node = node.parent
    return reversed(moves)


def check(game):
    """What is wrong with one game."""
    name = game.headers["Event"]
    if game.errors:
        yield f"{name}: {game.errors}"
    line = list(game.mainline())
    for mark in chess.pgn.NAG_BLUNDER, chess.pgn.NAG_MISTAKE:
        slips = [place for place, node in enumerate(line) if mark in node.nags]
        if slips:
            break
    if not slips or slips[-1] + 1 >= len(line):
        yield f"{name}: slips at {slips}"
    if not game.comment:
        yield f"{name}: no comment"
    again = next(games(str(game)))
    if str(again) != str(game):
        yield f"{name}: it reads otherwise when written again"


def kept(source, lesson):
    """What of the words of the source is not in the lesson."""
    written = {game.headers["Event"]: places(game) for game in lesson}
    for game in source:
        name = game.headers["Event"]
        for way, (comment, marks) in places(game).items():
            there, also = written[name].get(way, (None, set()))
            if there is None:
                yield f"{name}: the move behind {' '.join(way)} is missing"
            elif " ".join(comment.split()) not in " ".join(there.split()):
                yield f"{name}: {comment!r} is missing in {there!r}"
            elif not marks <= also:
                yield f"{name}: marks {marks} became {also} behind {' '.join(way)}"


def cards(path):
    """What is wrong with the cards."""
    with open(path, encoding="utf-8", newline="") as file:
        text = file.read()
    rows = list(csv.reader(io.StringIO(text), strict=True))
    if not rows or text.replace("\r\n", "").count("\n"):
        yield f"{path}: no card, or lines that do not end as RFC 4180 has it"
    for number, row in enumerate(rows, 1):
        if len(row) != 2:
            yield f"card {number} has {len(row)} columns"
            continue
        front, back = (ElementTree.fromstring(f"<div>{side}</div>".replace("\u00a0", " ")) for side in row)
        if front.find("{http://www.w3.org/2000/svg}svg") is None or not "".join(back.itertext()).strip():
            yield f"card {number} has no picture or no answer"


def main(folder, expected, source=None):
    warnings = io.StringIO()
    logging.basicConfig(stream=warnings, level=logging.WARNING)
    with open(f"{folder}/lesson.pgn", encoding="utf-8") as file:
        text = file.read()
    read = list(games(text))
    faults = [fault for game in read for fault in check(game)]
    if source is not None:
        with open(source, encoding="utf-8") as file:
            faults += kept(list(games(file.read())), read)
    faults += warnings.getvalue().splitlines()
    faults += [f"line {number} is too long" for number, line in enumerate(text.splitlines(), 1)
               if len(line) > (255 if line.startswith("[") else 79)]
    if len(read) != expected:
        faults.append(f"{len(read)} games, not {expected}")
    faults += cards(f"{folder}/cards.csv")
    print("\n".join(faults) or f"python-chess {chess.__version__}: {len(read)} games without a warning, and their cards")
    return 1 if faults else 0


if __name__ == "__main__":
    if sys.argv[1:] == ["--annotated"]:
        print(ANNOTATED)
        sys.exit(0)
    if import_error is not None:
        raise import_error
    sys.exit(main(sys.argv[1], int(sys.argv[2]), *sys.argv[3:]))
