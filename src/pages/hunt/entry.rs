//! One finding.

use crate::answers::hunt::{Branch, Evaluations, Found, HuntAnswer, ReachKind, Verdict};
use crate::pages::board::{self, BoardStyle};
use crate::pages::figures::Unit;
use crate::pages::layout::paragraph;
use crate::pages::numbers::{count, counted, signed};
use crate::pages::trap::{erred, listing, named};
use crate::pages::words::{self, clean};

/// The figures of the table of traps that are shown.
const SHOWN: [&str; 6] =
    ["slip_rate", "find_rate", "edge_refuted", "edge_no_slip", "worth_per_1000", "net_per_1000"];

/// The finding at a place of the list, with its board if wanted.
pub(super) fn text(found: &Found, place: usize, answer: &HuntAnswer, with_board: bool) -> String {
    let trap = &found.trap;
    let eco = trap.eco.as_deref().map_or(String::new(), |eco| format!(" ({})", clean(eco)));
    let mut page = paragraph(&format!("{place}. {}{eco}", clean(&trap.name)), 4);
    page += &paragraph(&clean(&trap.line), 4);
    page += &paragraph(
        &format!("{} to move: {}", words::side(trap.setter.other()), clean(&trap.trap_fen)),
        4,
    );
    if with_board {
        page.push('\n');
        page += &board::board(&trap.trap_fen, trap.setter, BoardStyle::Ascii);
    }
    page.push('\n');
    page += &figures(found);
    page.push('\n');
    notes(found, answer).iter().for_each(|note| page += &paragraph(note, 0));
    page
}

/// Whether a count is told together with what it is as good as.
pub(super) fn shows_effective_games(found: &Found) -> bool {
    let of_trap = SHOWN.iter().map(|key| named(key).of_trap(&found.trap));
    let mut figures = of_trap.chain([&found.reach.rate, &found.drop]);
    figures.any(|figure| (figure.n_eff.round() as u64) < figure.n)
}

fn figures(found: &Found) -> String {
    let trap = &found.trap;
    let slip = words::numbered_from(&trap.trap_fen, 0, &trap.slip);
    let setter = words::side(trap.setter);
    let victim = words::side(trap.setter.other());
    let refutation = words::numbered_from(&trap.trap_fen, 1, &trap.refutation);
    let reach = match found.reach.kind {
        ReachKind::Occurrence => format!("games as {victim} that come here"),
        ReachKind::Repertoire => "games with the repertoire that come here".to_owned(),
    };
    let of_trap = |key: &str| {
        let (name, view, here) = named(key).row(trap);
        let (name, here) = match key {
            "slip_rate" => ("costly move".to_owned(), format!("{victim} plays {slip}")),
            "find_rate" => ("best reply".to_owned(), format!("those who answer {refutation}")),
            "edge_refuted" => (
                "edge, best reply".to_owned(),
                format!("with {refutation}, from games that did not choose it"),
            ),
            "edge_no_slip" => (
                "edge otherwise".to_owned(),
                format!("{setter}'s, when {victim} plays another move"),
            ),
            _ => (name, here),
        };
        (name, view, here)
    };
    let costs = format!("what {slip} costs against the other moves");
    let own = |name: &str, view, here| (name.to_owned(), view, here);
    let [slip_rate, paid @ ..] = SHOWN;
    let first = [
        own("reach", Unit::Share.view(&found.reach.rate), reach),
        of_trap(slip_rate),
        own("drop", Unit::Edge.view(&found.drop), costs),
    ];
    listing(first.into_iter().chain(paid.map(of_trap)))
}

fn notes(found: &Found, answer: &HuntAnswer) -> Vec<String> {
    let trap = &found.trap;
    let mut notes = vec![format!(
        "{} in the position; p = {}, q = {} among {}. {}",
        counted(trap.figures.games, "game"),
        chance(found.p),
        chance(found.q),
        counted(answer.tests as u64, "test"),
        evaluations(
            &found.evaluations,
            &words::numbered_from(&trap.trap_fen, 0, &trap.slip),
            words::side(trap.setter.other())
        ),
    )];
    notes.extend(not_to_lay(found));
    let victim = words::side(trap.setter.other());
    notes.extend(found.branches.iter().map(|further| branch(further, &trap.trap_fen, victim)));
    if !found.branches.is_empty() {
        notes.push(
            "The figures above are those of the first of these moves alone. In the file of --pgn they are one trap, so trap and lesson \
             count them together."
                .into(),
        );
    }
    if !trap.paces.is_empty() {
        notes.push(format!("Games here by pace: {}.", words::mix(&trap.paces)));
    }
    if trap.figures.steered.mixed {
        notes.push(words::MIXED.into());
    }
    notes.extend(words::may_lack(trap.may_lack, "from a position of the line"));
    notes
}

fn branch(branch: &Branch, fen: &str, victim: &str) -> String {
    let slip = words::numbered_from(fen, 0, &branch.slip);
    let [drop, edge] = [&branch.drop, &branch.edge_refuted].map(|edge| Unit::Edge.view(edge));
    format!(
        "Another costly move here: {} ({} % of {}), drop {} % over {}, q = {}; best reply {} (edge {} over {}). {}",
        slip,
        Unit::Share.view(&branch.slip_rate).line(),
        counted(branch.slip_rate.n, "game"),
        drop.line(),
        counted(branch.drop.n, "game"),
        chance(branch.q),
        words::numbered_from(fen, 1, &branch.refutation),
        edge.said(),
        counted(branch.edge_refuted.n, "game"),
        evaluations(&branch.evaluations, &slip, victim),
    )
}

/// Why it is no trap to lay, if it is none.
pub(super) fn not_to_lay(found: &Found) -> Option<String> {
    let trap = &found.trap;
    if found.to_lay {
        return None;
    }
    let (setter, victim) = (words::side(trap.setter), words::side(trap.setter.other()));
    let without = trap.soundness.without_slip.filter(|_| trap.soundness.stands_worse());
    Some(match without {
        Some(without) => format!(
            "No trap to lay: unless {victim} errs, {setter} is at {} pawns.{}",
            signed(without.cp / 100.0, 2),
            erred(trap)
        ),
        None => format!(
            "No trap to lay: {setter} scores less with it than with the other moves, slips included."
        ),
    })
}

/// What evaluations say, with their counts.
pub(super) fn evaluations(found: &Evaluations, slip: &str, victim: &str) -> String {
    let pawns = |cp: Option<f64>| cp.map_or("-".to_owned(), |cp| signed(cp / 100.0, 2));
    let means = format!(
        "{} pawns for {victim} after {slip} ({}), {} after the other moves ({})",
        pawns(found.slip_cp),
        counted(found.slip_games, "evaluation"),
        pawns(found.others_cp),
        count(found.others_games)
    );
    match found.verdict {
        Verdict::Mate => format!("The best reply to {slip} is mate, so it needs no evaluations."),
        Verdict::Agree => format!("Evaluations of all ratings agree: {means}."),
        Verdict::Contradict => format!(
            "Evaluations of all ratings CONTRADICT this finding: {means}; look before you teach it."
        ),
        Verdict::TooFew if found.slip_games + found.others_games == 0 => {
            "No evaluations: only results speak against the move.".to_owned()
        }
        Verdict::TooFew => {
            format!("Too few evaluations of all ratings to bear it out: {means}.")
        }
    }
}

/// `0.05` as `5 %`.
pub(super) fn percent(fraction: f64) -> String {
    let text = format!("{:.2}", 100.0 * fraction);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

/// A small chance with two digits.
pub(super) fn chance(p: f64) -> String {
    match p {
        0.0 => "0".to_owned(),
        p if p >= 0.001 => format!("{p:.4}"),
        p => format!("{p:.1e}"),
    }
}
