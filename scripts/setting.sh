# Sourced by checks: the Python environment that they need, and the program that they judge.

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

# program_to_judge ROOT: sets DEADFALL to the release program of the checkout, built now, unless it names one.
program_to_judge() {
    [[ -z ${DEADFALL:-} ]] || return 0
    (cd "$1" && cargo build --release --locked --quiet --bin deadfall)
    DEADFALL=${CARGO_TARGET_DIR:-$1/target}/release/deadfall
}
