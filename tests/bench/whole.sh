#!/usr/bin/env bash
# The whole program beside the limits of its input, in one table: `build` against `zstd -dc`, with one zstd frame and many, little memory and
# much, one thread and two; what it takes of memory and disk; and how long answers take.
#
# usage: tests/bench/whole.sh [GAMES ...]      (default: 1000000; 10000000 for how time grows)
#
# Needs zstd, GNU time (/usr/bin/time) and python3; with its package chess a count in Python is timed as well. Dumps are made in BENCH_DIR (default:
# target/bench) and kept there. Runs stand in pairs with `zstd -dc` of the same file, and each figure is the median of BENCH_RUNS (default: 5) of
# them, so that what else the machine does falls on both; of 10 million games BENCH_RUNS_LARGE (default: 1).
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."

target=${CARGO_TARGET_DIR:-target}
dir=${BENCH_DIR:-$target/bench}
mkdir -p "$dir/temp"
sizes=("$@")
((${#sizes[@]})) || sizes=(1000000)
cargo build --release --locked --quiet --example invent
cargo build --release --locked --quiet
deadfall=$target/release/deadfall

# timed COMMAND...: wall seconds, processor seconds and peak MiB of one run.
timed() {
    /usr/bin/time -o "$dir/time" -f '%e %U %S %M' "$@" >/dev/null 2>"$dir/messages" ||
        { cat "$dir/messages" >&2; return 1; }
    awk '{ print $1, $2 + $3, $4 / 1024 }' "$dir/time"
}

# median COLUMN FILE
median() {
    sort -n -k"$1","$1" "$2" | awk -v c="$1" '{ row[NR] = $c } END { print row[int((NR + 1) / 2)] }'
}

# The most bytes that lay in the folder of temporary files while a process runs.
watch_temp() {
    local most=0 now
    while kill -0 "$1" 2>/dev/null; do
        now=$(du -sb "$dir/temp" 2>/dev/null | cut -f1) || now=0
        ((now > most)) && most=$now
        sleep 0.05
    done
    echo "$most"
}

# dump GAMES KIND: the path of a dump of one frame, or of frames of 8 MB of text.
dump() {
    local one=$dir/$1.pgn.zst many=$dir/$1.frames.pgn.zst
    [[ -f $one ]] || "$target/release/examples/invent" --games "$1" --seed 1 --clocks 1 --out "$one"
    if [[ $2 == many && ! -f $many ]]; then
        zstd -dcq "$one" | split --bytes=8MB --filter='zstd -q -9' - >"$many.part"
        mv "$many.part" "$many"
    fi
    if [[ $2 == many ]]; then echo "$many"; else echo "$one"; fi
}

# The part of a build's time that workers spend one at a time, in percent.
serial() {
    cargo bench --quiet --bench stages --locked -- --serial "$1" | sed -n 's/^read, one worker at a time *\([0-9.]*\) %.*/\1/p'
}

# row GAMES KIND MEMORY THREADS
row() {
    local games=$1 kind=$2 memory=$3 threads=$4 path runs store=$dir/$1.redb frames share=-
    path=$(dump "$games" "$kind")
    runs=${BENCH_RUNS:-5}
    ((games < 5000000)) || runs=${BENCH_RUNS_LARGE:-1}
    frames=$(zstd -l "$path" | awk 'NR == 2 { print $1 }')
    # The serial part does not hang on memory or threads, and is measured without runs on disk.
    ((threads == 2 && games < 5000000)) && [[ $memory == 2GiB ]] && share=$(serial "$PWD/$path")
    : >"$dir/limit"
    : >"$dir/build"
    for ((run = 0; run < runs; run++)); do
        timed zstd -dc "$path" >>"$dir/limit"
        rm -f "$store"
        timed "$deadfall" build "$path" --store "$store" --memory "$memory" --threads "$threads" --temp-dir "$dir/temp" --quiet \
            >>"$dir/build" &
        watch_temp $! >"$dir/most"
        wait $!
    done
    sum=$("$deadfall" export --store "$store" | sha256sum | cut -c1-16)
    awk -v games="$games" -v kind="$kind" -v frames="$frames" -v memory="$memory" -v threads="$threads" -v share="$share" -v sum="$sum" \
        -v limit="$(median 1 "$dir/limit")" -v limit_cpu="$(median 2 "$dir/limit")" -v wall="$(median 1 "$dir/build")" \
        -v cpu="$(median 2 "$dir/build")" -v peak="$(median 3 "$dir/build")" -v temp="$(cat "$dir/most")" -v bytes="$(stat -c %s "$path")" \
        'BEGIN {
            printf "%9d %6d %7s %3d %8.2f %6.2f %7.2f %6.2f %8.2f %8.2f %7s %6.2f %6d  %s\n", games, frames, memory, threads,
                wall, wall / limit, cpu, cpu / limit_cpu, 1e6 * wall / games, 1e6 * cpu / games, share, temp / bytes, peak, sum
        }'
}

printf '%s, %s, %s, %s processors, commit %s\n' "$(uname -sm)" \
    "$(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -n 1)" "$(date -I)" "$(nproc)" "$(git rev-parse --short HEAD)"
printf '%9s %6s %7s %3s %8s %6s %7s %6s %8s %8s %7s %6s %6s  %s\n' games frames memory thr "wall s" ratio "cpu s" ratio "us/game" \
    "cpu us" "serial%" temp "MiB" "export"
for games in "${sizes[@]}"; do
    if ((games >= 5000000)); then
        row "$games" one 1GiB 2
        row "$games" many 1GiB 2
        continue
    fi
    row "$games" one 2GiB 2
    row "$games" many 2GiB 2
    row "$games" many 2GiB 1
    row "$games" one 1GiB 2
    row "$games" one 256MiB 2
done
printf 'ratio: to zstd -dc of the same file, wall and processor time. temp: temporary files by the size of the dump. Exports of one size must be equal.\n\n'

# Answers as whole processes.
for ((copy = 0; copy < 13; copy++)); do cat data-samples/traps.pgn; echo; done >"$dir/traps.pgn"
for games in "${sizes[@]}"; do
    python3 - "$deadfall" "$dir/$games.redb" "$dir/traps.pgn" "$games" <<'PYTHON'
import statistics, subprocess, sys, time
deadfall, store, traps, games = sys.argv[1:]
line = "e4 e5 Nf3 f6 Nxe5 fxe5?? Qh5+"
for name, runs, arguments in [
    ("moves", 21, ["moves", "e4 e5"]),
    ("one trap", 21, ["trap", line]),
    ("16 traps", 11, ["trap", "data-samples/traps.pgn"]),
    ("208 traps", 5, ["trap", traps]),
    ("hunt", 3, ["hunt", "--as", "white"]),
]:
    took = []
    for _ in range(runs):
        start = time.perf_counter()
        subprocess.run([deadfall, *arguments, "--store", store], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        took.append(time.perf_counter() - start)
    print(f"{games} games, {name:9} {1000 * statistics.median(took):8.1f} ms")
PYTHON
done

if python3 -c 'import chess.pgn' 2>/dev/null; then
    path=$(dump 20000 one)
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
    other=$(timed bash -c "zstd -dc '$path' | python3 '$dir/count.py'" | cut -d' ' -f2)
    rm -f "$dir/bench.redb"
    ours=$(timed "$deadfall" build "$path" --store "$dir/bench.redb" --quiet | cut -d' ' -f2)
    awk -v other="$other" -v ours="$ours" 'BEGIN {
        printf "python-chess on 20,000 games: %.1f s of processor time, build %.2f s, %.0f times\n", other, ours, other / ours }'
else
    echo "python-chess is not installed: that comparison is left out"
fi
rm -rf "$dir"/{temp,bench.redb,limit,build,time,messages,most,count.py,traps.pgn}
