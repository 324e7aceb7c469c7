//! `lesson` and `diagram`: what they write, and that every figure is the one `trap` and
//! `moves` give.

use serde_json::Value;

use crate::kit::{Folder, Game, dump};

const TRAP: &str = "[Event \"Shilling Trap\"]\n\n1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5 Qg5 5. Nxf7?? \
                    Qxg2 (5... Qe7) 6. Rf1 Qxe4+ 7. Be2 Nf3# *\n";
pub const SAMPLES: &str = include_str!("../../data-samples/traps.pgn");

/// A trap laid in three rating bands at two paces, with other moves at every choice.
fn games() -> String {
    let laid = "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5";
    let game = |moves: &str, points| {
        Game::of(moves).opening("C50", "Italian Game").ratings(points, points + 20)
    };
    let behind = |moves: &str, points| game(&format!("{laid} {moves}"), points);
    let rapid = |game: Game| game.tag("TimeControl", "900+10");
    let parts = [
        (behind("Nxf7 Qxg2 Rf1 Qxe4", 1250).result("0-1"), 40),
        (behind("Nxf7 Qe7 Nxh8", 1250), 15),
        (rapid(behind("Nxf7 Qxg2", 1350)).result("0-1"), 24),
        (behind("Nxf7 Qxg2", 1350).evals("_ _ _ _ _ _ _ _ -2.31 _").result("0-1"), 12),
        (behind("Ng4 Nf6 h3", 1350), 22),
        (rapid(behind("Bxf7 Ke7", 1410)).result("1/2-1/2"), 30),
        (behind("O-O Qxe5", 1250).result("0-1"), 12),
        (game("e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qe7", 1350), 25),
        (game("e4 e5 Nf3 Nc6 Bc4 Nd4 Nxd4 exd4", 1410), 30),
        (game("e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6", 1320), 60),
        (game("d4 d5 c4 e6", 1320), 400),
    ];
    parts.iter().map(|(game, count)| game.times(*count)).collect()
}

pub fn store() -> Folder {
    let folder = Folder::built(games(), "--keep-from 1");
    folder.write("traps.pgn", TRAP);
    folder
}

pub const ASKED: &str = "--below 2000 --min-sample 10";

pub fn lesson(folder: &Folder, more: &[&str]) -> [String; 2] {
    let asked = ["lesson", "traps.pgn", "--out", "out", "--below", "2000", "--min-sample", "10"];
    folder.run_with(&[&asked, more].concat()).ok();
    ["lesson.html", "lesson.pgn"].map(|name| folder.text(&format!("out/{name}")))
}

pub fn part(folder: &Folder, name: &str) -> String {
    folder.text(&format!("out/{name}"))
}

pub fn between<'t>(text: &'t str, start: &str, end: &str) -> &'t str {
    let from = text.find(start).unwrap_or_else(|| panic!("no {start}")) + start.len();
    &text[from..from + text[from..].find(end).unwrap_or_else(|| panic!("no {end}"))]
}

/// Value and text of every `data` element.
pub fn data(page: &str) -> Vec<(f64, &str)> {
    page.split("<data value=\"")
        .skip(1)
        .map(|part| {
            let (value, rest) = part.split_once("\">").expect("a closed tag");
            (value.parse().expect("a number"), rest.split_once("</data>").expect("closed").0)
        })
        .collect()
}

pub fn ends(figure: &Value) -> [f64; 3] {
    ["value", "low", "high"].map(|end| figure[end].as_f64().expect("a known figure"))
}

/// Equal but for the last bit, which the reader of JSON may lose.
pub fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 4.0 * f64::EPSILON * a.abs()
}

/// Every number in a JSON value.
fn numbers(json: &Value, into: &mut Vec<f64>) {
    match json {
        Value::Number(number) => into.extend(number.as_f64()),
        Value::Array(items) => items.iter().for_each(|item| numbers(item, into)),
        Value::Object(fields) => fields.values().for_each(|field| numbers(field, into)),
        _ => {}
    }
}

#[test]
fn the_sentence_has_the_figures_of_the_trap_in_their_order() {
    let folder = store();
    let [page, _] = lesson(&folder, &[]);
    let json = folder.run(&format!("trap traps.pgn --format json {ASKED}")).json();
    let trap = &json["traps"][0];
    let steered = ends(&trap["steered"]);
    let mut expected = vec![steered[0]];
    expected.extend(steered);
    for figure in ["slip_rate", "find_rate", "net_per_1000"] {
        expected.extend(ends(&trap[figure]));
    }
    expected.extend(ends(&trap["ahead"]["expected"]));
    expected.extend(ends(&trap["ahead"]["at_least_one"]));
    // How often the slip comes is given as one game in so many.
    assert_eq!(trap["verdict"]["codes"], serde_json::json!(["common"]));
    expected.push(ends(&trap["slips_per_1000"])[0]);
    let verdict = between(&page, "<div class=\"verdict\">", "</div>");
    let shown: Vec<f64> = data(verdict).into_iter().map(|(value, _)| value).collect();
    assert_eq!(shown.len(), expected.len());
    assert!(shown.iter().zip(&expected).all(|(a, b)| same(*a, *b)), "{shown:?} {expected:?}");
}

#[test]
fn every_figure_of_the_page_is_one_of_the_answers_for_programs() {
    let folder = store();
    let [page, _] = lesson(&folder, &[]);
    let mut known = Vec::new();
    for pace in ["blitz,rapid,bullet,classical,correspondence,unknown", "blitz", "rapid"] {
        let asked = format!("trap traps.pgn --format json --pace {pace} {ASKED}");
        numbers(&folder.run(&asked).json(), &mut known);
    }
    let trap = "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5";
    for line in ["", " Ng4", " Bxf7", " O-O"].map(|answer| format!("{trap}{answer}")) {
        let asked = ["moves", &line, "--format", "json", "--below", "2000", "--min-sample", "10"];
        numbers(&folder.run_with(&asked).json(), &mut known);
    }
    let shown = data(&page);
    assert!(shown.len() > 100, "{} figures", shown.len());
    for (value, text) in shown {
        assert!(known.iter().any(|known| same(*known, value)), "{value} ({text})");
    }
}

#[test]
fn figures_are_rounded_as_they_should() {
    let [page, _] = lesson(&store(), &[]);
    for (value, text) in data(&page) {
        let text = text.replace('\u{2212}', "-").replace(',', "");
        let number: f64 = text.parse().unwrap_or_else(|_| panic!("{text}"));
        let decimals = text.split_once('.').map_or(0, |(_, digits)| digits.len() as i32);
        let half = 0.5 * 10f64.powi(-decimals) + 1e-9;
        // Percent, points a game from either side, plain numbers, one in so many, pawns, slips in
        // 1000 as one in so many.
        let thousand = 1000.0 / value;
        let meant = [100.0 * value, -100.0 * value, value, 1.0 / value, value / 100.0, thousand];
        assert!(meant.iter().any(|meant| (meant - number).abs() <= half), "{value} as {text}");
    }
}

#[test]
fn the_chart_draws_the_rates_of_joined_bands_over_their_ratings() {
    let folder = store();
    let [page, _] = lesson(&folder, &[]);
    let json = folder.run(&format!("trap traps.pgn --format json {ASKED}")).json();
    let curve = &json["traps"][0]["curve"];
    let chart = between(&page, "<figure class=\"chart\">", "</figure>");
    let plot = chart.split("</svg>").next().expect("a plot");
    let round = |x: f64| (x * 10.0).round() / 10.0;
    let number = |mark: &str, name: &str| -> f64 {
        between(mark, &format!(" {name}=\""), "\"").parse().expect("a number")
    };
    // 0 % lies at 142 and 100 % at 10 units from the top; the ratings of both curves fill 66
    // to 468 units.
    let both = || {
        ["slip_rate", "find_rate"]
            .into_iter()
            .flat_map(|name| curve[name].as_array().expect("a curve"))
    };
    let rating = |stretch: &Value, end: &str| stretch[end].as_f64().expect("a rating");
    let from = both().map(|stretch| rating(stretch, "from")).fold(f64::MAX, f64::min);
    let below = both().map(|stretch| rating(stretch, "below")).fold(0.0, f64::max);
    for (name, marks, y, half, side) in [
        ("slip_rate", "<circle class=\"full\"", "cy", 0.0, -4.0),
        ("find_rate", "<rect class=\"open\"", "y", 4.2, 4.0),
    ] {
        let shown: Vec<(f64, f64)> = plot
            .split(marks)
            .skip(1)
            .map(|mark| (number(mark, if half > 0.0 { "x" } else { "cx" }), number(mark, y)))
            .collect();
        let stretches = curve[name].as_array().expect("a curve").iter();
        let expected: Vec<(f64, f64)> = stretches
            .filter_map(|stretch| {
                let middle = (rating(stretch, "from") + rating(stretch, "below")) / 2.0;
                let x = 84.0 + 384.0 * (middle - from) / (below - from) + side - half;
                Some((round(x), round(142.0 - 132.0 * stretch["value"].as_f64()? - half)))
            })
            .collect();
        assert!(!expected.is_empty());
        assert_eq!(shown, expected, "{name}");
        let bars = plot.matches(if half > 0.0 {
            "stroke-dasharray=\"5 3\""
        } else {
            "stroke-dasharray=\"none\""
        });
        assert_eq!(bars.count(), expected.len(), "a bar for each of {name}");
    }
}

#[test]
fn the_games_read_again_are_the_same_traps() {
    let folder = store();
    folder.write("traps.pgn", SAMPLES);
    let sorted = |file: &str| {
        let mut json = folder.run(&format!("trap {file} --format json {ASKED}")).json();
        let traps = json["traps"].as_array_mut().expect("traps");
        traps.sort_by_key(|trap| trap["line"].to_string());
        json
    };
    lesson(&folder, &[]);
    assert_eq!(sorted("out/lesson.pgn"), sorted("traps.pgn"));
}

#[test]
fn the_games_have_the_export_format() {
    let [_, games] = lesson(&store(), &["--author", "The club's \"teacher\""]);
    let tags: Vec<&str> = games.lines().take_while(|line| line.starts_with('[')).collect();
    assert_eq!(
        tags,
        [
            "[Event \"Shilling Trap\"]",
            "[Site \"?\"]",
            "[Date \"????.??.??\"]",
            "[Round \"1\"]",
            "[White \"?\"]",
            "[Black \"?\"]",
            "[Result \"*\"]",
            "[Annotator \"The club's \\\"teacher\\\"\"]",
            "[ECO \"C50\"]",
            "[Opening \"Italian Game\"]",
            "[Setter \"Black\"]",
        ]
    );
    let moves: Vec<&str> = games.lines().skip(tags.len() + 1).collect();
    assert!(moves.iter().all(|line| line.len() < 80 && !line.starts_with(['%', ';', '['])));
    let text = moves.join(" ");
    for part in
        ["5. Nxf7 $4 {the slip: ", "(5. Bxf7+ {", "5... Qxg2 $1 {the refutation: ", "(5... Qe7)"]
    {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert!(text.ends_with("6. Rf1 Qxe4+ 7. Be2 Nf3# *"), "{text}");
}

#[test]
fn names_of_others_do_no_harm() {
    let folder = store();
    let long = "x".repeat(10_000);
    let names = [
        "<script>alert(1)</script>",
        "a \\\"b\\\" 'c' & \\\\",
        "\u{202e}evil\u{7}\u{1b}[31m",
        &long,
    ];
    let moves = TRAP.lines().last().expect("moves");
    let others = [
        "1. f3 e5 2. g4?? Qh4# *",
        "1. e4 e5 2. Qh5 Nf6?? 3. Qxe5+ *",
        "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+ *",
    ];
    let trap = |(name, moves): (&&str, &str)| format!("[Event \"{name}\"]\n\n{moves}\n");
    let traps = names.iter().zip(std::iter::once(moves).chain(others)).map(trap);
    folder.write("traps.pgn", traps.collect::<Vec<_>>().join("\n"));
    let hostile = ["--title", "</title><script>x", "--author", "\" onload=\"x", "--level", "<b>&"];
    let [page, games] = lesson(&folder, &hostile);
    assert!(page.contains("1. <bdi>&lt;script&gt;alert(1)&lt;/script&gt;</bdi>"));
    assert!(page.contains("<title>&lt;/title&gt;&lt;script&gt;x</title>"));
    assert!(page.contains("<bdi>a &quot;b&quot; 'c' &amp; \\</bdi>"));
    assert!(page.contains("For &lt;b&gt;&amp;. By &quot; onload=&quot;x."));
    for text in [&page, &games] {
        assert!(!text.contains("\u{202e}") && !text.contains(&long[..200]));
        assert!(text.chars().all(|letter| letter == '\n' || !letter.is_control()));
    }
    assert!(!page.contains("<script"));
    folder.run(&format!("trap out/lesson.pgn {ASKED}")).ok();
}

#[test]
fn the_page_allows_nothing_but_its_own_style() {
    let [page, _] = lesson(&store(), &[]);
    let policy = between(&page, "Content-Security-Policy\" content=\"", "\"");
    assert!(policy.starts_with("default-src 'none'; style-src 'sha256-"), "{policy}");
    for word in
        ["<script", "<img", "<link", "<iframe", " style=", "url(", "@import", "http:", "https:"]
    {
        // What a picture of the page itself is filled with is no request.
        assert!(!page.replace("url(#", "").contains(word), "{word}");
    }
}

#[test]
fn a_small_page_looks_like_this() {
    let [page, _] = lesson(&store(), &["--title", "Traps for Monday", "--author", "The club"]);
    let mut text = page;
    for (start, end) in [("<style>", "</style>"), ("<defs>", "</defs>"), ("'sha256-", "'")] {
        text = text.replace(between(&text.clone(), start, end), "");
    }
    // The drawings have tests of their own.
    let figures = text.split("<svg").enumerate().map(|(place, part)| {
        match (place, part.split_once("</svg>")) {
            (0, _) | (_, None) => part.to_owned(),
            (_, Some((drawing, rest))) => {
                format!("<svg{}></svg>{rest}", drawing.split_once('>').map_or("", |x| x.0))
            }
        }
    });
    insta::assert_snapshot!(figures.collect::<String>().replace("><", ">\n<"));
}

#[test]
fn what_cannot_be_done_is_refused() {
    let folder = store();
    folder.write("file", "");
    let message = folder.run("lesson none.pgn --out out").refused(3);
    assert_eq!(message, "deadfall: cannot read none.pgn: no such file or directory");
    let message = folder.run("lesson traps.pgn --out file").refused(4);
    assert!(message.starts_with("deadfall: cannot make the folder file: "), "{message}");
    lesson(&folder, &[]);
    let message = folder.run("lesson out/lesson.pgn --out out").refused(4);
    assert!(message.ends_with("out/lesson.pgn is read here: choose another name"), "{message}");
    assert_eq!(folder.files().iter().filter(|file| file.starts_with("out/")).count(), 5);
}

#[test]
fn a_trap_without_any_game_still_makes_a_lesson() {
    let folder = Folder::built(dump(&[Game::of("d4 d5")]), "--keep-from 1");
    folder.write("traps.pgn", SAMPLES);
    let [page, games] = lesson(&folder, &[]);
    assert_eq!(page.matches("<section class=\"brief part\"").count(), 16, "{page}");
    assert_eq!(games.matches("[Event ").count(), 16);
}

#[test]
fn a_diagram_is_a_picture_of_the_position() {
    let folder = Folder::new();
    let after = folder.run_with(&["diagram", "1. e4 e5 2. Nf3"]).answer();
    assert!(after.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns="));
    assert!(
        after.contains(
            "<title>White: king e1, queen d1, rooks a1 h1, bishops c1 f1, knights b1 f3, "
        )
    );
    assert!(after.contains("Black to move. The last move went from g1 to f3.</title>"));
    assert_eq!(after.matches("<g transform").count(), 32);
    let turned = folder.run_with(&["diagram", "e4 e5 Nf3", "--black-below"]).answer();
    assert_ne!(turned, after);
    // The king of White stands on e1: fifth file and eighth row from the upper left.
    assert!(after.contains("<g transform=\"translate(462 712)\">"));
    let fen = folder.run_with(&["diagram", "--fen", "k7/8/8/8/8/8/8/K6R w - - 0 1"]).answer();
    assert_eq!(fen.matches("<g transform").count(), 3);
    folder.run_with(&["diagram", "e4 Ke3"]).refused(3);
    folder.run_with(&["diagram", "e4 e5 Nf3", "--out", "one.svg"]).ok();
    assert_eq!(folder.text("one.svg"), after);
    folder.run_with(&["diagram", "e4", "--out", "one.svg"]).refused(4);
    folder.run_with(&["diagram", "e4", "--setter-below"]).refused(2);
}

#[test]
fn a_file_of_traps_becomes_a_folder_of_pictures() {
    let shilling = "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5";
    let text = format!(
        "[Event \"Legal's mate\"]\n\n1. e4 e5 2. Nf3 d6 3. Bc4 Bg4 4. Nc3 g6 5. Nxe5 Bxd1?? 6. Bxf7+ *\n\n{shilling} *\n"
    );
    let folder = Folder::with("traps.pgn", text);
    let why = folder.run("diagram traps.pgn").refused(2);
    assert!(why.contains("--out"), "{why}");
    folder.run("diagram traps.pgn --out pictures --setter-below").ok();
    let picture = |name: &str| folder.text(name);
    let second = picture("pictures/02-trap-2.svg");
    let line = "e4 e5 Nf3 Nc6 Bc4 Nd4";
    let single = |more: &[&str]| folder.run_with(&[&["diagram", line][..], more].concat()).answer();
    assert_eq!(second, single(&["--black-below"]), "Black lays it");
    assert!(picture("pictures/01-legals-mate.svg").starts_with("<?xml"));
    folder.run("diagram traps.pgn --out pictures").refused(4);
    folder.run("diagram traps.pgn --out pictures --overwrite").ok();
    assert_eq!(picture("pictures/02-trap-2.svg"), single(&[]));
}

/// Two slips, one of them with two refutations, in the trap of a lesson.
#[test]
fn several_slips_and_refutations_are_on_the_page_in_the_quiz_and_in_the_games() {
    let folder = store();
    let pgn = "[Event \"Two\"]\n\n1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5 Qg5 5. Nxf7?? (5. Bxf7+?? Ke7 6. O-O Qxe5) \
               5... Qxg2 (5... Qe7) 6. Rf1 *\n";
    folder.write("traps.pgn", pgn);
    let [page, games] = lesson(&folder, &[]);
    let json = folder.run(&format!("trap traps.pgn --format json {ASKED}")).json();
    let trap = &json["traps"][0];
    // 91 knights and 30 bishops take on f7, of 155; 76 + 15 and 30 replies refute.
    assert_eq!((&trap["slip_rate"]["k"], &trap["slip_rate"]["n"]), (&121.into(), &155.into()));
    assert_eq!((&trap["find_rate"]["k"], &trap["find_rate"]["n"]), (&121.into(), &121.into()));
    assert!(page.contains("then play a marked move (5.Nxf7 or 5.Bxf7+)"), "{page}");
    assert!(page.contains("find a refutation (5...Qxg2, 5...Qe7 or 5...Ke7)"));
    let answers = between(&page, "When they do not fall for it", "By rating");
    assert!(!answers.contains("Bxf7+") && answers.contains("Ng4"), "{answers}");
    let quiz = between(&page, "<h2 id=\"quiz\">", "<h2 id=\"solutions\">");
    assert_eq!(quiz.matches("<figure>").count(), 2, "a question a slip");
    let solutions = between(&page, "<h2 id=\"solutions\">", "</section>");
    for part in
        ["5...Qxg2 6.Rf1", " (or 5...Qe7). Whether that wins is not known.", "5...Ke7 6.O-O Qxe5"]
    {
        assert!(solutions.contains(part), "{part}: {solutions}");
    }
    folder.write("again.pgn", &games);
    let again = folder.run(&format!("trap again.pgn --format json {ASKED}")).json();
    assert_eq!(&again["traps"][0], trap, "{games}");
}

/// The advice, and the numbers of the soundness, are in the table, on the sheet and in the games.
#[test]
fn the_advice_is_on_the_page_and_in_the_games() {
    let folder = store();
    let [page, games] = lesson(&folder, &[]);
    let games = games.split_whitespace().collect::<Vec<_>>().join(" ");
    let json = folder.run(&format!("trap traps.pgn --format json {ASKED}")).json();
    let code = json["traps"][0]["advice"]["codes"][0].as_str().expect("a code").to_owned();
    let starts = match code.as_str() {
        "teach" => "Teach it",
        "warn" => "Teach the other side",
        "skip" => "Skip it",
        _ => "Undecided",
    };
    assert_eq!(page.matches(starts).count(), 2, "table and sheet: {page}");
    assert!(games.contains(&format!("A trap for Black. {starts}")), "{games}");
    assert_eq!(
        page.matches("not known").count(),
        4,
        "soundness twice in the table, on the sheet, and in the solution"
    );
}

/// The rules prove the mate; how White fares otherwise no game says.
#[test]
fn what_is_known_of_the_soundness_is_told_where_the_rest_is_not() {
    let folder = store();
    let mate = "[Event \"Early Queen\"]\n\n1. e4 e5 2. Qh5 Nc6 3. Bc4 Nf6?? 4. Qxf7# *\n";
    folder.write("traps.pgn", mate);
    let [page, _] = lesson(&folder, &[]);
    let half = "The slip allows mate in 1; how White stands otherwise is not known";
    assert_eq!(page.matches(half).count(), 2, "below the table's row, and on the sheet: {page}");
    assert_eq!(page.matches(&format!(">{half}.")).count(), 2);
}
