use super::*;
use crate::pages::kit::{thin_trap, trap_report};

#[test]
fn json_has_the_figures_of_the_table() {
    for trap in [trap_report(), thin_trap()] {
        let json = serde_json::to_value(&trap).expect("plain data");
        for figure in &TABLE {
            let place = format!("/{}", figure.path.replace('.', "/"));
            let known = figure.of_trap(&trap);
            let value = json.pointer(&place).expect("it is there");
            assert_eq!(value["value"], serde_json::json!(known.value), "{}", figure.path);
            assert_eq!(value["n"], known.n, "{}", figure.path);
            assert_eq!(known.k.is_some(), figure.unit.is_share(), "{}", figure.path);
        }
    }
}

/// What a reader sees of each figure: its name, its value in its unit, what it means here. By hand:
/// 323 of 923 games as Black get here, 120 slip, 80 of these are refuted; 523 of 923 play 1... e5
/// and all of them go on.
#[test]
fn each_figure_has_its_own_row() {
    let mut trap = trap_report();
    let seconds = |value: f64| {
        let (low, high) = (Some(value - 1.0), Some(value + 1.0));
        Figure { value: Some(value), low, high, ..trap.figures.edge_no_slip.clone() }
    };
    let [slip, others, difference] = [4.0, 10.0, -6.0].map(seconds);
    trap.time.slip_s = slip;
    trap.time.others_s = others;
    trap.time.difference_s = difference;
    let rows = TABLE.each_ref().map(|figure| {
        let (name, view, here) = figure.row(&trap);
        let scope = if figure.is_of_filter() { "each" } else { "whole" };
        format!("{} ({scope}): {name} | {} | {here}", figure.key, view.line())
    });
    insta::assert_snapshot!(rows.join("\n"));
}

#[test]
fn names_are_unlike() {
    let names: [fn(&TrapFigure) -> &'static str; 3] = [|f| f.key, |f| f.path, |f| f.name];
    for name in names {
        let mut names = TABLE.each_ref().map(name).to_vec();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), TABLE.len());
    }
}
