#!/usr/bin/env python3
"""Judges `deadfall gaps`: the shares of a file of prepared lines from the cells that `export` writes.

usage: gaps.py CELLS.csv ANSWER.json FILE.pgn

ANSWER.json is what `gaps FILE.pgn --format json --min-sample 1 --met 0 --top 1000000` said of the store from which
CELLS.csv comes. Read with python-chess and played out half-move by half-move with plain dictionaries, nothing shared
with the program: answered, left, unknown, the shares by half-move, every gap with how often it is met, its share and
games, how many replies of those told are the most played ones, and what the opponents score. Prints what differs.
"""

import csv
import json
import sys
from collections import defaultdict

import chess
import chess.pgn

from count import position_key

NEAR = 1e-9
# Few games of one player tell less than one of different players, and are withheld; so many never do.
ENOUGH = 20


def read_file(path, side):
    """The moves by position key, in the order of the text, of the games that are not tagged for the other side."""
    moves = defaultdict(list)
    known = {position_key(chess.Board())}

    def add(board, node):
        """Adds the continuations of a node: its first move, its other moves with all behind them, then the first's."""
        here = position_key(board)
        for child in node.variations:
            after = board.copy(stack=False)
            after.push(child.move)
            known.add(position_key(after))
            if child.move.uci() not in moves[here]:
                moves[here].append(child.move.uci())
            if child is not node.variations[0]:
                add(after, child)
        if node.variations:
            after = board.copy(stack=False)
            after.push(node.variations[0].move)
            add(after, node.variations[0])

    with open(path, encoding="utf-8") as text:
        while game := chess.pgn.read_game(text):
            if game.errors:
                sys.exit(f"{path}: {game.errors[0]}")
            if game.headers.get("Student", side).lower() == side:
                add(chess.Board(), game)
    return {key: ucis for key, ucis in moves.items() if ucis}, known


def read_cells(path, given):
    """Games, wins and draws by position and move, of the movers asked for."""
    counts = defaultdict(lambda: defaultdict(lambda: [0, 0, 0]))
    paces = given["pace"]
    with open(path, encoding="utf-8", newline="") as table:
        for row in csv.DictReader(table):
            band = int(row["band"])
            if not given["from"] <= band < given["below"] or row["pace"] not in paces:
                continue
            numbers = counts[int(row["key"], 16)][row["move"]]
            for index, name in enumerate(("games", "wins", "draws")):
                numbers[index] += int(row[name])
    return counts


def chosen(ucis, key, counts, own):
    """The student's moves with their shares."""
    if own == "first":
        return {ucis[0]: 1.0}
    games = {uci: counts[key][uci][0] if uci in counts[key] else 0 for uci in ucis}
    played = sum(games.values())
    if own == "equal" or not played:
        return {uci: 1 / len(ucis) for uci in ucis}
    return {uci: k / played for uci, k in games.items() if k}


def follow(moves, known, counts, answer):
    """(answered, unknown, met by (key, uci), left by half-move), the flow layer by layer."""
    settings = answer["settings"]
    white = answer["as"] == "white"
    last = settings["half_moves"] or 1000
    start = chess.Board()
    layer = {position_key(start): (1.0, start)}
    answered = unknown = 0.0
    met, left = defaultdict(float), []
    for ply in range(last + 1):
        following, gone = {}, 0.0
        for key, (share, board) in layer.items():
            ucis = moves.get(key, [])
            if not ucis or ply == last:
                answered += share
                continue
            if board.turn == white:
                choices = chosen(ucis, key, counts, settings["own"])
            else:
                games = sum(numbers[0] for numbers in counts[key].values())
                if not games:
                    unknown += share
                    continue
                choices = {uci: numbers[0] / games for uci, numbers in counts[key].items()}
            for uci, chance in choices.items():
                after = board.copy(stack=False)
                after.push(chess.Move.from_uci(uci))
                there = position_key(after)
                if there not in known:
                    met[key, uci] += share * chance
                    gone += share * chance
                    continue
                before = following.get(there, (0.0, after))
                following[there] = (before[0] + share * chance, before[1])
        left.append((left[-1] if left else 0.0) + gone)
        layer = {key: entry for key, entry in following.items() if entry[0] > 0}
        if sum(share for share, _ in layer.values()) < 1e-13:
            break
    answered += sum(share for share, _ in layer.values())
    return answered, unknown, met, left


def main():
    cells, answer_path, path = sys.argv[1:]
    with open(answer_path, encoding="utf-8") as text:
        answer = json.load(text)
    moves, known = read_file(path, answer["as"])
    counts = read_cells(cells, answer["filter"])
    answered, unknown, met, left = follow(moves, known, counts, answer)
    wrong = []

    def same(what, ours, theirs):
        if theirs is None or abs(ours - theirs) > NEAR:
            wrong.append(f"{what}: reference {ours}, program {theirs}")

    same("answered", answered, answer["answered"]["value"])
    same("unknown", unknown, answer["unknown"]["value"])
    same("left", sum(met.values()), answer["left"]["value"])
    same("everything", 1.0, answered + unknown + sum(met.values()))
    for row in answer["by_ply"]:
        same(f"left after half-move {row['ply']}", left[row["ply"] - 1], row["left"])
    same("gaps", len(met), len(answer["gaps"]))
    for gap in answer["gaps"]:
        board = chess.Board(gap["fen"])
        key, uci = position_key(board), gap["move"]["uci"]
        name = f"{gap['line']} {gap['move']['san']}"
        if (key, uci) not in met:
            wrong.append(f"{name} is no gap")
            continue
        same(name, met[key, uci], gap["met"]["value"])
        games, wins, draws = counts[key][uci]
        everything = sum(numbers[0] for numbers in counts[key].values())
        same(f"{name}, games", games, gap["games"])
        same(f"{name}, share", games / everything, gap["share"]["value"])
        if gap["score"]["value"] is not None or games >= ENOUGH:
            same(f"{name}, score", (wins + draws / 2) / games, gap["score"]["value"])
        board.push_uci(uci)
        replies = counts[position_key(board)]
        most = max((numbers[0] for numbers in replies.values()), default=0)
        told = gap["replies"][0]["games"] if gap["replies"] else 0
        same(f"{name}, games of the usual reply", most, told)
        scores = {
            uci: (wins + draws / 2) / games for uci, (games, wins, draws) in replies.items()
        }
        # Best is what scores more than the usual reply beyond chance, and of several the highest.
        usual = gap["replies"][0]["score"]["value"] if gap["replies"] else None
        better = [
            scores[reply["uci"]]
            for reply in gap["replies"]
            if usual is not None and (reply["score"]["low"] or 0) > usual
        ]
        best = [scores[reply["uci"]] for reply in gap["replies"] if reply["best"]]
        same(f"{name}, score of the best reply", max(better, default=0), max(best, default=0))
        for reply in gap["replies"]:
            if reply["score"]["value"] is not None:
                same(f"{name}, a reply's score", scores[reply["uci"]], reply["score"]["value"])
    order = [gap["met"]["value"] for gap in answer["gaps"]]
    if any(later > earlier + NEAR for earlier, later in zip(order, order[1:])):
        wrong.append("the gaps are not in order")
    print(*wrong[:20], sep="\n", file=sys.stderr, end="\n" if wrong else "")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
