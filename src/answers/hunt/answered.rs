//! Those who answer a move have habits, which make its games tell less about its drop.

use super::Hunt;
use super::significance::p_value;
use super::slip::Slip;
use super::walk::Walk;
use crate::answers::Question;
use crate::answers::effect::answers_at;
use crate::answers::stats::ANSWERED_FROM;
use crate::counts::Counts;
use crate::terms::{Key, MoveCode};

/// Looks behind moves and tests them anew: behind each, and behind the one of the others that most
/// of their games have, if there is one. Where each of the others has but few of them, what is
/// behind it moves their common score little.
pub(super) fn look_behind<'s, C: Counts>(
    counts: &C,
    (hunt, question): (&Hunt, &Question),
    walk: &Walk,
    slips: impl Iterator<Item = &'s mut Slip>,
) -> Result<(), C::Error> {
    let slips: Vec<&mut Slip> = slips.collect();
    let behind: Vec<[Option<(u64, Key)>; 2]> = slips.iter().map(|slip| asked(slip, walk)).collect();
    let asked = behind.iter().flatten().flatten();
    let mut keys: Vec<Key> = asked.map(|&(_, key)| key).collect();
    keys.sort_unstable();
    keys.dedup();
    let answers = answers_at(counts, &keys, question.filter)?;
    let known = |(games, key)| (games, answers[keys.binary_search(&key).expect("asked for")]);
    for (slip, behind) in slips.into_iter().zip(behind) {
        let [lost, held] = behind.map(|behind| behind.map(known));
        slip.of_scores = [
            slip.effect.of_tests(slip.sample.games(), lost.as_slice()),
            slip.effect.of_tests(slip.others.games(), held.as_slice()),
        ];
        slip.p = p_value(slip, hunt.null_drop);
    }
    Ok(())
}

/// Games with the move and with the other one, and where they lead to.
fn asked(slip: &Slip, walk: &Walk) -> [Option<(u64, Key)>; 2] {
    let mut others = slip.rivals.iter().map(|(code, sample)| (*code, sample.games()));
    let most = others.find(|(_, games)| 2 * games > slip.others.games());
    let key = |(code, games): (MoveCode, u64)| Some((games, walk.key_behind(slip.at, code)?));
    [Some((slip.code, slip.sample.games())), most]
        .map(|mv| mv.filter(|&(_, games)| games >= ANSWERED_FROM).and_then(key))
}
