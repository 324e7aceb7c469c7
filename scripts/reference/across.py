"""Checks what `moves --by` tells by the counts of `export`.

usage: across.py CELLS.csv ANSWER.json FROM BELOW

CELLS.csv is `export` of a store, ANSWER.json the answer of `moves LINE --by rating|pace --from FROM --below BELOW` (0 and 4000
without these options). The key of the position is polyglot's, which needs no board of the program's: it is found by the FEN.
Bands are joined here once more: from the lowest up until their games are as good as 50 (by the design effect that the answer tells: games over
n_eff), a rest joining the last stretch.
"""

import csv
import json
import sys

import chess
import chess.polyglot

ENOUGH = 50


def stretches(games, enough):
    """Stretches [from, below, games] of {band: games}, each of `enough` games."""
    done, current = [], None
    for band in sorted(band for band, n in games.items() if n):
        current = current or [band, band, 0]
        current[1] = band + 100
        current[2] += games[band]
        if current[2] >= enough:
            done.append(current)
            current = None
    if current and done:
        done[-1] = [done[-1][0], current[1], done[-1][2] + current[2]]
    elif current:
        done.append(current)
    return done


def main(cells_path, answer_path, lowest, highest):
    with open(answer_path) as file:
        answer = json.load(file)
    key = f"{chess.polyglot.zobrist_hash(chess.Board(answer['position']['fen'])):016x}"
    with open(cells_path) as file:
        cells = [
            row for row in csv.DictReader(file)
            if row["key"] == key and int(lowest) <= int(row["band"]) < int(highest)
        ]
    assert cells, "no cells of the position"

    def total(move=None, **where):
        rows = [row for row in cells if move in (None, row["move"])]
        if "pace" in where:
            rows = [row for row in rows if row["pace"] == where["pace"]]
        if "band" in where:
            rows = [row for row in rows if where["band"][0] <= int(row["band"]) < where["band"][1]]
        names = ("games", "wins", "draws", "losses")
        return [sum(int(row[name]) for row in rows) for name in names]

    bands = {int(row["band"]) for row in cells}
    enough = ENOUGH * answer["games"] / answer["n_eff"] - 1e-6
    wanted = stretches({band: total(band=(band, band + 100))[0] for band in bands}, enough)
    paces = {row["pace"] for row in cells}
    wrong = []
    for row in answer["moves"]:
        across = row["across"]
        if "pace" in across[0]:
            columns = {cell["pace"] for cell in across}
            if columns != paces:
                wrong.append(f"{row['uci']}: paces {columns}, {paces} in the export")
        else:
            columns = [[cell["from"], cell["below"], cell["n"]] for cell in across]
            if columns != wanted:
                wrong.append(f"{row['uci']}: bands {columns}, {wanted} by the export")
        for cell in across:
            where = (
                {"pace": cell["pace"]} if "pace" in cell else {"band": (cell["from"], cell["below"])}
            )
            games, wins, draws, _ = total(row["uci"], **where)
            found = (cell["n"], cell["share"]["k"], cell["score"]["n"])
            if found != (total(**where)[0], games, games):
                wrong.append(f"{row['uci']} {where}: {found}")
            score = cell["score"]["value"]
            if score is not None and abs(score - (wins + draws / 2) / games) > 1e-12:
                wrong.append(f"{row['uci']} {where}: score {score}")
    print(*wrong, sep="\n", file=sys.stderr, end="\n" if wrong else "")
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
