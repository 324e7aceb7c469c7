//! What `lesson` writes beside the figures: the author's words, the handout, the cards, and the
//! lesson for those who face the traps.

use crate::kit::{Folder, Game};
use crate::lesson::{ASKED, SAMPLES, between, data, ends, lesson, part, same, store};

/// What its author wrote is there, escaped, with its marks; in the games too.
#[test]
fn the_authors_words_stay_as_they_are() {
    let folder = store();
    let pgn = "[Event \"Own\"]\n\n{First} 1. e4 e5 2. Nf3 Nc6 {<b>develops & defends</b>} (2... d6 {solid} 3. d4 (3. Bc4 $5) exd4) 3. Bc4 Nd4 $6 \
               4. Nxe5 Qg5 5. Nxf7? {greedy} (5. O-O {Or} Qxe5) Qxg2 $1 $19 6. Rf1 Qxe4+ 7. Be2 Nf3# *\n";
    folder.write("traps.pgn", pgn);
    let [page, games] = lesson(&folder, &[]);
    let line = between(&page, "<p class=\"line\">", "</p>");
    let mut text = line.to_owned();
    while let Some(tag) = text.find('<') {
        let end = tag + text[tag..].find('>').expect("a closed tag");
        text.replace_range(tag..=end, "");
    }
    assert_eq!(
        text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&").trim(),
        "First 1.e4 e5 2.Nf3 Nc6 <b>develops & defends</b> (2...d6 solid 3.d4 (3.Bc4!?) 3...exd4) 3.Bc4 Nd4?! 4.Nxe5 Qg5 \
         5.Nxf7? greedy (5.O-O Or 5...Qxe5) 5...Qxg2! -+ 6.Rf1 Qxe4+ 7.Be2 Nf3# Checkmate."
    );
    assert!(!page.contains("<b>develops"));
    let games = games.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "{First} 1. e4",
        "2... Nc6 {<b>develops & defends</b>} (2... d6 {solid} 3. d4 (3. Bc4 $5) 3... exd4)",
        "3... Nd4 $6",
        "5. Nxf7 $2 {greedy} {the slip: ",
        "(5. O-O {Or} {Of opponents below 2000",
        "5... Qxg2 $1 $19",
    ] {
        assert!(games.contains(part), "{part}: {games}");
    }
    assert_eq!(games.matches("5. O-O").count(), 1, "told once: {games}");
    folder.write("again.pgn", part(&folder, "lesson.pgn"));
    let again = folder.run(&format!("trap again.pgn --format json {ASKED}")).json();
    let first = folder.run(&format!("trap traps.pgn --format json {ASKED}")).json();
    assert_eq!(again["traps"], first["traps"]);
}

/// No figure with a margin, no solution.
#[test]
fn the_handout_has_lines_boards_and_questions_and_no_margins() {
    let folder = store();
    folder.write("traps.pgn", SAMPLES);
    lesson(&folder, &[]);
    let handout = part(&folder, "handout.html");
    assert_eq!(handout.matches("<section class=\"entry\"").count(), 16);
    assert_eq!(handout.matches("class=\"board\"").count(), 32, "one each, and one in the quiz");
    assert!(
        handout.contains("Remember: after 5.Nxf7 play 5...Qxg2; whether that wins is not known.")
    );
    for word in ["class=\"interval\"", "<data", "id=\"solutions\"", "<script", "http:", "https:"] {
        assert!(!handout.contains(word), "{word}");
    }
}

/// RFC 4180: two columns, line ends CR LF; the figure of the back is that of the answer.
#[test]
fn cards_are_two_columns_of_markup() {
    let folder = store();
    lesson(&folder, &[]);
    let cards = part(&folder, "cards.csv");
    assert!(cards.ends_with("\r\n") && !cards.replace("\r\n", "").contains('\n'));
    let mut rows = csv::ReaderBuilder::new().has_headers(false).from_reader(cards.as_bytes());
    let rows: Vec<csv::StringRecord> = rows.records().map(|row| row.expect("a row")).collect();
    let [card] = &rows[..] else { panic!("{} cards", rows.len()) };
    let [front, back] = [&card[0], &card[1]];
    assert!(
        front.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\"") && !front.contains("<use")
    );
    assert!(front.contains("Black to move</b>. White has just played 5.Nxf7."), "{front}");
    assert!(back.starts_with("<b>5...Qxg2 6.Rf1 Qxe4+ 7.Be2 Nf3#</b> (or 5...Qe7)."), "{back}");
    let json = folder.run(&format!("trap traps.pgn --format json {ASKED}")).json();
    let [value, ..] = ends(&json["traps"][0]["find_rate"]);
    assert!(same(data(back)[0].0, value), "{back}");
}

/// For those who face the traps: their figures, their side of the board, safe moves among
/// the questions.
#[test]
fn a_lesson_for_those_who_face_the_traps() {
    let folder = store();
    let [page, games] = lesson(&folder, &["--side", "victim"]);
    let json = folder.run(&format!("trap traps.pgn --side victim --format json {ASKED}")).json();
    let (victim, setter) =
        (&json["traps"][0], folder.run(&format!("trap traps.pgn --format json {ASKED}")).json());
    let trap = &setter["traps"][0];
    let mut expected = Vec::new();
    expected.extend(ends(&trap["own_slips_per_1000"]));
    let comes_up = ends(&victim["comes_up"]);
    if comes_up[0] <= 0.5 {
        expected.push(comes_up[0]);
    }
    expected.extend(comes_up);
    expected.extend(ends(&victim["slip_rate"]));
    expected.extend(ends(&trap["find_rate"]));
    let [value, low, high] = ends(&trap["edge_after_slip"]);
    expected.extend([value, high, low]);
    let verdict = between(&page, "<div class=\"verdict\">", "<p class=\"sound\">");
    let shown: Vec<f64> = data(verdict).into_iter().map(|(value, _)| value).collect();
    assert!(
        shown.len() == expected.len() && shown.iter().zip(&expected).all(|(a, b)| same(*a, *b)),
        "{shown:?} {expected:?}"
    );
    let instead = between(&page, "What to play instead", "By rating");
    assert!(instead.contains("5.Nxf7 (the slip)") && instead.contains("5.Ng4"), "{instead}");
    let quiz = between(&page, "<h2 id=\"quiz\">", "</section>");
    assert!(quiz.contains("White would like to play 5.") && quiz.contains("Safe or a slip?"));
    assert!(games.contains("[Setter \"Black\"]"));
    let said = games.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("{A trap against White. "), "{said}");
    assert!(!said.contains("If you play for it") && !said.contains("Laying it"), "{said}");
    for page in [&page, &said] {
        let [slips, finds] =
            [page.find("Of players below 2000, "), page.find("Of opponents below 2000, ")];
        assert!(slips.is_some() && slips < finds, "they slip, their opponents refute: {page}");
    }
    folder.write("traps.pgn", SAMPLES);
    lesson(&folder, &["--side", "victim", "--overwrite"]);
    assert!(part(&folder, "lesson.html").contains("A trap against White"));
}

/// A line instead of a file, as `trap` takes it.
#[test]
fn a_lesson_on_a_line() {
    let folder = store();
    let line = "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5 Qg5 5. Nxf7?? Qxg2";
    let asked = ["lesson", line, "--out", "out", "--below", "2000"];
    folder.run_with(&asked).ok();
    assert!(part(&folder, "lesson.html").contains("5.Nxf7??"));
    folder.run("lesson traps.pgn more.pgn --out new").refused(2);
}

/// What `trap` is asked besides is asked of a lesson in the same words, for either side.
#[test]
fn a_lesson_is_asked_what_trap_is_asked() {
    let folder = store();
    let [page, _] = lesson(&folder, &[]);
    assert!(page.contains("class=\"part screen\"") && !page.contains("slip from rating"));
    for side in ["setter", "victim"] {
        let more =
            ["--overwrite", "--by", "pace", "--slip-below", "60%", "--explain", "--side", side];
        let [page, _] = lesson(&folder, &more);
        assert!(!page.contains("class=\"part screen\""), "the paces are printed");
        let asked =
            folder.run(&format!("trap traps.pgn --slip-below 60% --format json {ASKED}")).json();
        let below = &asked["traps"][0]["curve"]["slip_below"];
        let said = between(&page, "Fewer than 60\u{a0}% slip from rating ", "on.");
        let told: Vec<f64> = data(said).into_iter().map(|(value, _)| value).collect();
        assert_eq!(Some(told[0]), below["value"].as_f64(), "{said}");
        let printed = folder
            .run(&format!("trap traps.pgn --each --explain --board ascii {ASKED} --side {side}"))
            .answer();
        let counts = printed
            .split_once("Counts behind the figures")
            .map_or("D of shares", |(_, rest)| &rest[..400]);
        assert!(part(&folder, "workings.txt").contains(counts), "{counts}");
    }
    folder.run_with(&["lesson", "traps.pgn", "--out", "out", "--explain"]).refused(4);
}

/// Pupils who may fall for it themselves are told so, and that a gamble is one.
#[test]
fn the_handout_has_what_the_advice_comes_to() {
    let folder = store();
    lesson(&folder, &[]);
    let json = folder.run(&format!("trap traps.pgn --format json {ASKED}")).json();
    let handout = part(&folder, "handout.html");
    let codes = json["traps"][0]["advice"]["codes"].to_string();
    assert_eq!(handout.contains("As White, "), codes.contains("warn"), "{codes}");
    let laid = "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5";
    let judged = |moves: &str, cp: &str, result: &str, times| {
        let evals = format!("_ _ _ _ _ _ _ _ {cp} _");
        Game::of(&format!("{laid} {moves}"))
            .ratings(1300, 1300)
            .evals(&evals)
            .result(result)
            .times(times)
    };
    let dump = [
        judged("Nxf7 Qxg2", "-6.10", "0-1", 70),
        judged("Ng4 d5", "2.20", "1-0", 40),
        judged("O-O Qxe5", "-3.00", "0-1", 10),
        Game::of("e4 e5 Nf3 Nc6 Bc4 Bc5").ratings(1300, 1300).times(60),
        Game::of("d4 d5 c4 e6").ratings(1300, 1300).times(200),
    ]
    .concat();
    let folder = Folder::built(dump, "--keep-from 1");
    folder.write("traps.pgn", SHILLING);
    lesson(&folder, &[]);
    let handout = part(&folder, "handout.html");
    assert!(handout.contains("As White, play 5.Ng4 and never 5.Nxf7."), "{handout}");
    assert!(handout.contains(
        "The trap is a gamble: if they do not fall for it, Black is at \u{2212}2.2 pawns."
    ));
    // That is said once.
    for page in [&handout, &part(&folder, "lesson.html"), &part(&folder, "lesson.pgn")] {
        assert!(!page.contains("No trap to lay"), "{page}");
    }
    // Those who face it are not told how to lay it.
    lesson(&folder, &["--side", "victim", "--overwrite"]);
    assert!(!part(&folder, "handout.html").contains("gamble"));
}

/// A sound trap may score less than the other moves; nobody is worse off then.
#[test]
fn of_a_trap_that_only_scores_less_the_lesson_says_no_more_than_that() {
    let laid = "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5";
    let judged = |moves: &str, cp: &str, result: &str, times| {
        let evals = format!("_ _ _ _ _ _ _ _ {cp} _");
        let game = Game::of(&format!("{laid} {moves}")).ratings(1300, 1300);
        game.evals(&evals).result(result).times(times)
    };
    let dump = [
        judged("Nxf7 Qxg2", "-6.10", "0-1", 60),
        judged("O-O Qxe5", "-0.10", "1-0", 300),
        Game::of("e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 d6").ratings(1300, 1300).result("0-1").times(300),
        Game::of("d4 d5 c4 e6").ratings(1300, 1300).times(200),
    ]
    .concat();
    let folder = Folder::built(dump, "--keep-from 1");
    folder.write("traps.pgn", SHILLING);
    let json = folder.run(&format!("trap traps.pgn --format json {ASKED}")).json();
    let trap = &json["traps"][0];
    assert_eq!(trap["soundness"]["verdict"], "sound", "{trap}");
    assert!(trap["net_per_1000"]["high"].as_f64().is_some_and(|high| high < 0.0), "{trap}");
    lesson(&folder, &[]);
    for file in ["lesson.html", "handout.html", "lesson.pgn"] {
        let page = part(&folder, file).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(page.contains("aying the trap scores no better than the other moves"), "{page}");
        assert!(!page.contains("stand worse"), "{page}");
    }
}

const SHILLING: &str = "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5 Qg5 5. Nxf7?? Qxg2 *\n";

/// Where few games come there is a sentence and no chart, and what evaluations there are is given
/// with their count.
#[test]
fn few_games_are_a_sentence_and_no_empty_chart() {
    let laid = "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5";
    let few = |moves: &str, evals: &str, times| {
        let game = Game::of(&format!("{laid} {moves}")).ratings(1300, 1300).result("1/2-1/2");
        if evals.is_empty() { game.times(times) } else { game.evals(evals).times(times) }
    };
    let undated = Game::of("d4 d5 c4 e6")
        .ratings(1300, 1300)
        .tag("UTCDate", "????.??.??")
        .tag("Date", "????.??.??");
    let dump =
        [few("Nxf7 Qxg2", "", 7), few("O-O Qxe5", "_ _ _ _ _ _ _ _ -0.40 _", 6), undated.times(50)]
            .concat();
    let folder = Folder::built(dump, "--keep-from 1");
    folder.write("traps.pgn", SHILLING);
    folder.run("lesson traps.pgn --out out").ok();
    let page = part(&folder, "lesson.html");
    assert!(page.contains("<h2 id=\"briefly\">Too few games to say more</h2>"), "{page}");
    assert!(!page.contains("13 opponents had the choice"), "{page}");
    folder.run("lesson traps.pgn --out out --overwrite --min-sample 3").ok();
    let page = part(&folder, "lesson.html");
    assert!(page.contains("Too few games to tell one rating from another: 13 opponents had the choice, and 7 players could refute."), "{page}");
    assert!(!page.contains("<figure class=\"chart\""));
    assert!(page.contains("(50 of them without a date)"), "{page}");
    assert!(page.contains("(6 evaluations in the games)"), "{page}");
    assert!(
        page.contains(
            "after the best other move (6 evaluations); there are too few after the slip."
        ),
        "{page}"
    );
    assert!(!page.contains("Too few of the games are evaluated"));
    // Every step of the way is there, also those of few games, and the slip.
    let way = between(&page, "<figure class=\"way\">", "</figure>");
    assert!(way.contains("5.Nxf7") && way.contains("url(#crossed)"), "{way}");
}

/// 7.Qe2 instead of 7.Be2 and there is no mate.
#[test]
fn a_mate_at_the_end_of_the_line_that_is_not_forced_is_told_so() {
    let folder = store();
    let line = "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5 Qg5 5. Nxf7 Qxg2 6. Rf1?? Qxe4+ 7. Be2 Nf3#";
    folder.write("traps.pgn", format!("[Event \"Hope\"]\n\n{line} *\n"));
    lesson(&folder, &[]);
    let page = part(&folder, "lesson.html");
    assert!(page.contains("Checkmate. The mate shown is not forced."), "{page}");
}
