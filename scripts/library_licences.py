"""The licences of the libraries that become part of the program, with their texts, for the archives of a release.

usage: library_licences.py TARGET...
"""

import json
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
TEXTS = re.compile(r"(licen[cs]e|copying|copyright|notice|unlicense)", re.IGNORECASE)


def answer(*command):
    """What cargo says of the package."""
    return subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True, cwd=ROOT).stdout


def libraries(target):
    """The packages that end up in the program for this target: no macros, no build scripts, no tests."""
    tree = ["cargo", "tree", "--locked", "--edges", "normal,no-proc-macro", "--target", target, "--prefix", "none", "--format", "{p}"]
    return {tuple(line.split()[:2]) for line in answer(*tree).splitlines() if line}


def main():
    wanted = set().union(*map(libraries, sys.argv[1:]))
    metadata = ["cargo", "metadata", "--locked", "--format-version", "1"]
    packages = json.loads(answer(*metadata))["packages"]
    print("deadfall is made with these libraries. Their licence notices follow.")
    seen = {}
    for package in sorted(packages, key=lambda package: (package["name"], package["version"])):
        if (package["name"], f"v{package['version']}") not in wanted or package["source"] is None:
            continue
        print(f"\n{'=' * 100}\n{package['name']} {package['version']}: {package['license']}")
        folder = Path(package["manifest_path"]).parent
        texts = [path for path in sorted(folder.iterdir()) if path.is_file() and TEXTS.match(path.name)]
        for path in texts:
            text = path.read_text(encoding="utf-8", errors="replace").strip()
            told = seen.setdefault(text, package["name"])
            print(f"\n--- {path.name}" + ("" if told == package["name"] else f": as that of {told}"))
            if told == package["name"]:
                print(f"\n{text}")
        if not texts:
            print(f"\nIts package holds no text of the licence. Authors: {', '.join(package['authors']) or 'not named'}.")


main()
