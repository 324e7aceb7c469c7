//! What could go: lines that hardly ever come up, and the few moves that carry most games.

use shakmaty::Position;

use super::choices::{To, Turn};
use super::flow::Fate;
use super::margin::{Goal, Margins};
use super::report::{Spare, SpareLine};
use super::rules::Settings;
use crate::lines::Prepared;

/// The share of games that may come to a position whose move is missing.
const LOST: f64 = 0.05;

/// Looks at every move of the student's side in the file.
pub(super) fn spare(file: &Prepared, margins: &Margins<'_>, settings: &Settings) -> Spare {
    let positions = file.positions();
    let visits = upper_visits(file, margins);
    let own = |place: usize| positions[place].board.turn() == settings.side;
    // From the last place to the first, so that what lies behind is known: whether all of it is
    // rare, and its moves.
    let mut rare: Vec<bool> = visits.iter().map(|&visits| visits < settings.unused).collect();
    let mut moves: Vec<usize> = (0..positions.len())
        .map(|place| if own(place) { positions[place].moves.len() } else { 0 })
        .collect();
    for place in (1..positions.len()).rev() {
        let before = file.parent(place).expect("only the start has nothing before it");
        rare[before] &= rare[place];
        moves[before] += moves[place];
    }
    let chosen = chosen(file, margins, &own);
    let mut never_chosen = 0;
    let mut unused = Vec::new();
    for place in 1..positions.len() {
        let before = file.parent(place).expect("only the start has nothing before it");
        if !chosen[place] {
            // Each move counts where it leads to, or where the line ends with it.
            never_chosen += usize::from(own(before));
            continue;
        }
        if rare[place] && !rare[before] {
            let moves = moves[place] + usize::from(own(before));
            if moves > 0 {
                let met = match visits[place] > 0.0 {
                    true => margins.rate(Goal::Comes(place)),
                    false => margins.never_from(before, visits[before].min(1.0)),
                };
                unused.push(SpareLine { line: file.line_to(place).to_string(), met, moves });
            }
        }
    }
    unused.sort_by_key(|line| std::cmp::Reverse(line.moves));
    let (prepared_moves, _) = file.moves_by(settings.side);
    Spare { unused, prepared_moves, never_chosen, carry_95: carry(margins) }
}

/// The share of games at each place; behind a position that is not known, the share that comes to
/// that position.
fn upper_visits(file: &Prepared, margins: &Margins<'_>) -> Vec<f64> {
    let mut visits = margins.flow.visits(file.positions().len());
    let mut behind_unknown = vec![0.0; visits.len()];
    for place in 1..visits.len() {
        let before = file.parent(place).expect("only the start has nothing before it");
        behind_unknown[place] = match margins.choices.turns[before] {
            Turn::Unknown => visits[before],
            _ => behind_unknown[before],
        };
        visits[place] += behind_unknown[place];
    }
    visits
}

/// Whether the student, as asked, may ever choose all own moves on the way to a place.
fn chosen(file: &Prepared, margins: &Margins<'_>, own: &dyn Fn(usize) -> bool) -> Vec<bool> {
    let mut chosen = vec![true; file.positions().len()];
    for place in 1..chosen.len() {
        let before = file.parent(place).expect("only the start has nothing before it");
        let open = match &margins.choices.turns[before] {
            Turn::Choice { choices, .. } if own(before) => {
                choices.iter().any(|choice| choice.to == To::Place(place))
            }
            _ => true,
        };
        // What another order of moves leads to is played all the same.
        chosen[place] = chosen[before] && open;
    }
    for stop in margins.flow.stops.iter().filter(|stop| stop.mass > 0.0) {
        chosen[stop.place] = true;
    }
    chosen
}

/// How many of the most used moves of the student carry 95 % of the games.
fn carry(margins: &Margins<'_>) -> Option<usize> {
    margins.rate(Goal::Answered(u16::MAX)).value?;
    let turns = &margins.choices.turns;
    let mut played: Vec<(f64, usize, usize)> = Vec::new();
    let visits = margins.flow.visits(turns.len());
    for (place, turn) in turns.iter().enumerate() {
        if let Turn::Choice { own: true, choices, .. } = turn {
            let moves = choices.iter().enumerate();
            played
                .extend(moves.map(|(index, choice)| (visits[place] * choice.chance, place, index)));
        }
    }
    played.retain(|(share, ..)| *share > 0.0);
    played.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut rank: Vec<Vec<usize>> = vec![Vec::new(); turns.len()];
    for (order, (_, place, index)) in played.iter().enumerate() {
        let ranks = &mut rank[*place];
        ranks.resize(ranks.len().max(index + 1), usize::MAX);
        ranks[*index] = order;
    }
    // The more moves are kept, the fewer games are lost.
    let (mut too_few, mut enough) = (0, played.len());
    if lost(margins, &rank, 0) <= LOST {
        return Some(0);
    }
    if lost(margins, &rank, enough) > LOST {
        return None;
    }
    while enough - too_few > 1 {
        let middle = too_few + (enough - too_few) / 2;
        match lost(margins, &rank, middle) <= LOST {
            true => enough = middle,
            false => too_few = middle,
        }
    }
    Some(enough)
}

/// The share of games that come to a position whose move is not among the first `kept`, or to where
/// nothing is known: any move may be needed there.
fn lost(margins: &Margins<'_>, rank: &[Vec<usize>], kept: usize) -> f64 {
    let stops = &margins.flow.stops;
    let mut mass = vec![0.0; stops.len()];
    mass[0] = 1.0;
    let mut lost = 0.0;
    for (at, stop) in stops.iter().enumerate() {
        let (own, choices, goes) = match (&margins.choices.turns[stop.place], &stop.fate) {
            (Turn::Choice { own, choices, .. }, Fate::Goes(goes)) => (own, choices, goes),
            (_, Fate::Unknown) => {
                lost += mass[at];
                continue;
            }
            _ => continue,
        };
        for (index, (choice, next)) in choices.iter().zip(goes).enumerate() {
            let share = mass[at] * choice.chance;
            match next {
                _ if *own && rank[stop.place].get(index).is_none_or(|&rank| rank >= kept) => {
                    lost += share;
                }
                Some(next) => mass[*next as usize] += share,
                None => {}
            }
        }
    }
    lost
}
