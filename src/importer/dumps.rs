//! Refuses dumps that the store already holds.

use super::{BuildError, Stop};
use crate::ledger::Source;
use crate::source::{Place, SourceError, hash_file};
use crate::store::Store;

/// Refuses, before anything is decompressed, each file whose size and hash are in the ledger.
pub(super) fn refuse_known(
    places: &[Place],
    old: Option<&Store>,
    stop: &Stop,
) -> Result<(), BuildError> {
    let Some(store) = old else { return Ok(()) };
    for place in places {
        let Place::File(path) = place else { continue };
        let size = place.file_bytes();
        if store
            .header()
            .sources
            .iter()
            .any(|source| size.is_some() && source.fingerprint.file_bytes == size)
        {
            let hash = hash_file(path, &stop.flag())
                .map_err(|source| stop.or(SourceError::Open { name: place.display(), source }))?;
            refuse(store, &place.display(), |source| source.fingerprint.file_hash == Some(hash))?;
        }
    }
    Ok(())
}

/// Refuses the dump `name` if a source of the store is the same.
pub(super) fn refuse(
    store: &Store,
    name: &str,
    same: impl Fn(&Source) -> bool,
) -> Result<(), BuildError> {
    match store.header().sources.iter().find(|source| same(source)) {
        None => Ok(()),
        Some(source) => Err(BuildError::AlreadyIn {
            dump: name.to_owned(),
            known: source.name.clone(),
            store: store.path().to_owned(),
        }),
    }
}
