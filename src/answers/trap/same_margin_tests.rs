//! What `trap` says of the games with one move is what `moves` says of them, margins and all.

use super::kit::{BAIT, ask, laid_by_black, report};
use crate::answers::Figure;
use crate::answers::kit::{ModelCounts, play};
use crate::answers::moves::{MoveRow, table};

const EQUALS: [u16; 2] = [1500, 1500];

/// At each place of the line one move is played besides the line's own, and every one is answered
/// in two ways by a single player.
fn two_moves_everywhere() -> ModelCounts {
    [
        (30, "1-0", "e4 c5 Nf3"),
        (30, "0-1", "e4 c5 d4"),
        (45, "1-0", "e4 e5 Nf3 Nc6 Bc4 Bc5 c3"),
        (15, "0-1", "e4 e5 Nf3 Nc6 Bc4 Bc5 O-O"),
        (25, "1-0", &format!("{BAIT} c3 Nxf3+")),
        (35, "0-1", &format!("{BAIT} c3 Ne6")),
        (10, "1-0", &format!("{BAIT} Nxe5 Ne6")),
        (30, "0-1", &format!("{BAIT} Nxe5 Ne6")),
        (10, "1-0", &format!("{BAIT} Nxe5 Qg5 Nxf7")),
        (20, "0-1", &format!("{BAIT} Nxe5 Qg5 Nxf7")),
        (20, "1-0", &format!("{BAIT} Nxe5 Qg5 Bxf7+")),
    ]
    .into_iter()
    .fold(ModelCounts::new(), |counts, (times, result, line)| {
        counts.add(times, EQUALS, result, line)
    })
    .by_one_player("e4 c5")
    .by_one_player("e4 e5 Nf3 Nc6 Bc4 Bc5")
    .by_one_player(&format!("{BAIT} c3"))
    .by_one_player(&format!("{BAIT} Nxe5"))
    .by_one_player(&format!("{BAIT} Nxe5 Qg5"))
}

fn row(line: &str, san: &str) -> MoveRow {
    let Ok(table) = table(&two_moves_everywhere(), &play(line).1, &ask(1));
    table.moves.into_iter().find(|row| row.san == san).expect("it was played")
}

#[track_caller]
fn same(found: &Figure, row: &MoveRow) {
    assert!(row.score_effect > 1.2, "the answers count: {}", row.score_effect);
    assert_eq!(found, &row.edge);
}

/// The same from the other side's view.
#[track_caller]
fn opposite(found: &Figure, row: &MoveRow) {
    let near =
        |a: Option<f64>, b: Option<f64>| (a.expect("known") + b.expect("known")).abs() < 1e-9;
    assert!(row.score_effect > 1.2, "the answers count: {}", row.score_effect);
    let edge = &row.edge;
    assert!(
        near(found.value, edge.value) && near(found.low, edge.high) && near(found.high, edge.low)
    );
    assert_eq!((found.n, found.n_eff), (edge.n, edge.n_eff));
}

#[test]
fn a_figure_of_one_move_has_the_margin_that_moves_gives_it() {
    let report = report(&two_moves_everywhere(), &laid_by_black(), &ask(1));
    let figures = &report.figures;
    opposite(&figures.edge_after_slip, &row(BAIT, "Nxe5"));
    opposite(&figures.edge_no_slip, &row(BAIT, "c3"));
    same(&figures.edge_refuted, &row(&format!("{BAIT} Nxe5"), "Qg5"));
    same(&figures.usual.edge, &row("e4 e5 Nf3 Nc6 Bc4", "Bc5"));
    same(&report.earlier_choices[0].usual.edge, &row("e4", "c5"));
    let stretch = &report.curve.edge_after_slip[0].figure;
    assert_eq!(stretch, &figures.edge_after_slip);
}

/// By hand: of the 90 games with the slip 40 are answered by Ne6, of which Black wins 30, and 50 by
/// Qg5, of which Black wins 20. Means 0.75, 0.4 and 5/9 of all; S_b = 40 (7/36)^2 + 50 (7/45)^2 =
/// 2.7222, S in all 90 x 20/81 = 22.2222, S_w = 19.5, of which 19.5/88 is taken off for chance. One
/// player answers, so D = 1 + 0.35 x 89 there, and victims are all different.
#[test]
fn the_answers_to_a_slip_are_worked_out_by_hand() {
    let part = (49.0 / 18.0 - 19.5 / 88.0) / (200.0 / 9.0);
    let effect = row(BAIT, "Nxe5").score_effect;
    let strength = 1.0;
    assert!((effect - (strength + part * (1.0 + 0.35 * 89.0 - strength))).abs() < 1e-9, "{effect}");
}
