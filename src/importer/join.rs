//! Stores built apart, added up.
#![doc = include_str!("../pages/help/sharing.md")]

use std::path::PathBuf;
use std::time::Instant;

use super::counting::Counted;
use super::{BuildError, Plan, Progress, Stop, finish, within_workspace};
use crate::files::{Workspace, twice};
use crate::games::Rules;
use crate::ledger::BuildSummary;
use crate::source::Place;
use crate::store::Store;

/// Adds the stores `inputs` up into the store of the plan, with what it holds if it exists.
///
/// Of the plan, the dumps and the rules are not looked at: the rules are those of the stores.
/// Counts are added first; then positions with fewer games than the plan keeps are dropped.
///
/// # Errors
///
/// A store that is named twice, or is that of the plan; stores by different rules, or with the
/// same dump in two of them; those of reading and writing stores. The store of the plan is
/// then as it was.
pub fn join(
    plan: &Plan,
    inputs: &[PathBuf],
    progress: &Progress,
    stop: &Stop,
) -> Result<BuildSummary, BuildError> {
    refuse_same(plan, inputs)?;
    // The lock comes first, so that no build can end between reading the store and replacing it.
    within_workspace(plan, progress, |workspace| run(plan, inputs, workspace, progress, stop))
}

fn run(
    plan: &Plan,
    inputs: &[PathBuf],
    workspace: &Workspace,
    progress: &Progress,
    stop: &Stop,
) -> Result<BuildSummary, BuildError> {
    let started = Instant::now();
    let paths = paths(plan, inputs);
    let cache = plan.memory.for_old_stores(paths.len());
    let stores: Vec<Store> =
        paths.iter().map(|path| Store::open_cached(path, cache)).collect::<Result<_, _>>()?;
    let plan = Plan { rules: common_rules(&stores)?, sources: Vec::new(), ..plan.within_memory() };
    refuse_twice(&stores)?;
    super::room::check(&plan, workspace, &stores, progress)?;
    finish::write(&plan, workspace, stores, Counted::default(), progress, stop, started)
}

/// The store that is there already, then the others.
fn paths(plan: &Plan, inputs: &[PathBuf]) -> Vec<PathBuf> {
    let there = plan.store.exists().then(|| plan.store.clone());
    there.into_iter().chain(inputs.iter().cloned()).collect()
}

/// Refuses what would count a store twice, by whatever name; one that is not there is an
/// error of its own.
fn refuse_same(plan: &Plan, inputs: &[PathBuf]) -> Result<(), BuildError> {
    let all = [&plan.store].into_iter().chain(inputs).filter(|path| path.exists());
    let there: Vec<Place> = all.cloned().map(Place::File).collect();
    match twice(&there).map(|(later, earlier)| (&there[later], &there[earlier])) {
        Some((Place::File(store), Place::File(other))) if *other == plan.store => {
            Err(BuildError::IsTarget { store: store.clone() })
        }
        Some((Place::File(store), Place::File(other))) => {
            Err(BuildError::OneStore { store: store.clone(), other: other.clone() })
        }
        _ => Ok(()),
    }
}

fn common_rules(stores: &[Store]) -> Result<Rules, BuildError> {
    let Some((first, others)) = stores.split_first() else { return Ok(Rules::default()) };
    let rules = &first.header().rules;
    for other in others {
        if let Some((option, ours, theirs)) = rules.difference(&other.header().rules) {
            let (store, other) = (first.path().to_owned(), other.path().to_owned());
            return Err(BuildError::RulesDiffer { option, store, ours, other, theirs });
        }
    }
    Ok(rules.clone())
}

fn refuse_twice(stores: &[Store]) -> Result<(), BuildError> {
    for (place, later) in stores.iter().enumerate() {
        for source in &later.header().sources {
            for earlier in &stores[..place] {
                if earlier.header().sources.iter().any(|known| known.hash == source.hash) {
                    let (store, other) = (earlier.path().to_owned(), later.path().to_owned());
                    return Err(BuildError::InBoth { dump: source.name.clone(), store, other });
                }
            }
        }
    }
    Ok(())
}
