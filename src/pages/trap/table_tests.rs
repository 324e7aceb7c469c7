use super::*;
use crate::pages::kit::{thin_trap, trap_report};
use serde_json::Value;

/// The paths of all figures in a JSON object, lists left out.
fn figures(json: &Value, path: &str, found: &mut Vec<String>) {
    let Some(fields) = json.as_object() else { return };
    if fields.contains_key("value") {
        found.push(path.to_owned());
    }
    for (name, value) in fields {
        let dot = if path.is_empty() { "" } else { "." };
        figures(value, &format!("{path}{dot}{name}"), found);
    }
}

#[test]
fn json_has_the_figures_of_the_table_and_no_others() {
    for trap in [trap_report(), thin_trap()] {
        let json = serde_json::to_value(&trap).expect("plain data");
        let mut found = Vec::new();
        figures(&json, "", &mut found);
        let mut listed = TABLE.each_ref().map(|figure| figure.path.to_owned());
        found.sort();
        listed.sort();
        assert_eq!(found, listed);
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

/// What a reader sees of each figure: its name, its value in its unit, what it means here. By hand: 323 of 923 games as Black get here, 120 slip, 80 of
/// these are refuted; 523 of 923 play 1... e5 and all of them go on.
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
    insta::assert_snapshot!(rows.join("\n"), @"
    occurrence (each): occurrence | 35.0 [31.3, 38.8] | games as Black that get here
    steered (each): steered | 56.7 [53.2, 59.9] | if the setter always plays this line
    rarest step on the way: 523 of 523 (2...d6)
    steered_any_order (whole): in any order | 56.7 [53.2, 59.9] | the same if the victim may play the line's moves in any order
    rarest step on the way: 523 of 523
    slip_rate (each): slip rate | 37.2 [31.9, 42.8] | victims who play 5...Bxd1 here
    find_rate (each): find rate | 66.7 [57.5, 74.8] | setters who reply 6.Bxf7+
    score_after_slip (each): score after slip | 66.7 [57.5, 74.8] | setter's score, whatever the reply
    edge_after_slip (each): edge after slip | +15.6 [+6.4, +23.7] | so much better than the ratings promise
    edge_refuted (each): edge refuted | +49.0 [+44.0, +49.0] | with 6.Bxf7+
    edge_no_slip (each): edge without slip | -6.7 [-13.6, +0.5] | when the victim plays something else
    edge_usual (each): edge of others | -1.0 [-2.0, 0.0] | other moves instead of 5.Nxe5, mostly 5.h3
    worth_per_1000 (each): worth | +70.2 [+48.6, +92.6] | points per 1000 games that go with knowing the refutation
    price (each): price | +5.7 [-1.6, +12.7] | what laying it costs when the victim does not slip
    net_per_1000 (each): net | +85.1 [+52.6, +117.0] | points per 1000 games of laying it instead of the others; choices before the bait are not priced
    slips_per_1000 (each): slips per 1000 | 210.5 [178.7, 245.6] | slips in 1000 games that play for it
    own_slips_per_1000 (each): own slips | 130.0 [107.1, 154.3] | times that these players fall for it in 1000 of all their games as Black
    ahead_expected (each): in 50 games | 10.5 [8.9, 12.3] | slips to expect if the setter always plays this line
    at_least_one (each): at least one | 100.0 [100.0, 100.0] | chance of a slip in 50 games
    slip_s (whole): seconds, slip | 4.0 [3.0, 5.0] | mean time spent on the slip
    others_s (whole): seconds, others | 10.0 [9.0, 11.0] | on the other moves here
    difference_s (whole): difference | -6.0 [-7.0, -5.0] | seconds more on the slip
    ");
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
