"""Judges what `student` says about a student's games by reading them again with python-chess.

usage: student.py CELLS.csv ANSWER.json GAMES.pgn TRAPS.pgn REPERTOIRE.pgn

CELLS.csv is `export` of the store that gave the answer. Checked are the games taken with their results, ratings and dates, the
level, every position that the student had often enough with its usual move, its times and its results, the level's shares in
the positions of habits, the traps from both sides, and where the games leave the prepared lines.
"""

import json
import statistics
import sys
from collections import Counter, defaultdict

import chess
import chess.pgn

from count import position_key
from gaps import read_cells, read_file

NEAR = 1e-9
SLIP, OTHER_SLIP = chess.pgn.NAG_BLUNDER, chess.pgn.NAG_MISTAKE


def name_of(value):
    """A name as it is compared."""
    return "".join(c.lower() if c.isascii() else c for c in value.strip())


def own_games(path, names, half_moves):
    """The student's games: colour, points, rating, date, and (key, uci, first visit) of the first half-moves."""
    taken, left = [], Counter()
    with open(path, encoding="utf-8") as text:
        while game := chess.pgn.read_game(text):
            tags = game.headers
            sides = [name_of(tags.get(side, "?")) in names for side in ("White", "Black")]
            if sum(sides) != 1:
                left["both_sides" if all(sides) else "other_players"] += 1
                continue
            if tags.get("Variant", "Standard") not in ("Standard", "Chess") or "FEN" in tags:
                left["variant"] += 1
                continue
            if tags.get("Result") not in ("1-0", "0-1", "1/2-1/2"):
                left["no_result"] += 1
                continue
            if game.errors:
                left["illegal_move"] += 1
                continue
            board, plies, seen = game.board(), [], set()
            for move in list(game.mainline_moves())[:half_moves]:
                key = position_key(board)
                plies.append((key, move.uci(), key not in seen))
                seen.add(key)
                board.push(move)
            if not plies:
                left["no_moves"] += 1
                continue
            white = sides[0]
            points = {"1-0": 1.0, "0-1": 0.0, "1/2-1/2": 0.5}[tags["Result"]]
            rating = tags.get("WhiteElo" if white else "BlackElo", "")
            taken.append({
                "white": white,
                "points": points if white else 1 - points,
                "rating": int(rating) if rating.isdigit() and 0 < int(rating) < 4000 else None,
                "plies": plies,
                "last": position_key(board),
            })
    return taken, left


def tally(points):
    counts = Counter(points)
    return {"wins": counts[1.0], "draws": counts[0.5], "losses": counts[0.0]}


def positions(games, times):
    """Visits, moves and points of the student by position."""
    found = defaultdict(list)
    for game in games:
        for ply, (key, uci, first) in enumerate(game["plies"]):
            if first and (ply % 2 == 0) == game["white"]:
                found[key].append((uci, game["points"]))
    return {key: visits for key, visits in found.items() if len(visits) >= times}


def every_node(node):
    """A node's moves with all behind them, in the order of the text: a move, its alternatives, what follows."""
    for child in node.variations:
        yield child
        if child is not node.variations[0]:
            yield from every_node(child)
    if node.variations:
        yield from every_node(node.variations[0])


def read_traps(path):
    """By key of the trap position: whether the victim is White, and the refutations of each slip there.

    The moves marked as slips in one position are one trap, from whichever game or variation."""
    traps = {}
    with open(path, encoding="utf-8") as text:
        while game := chess.pgn.read_game(text):
            setter = game.headers.get("Setter", "").lower()
            is_victim = lambda node: setter != ("white" if node.parent.board().turn else "black")
            nodes = [node for node in every_node(game) if is_victim(node)]
            line = set(game.mainline())
            found = [node for node in nodes if SLIP in node.nags]
            other = [node for node in nodes if OTHER_SLIP in node.nags]
            for node in found or [node for node in other if node in line][-1:] or other[-1:]:
                board = node.parent.board()
                _, slips = traps.setdefault(position_key(board), (board.turn, defaultdict(set)))
                slips[node.move.uci()].update(child.move.uci() for child in node.variations)
    return traps


def met(games, key, white, slips):
    """times, slipped, refuted, missed of the games in which the student has this colour."""
    times = slipped = refuted = missed = 0
    for game in games:
        for ply, (here, uci, first) in enumerate(game["plies"]):
            if here != key or not first or game["white"] != white:
                continue
            times += 1
            if uci in slips:
                slipped += 1
                if ply + 1 < len(game["plies"]):
                    found = game["plies"][ply + 1][1] in slips[uci]
                    refuted, missed = refuted + found, missed + (not found)
    return times, slipped, refuted, missed


def leavings(games, white, moves, known):
    """Counts by (key, uci, whether the student left), and what became of the others."""
    left, others = Counter(), Counter()
    for game in games:
        if game["white"] != white:
            continue
        keys = [key for key, _, _ in game["plies"]] + [game["last"]]
        for ply, (key, uci, _) in enumerate(game["plies"]):
            if not moves.get(key):
                others["to_the_end"] += 1
                break
            if keys[ply + 1] not in known:
                left[key, uci, (ply % 2 == 0) == white] += 1
                break
        else:
            others["within" if moves.get(keys[-1]) else "to_the_end"] += 1
    return left, others


def main():
    cells, answer_path, games_path, traps_path, lines_path = sys.argv[1:]
    with open(answer_path, encoding="utf-8") as text:
        answer = json.load(text)
    names = {name_of(name) for name in [answer["name"], *answer["also"]]}
    settings = answer["settings"]
    games, left_out = own_games(games_path, names, settings["half_moves"])
    wrong = []

    def same(what, ours, theirs):
        both = isinstance(ours, float) and isinstance(theirs, (float, int))
        if abs(ours - theirs) > NEAR if both else ours != theirs:
            wrong.append(f"{what}: reference {ours}, program {theirs}")

    told = answer["games"]
    same("games read", len(games) + sum(left_out.values()), told["read"])
    for reason, count in told["left_out"].items():
        same(f"left out, {reason}", left_out[reason], count)
    for side, white in (("white", True), ("black", False)):
        own = [game["points"] for game in games if game["white"] == white]
        same(f"games as {side}", len(own), told[f"as_{side}"])
        same(f"results as {side}", tally(own), told["results"][side])
    ratings = [game["rating"] for game in games if game["rating"]]
    median = statistics.median(ratings)
    same("ratings", (len(ratings), min(ratings), float(median), max(ratings)),
         tuple(told["ratings"][name] for name in ("games", "low", "median", "high")))
    if answer["level"]["basis"] == "median":
        middle = int(median + 50) // 100 * 100
        same("level", (middle - 100, middle + 100), (answer["level"]["from"], answer["level"]["below"]))

    found = positions(games, settings["times"])
    same("positions had", len(found), len(answer["had"]))
    for row in answer["had"]:
        visits = found.get(position_key(chess.Board(row["fen"])), [])
        moves = Counter(uci for uci, _ in visits)
        usual = min((-count, uci) for uci, count in moves.items()) if moves else (0, None)
        what = row["fen"]
        same(f"{what}, times", len(visits), row["times"])
        same(f"{what}, usual move", (usual[1], -usual[0]), (row["move"]["uci"], row["played"]))
        same(f"{what}, results", tally(points for _, points in visits), row["results"])

    counts = read_cells(cells, answer["level"])
    for habit in answer["habits"]:
        here = counts[position_key(chess.Board(habit["fen"]))]
        everything = sum(numbers[0] for numbers in here.values())
        for what, uci, share in (("usual", habit["move"]["uci"], habit["share"]),
                                 ("better", habit["better"]["uci"], habit["better"]["share"])):
            same(f"{habit['line']}, {what} move", (here[uci][0], everything), (share["k"], share["n"]))
            if here[uci][0] < settings["tested_from"]:
                wrong.append(f"{habit['line']}, {what} move has too few games")
        cost = 100 * habit["played"] / len(games) * (habit["better"]["edge"]["value"] - habit["edge"]["value"])
        same(f"{habit['line']}, cost", cost, habit["cost_per_100_games"]["value"])
    lows = [habit["cost_per_100_games"]["low"] for habit in answer["habits"]]
    same("habits in order", sorted(lows, reverse=True), lows)

    rows = {(position_key(chess.Board(row["trap_fen"])), row["role"]): row for row in answer["traps"]}
    traps = read_traps(traps_path)
    same("traps", 2 * len(traps), len(answer["traps"]))
    for key, (victim, slips) in traps.items():
        for role, white in (("faced", victim), ("laid", not victim)):
            row = rows[key, role]
            same(f"{row['name']}, {role}", met(games, key, white, slips),
                 tuple(row[name] for name in ("times", "slipped", "refuted", "missed")))

    lines = answer["repertoire"]
    moves, known = read_file(lines_path, lines["as"])
    left, others = leavings(games, lines["as"] == "white", moves, known)
    theirs = {(position_key(chess.Board(row["fen"])), row["move"]["uci"], row["by"] == "student"): row["times"]
              for row in answer["left"]}
    same("places where lines are left", dict(left), theirs)
    for name in ("to_the_end", "within"):
        same(name, others[name], lines[name])
    print(*wrong[:20], sep="\n", file=sys.stderr, end="\n" if wrong else "")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
