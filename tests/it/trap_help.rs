//! Every column of every table of `trap` is explained by the help.

use deadfall::pages::help::Topic;

use crate::kit::{Folder, golden};

const TRAP: &str = "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? (3... Qe7?? 4. Nc3) 4. Qh5+ (4. d4 g6)";

/// What `help figures` prints, all white space alike.
fn help() -> String {
    let topic = Topic::named("figures").expect("a topic").markdown();
    topic.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn judged(folder: &Folder, min_sample: &str, options: &[&str]) -> String {
    let mut arguments = vec!["trap", "file.pgn", "--min-sample", min_sample];
    arguments.extend(options);
    folder.run_with(&arguments).answer()
}

/// The heads of the text tables of a page: the line above each rule, cut at two blanks or more.
fn heads(page: &str) -> Vec<String> {
    let lines: Vec<&str> = page.lines().collect();
    let rule = |line: &str| line.len() > 9 && line.chars().all(|sign| sign == '-');
    let heads = lines.windows(2).filter(|pair| rule(pair[1])).flat_map(|pair| {
        // The scale of a whisker is one head with wide gaps.
        let head = pair[0].replace("0          50 %     100 %", "0 50 % 100 %");
        head.split("  ").map(|cell| cell.trim().to_owned()).collect::<Vec<_>>()
    });
    heads.filter(|head| !head.is_empty()).collect()
}

#[test]
fn every_column_of_every_table_is_explained() {
    let folder = Folder::built(golden("hand-counted.pgn"), "--keep-from 1");
    folder.write("file.pgn", format!("{TRAP} *\n\n[Event \"Second\"]\n\n1. e4 c5?? 2. Nf3 *\n"));
    let help = help();
    let setter =
        judged(&folder, "1", &["--each", "--by", "pace", "--explain", "--slip-below", "20%"]);
    let joined = judged(&folder, "10", &["--each"]);
    let victim = judged(&folder, "1", &["--side", "victim"]);
    let heads: Vec<String> = [setter, joined, victim].iter().flat_map(|page| heads(page)).collect();
    assert!(heads.len() > 60, "{heads:?}");
    for head in heads {
        let name = head.strip_suffix(" %").unwrap_or(&head);
        assert!(help.contains(&head) || help.contains(name), "{head} is not in the help");
    }
}

/// The names of the sheet's figures are in its first column.
#[test]
fn every_figure_of_a_sheet_is_explained() {
    let folder = Folder::built(golden("hand-counted.pgn"), "--keep-from 1");
    folder.write("file.pgn", format!("{TRAP} *\n"));
    let help = help();
    for (page, least) in
        [(judged(&folder, "1", &["--each"]), 19), (judged(&folder, "1", &["--side", "victim"]), 3)]
    {
        let figures = page.lines().skip_while(|line| !line.starts_with("figure")).skip(2);
        let names: Vec<&str> = figures
            .take_while(|line| !line.is_empty() && !line.starts_with("Games here"))
            .filter(|line| !line.starts_with(' '))
            .map(|line| line.split("  ").next().expect("a first column"))
            .collect();
        assert!(names.len() >= least, "{names:?}");
        for name in names {
            let name = match name {
                "in 50 games" => "in N games",
                seconds if seconds.starts_with("seconds") => "seconds",
                other => other,
            };
            assert!(help.contains(name), "{name} is not in the help");
        }
    }
}

/// A column that is withheld says why: nothing is empty without a reason.
#[test]
fn every_withheld_figure_of_the_csv_has_its_reason() {
    let folder = Folder::built(golden("hand-counted.pgn"), "--keep-from 1");
    folder.write("file.pgn", format!("{TRAP} *\n"));
    for side in ["setter", "victim"] {
        let page =
            folder.run_with(&["trap", "file.pgn", "--format", "csv", "--side", side]).answer();
        let mut csv = csv::Reader::from_reader(page.as_bytes());
        let head = csv.headers().expect("a head").clone();
        let mut empty = 0;
        for row in csv.records() {
            let row = row.expect("a row");
            let reasons = row.iter().next_back().expect("cells");
            for (name, cell) in head.iter().zip(&row) {
                let n = head.iter().position(|column| column == format!("{name}_n"));
                if let Some(n) = n.filter(|&n| cell.is_empty() && !row[n].is_empty()) {
                    empty += 1;
                    assert!(reasons.contains(&format!("{name}: ")), "{name} of {n}: {reasons}");
                }
            }
        }
        assert!(empty > 0, "fewer than fifty games withhold something");
    }
}

/// The rules of the advice are in the help, each with its code.
#[test]
fn the_rules_of_the_advice_are_in_the_help() {
    let folder = Folder::built(golden("hand-counted.pgn"), "--keep-from 1");
    let help = folder.run("trap --help").answer();
    for code in ["  teach ", "  warn ", "  skip ", "  undecided "] {
        assert!(help.contains(code), "{code}: {help}");
    }
}

/// A page fits a terminal of 80 columns, whatever is asked; a name longer than that has a
/// line of its own.
#[test]
fn every_page_fits_a_small_terminal() {
    let folder = Folder::built(golden("hand-counted.pgn"), "--keep-from 1");
    let other = "[Event \"Second\"]\n\n1. e4 c5?? 2. Nf3 *\n";
    folder.write("file.pgn", format!("{TRAP} *\n\n{other}"));
    let deeper = ["--each", "--by", "pace", "--explain", "--slip-below", "20%"];
    for options in [&deeper[..], &["--each", "--side", "victim"], &[]] {
        for sample in ["1", "50"] {
            let page = judged(&folder, sample, options);
            let long = page.lines().find(|line| line.chars().count() > 80);
            assert_eq!(long, None, "{options:?}");
        }
    }
}
