#!/usr/bin/env python3
"""Counts opening moves in PGN files: the independent reference for `deadfall export`.

Plain dictionaries and python-chess, nothing shared with the program it judges. Reads plain PGN
and, where the module `zstandard` is there, zstd files. Prints the cells as CSV, or with --groups, --totals,
--total-groups, --names, --summary the other tables; --all PREFIX writes all of them as PREFIX.cells.csv,
PREFIX.groups.csv, PREFIX.totals.csv, PREFIX.total-groups.csv, PREFIX.names.csv and PREFIX.summary.json.

Where a game begins and ends: games.py. What tags and comments mean: rules.py. Beyond these:

* broken: a comment left open; no end marker (1-0, 0-1, 1/2-1/2, *) as the last word of the main
  line (comments may follow it); a marker anywhere else; a marker unlike the Result tag.
* no_moves: no word but move numbers, NAGs and the marker.
* illegal_move: within the counted half-moves a word that is neither move number, NAG, a run of !
  and ?, nor a legal, unambiguous move. Nothing is read beyond them. A move is written
  [NBRQK] [file] [rank] [x] square [=NBRQ], or O-O, O-O-O (also with zeros); the signs + # ! ? at
  its end mean nothing; more origin than needed is no error. `x` stands exactly for captures, a
  pawn's capture names its file, and castling is never written as a king's move.
* A position's key: the common 64-bit Zobrist hash, en passant only if such a capture is legal. A game
  counts for a position once, with what it did at its first visit.
* Time spent: own previous clock - clock now + increment, not below 0; none at a side's first move,
  if the move before has no clock, or above 2^25 - 2 tenths (38.8 days).
* Names: from visits at ply 0 to 20 (half-moves before the position). The longest leading part (cut
  at ": " or ", ") that 60 % of the position's games with an Opening tag carry, the number of those
  games, and their most frequent ECO code (ties: the smaller string). Without any Opening tag:
  the code that 60 % of its games with an ECO tag carry. Empty, "?" and more than 255 bytes are no tag.
* Totals: expected_sq and expected_result are the sums of the squares of the expected scores and of
  their products with the scores made, both in millionths.
* Summary: positions, cells and visits are those kept; visits + visits_dropped is all of them.
"""

import argparse
import csv
import io
import json
import sys
from collections import Counter, defaultdict

import chess
import chess.polyglot

from games import MOVE_FORM, SUFFIX, split_games, without_move_number
from rules import (
    PACES, REASONS, RESULTS, as_written, clock_tenths, eval_centipawns, expected_milli, group,
    has_date, increment_tenths, left_out_by_tags, pace, rating,
)

CELL_HEADER = (
    "key,move,band,pace,games,wins,draws,losses,expected_milli,"
    "clock_games,clock_tenths,clock_tenths_sq,eval_games,eval_cp"
).split(",")
LONGEST_SPENT = 2**25 - 2
LAST_NAMED_PLY = 20


def position_key(board):
    square = board.ep_square
    if square is not None and not board.has_legal_en_passant():
        board.ep_square = None
    key = chess.polyglot.zobrist_hash(board)
    board.ep_square = square
    return key


def read_move(board, text):
    """The legal move that ``text`` stands for, or None."""
    text = text.rstrip(SUFFIX)
    if not MOVE_FORM.fullmatch(text):
        return None
    try:
        move = board.parse_san(text)
    except ValueError:
        return None
    if text[0] in "O0":
        return move
    letter = text[0] if text[0] in "NBRQK" else "P"
    pawn_capture_without_file = text[0] == "x"
    if (
        board.is_castling(move)
        or pawn_capture_without_file
        or ("x" in text) != board.is_capture(move)
        or letter != board.piece_at(move.from_square).symbol().upper()
    ):
        return None
    return move


def read_main_line(game):
    """Returns (moves, marker or None): moves are pairs of text and the comments after it. A
    marker that is not the last word is no marker."""
    moves, markers, last = [], 0, None
    for kind, text in game.tokens:
        if kind == "comment":
            if moves:
                moves[-1][1] += text + "\n"
            continue
        last = text
        if text in RESULTS or text == "*":
            markers += 1
            continue
        text = without_move_number(text)
        is_nag = text.startswith("$") and text[1:].isdecimal()
        if text and not is_nag and text.strip("!?"):
            moves.append([text, ""])
    is_good = markers == 1 and (last in RESULTS or last == "*")
    return moves, last if is_good else None


class Counts:
    """Everything counted so far."""

    def __init__(self, half_moves):
        self.half_moves = half_moves
        self.read = 0
        self.left_out = dict.fromkeys(REASONS, 0)
        self.cells = defaultdict(lambda: [0] * 10)
        self.groups = Counter()
        self.totals = defaultdict(lambda: [0] * 7)
        self.total_groups = Counter()
        self.nameless_sides = 0
        self.undated = 0
        self.visits = Counter()
        self.openings = defaultdict(list)

    def add(self, game, options):
        self.read += 1
        reason = left_out_by_tags(game.tags, options) or self.count(game)
        if reason:
            self.left_out[reason] += 1

    def count(self, game):
        """Counts a game that the tags let pass; returns the reason if it is left out after all."""
        moves, marker = read_main_line(game)
        if game.comment_left_open or marker != game.tags["Result"]:
            return "broken"
        if not moves:
            return "no_moves"
        plies = self.replay(moves)
        if plies is None:
            return "illegal_move"

        self.undated += not has_date(game.tags)
        ratings = {chess.WHITE: rating(game.tags["WhiteElo"]), chess.BLACK: rating(game.tags["BlackElo"])}
        time_control = game.tags.get("TimeControl", "")
        its_pace = pace(time_control)
        outcome, groups = {}, {}
        for colour in (chess.WHITE, chess.BLACK):
            won = marker == ("1-0" if colour else "0-1")
            drawn = marker == "1/2-1/2"
            expected = expected_milli(ratings[colour], ratings[not colour])
            outcome[colour] = [1, int(won), int(drawn), int(not won and not drawn), expected]
            made = 1000 if won else 500 if drawn else 0
            products = [expected**2, expected * made]
            band = ratings[colour] // 100 * 100
            add_to(self.totals[colour, band, its_pace], outcome[colour] + products)
            groups[colour], has_name = group(game, colour == chess.WHITE)
            self.nameless_sides += not has_name
            self.total_groups[colour, band, its_pace, groups[colour]] += 1

        spent = time_spent(moves, time_control)
        seen = set()
        for ply, (key, uci) in enumerate(plies):
            if key in seen:
                continue
            seen.add(key)
            mover = ply % 2 == 0
            seconds = [0, 0, 0] if spent[ply] is None else [1, spent[ply], spent[ply] ** 2]
            centipawns = eval_centipawns(moves[ply][1], mover)
            evaluation = [0, 0] if centipawns is None else [1, centipawns]
            band = ratings[mover] // 100 * 100
            add_to(self.cells[key, uci, band, its_pace], outcome[mover] + seconds + evaluation)
            self.groups[key, uci, band, its_pace, groups[mover]] += 1
            self.visits[key] += 1
            if ply <= LAST_NAMED_PLY:
                self.openings[key].append((name_in(game, "Opening"), name_in(game, "ECO")))
        return None

    def replay(self, moves):
        """Pairs of position key and UCI text, or None at the first move that cannot be played."""
        board, plies = chess.Board(), []
        for text, _ in moves[: self.half_moves]:
            move = read_move(board, text)
            if move is None:
                return None
            plies.append((position_key(board), move.uci()))
            board.push(move)
        return plies


def name_in(game, tag):
    """A tag's value, empty if it is too long for a name. Bytes that are no UTF-8 become U+FFFD."""
    value = as_written(game.tags.get(tag, ""))
    return value.decode("utf-8", "replace") if len(value) <= 255 else ""


def add_to(numbers, more):
    for index, number in enumerate(more):
        numbers[index] += number


def time_spent(moves, time_control):
    """Tenths of a second spent on each move, None where unknown."""
    increment = increment_tenths(time_control)
    clocks = [clock_tenths(comments) for _, comments in moves]
    spent = [None] * len(moves)
    for ply in range(2, len(moves)):
        before, now = clocks[ply - 2], clocks[ply]
        if increment is not None and before is not None and now is not None:
            tenths = max(0, before - now + increment)
            spent[ply] = tenths if tenths <= LONGEST_SPENT else None
    return spent


def leading_parts(name):
    parts = {name[:at] for at in range(1, len(name)) if name[at : at + 2] in (": ", ", ")}
    return parts | {name}


def most_frequent(strings):
    counted = Counter(string for string in strings if string not in ("", "?"))
    return min(counted, key=lambda string: (-counted[string], string), default="")


def agreed_name(openings):
    """(eco, name, tally) of a position from the (opening, eco) tags of its games, or None."""
    tagged = [(name, eco) for name, eco in openings if name not in ("", "?")]
    if not tagged:
        codes = [eco for _, eco in openings if eco not in ("", "?")]
        code = most_frequent(codes)
        tally = codes.count(code)
        return (code, "", tally) if codes and 5 * tally >= 3 * len(codes) else None
    carried = Counter(part for name, _ in tagged for part in leading_parts(name))
    agreed = [part for part in carried if 5 * carried[part] >= 3 * len(tagged)]
    if not agreed:
        return None
    name = max(agreed, key=len)
    eco = most_frequent(eco for opening, eco in tagged if name in leading_parts(opening))
    return eco, name, carried[name]


def table(header, rows):
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return text.getvalue()


def tables(counts, keep_from):
    """The outputs by name, each a string."""
    kept = {key for key, visits in counts.visits.items() if visits >= keep_from}
    cells = [
        (key, uci, band, PACES.index(its_pace), numbers)
        for (key, uci, band, its_pace), numbers in counts.cells.items()
        if key in kept
    ]
    cells.sort()
    groups = sorted(
        (key, uci, band, PACES.index(its_pace), its_group, games)
        for (key, uci, band, its_pace, its_group), games in counts.groups.items()
        if key in kept
    )
    totals, total_groups = (
        [("white" if colour else "black", band, PACES[at], *rest) for _, colour, band, at, *rest in rows]
        for rows in (
            sorted(
                (not colour, colour, band, PACES.index(its_pace), *numbers)
                for (colour, band, its_pace), numbers in counts.totals.items()
            ),
            sorted(
                (not colour, colour, band, PACES.index(its_pace), its_group, games)
                for (colour, band, its_pace, its_group), games in counts.total_groups.items()
            ),
        )
    )
    named = ((key, agreed_name(counts.openings[key])) for key in sorted(kept & set(counts.openings)))
    visits = sum(counts.visits[key] for key in kept)
    summary = {
        "games_read": counts.read,
        "games_counted": counts.read - sum(counts.left_out.values()),
        "nameless_sides": counts.nameless_sides,
        "undated": counts.undated,
        "left_out": counts.left_out,
        "positions": len(kept),
        "cells": len(cells),
        "visits": visits,
        "visits_dropped": sum(counts.visits.values()) - visits,
    }
    return {
        "cells.csv": table(
            CELL_HEADER,
            ((f"{key:016x}", uci, band, PACES[at], *numbers) for key, uci, band, at, numbers in cells),
        ),
        "groups.csv": table(
            CELL_HEADER[:4] + ["group", "games"],
            ((f"{key:016x}", uci, band, PACES[at], *rest) for key, uci, band, at, *rest in groups),
        ),
        "totals.csv": table(
            ["colour", "band", "pace"] + CELL_HEADER[4:9] + ["expected_sq", "expected_result"], totals
        ),
        "total-groups.csv": table(["colour", "band", "pace", "group", "games"], total_groups),
        "names.csv": table(
            ["key", "eco", "name", "tally"], ((f"{key:016x}", *row) for key, row in named if row)
        ),
        "summary.json": json.dumps(summary, indent=2) + "\n",
    }


def open_text(path):
    """Lines of a plain or zstd file, told by content; `-` is standard input."""
    stream = sys.stdin.buffer if path == "-" else open(path, "rb")
    stream = io.BufferedReader(stream) if not hasattr(stream, "peek") else stream
    if stream.peek(4)[:4] == b"\x28\xb5\x2f\xfd":
        import zstandard

        decompressor = zstandard.ZstdDecompressor(max_window_size=2**31)
        stream = decompressor.stream_reader(stream, read_across_frames=True)
    return io.TextIOWrapper(stream, encoding="utf-8", errors="surrogateescape", newline="\n")


def parse_arguments(arguments):
    parser = argparse.ArgumentParser(description="Count opening moves in PGN files, plainly.")
    parser.add_argument("files", nargs="+", metavar="FILE")
    parser.add_argument("--half-moves", type=int, default=30)
    parser.add_argument("--keep-from", type=int, default=5)
    parser.add_argument("--since", metavar="YYYY-MM[-DD]")
    parser.add_argument("--until", metavar="YYYY-MM[-DD]")
    parser.add_argument("--pace", type=lambda text: text.split(","), help="such as blitz,rapid")
    parser.add_argument("--max-gap", type=int)
    output = parser.add_mutually_exclusive_group()
    output.add_argument("--groups", dest="output", action="store_const", const="groups.csv")
    output.add_argument("--total-groups", dest="output", action="store_const", const="total-groups.csv")
    output.add_argument("--totals", dest="output", action="store_const", const="totals.csv")
    output.add_argument("--names", dest="output", action="store_const", const="names.csv")
    output.add_argument("--summary", dest="output", action="store_const", const="summary.json")
    output.add_argument("--all", metavar="PREFIX", help="write all tables")
    parser.set_defaults(output="cells.csv")
    return parser.parse_args(arguments)


def count_files(files, options):
    counts = Counts(options.half_moves)
    for path in files:
        with open_text(path) as lines:
            for game in split_games(lines):
                counts.add(game, options)
    return counts


def main():
    options = parse_arguments(sys.argv[1:])
    output = tables(count_files(options.files, options), options.keep_from)
    if options.all:
        for name, text in output.items():
            with open(f"{options.all}.{name}", "w", encoding="utf-8", newline="") as file:
                file.write(text)
    else:
        sys.stdout.write(output[options.output])


if __name__ == "__main__":
    main()
