#!/usr/bin/env python3
"""Checks the reference count itself: against published keys, and against numbers worked out by
hand for single games of tests/golden/edge-games.pgn."""

import pathlib
import unittest

import chess

import count
import rules
from games import split_games

EDGE_GAMES = pathlib.Path(__file__).parents[2] / "tests" / "golden" / "edge-games.pgn"
OPTIONS = count.parse_arguments([str(EDGE_GAMES)])
START = "463b96181691fc9c"


def key_after(moves):
    board = chess.Board()
    for text in moves.split():
        board.push(count.read_move(board, text))
    return f"{count.position_key(board):016x}"


def edge_counts(event):
    """The counts of all games of the corpus whose Event begins so."""
    counts = count.Counts(30)
    with count.open_text(EDGE_GAMES) as lines:
        for game in split_games(lines):
            if game.tags.get("Event", "").startswith(event):
                counts.add(game, OPTIONS)
    return counts


def cells_of(event):
    """Rows of the cells table of these games, by (key, move, band)."""
    text = count.tables(edge_counts(event), 1)["cells.csv"]
    rows = [line.split(",") for line in text.splitlines()[1:]]
    return {(row[0], row[1], row[2]): [row[3], *map(int, row[4:])] for row in rows}


def by_move(event):
    return {move: numbers for (_, move, _), numbers in cells_of(event).items()}


class Keys(unittest.TestCase):
    def test_published_vectors_of_the_key_scheme(self):
        """Start, e4, e4 d5, e4 d5 e5 and e4 d5 e5 f5: the nine published vectors' first five."""
        self.assertEqual(key_after(""), START)
        self.assertEqual(key_after("e4"), "823c9b50fd114196")
        self.assertEqual(key_after("e4 d5"), "0756b94461c50fb0")
        self.assertEqual(key_after("e4 d5 e5"), "662fafb965db29d4")
        self.assertEqual(key_after("e4 d5 e5 f5"), "22a48b5a8e47ff78")

    def test_en_passant_counts_only_if_the_capture_is_legal(self):
        self.assertEqual(key_after("f4 e6 Kf2 Qf6 f5 g5"), "598c0b8ff9303166")
        self.assertEqual(key_after("f4 g5 Kf2 e6 f5 Qf6"), "598c0b8ff9303166")
        self.assertEqual(key_after("e4 a6 e5 f5"), "753958bdf5b34982")
        self.assertEqual(key_after("e4 f5 e5 a6"), "a5dd1ac7a0a7b2f0")

    def test_the_corpus_meets_these_keys(self):
        pinned = edge_counts("En passant by a pinned pawn")
        self.assertEqual(pinned.visits[0x598C0B8FF9303166], 2)
        self.assertEqual(edge_counts("En passant").visits[0x753958BDF5B34982], 1)
        self.assertEqual(edge_counts("En passant").visits[0xA5DD1AC7A0A7B2F0], 1)


class HandWorked(unittest.TestCase):
    def test_expected_thousandths(self):
        """FIDE's formula: .640065 at 100, .909091 at 400, .985752 at 736, .501439 at 1."""
        self.assertEqual([rules.expected_milli(1500 + d, 1500) for d in (0, 1, 100, 400, 736)],
                         [500, 501, 640, 909, 986])
        self.assertEqual(rules.expected_milli(1500, 1600), 360)

    def test_bands_and_results_are_the_movers(self):
        cells = cells_of("Bands by the mover")
        zeros = [0] * 5
        self.assertEqual(cells[START, "b2b4", "1900"], ["blitz", 1, 0, 0, 1, 499] + zeros)
        self.assertEqual(cells[START, "b2b4", "1200"], ["blitz", 1, 0, 1, 0, 91] + zeros)
        black = key_after("b4")
        self.assertEqual(cells[black, "e7e5", "2000"], ["blitz", 1, 1, 0, 0, 501] + zeros)
        self.assertEqual(cells[black, "e7e5", "1600"], ["blitz", 1, 0, 1, 0, 909] + zeros)

    def test_clocks_are_cut_to_tenths(self):
        """300.9 - 298.0 + 3 = 5.9 s; 300.0 - 303.9 + 3 < 0; 298.0 - 290.0 + 3 = 11.0 s."""
        spent = {move: row[6:9] for move, row in by_move("Clocks with fractions").items()}
        self.assertEqual(spent, {
            "e2e4": [0, 0, 0], "e7e5": [0, 0, 0], "g1f3": [1, 59, 3481], "b8c6": [1, 0, 0],
            "f1b5": [1, 110, 12100], "a7a6": [1, 0, 0],
        })

    def test_a_move_without_a_clock_hides_its_own_time_and_the_next(self):
        """Only 2. Nf3 (5.0 s) and 3... a6 (13.0 s) have a clock before and after."""
        spent = {move: row[7] for move, row in by_move("A move without a clock").items() if row[6]}
        self.assertEqual(spent, {"g1f3": 50, "a7a6": 130})

    def test_the_longest_time_spent(self):
        """8000 h are 288,000,000 tenths, 7067:55:57 are 254,445,570: the rest is 2^25 - 2."""
        rows = by_move("Time spent: the longest")
        self.assertEqual(rows["g1f3"][6:8], [0, 0])
        self.assertEqual(rows["b8c6"][6:8], [1, 2**25 - 2])

    def test_players_are_told_by_their_names(self):
        counts = edge_counts("Players: names")
        pilot, master = (its_group for *_, its_group in sorted(counts.total_groups, reverse=True))
        for event in ("Players: capitals and white space", "Players: the same as Black"):
            other = edge_counts(event)
            swapped = event.endswith("Black")
            self.assertEqual(other.nameless_sides, 0)
            self.assertEqual(
                [its_group for *_, its_group in sorted(other.total_groups, reverse=True)],
                [master, pilot] if swapped else [pilot, master],
            )
        self.assertNotEqual(pilot, master)
        self.assertEqual(edge_counts("Players: no names").nameless_sides, 4)
        self.assertEqual(edge_counts("Players: an empty one").nameless_sides, 2)
        self.assertEqual(edge_counts("Players: other letters").nameless_sides, 0)

    def test_evaluations_are_the_movers(self):
        """-0.125 pawns: -13 for White, 13 for Black; 1.005 for White: -101 for Black."""
        rows = by_move("Evaluations: mover's view")
        self.assertEqual({move: row[9:] for move, row in rows.items()}, {
            "f2f4": [1, -13], "e7e5": [1, 13], "g2g3": [1, -1000], "e5f4": [1, 1000],
            "g1f3": [1, -1000], "f4g3": [1, -30], "h2h3": [0, 0], "d7d5": [1, -101],
        })

    def test_a_position_counts_once_a_game(self):
        """30 half-moves; the start recurs at plies 4, 8 and 12, Nf3, Nf3 Nf6 and Nf3 Nf6 Ng1 once
        each: 24 visits. The start's move is the first one played there."""
        counts = edge_counts("Junk after thirty half-moves")
        self.assertEqual(sum(counts.visits.values()), 24)
        moves = {uci for key, uci, _, _ in counts.cells if key == int(START, 16)}
        self.assertEqual(moves, {"g1f3"})

    def test_castling_with_zeros_is_the_same_move(self):
        self.assertEqual(by_move("Castling on both sides")["e1g1"][1], 2)
        self.assertEqual(by_move("Castling on both sides")["e8c8"][1], 2)

    def test_three_of_five_name_a_position(self):
        counts = edge_counts("Names: three of five")
        self.assertEqual(count.agreed_name(counts.openings[int(key_after("a3"), 16)]),
                         ("B90", "Sicilian Defense: Najdorf Variation", 3))

    def test_every_game_left_out_has_the_reason_that_its_event_states(self):
        stated = {}
        with count.open_text(EDGE_GAMES) as lines:
            for game in split_games(lines):
                event = game.tags.get("Event", "")
                if "left out as " in event:
                    counts = count.Counts(30)
                    counts.add(game, OPTIONS)
                    stated[event] = [why for why, number in counts.left_out.items() if number]
        self.assertGreaterEqual(len(stated), 40)
        for event, reasons in stated.items():
            self.assertEqual(reasons, [event.split("left out as ")[1]], event)


class PublishedCounts(unittest.TestCase):
    def test_distinct_positions_after_three_half_moves(self):
        """OEIS A083276: 5362 with en passant only if legal; A048987: 8902 games."""
        boards = [chess.Board()]
        for _ in range(3):
            following = []
            for board in boards:
                for move in board.legal_moves:
                    following.append(board.copy(stack=False))
                    following[-1].push(move)
            boards = following
        keys = {count.position_key(board) for board in boards}
        self.assertEqual((len(boards), len(keys)), (8902, 5362))


if __name__ == "__main__":
    unittest.main()
