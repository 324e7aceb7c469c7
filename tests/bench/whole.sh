#!/usr/bin/env bash
# The whole program beside the limits of its input: `build` against `zstd -dc` and against a count
# with python-chess, and how time and memory grow with the number of games.
#
# usage: tests/bench/whole.sh [DUMP.pgn.zst ...]      (default: dumps of 100,000 and 1,000,000 games)
#
# Needs zstd and GNU time (/usr/bin/time); python3 with the package chess for the last comparison,
# which is left out without it. Dumps are made in BENCH_DIR (default: target/bench) and kept there.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."

dir=${BENCH_DIR:-target/bench}
runs=${BENCH_RUNS:-5}
mkdir -p "$dir"
cargo build --release --locked --example invent
cargo build --release --locked
deadfall=target/release/deadfall

dumps=("$@")
if ((${#dumps[@]} == 0)); then
    for games in 100000 1000000; do
        dump=$dir/$games.pgn.zst
        [[ -f $dump ]] || target/release/examples/invent --games $games --seed 1 --clocks 1 --out "$dump"
        dumps+=("$dump")
    done
fi

# timed COMMAND...: wall seconds, processor seconds and peak KiB of one run.
timed() {
    /usr/bin/time -o "$dir/time" -f '%e %U %S %M' "$@" >/dev/null 2>"$dir/messages" ||
        { cat "$dir/messages" >&2; return 1; }
    awk '{ print $1, $2 + $3, $4 }' "$dir/time"
}

# median COLUMN FILE
median() {
    sort -n -k"$1","$1" "$2" | awk -v c="$1" '{ row[NR] = $c } END { print row[int((NR + 1) / 2)] }'
}

printf '%s, %s, commit %s\n' "$(uname -sm)" "$(date -I)" "$(git rev-parse --short HEAD)"
printf '%-28s %9s %7s %9s %7s %7s %9s %9s\n' dump games memory "wall s" "cpu s" ratio "peak MiB" "us/game"
for dump in "${dumps[@]}"; do
    cat "$dump" >/dev/null
    for memory in 2GiB 1GiB 256MiB; do
        : >"$dir/limit"
        : >"$dir/build"
        # In pairs, so that whatever else the machine does falls on both.
        for ((run = 0; run < runs; run++)); do
            timed zstd -dc "$dump" >>"$dir/limit"
            rm -f "$dir/bench.redb"
            timed "$deadfall" build "$dump" --store "$dir/bench.redb" --memory $memory --quiet >>"$dir/build"
        done
        games=$("$deadfall" about --store "$dir/bench.redb" --format json |
            python3 -c 'import json, sys; print(json.load(sys.stdin)["games_read"])')
        awk -v name="$(basename "$dump")" -v games="$games" -v memory=$memory \
            -v limit="$(median 1 "$dir/limit")" -v wall="$(median 1 "$dir/build")" \
            -v cpu="$(median 2 "$dir/build")" -v peak="$(median 3 "$dir/build")" 'BEGIN {
                printf "%-28s %9d %7s %9.2f %7.2f %7.2f %9.0f %9.2f\n",
                    name, games, memory, wall, cpu, wall / limit, peak / 1024, 1e6 * wall / games }'
    done
done

if python3 -c 'import chess.pgn' 2>/dev/null; then
    dump=${dumps[0]}
    cat >"$dir/count.py" <<'PYTHON'
import collections, io, sys
import chess.pgn
text = io.TextIOWrapper(sys.stdin.buffer, encoding="utf-8", errors="replace")
counts = collections.Counter()
while (game := chess.pgn.read_game(text)) is not None:
    board = game.board()
    for ply, move in enumerate(game.mainline_moves()):
        if ply == 30:
            break
        counts[board._transposition_key(), move] += 1
        board.push(move)
print(len(counts))
PYTHON
    other=$(timed bash -c "zstd -dc '$dump' | python3 '$dir/count.py'" | cut -d' ' -f1)
    rm -f "$dir/bench.redb"
    ours=$(timed "$deadfall" build "$dump" --store "$dir/bench.redb" --quiet | cut -d' ' -f1)
    awk -v other="$other" -v ours="$ours" -v name="$(basename "$dump")" 'BEGIN {
        printf "python-chess on %s: %.1f s, build %.2f s, %.0f times\n", name, other, ours, other / ours }'
else
    echo "python-chess is not installed: that comparison is left out"
fi
rm -f "$dir/bench.redb" "$dir/limit" "$dir/build" "$dir/time" "$dir/messages" "$dir/count.py"
