//! Lessons and the student's page in each language: the same figures and moves as in English, and
//! none of its words.

use std::collections::BTreeSet;

use deadfall::pages::languages::LANGUAGES;

use crate::kit::Folder;
use crate::lesson::{ASKED, data, store};
use crate::student;

/// The words that a language shares with English.
const SHARED: [(&str, &[&str]); 3] = [
    ("de", &["an", "blitz", "die", "engine", "gambit", "in", "so", "was"]),
    ("es", &["error", "mate", "no", "rating", "ratings"]),
    (
        "fr",
        &[
            "blitz",
            "chance",
            "date",
            "gain",
            "gambit",
            "minutes",
            "on",
            "points",
            "position",
            "positions",
            "solutions",
        ],
    ),
];

/// A language other than English: its code, its letters for king to knight, the words
/// that it shares.
#[derive(Clone)]
struct Other {
    code: &'static str,
    letters: String,
    shared: &'static [&'static str],
}

/// Every language of the program but English.
fn others() -> Vec<Other> {
    let shared = |code| SHARED.iter().find(|(known, _)| *known == code).map(|(_, words)| *words);
    let others = LANGUAGES.iter().filter(|language| language.code != "en").map(|language| Other {
        code: language.code,
        letters: language.pieces.iter().collect(),
        shared: shared(language.code).unwrap_or_else(|| panic!("what {} shares", language.code)),
    });
    others.collect()
}

const PAGES: [&str; 3] = ["lesson.html", "handout.html", "cards.csv"];

/// Everything that a page says to those who see or hear it; names, which are in `bdi`, and the
/// author's notes left out.
fn said(page: &str) -> String {
    let mut text = String::new();
    let mut page = page.to_owned();
    for (start, end) in [("<style>", "</style>"), ("<bdi>", "</bdi>"), ("<head>", "</head>")] {
        while let Some(from) = page.find(start) {
            let to = from + page[from..].find(end).expect("it ends") + end.len();
            page.replace_range(from..to, " ");
        }
    }
    for piece in page.split('<') {
        let (tag, shown) = piece.split_once('>').unwrap_or(("", piece));
        let heard = tag.split_once("aria-label=\"").and_then(|(_, label)| label.split_once('"'));
        for part in [heard.map_or("", |(label, _)| label), shown] {
            text += part;
            // A figure's parts are one after another, as are the moves of a line.
            text.push(' ');
        }
    }
    text.replace("&quot;", " ").replace("&gt;", " ").replace("&lt;", " ").replace("&amp;", " ")
}

/// Whether this is a move with one of these letters for its piece.
fn is_move(word: &str, letters: &str) -> bool {
    let word = word.trim_end_matches(['+', '#']);
    let squares = word.strip_prefix(|first| letters.contains(first)).unwrap_or(word);
    let mut from_end = squares.chars().rev();
    let square = from_end.next().is_some_and(|c| ('1'..='8').contains(&c))
        && from_end.next().is_some_and(|c| ('a'..='h').contains(&c));
    word == "O-O" || square && from_end.all(|c| matches!(c, 'x' | 'a'..='h' | '1'..='8'))
}

/// The moves in a text, sorted.
fn moves(text: &str, letters: &str) -> Vec<String> {
    let parts = text.split(|c: char| !c.is_alphanumeric() && !"+#-".contains(c));
    let mut moves: Vec<String> =
        parts.filter(|word| is_move(word, letters)).map(str::to_owned).collect();
    moves.sort();
    moves
}

fn in_letters(moves: Vec<String>, letters: &str) -> Vec<String> {
    let letter = |c: char| "KQRBN".find(c).map_or(c, |at| letters.as_bytes()[at].into());
    let mut moves: Vec<String> = moves.iter().map(|mv| mv.chars().map(letter).collect()).collect();
    moves.sort();
    moves
}

/// Words of two letters and more, as far as they are no moves.
fn words(text: &str) -> BTreeSet<String> {
    let parts = text.split(|c: char| !c.is_alphanumeric());
    let are_words = |word: &&str| word.chars().count() > 1 && word.chars().all(char::is_alphabetic);
    parts.filter(are_words).map(str::to_lowercase).collect()
}

/// The same in English and in another language, or why not.
fn compare(english: &str, other: &str, Other { code, letters, shared }: &Other) {
    let [mut figures, mut same] = [english, other]
        .map(|page| data(page).into_iter().map(|(value, _)| value).collect::<Vec<_>>());
    figures.sort_by(f64::total_cmp);
    same.sort_by(f64::total_cmp);
    assert_eq!(figures, same, "{code}");
    let (english, other) = (said(english), said(other));
    let known = in_letters(moves(&english, "KQRBN"), letters);
    assert_eq!(known, moves(&other, letters), "{code}");
    assert_eq!(still_english(&english, &other, shared), [""; 0], "{code}");
}

/// Words that both texts have, but for those that both languages have.
fn still_english(english: &str, other: &str, shared: &[&str]) -> Vec<String> {
    let both: BTreeSet<String> = words(english).intersection(&words(other)).cloned().collect();
    both.into_iter().filter(|word| !shared.contains(&word.as_str())).collect()
}

/// A lesson in a language.
fn written(folder: &Folder, code: &str, side: &str) -> Vec<String> {
    let asked =
        format!("lesson traps.pgn --out {code}-{side} --side {side} --language {code} {ASKED}");
    folder.run(&asked).ok();
    let read = |name: &&str| {
        let text = folder.text(&format!("{code}-{side}/{name}"));
        if *name == "cards.csv" { text.replace("\"\"", "\"") } else { text }
    };
    PAGES.iter().chain(&["lesson.pgn"]).map(read).collect()
}

#[test]
fn a_lesson_says_the_same_in_every_language() {
    let folder = store();
    for side in ["setter", "victim"] {
        let english = written(&folder, "en", side);
        for language in &others() {
            let other = written(&folder, language.code, side);
            for (english, other) in english.iter().zip(&other).take(PAGES.len()) {
                compare(english, other, language);
            }
            for page in &other[..2] {
                assert!(page.contains(&format!("<html lang=\"{}\">", language.code)));
            }
        }
    }
}

/// The comments of a text, and what is outside them.
fn parted(pgn: &str) -> (String, String) {
    let mut parts = (String::new(), String::new());
    for (place, piece) in pgn.split('{').enumerate() {
        let (comment, rest) = piece.split_once('}').filter(|_| place > 0).unwrap_or(("", piece));
        parts.0 += &format!("{comment} ");
        parts.1 += rest;
    }
    parts.1 = parts.1.split_whitespace().collect::<Vec<_>>().join(" ");
    parts
}

#[test]
fn the_games_stay_as_they_are_and_their_comments_speak_the_language() {
    let folder = store();
    let (said, movetext) = parted(&written(&folder, "en", "setter")[3]);
    for Other { code, letters, shared } in &others() {
        let pgn = written(&folder, code, "setter").remove(3);
        folder.write("again.pgn", &pgn);
        assert!(pgn.lines().all(|line| line.chars().count() < 80));
        let (other, same) = parted(&pgn);
        assert_eq!(same, movetext);
        assert_eq!(moves(&other, letters), in_letters(moves(&said, "KQRBN"), letters));
        assert_eq!(still_english(&said, &other, shared), [""; 0], "{code}");
    }
    let trap =
        |file| folder.run(&format!("trap {file} --format json {ASKED}")).json()["traps"].clone();
    assert_eq!(trap("again.pgn"), trap("traps.pgn"));
}

#[test]
fn the_authors_words_are_not_touched() {
    let folder = store();
    let pgn = "[Event \"The Knight\"]\n\n1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5 {the Knight on Nf3} Qg5 5. Nxf7?? Qxg2 *\n";
    folder.write("traps.pgn", pgn);
    let asked = format!("lesson traps.pgn --out out --language de {ASKED}");
    let title = ["--title", "Monday's Queen", "--author", "Ann", "--level", "Beginners"];
    let asked: Vec<&str> = asked.split(' ').chain(title).collect();
    folder.run_with(&asked).ok();
    let page = folder.text("out/lesson.html");
    for words in [
        "<bdi>The Knight</bdi>",
        "<bdi>the Knight on Nf3</bdi>",
        "Monday's Queen",
        "Für Beginners. Von Ann. ",
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(page.contains("4.Sxe5"));
}

#[test]
fn the_students_page_says_the_same_in_every_language() {
    let folder = student::folder();
    let written = |code: &str| {
        let options = ["--name", student::STUDENT, "--out", code, "--language", code];
        let asked: Vec<&str> = student::ASK.split(' ').chain(options).collect();
        folder.run_with(&asked).ok();
        folder.text(&format!("{code}/student.html"))
    };
    let english = written("en");
    for language in &others() {
        compare(&english, &written(language.code), language);
    }
}

/// Where the rules prove a mate and nothing is known of the other moves, the verdict is a sentence
/// of its own: in the slot of a word it would break the sentence around it.
#[test]
fn half_a_verdict_is_a_sentence() {
    let folder = store();
    folder.write("traps.pgn", "[Event \"In two\"]\n\n1. f3 e5 2. g4?? Qh4# *\n");
    for language in LANGUAGES {
        let out = language.code;
        folder.run(&format!("lesson traps.pgn --out {out} --language {out}")).ok();
        let page = folder.text(&format!("{out}/lesson.html"));
        let mate = language.sound_mate.replace("{moves}", "1");
        let (first, rest) = mate.split_at(1);
        let sentence = format!(">{}{rest}", first.to_uppercase());
        let whole = page.clone();
        let times = |text: &str| whole.matches(text).count();
        assert!(times(&sentence) > 0, "{out}: {sentence}");
        // A cell and a part of the advice may begin with a small letter.
        let page = page.to_lowercase();
        let behind = |sign: &str| page.matches(&format!("{sign}{}", mate.to_lowercase())).count();
        let begun: usize = [">", ": ", "; "].map(behind).into_iter().sum();
        assert_eq!(begun, times(rest), "{out}: {mate} begins a sentence, a part of one or a cell");
    }
}

#[test]
fn an_unknown_language_is_told_the_known_ones() {
    let folder = store();
    for code in ["dutch", "NL", ""] {
        let asked = ["lesson", "traps.pgn", "--out", "out", "--language", code];
        let message = folder.run_with(&asked).refused(2);
        let expected = format!(
            "deadfall: --language {code}: pages are written in one of en (English), de (Deutsch), es (Español), fr (Français)"
        );
        assert_eq!(message, expected);
    }
    assert!(!folder.files().iter().any(|file| file.starts_with("out")));
    folder.run("student x.pgn --name x --language de").exits(2);
    folder.run_with(&["lesson", "traps.pgn", "--out", "out", "--language", "Deutsch"]).ok();
    let page = folder.text("out/lesson.html");
    assert!(page.contains("<html lang=\"de\">"));
}
