//! The tables of the page, each no wider than 80 columns.

use super::phrases::{half_move, whole_line};
use crate::answers::Figure;
use crate::answers::gaps::{Gap, GapsAnswer, Reply, SpareLine};
use crate::pages::figures::{Reasons, Unit, reason};
use crate::pages::languages::ENGLISH;
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::numbers::{count, counted, of_games, one_in};
use crate::pages::words::{self, clean};

/// How much of the games is answered, left and unknown.
pub(super) fn shares(answer: &GapsAnswer) -> String {
    let mut table = TextTable::new(&[
        ("of a student's games", Side::Left),
        ("%", Side::Right),
        ("interval", Side::Right),
        ("as good as", Side::Right),
    ]);
    for (name, rate) in
        [("answered", &answer.answered), ("meet a gap", &answer.left), ("unknown", &answer.unknown)]
    {
        let shown = Unit::Share.view(rate);
        table.row(vec![name.into(), percent(rate), shown.interval(), as_good_as(rate)]);
    }
    table.render() + "\n"
}

/// The value; the games stand in a column of their own.
fn percent(rate: &Figure) -> String {
    match rate.value {
        Some(_) => Unit::Share.view(rate).value(),
        None => "-".to_owned(),
    }
}

/// Of how many games of different players a share would have such a margin; none where nothing is
/// left to chance.
fn as_good_as(rate: &Figure) -> String {
    if rate.n == 0 { "-".into() } else { counted(rate.n, "game") }
}

/// One row a move of the opponent's.
pub(super) fn by_ply(answer: &GapsAnswer) -> String {
    let mut table = TextTable::new(&[
        ("after", Side::Left),
        ("answered %", Side::Right),
        ("interval", Side::Right),
        ("as good as", Side::Right),
    ]);
    let rows: Vec<_> =
        answer.by_ply.iter().filter(|row| (row.ply % 2 == 1) == answer.side.is_black()).collect();
    if rows.is_empty() {
        return String::new();
    }
    for row in rows {
        let shown = Unit::Share.view(&row.answered);
        let (value, interval) = (percent(&row.answered), shown.interval());
        table.row(vec![half_move(row.ply), value, interval, as_good_as(&row.answered)]);
    }
    format!("\n{}", table.render())
}

/// The gaps, and below them what the level replies.
pub(super) fn gaps(answer: &GapsAnswer) -> String {
    let (least, other) = (answer.settings.met, words::side(answer.side.other()));
    if answer.gaps.is_empty() {
        let more = match answer.gaps_in_all {
            0 if answer.left.value.is_none() => {
                let why = answer.left.withheld.as_ref().map_or(String::new(), reason);
                format!("Whether the file has a gap is not known: {why}.")
            }
            0 if answer.unknown.value > Some(0.0) => {
                "No gap is known; games that come to unknown positions may meet one there."
                    .to_owned()
            }
            0 => "The file has no gap.".to_owned(),
            gaps => format!(
                "No gap is met in {} or more; {} are rarer or beyond --top.",
                of_games(least),
                counted(gaps as u64, "gap")
            ),
        };
        return format!("\n{}", paragraph(&more, 0));
    }
    let gaps = answer.gaps.iter().enumerate();
    let (certain, open): (Vec<_>, Vec<_>) = gaps.partition(|(_, gap)| is_certain(&gap.met, least));
    let told = match answer.gaps_in_all - answer.gaps.len() {
        0 => String::new(),
        more => format!("; {} more are rarer or beyond --top", count(more as u64)),
    };
    let which = match least > 0.0 {
        true => format!("Gaps that are met in at least {}", of_games(least)),
        false => "Gaps".to_owned(),
    };
    let how = format!("most often first (value, interval, games; the score is {other}'s)");
    let part = |which: &str, gaps: &[(usize, &Gap)], told: &str| match gaps {
        [] => String::new(),
        gaps => {
            let head = paragraph(&format!("{which}, {how}{told}"), 0);
            format!("\n{head}\n{}", rows(gaps))
        }
    };
    let may = format!(
        "Gaps that came up in at least {}, in too few games to be certain that they are met so often",
        of_games(least)
    );
    let after = if certain.is_empty() { told.as_str() } else { "" };
    part(&which, &certain, &told) + &part(&may, &open, after) + &replies(answer)
}

/// Whether a share is known, and with its whole margin not below a limit.
fn is_certain(rate: &Figure, least: f64) -> bool {
    least == 0.0 || rate.value.is_some() && rate.low.is_some_and(|low| low >= least)
}

/// One row a gap, with its number.
fn rows(gaps: &[(usize, &Gap)]) -> String {
    let evals = gaps.iter().any(|(_, gap)| gap.eval_cp.value.is_some());
    let mut columns = vec![
        ("", Side::Right),
        ("gap", Side::Wrapped(if evals { 26 } else { 32 })),
        ("met", Side::Right),
        ("score %", Side::Right),
    ];
    if evals {
        columns.push(("eval", Side::Right));
    }
    let mut table = TextTable::new(&columns).with_gaps();
    for (index, gap) in gaps {
        let mut cells = vec![
            (index + 1).to_string(),
            named(gap),
            stack(&gap.met),
            folded(&Unit::Percent.view(&gap.score).stack().replace(" %", "")),
        ];
        if evals {
            let shown = Unit::Pawns.view(&gap.eval_cp);
            cells.push(match gap.eval_cp.value {
                Some(_) => format!("{}\n\n{}", shown.value(), shown.count()),
                None => format!("-\n\n{}", shown.count()),
            });
        }
        table.row(cells);
    }
    table.render()
}

/// A count in a narrow column: how much its games tell stands below it.
fn folded(count: &str) -> String {
    count.replace(" (as good", "\n(as good")
}

/// Value, interval and games below each other, led by `1 in 37`; of too few games
/// without the value.
fn stack(rate: &Figure) -> String {
    let shown = Unit::Share.view(rate);
    let often =
        rate.value.and_then(one_in).map_or(String::new(), |n| format!("1 in {}\n", count(n)));
    let value =
        if rate.value.is_some() { shown.value() + shown.mark() + "\n" } else { String::new() };
    let games = if rate.n == 0 { "-".to_owned() } else { shown.count() };
    let unit = if rate.value.is_none() && rate.low.is_some() { shown.mark() } else { "" };
    format!("{often}{value}{}{unit}\n{}", shown.interval(), folded(&games))
}

/// The whole line with its name.
fn named(gap: &Gap) -> String {
    let name = match (&gap.name, &gap.eco) {
        (Some(name), Some(eco)) => format!("\n{} ({})", clean(name), clean(eco)),
        (Some(one), None) | (None, Some(one)) => format!("\n{}", clean(one)),
        (None, None) => String::new(),
    };
    whole_line(gap) + &name
}

fn replies(answer: &GapsAnswer) -> String {
    if answer.gaps.iter().all(|gap| gap.usual().is_none()) {
        return String::new();
    }
    let mut table = TextTable::new(&[
        ("", Side::Right),
        ("gap", Side::Left),
        ("reply", Side::Left),
        ("", Side::Left),
        ("share %", Side::Right),
        ("games", Side::Right),
        ("score %", Side::Right),
    ]);
    let mut row = |place: String, gap: String, which: &str, reply: &Reply| {
        let row = &reply.row;
        table.row(vec![
            place,
            gap,
            row.san.clone(),
            which.into(),
            Unit::Share.view(&row.share).line(),
            count(row.games),
            Unit::Percent.view(&row.score).line(),
        ]);
    };
    for (index, gap) in answer.gaps.iter().enumerate() {
        let Some(usual) = gap.usual() else { continue };
        row((index + 1).to_string(), gap.mv.numbered.clone(), "usual", usual);
        if let Some(best) = gap.best() {
            row(String::new(), String::new(), "best", best);
        }
    }
    let side = words::side(answer.side);
    let players = ENGLISH.rated(answer.filter.bands);
    let head = format!("What players {players} reply there (the score is {side}'s)");
    format!("\n{}\n{}", paragraph(&head, 0), table.render())
}

/// Lines that hardly ever come up, and those of which the games are too few to say so.
pub(super) fn unused(answer: &GapsAnswer) -> String {
    let limit = of_games(answer.settings.unused);
    if answer.settings.unused == 0.0 {
        return String::new();
    }
    let [certain, open] = by_certainty(answer);
    let prepared = counted(answer.spare.prepared_moves as u64, "move");
    let mut page = match (certain.as_slice(), open.as_slice()) {
        ([], []) if answer.answered.value.is_none() => return String::new(),
        ([], []) if answer.unknown.value > Some(0.0) => {
            let said = format!("No prepared line is known to come up in less than {limit}.");
            paragraph(&said, 0)
        }
        ([], []) => paragraph(&format!("Every prepared line comes up in {limit} or more."), 0),
        ([], _) => {
            let said = format!("No prepared line is certain to come up in less than {limit}.");
            paragraph(&said, 0)
        }
        (lines, _) => {
            let head = format!(
                "Prepared lines that come up in less than {limit}: {} of {prepared} could go",
                moves_of(lines)
            );
            spare(&head, "could go", lines, answer.settings.top)
        }
    };
    if !open.is_empty() {
        let head = format!(
            "Prepared lines that came up in less than {limit}, but too few games tell to drop them: {} of {prepared}",
            moves_of(&open)
        );
        page += &format!("\n{}", spare(&head, "too few games", &open, answer.settings.top));
    }
    format!("\n{page}")
}

/// Rare lines: those that are for certain, and the others.
fn by_certainty(answer: &GapsAnswer) -> [Vec<&SpareLine>; 2] {
    let lines = answer.spare.unused.iter();
    let (certain, open) = lines.partition(|line| line.is_below(answer.settings.unused));
    [certain, open]
}

fn moves_of(lines: &[&SpareLine]) -> String {
    count(lines.iter().map(|line| line.moves as u64).sum())
}

fn spare(head: &str, column: &str, lines: &[&SpareLine], top: usize) -> String {
    let mut table = TextTable::new(&[
        (column, Side::Wrapped(40)),
        ("comes up", Side::Right),
        ("moves", Side::Right),
    ])
    .with_gaps();
    for line in lines.iter().take(top) {
        table.row(vec![line.line.clone(), stack(&line.met), count(line.moves as u64)]);
    }
    let more = match lines.len().saturating_sub(top) {
        0 => String::new(),
        more => format!("; {} more lines are not shown", count(more as u64)),
    };
    format!("{}\n{}", paragraph(&format!("{head}{more}"), 0), table.render())
}

/// Why figures of the page are withheld.
pub(super) fn reasons(answer: &GapsAnswer) -> Reasons {
    let mut reasons = Reasons::default();
    for rate in [&answer.answered, &answer.left, &answer.unknown] {
        reasons.note(rate);
    }
    answer.by_ply.iter().for_each(|row| reasons.note(&row.answered));
    for gap in &answer.gaps {
        reasons.note(&gap.met);
        reasons.note(&gap.score);
        for reply in gap.usual().into_iter().chain(gap.best()) {
            reasons.note(&reply.row.share);
            reasons.note(&reply.row.score);
        }
    }
    for lines in by_certainty(answer) {
        lines.iter().take(answer.settings.top).for_each(|line| reasons.note(&line.met));
    }
    reasons
}
