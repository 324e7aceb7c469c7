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
        "hunt": ["hunt", "--as", "white"],
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


def sections():
    """What the help on formats lists of JSON: by section the path and the kind of each field."""
    found, section, head = {}, None, None
    lines = run("help", "formats").splitlines()
    for line, below in zip(lines, lines[1:] + [""]):
        if below and set(below) <= set("-~") and not re.match(r"\w+ +kind +", line):
            section = line.strip()
        include = re.match(r"All ([a-z ]+), and:", line)
        if include:
            found[section] = dict(found[include[1]])
        if re.match(r"field +kind +", line):
            head, path = re.search(r"kind +", line), None
        elif not line.strip():
            head = None
        elif head and set(line) != {"-"}:
            name, kind = line[:head.start()].strip(), line[head.start():head.end()].strip()
            if name and kind:
                path, whole = name, kind
            else:
                # What has no room goes on in the next line.
                found[section].pop(path)
                path, whole = path + name, f"{whole} {kind}".strip()
            found.setdefault(section, {})[path] = whole
    return found


def explain(value, parts, where):
    """Every field stands in the help under its whole path: in a section of its answer or of the part that a kind names."""
    if isinstance(value, list):
        for inner in value:
            explain(inner, parts, [(section, f"{path}[]" if path else path) for section, path in where])
        return
    if not isinstance(value, dict):
        return
    for name, inner in value.items():
        paths = [(section, f"{path}.{name}" if path else name) for section, path in where]
        known = [(section, path) for section, path in paths if path in parts[section]]
        assert known, f"explained nowhere: {' or '.join(f'{path} of {section}' for section, path in paths)}"
        kinds = {re.sub(r"^list of | or null$", "", parts[section][path]) for section, path in known}
        kinds |= {kind.removesuffix("s") for kind in kinds}
        explain(inner, parts, known + [(kind, "") for kind in kinds if kind in parts])


def same(one, other):
    """The same number, or both nothing."""
    nothing = lambda value: value is None or pandas.isna(value)
    return nothing(one) and nothing(other) or not nothing(one) and not nothing(other) and abs(one - other) <= 1e-12 * max(1, abs(one))


def figure_is(figure, row, name, where):
    """A figure of JSON against its columns."""
    for part, column in {"value": name, "low": f"{name}_low", "high": f"{name}_high", "k": f"{name}_k", "n": f"{name}_n", "n_eff": f"{name}_n_eff"}.items():
        if part in figure and column in row:
            assert same(figure[part], row[column]), f"{where}: {column} is {row[column]}, in JSON {figure[part]}"


def items(name, answer):
    """The items of JSON that have a row of CSV, each with what tells the row."""
    command = name.split()[0]
    if name == "moves --claims":
        return [(claim, {"number": claim["number"], "claim": claim["claim"]}) for claim in answer["claims"]]
    if command == "moves":
        scope = {"scope": "all"} if "--by" in name else {}
        of_all = [(move, scope | {"rank": move["rank"]}) for move in answer["moves"]]
        bands = [(band, {"scope": "band", "from": band["from"], "san": move["san"]}) for move in answer["moves"] for band in move.get("across") or []]
        return of_all + bands
    if name == "trap --side victim":
        # The figures of a trap stand in each of its rows.
        return [(trap | move, {"name": trap["name"], "before": 0, "san": move["san"]}) for trap in answer["traps"] for move in trap["instead"]]
    if name == "trap --over":
        figures = [key for key, value in answer["traps"][0].items() if isinstance(value, dict)]
        stores = [({figure: trap[figure]["by_store"][place] for figure in figures}, {"name": trap["name"], "scope": "store", "store": store["name"]})
                  for trap in answer["traps"] for place, store in enumerate(answer["stores"])]
        change = [({figure: trap[figure]["a_month"] for figure in figures}, {"name": trap["name"], "scope": "a_month"}) for trap in answer["traps"]]
        return stores + change
    if command == "trap":
        bands = [(band, {"scope": "band", "name": trap["name"], "from": band["from"]}) for trap in answer["traps"] for band in trap["bands"]]
        return [(trap, {"scope": "all", "name": trap["name"]}) for trap in answer["traps"]] + bands
    if command == "student":
        # In CSV one column is called after what it costs.
        traps = [({("trap_" if key.startswith("cost") else "") + key: value for key, value in trap.items() if key != "games"},
                  {"scope": "trap", "place": place + 1}) for place, trap in enumerate(answer["traps"])]
        return traps + [(entry, {"scope": scope, "place": place + 1})
                        for scope, key in (("habit", "habits"), ("position", "had"), ("left", "left")) for place, entry in enumerate(answer[key])]
    if name == "about --slopes":
        return [({"slope": slope}, {"pace": slope["pace"]}) for slope in answer["slopes"]]
    if name == "about":
        return [(source | source["left_out"], {"name": source["name"]}) for source in answer["sources"]]
    key, scope = {"hunt": ("found", "trap"), "gaps": ("gaps", "gap")}[name]
    return [(item, {"scope": scope, "place": place + 1}) for place, item in enumerate(answer[key])]


def json_and_csv_agree(name, answer, frame):
    """Every number and every figure of JSON that has columns of its name in the row of its item."""
    compared, told = 0, items(name, answer)
    assert told, f"{name}: nothing to compare"
    for item, where in told:
        row = frame
        for column, value in where.items():
            row = row[row[column] == value]
        assert len(row) == 1, f"{name}: {len(row)} rows for {where}"
        row = row.iloc[0]
        for field, value in item.items():
            if isinstance(value, dict) and "n_eff" in value and field in row:
                figure_is(value, row, field, f"{name} {where}")
                compared += 1
            elif isinstance(value, (int, float)) and not isinstance(value, bool) and field in row:
                assert same(value, row[field]), f"{name} {where}: {field} is {row[field]}, in JSON {value}"
                compared += 1
    # DuckDB reads the JSON itself, too.
    key = max((key for key, value in answer.items() if isinstance(value, list) and value and isinstance(value[0], dict)), key=lambda key: len(answer[key]))
    count = duckdb.sql(f"select count(*) from (select unnest({key}) from read_json('{SCRATCH / name}.json'))").fetchall()[0][0]
    assert count == len(answer[key]), f"{name}: DuckDB finds {count} in {key}"
    return compared


def answer_of(name):
    """Options that only add to an answer have no section of their own."""
    return name.replace(" --by", "").replace(" --slopes", "")


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
    parts, frames, compared = sections(), {}, {}
    for name, arguments in answers().items():
        table, answer = SCRATCH / f"{name}.csv", SCRATCH / f"{name}.json"
        table.write_text(run(*arguments, "--format", "csv", status=(0, 1)), encoding="utf-8")
        answer.write_text(run(*arguments, "--format", "json", status=(0, 1)), encoding="utf-8")
        frames[name] = types_are_right(name, table)
        found = json.loads(answer.read_text(encoding="utf-8"))
        compared[name] = json_and_csv_agree(name, found, frames[name])
        assert compared[name] > 0, f"{name}: nothing compared"
        explain(found, parts, [(f"JSON: {answer_of(name)}", "")])
    for options in ("", " --groups", " --totals", " --totals --groups", " --names"):
        table = SCRATCH / "export.csv"
        table.write_text(run("export", *options.split()), encoding="utf-8")
        types_are_right(f"export{options}", table)
    moves, traps = table_of_moves(frames["moves"]), page_of_lesson(frames["trap"])
    count = sum(len(frame.columns) for frame in frames.values())
    print(f"types of {count} columns right, every field explained; equal: {sum(compared.values())} numbers in JSON and CSV, "
          f"{moves} rows of a table, {traps} traps on a page")


main()
