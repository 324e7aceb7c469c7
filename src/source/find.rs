//! From paths as typed to dumps to read.

use std::fs;
use std::path::{Path, PathBuf};

use super::{Place, SourceError};

/// The dumps that the paths name, in order: a file is itself, `-` is standard input, a folder
/// means the files in it that have `.pgn` in their names, in letters of either case,
/// sorted by name.
pub fn find_dumps(paths: &[PathBuf]) -> Result<Vec<Place>, SourceError> {
    let mut places = Vec::new();
    for path in paths {
        let name = || path.display().to_string();
        let open = |source| SourceError::Open { name: name(), source };
        if path.as_os_str() == "-" {
            places.push(Place::Stdin);
        } else if fs::metadata(path).map_err(open)?.is_dir() {
            let before = places.len();
            places.extend(dumps_in(path).map_err(open)?);
            if places.len() == before {
                return Err(SourceError::EmptyFolder { name: name() });
            }
        } else {
            places.push(Place::File(path.clone()));
        }
    }
    Ok(places)
}

fn dumps_in(folder: &Path) -> std::io::Result<Vec<Place>> {
    let mut paths = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let named = path.file_name().map(|name| name.to_string_lossy()).is_some_and(|name| {
            let name = name.to_ascii_lowercase();
            // A lock is there while a file beside it is written.
            name.contains(".pgn") && !name.ends_with(".lock")
        });
        if named && path.is_file() {
            paths.push(path);
        }
    }
    paths.sort();
    Ok(paths.into_iter().map(Place::File).collect())
}
