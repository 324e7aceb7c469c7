# Sourced by scripts: the programs that cargo builds, the one that checks judge, and their Python environment.

# built ROOT OPTIONS...: has cargo build a release program and prints where it is, whatever folder or target cargo is set to.
built() {
    (cd "$1" && cargo build --release --locked --message-format=json-render-diagnostics "${@:2}") |
        sed -n 's/.*"executable":"\([^"]*\)".*/\1/p'
}

# program_to_judge ROOT: sets DEADFALL to the release program of the checkout, built now, unless it names one.
program_to_judge() {
    [[ -n ${DEADFALL:-} ]] || DEADFALL=$(built "$1" --quiet --bin deadfall)
}

# inventor ROOT: sets INVENT to the program that invents dumps in the same way.
inventor() {
    [[ -n ${INVENT:-} ]] || INVENT=$(built "$1" --quiet --example invent)
}

# python_environment DIR TEST LIBRARY...: makes the environment in DIR and fetches the libraries, unless TEST, Python code, passes there.
python_environment() {
    local folder=$1 test=$2
    shift 2
    "$folder/bin/python" -c "$test" 2>/dev/null && return
    command -v python3 >/dev/null || { echo "python3 is missing" >&2; return 1; }
    echo "making the Python environment in $folder" >&2
    python3 -m venv "$folder"
    "$folder/bin/pip" install --quiet "$@"
}
