//! Games that were really played: the extract of an open monthly dump that the source package of
//! the pgn-reader crate carries for its benchmarks.

use std::path::{Path, PathBuf};
use std::process::Command;

/// A file of `tests/golden`.
pub fn golden(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
    std::fs::read(&path).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// Pieces of texts that mean something to a reader, by where they are put in
/// (`tests/fuzz/pieces.json`).
pub fn pieces(of: &str) -> Vec<String> {
    let all: serde_json::Value =
        serde_json::from_str(include_str!("../../fuzz/pieces.json")).expect("the file is JSON");
    serde_json::from_value(all[of].clone()).expect("a list of texts")
}

/// The largest PGN file with clock comments in the package; `None`, with a word about it, where the
/// package's folder is not at hand.
#[expect(clippy::print_stderr, reason = "a test that is skipped says so")]
pub fn real_dump() -> Option<Vec<u8>> {
    let folder = package_folder("pgn-reader");
    if !folder.is_dir() {
        eprintln!("skipped: the source package of pgn-reader is not at hand");
        return None;
    }
    let files = std::fs::read_dir(folder.join("benches")).expect("the package has benches");
    let texts = files
        .map(|file| file.expect("the folder can be listed").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "pgn"))
        .map(|path| std::fs::read(path).expect("the file can be read"));
    let clocked = texts.filter(|text| memchr::memmem::find(text, b"%clk").is_some());
    Some(clocked.max_by_key(Vec::len).expect("the package has a PGN file with clocks"))
}

fn package_folder(name: &str) -> PathBuf {
    let host = printed("rustc", &["-vV"]);
    let host = host.lines().find_map(|line| line.strip_prefix("host: ")).expect("rustc has a host");
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    let arguments = ["metadata", "--format-version", "1", "--offline", "--filter-platform", host];
    let metadata: serde_json::Value =
        serde_json::from_str(&printed(&cargo, &arguments)).expect("cargo metadata is JSON");
    let packages = metadata["packages"].as_array().expect("packages are a list");
    let package = packages.iter().find(|package| package["name"] == name).expect("a dependency");
    let manifest = package["manifest_path"].as_str().expect("a package has a manifest");
    Path::new(manifest).parent().expect("a manifest lies in a folder").to_owned()
}

/// What a command printed; it must succeed.
fn printed(program: &str, arguments: &[&str]) -> String {
    let mut command = Command::new(program);
    command.args(arguments).current_dir(env!("CARGO_MANIFEST_DIR"));
    let output = command.output().unwrap_or_else(|error| panic!("{program}: {error}"));
    assert!(output.status.success(), "{program}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("it prints text")
}
