"""Every answer for programs as an analyst reads it: with DuckDB and pandas, which guess the types of columns.

Four things are asked: do both guess the right types, is every field explained by the help, do JSON and CSV hold the
same numbers, and are these the numbers of the tables and of the page of a lesson?
"""

import html
import json
import re
import subprocess
import sys
from pathlib import Path

import duckdb
import pandas

PROGRAM, SCRATCH = sys.argv[1], Path(sys.argv[2])
ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "data-samples"
LEVEL = ["--below", "2000"]
ITALIAN = "1. e4 e5 2. Nf3 Nc6 3. Bc4"

# The columns that a figure has behind the one of its name.
FIGURES = {"rate": ("_low", "_high", "_k", "_n", "_n_eff"), "mean": ("_low", "_high", "_n", "_n_eff")}
KINDS = {"count": "number", "number": "number", "rate": "number", "mean": "number", "true/false": "flag"}
DAYS = {"first", "last", "date"}


def run(*arguments, status=(0,)):
    """What the program answers."""
    done = subprocess.run([PROGRAM, *arguments], capture_output=True, text=True, encoding="utf-8", cwd=SCRATCH)
    assert done.returncode in status, (arguments, done.returncode, done.stderr)
    return done.stdout


def answers():
    """Name in the list of formats and arguments of each answer that comes as CSV and JSON."""
    traps, lines = str(SAMPLES / "traps.pgn"), str(SAMPLES / "repertoire.pgn")
    over = ["--over", "deadfall.redb", "--over", "june.redb"]
    student = [str(SAMPLES / "student.pgn"), "--name", "BrineSaddle", "--traps", traps, "--repertoire", lines, "--as", "white"]
    return {
        "moves": ["moves", ITALIAN, *LEVEL],
        "moves --by": ["moves", ITALIAN, "--by", "rating"],
        "moves --claims": ["moves", "--claims", str(SAMPLES / "claims.txt")],
        "trap": ["trap", traps, *LEVEL, "--by", "pace", "--slip-below", "20%"],
        "trap --side victim": ["trap", traps, *LEVEL, "--side", "victim"],
        "trap --over": ["trap", traps, *LEVEL, *over],
        "hunt": ["hunt", "--as", "black", *LEVEL],
        "gaps": ["gaps", lines, "--as", "white", *LEVEL],
        "student": ["student", *student, *LEVEL],
        "about": ["about"],
        "about --slopes": ["about", "--slopes"],
    }


def rows(text):
    """The rows of the tables in a topic of the help: what stands in the first two columns."""
    return re.findall(r"^([a-z][a-z0-9_.\[\]]*) {2,}([a-z/]+)", text, re.M)


def columns(table):
    """The columns of a table as the help lists them, each with what it is."""
    part = run("help", "formats").split(f"\nCSV: {table}\n", 1)[1].split("\nCSV: ", 1)[0]
    found = {}
    for name, kind in rows(part):
        if (name, kind) == ("column", "kind") or (name, kind) == ("field", "kind"):
            continue
        found[name] = "day" if name in DAYS else KINDS.get(kind, "text")
        found.update({name + ending: "number" for ending in FIGURES.get(kind, ())})
    return found


def types_are_right(table, path):
    """Both libraries take each column for what it is. One without a single value tells nothing."""
    frame, meanings = pandas.read_csv(path), columns(table)
    assert set(meanings) == set(frame.columns), f"{table}: explained or there, not both: {set(meanings) ^ set(frame.columns)}"
    guessed = duckdb.sql(f"describe select * from read_csv('{path}')").fetchall()
    assert [name for name, *_ in guessed] == list(frame.columns), f"{table}: other columns"
    wanted = {"number": ("BIGINT", "DOUBLE", "UBIGINT", "HUGEINT"), "text": ("VARCHAR",), "flag": ("BOOLEAN",), "day": ("DATE",)}
    for name, guess, *_ in guessed:
        values = frame[name].dropna()
        if values.empty:
            continue
        meant = meanings[name]
        assert guess in wanted[meant], f"{table}.{name}: DuckDB reads {guess}, it is a {meant}"
        ours = {
            "number": lambda: pandas.api.types.is_numeric_dtype(values) and not pandas.api.types.is_bool_dtype(values),
            "text": lambda: pandas.api.types.is_string_dtype(values),
            "flag": lambda: set(values.unique()) <= {True, False},
            "day": lambda: pandas.to_datetime(values, format="%Y-%m-%d", errors="coerce").notna().all(),
        }
        assert ours[meant](), f"{table}.{name}: pandas reads {values.dtype}, it is a {meant}"
    return frame


def fields(value):
    """The names of all fields of a JSON answer. Codes that count something are the keys of `left_out` and the like."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield name
            yield from fields(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from fields(inner)


def explained():
    """The fields that the help lists, each part of a path by itself."""
    return {word for path, _ in rows(run("help", "formats")) for word in re.findall(r"[a-z][a-z0-9_]*", path)}


def same(one, other):
    """The same number, or both nothing."""
    nothing = lambda value: value is None or pandas.isna(value)
    return nothing(one) and nothing(other) or not nothing(one) and not nothing(other) and abs(one - other) <= 1e-12 * max(1, abs(one))


def figure_is(figure, row, name, where):
    """A figure of JSON against its columns."""
    for part, column in {"value": name, "low": f"{name}_low", "high": f"{name}_high", "k": f"{name}_k", "n": f"{name}_n", "n_eff": f"{name}_n_eff"}.items():
        if part in figure and column in row:
            assert same(figure[part], row[column]), f"{where}: {column} is {row[column]}, in JSON {figure[part]}"


def json_and_csv_agree(name, answer, frame):
    """Every figure of a row of JSON that has columns of its name."""
    compared = 0
    lists = {"moves": ("moves", None), "trap": ("traps", "all"), "hunt": ("found", "trap"), "gaps": ("gaps", "gap"),
             "moves --claims": ("claims", None), "about --slopes": ("slopes", None)}
    if name not in lists:
        return 0
    key, scope = lists[name]
    table = frame if scope is None else frame[frame["scope"] == scope]
    items = answer[key]
    assert len(items) == len(table), f"{name}: {len(items)} in JSON, {len(table)} rows"
    for item, (_, row) in zip(items, table.iterrows()):
        for field, value in item.items():
            column = "slope" if name == "about --slopes" and field == "value" else field
            if isinstance(value, dict) and "n_eff" in value and field in row:
                figure_is(value, row, field, f"{name} {item.get('name', item.get('san', ''))}")
                compared += 1
            elif isinstance(value, (int, float)) and not isinstance(value, bool) and column in row:
                assert same(value, row[column]), f"{name}: {column} is {row[column]}, in JSON {value}"
                compared += 1
    # DuckDB reads the JSON itself, too.
    path = SCRATCH / f"{name}.json"
    count = duckdb.sql(f"select count(*) from (select unnest({key}) from read_json('{path}'))").fetchall()[0][0]
    assert count == len(items), f"{name}: DuckDB finds {count} in {key}"
    return compared


def percent(value, digits):
    return f"{100 * value:.{digits}f}"


def table_of_moves(frame):
    """The table for people holds the numbers of the CSV, rounded."""
    text, seen = run("moves", ITALIAN, *LEVEL), 0
    for line in text.split("\n\n")[1].splitlines():
        found = re.match(r" *(\d+) +(\S+) +([\d,]+) +([\d.]+) \[([\d.]+), ([\d.]+)\]", line)
        if not found:
            continue
        rank, san, games, share, low, high = found.groups()
        row = frame[frame["rank"] == int(rank)].iloc[0]
        wanted = (row["san"], row["games"], *(percent(row[name], 1) for name in ("share", "share_low", "share_high")))
        assert wanted == (san, int(games.replace(",", "")), share, low, high), f"{line}: in CSV {wanted}"
        seen += 1
    assert seen == len(frame), f"{seen} of {len(frame)} moves are in the table"
    return seen


def page_of_lesson(frame):
    """The table of the traps on the page of a lesson: who slips, of how many."""
    run("lesson", str(SAMPLES / "traps.pgn"), *LEVEL, "--out", "lesson")
    page = (SCRATCH / "lesson" / "lesson.html").read_text(encoding="utf-8")
    page = re.sub(r"<style.*?</style>|<svg.*?</svg>", "", page, flags=re.S)
    page = re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))
    seen = 0
    for _, row in frame[frame["scope"] == "all"].iterrows():
        number = rf"{row['slip_rate_k']:.0f} of {row['slip_rate_n']:.0f}"
        if pandas.notna(row["slip_rate"]):
            whole = lambda name: percent(row[name], 0)
            good = f" (as good as {row['slip_rate_n_eff']:.0f})" if row["slip_rate_n_eff"] < row["slip_rate_n"] else ""
            number = f"{whole('slip_rate')} % [ {whole('slip_rate_low')} , {whole('slip_rate_high')} ] of {row['slip_rate_n']:.0f}{good}"
        squeeze = lambda text: re.sub(r"[\s,\u00a0\u202f]", "", text)
        place = squeeze(page).find(squeeze(row["name"]))
        assert place >= 0, f"{row['name']} is not on the page"
        if pandas.notna(row["slip_rate_n"]) and row["slip_rate_n_eff"] >= 20:
            assert squeeze(number) in squeeze(page), f"{row['name']}: {number} is not on the page"
            seen += 1
    assert seen >= 8, f"{seen} traps compared"
    return seen


def main():
    month = str(SAMPLES / "harbour-league-2031-05.pgn.zst")
    run("build", "--quiet", month)
    games = run("games", "1. e4", month, "--limit", "3000").replace("2031.05", "2031.06")
    (SCRATCH / "june.pgn").write_text(games, encoding="utf-8")
    run("build", "--quiet", "june.pgn", "--store", "june.redb")
    known, frames, compared = explained(), {}, 0
    for name, arguments in answers().items():
        table, answer = SCRATCH / f"{name}.csv", SCRATCH / f"{name}.json"
        table.write_text(run(*arguments, "--format", "csv", status=(0, 1)), encoding="utf-8")
        answer.write_text(run(*arguments, "--format", "json", status=(0, 1)), encoding="utf-8")
        frames[name] = types_are_right(name, table)
        found = json.loads(answer.read_text(encoding="utf-8"))
        compared += json_and_csv_agree(name, found, frames[name])
        unknown = set(fields(found)) - known
        assert not unknown, f"{name}: explained nowhere: {unknown}"
    for options in ("", " --groups", " --totals", " --totals --groups", " --names"):
        table = SCRATCH / "export.csv"
        table.write_text(run("export", *options.split()), encoding="utf-8")
        types_are_right(f"export{options}", table)
    assert compared > 100, f"only {compared} numbers compared"
    moves, traps = table_of_moves(frames["moves"]), page_of_lesson(frames["trap"])
    count = sum(len(frame.columns) for frame in frames.values())
    print(f"types of {count} columns right, every field explained; equal: {compared} figures in JSON and CSV, "
          f"{moves} rows of a table, {traps} traps on a page")


main()
