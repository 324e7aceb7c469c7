//! `map`: the picture of where games go, held against `moves`.

use serde_json::Value;

use crate::kit::{Folder, Game};

/// Two openings that meet, and a trap.
fn folder() -> Folder {
    let parts = [
        ("e4 e5 Nf3 f6 Nxe5 fxe5", 60),
        ("e4 e5 Nf3 Nc6 Bc4 Bc5", 90),
        ("e4 e6 d4 d5 Nc3", 70),
        ("d4 e6 e4 c5 d5", 50),
        ("d4 d5 c4 e6", 130),
        ("a3 e5", 3),
        ("h3 e5", 2),
    ];
    let mut round = 0;
    let mut dump = String::new();
    for (moves, times) in parts {
        for _ in 0..times {
            round += 1;
            // Each by players of its own, rated 1200 to 1700.
            let [white, black] = ["w", "b"].map(|side| format!("{side}{round}"));
            let rating = 1200 + 100 * (round % 6) as u16;
            dump += &Game::of(moves)
                .tag("White", &white)
                .tag("Black", &black)
                .ratings(rating, rating)
                .to_string();
        }
    }
    let folder = Folder::built(dump, "--keep-from 1");
    folder.write("traps.pgn", "[Event \"Damiano & <co>\"]\n\n1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+ *\n\n[Event \"Far\"]\n\n1. f3 e5 2. g4?? Qh4# *\n");
    folder.write("mine.pgn", "1. e4 e5 (1... e6 2. d4) 2. Nf3 Nc6 *\n");
    folder
}

/// Text of every `title` element, the one of the whole picture first, and the shares of all games
/// that blocks show.
fn titles(svg: &str) -> Vec<String> {
    let parts = svg.split("<title").skip(1);
    parts
        .map(|part| {
            let text = part.split_once('>').expect("a closed tag").1;
            text.split("</title>")
                .next()
                .expect("a text")
                .replace("&amp;", "&")
                .replace("&lt;", "<")
        })
        .collect()
}

/// Of each block the numbers are those of `moves` in its position; the share of all games is the
/// product along the way.
#[test]
fn every_number_is_that_of_moves() {
    let folder = folder();
    for (line, level) in [
        ("", &[][..]),
        ("e4", &[]),
        ("", &["--from", "1300", "--below", "1600"]),
        ("1. d4", &["--pace", "blitz"]),
    ] {
        let arguments =
            [&["map", line, "--min-share", "0", "--min-sample", "1", "--plies", "4"][..], level]
                .concat();
        let arguments: Vec<&str> = arguments.into_iter().filter(|word| !word.is_empty()).collect();
        let svg = folder.run_with(&arguments).answer();
        let blocks = titles(&svg).split_off(1);
        assert!(blocks.len() > 8, "{blocks:?}");
        for block in blocks {
            let (way, numbers) = block.split_once(": ").expect("a way and its numbers");
            let words: Vec<&str> =
                way.split_whitespace().filter(|word| !word.ends_with('.')).collect();
            let whole: Vec<&str> =
                words.iter().map(|word| word.rsplit('.').next().expect("a move")).collect();
            let from = line.split_whitespace().filter(|word| !word.ends_with('.')).count();
            let mut of_all = 1.0;
            let mut last = Value::Null;
            for ply in from..whole.len() {
                let before = whole[..ply].join(" ");
                let asked =
                    [&["moves", &before, "--format", "json", "--min-sample", "1"][..], level]
                        .concat();
                let asked: Vec<&str> = asked.into_iter().filter(|word| !word.is_empty()).collect();
                let table = folder.run_with(&asked).json();
                let rows = table["moves"].as_array().expect("moves").iter();
                last = rows
                    .into_iter()
                    .find(|row| row["san"] == whole[ply])
                    .expect("the move")
                    .clone();
                of_all *= last["share"]["value"].as_f64().expect("a share");
            }
            let share = &last["share"];
            let told = format!("{} of {}", share["k"], share["n"]);
            assert!(numbers.contains(&told), "{block}: {told}");
            let percent: f64 =
                numbers.split(' ').next().expect("a number").parse().expect("a number");
            assert!((percent - 100.0 * of_all).abs() <= 0.0501, "{block}: {of_all}");
        }
    }
}

#[test]
fn traps_are_marked_by_pattern_and_told_in_words() {
    let folder = folder();
    let svg = folder.run("map --traps traps.pgn").answer();
    let blocks = titles(&svg);
    assert_eq!(blocks[0], "Where games go from the first move");
    let ways: Vec<&String> =
        blocks.iter().filter(|block| block.ends_with("; on the way of a trap")).collect();
    assert_eq!(ways.len(), 5, "{blocks:?}");
    assert_eq!(blocks.iter().filter(|block| block.ends_with("; the slip of a trap")).count(), 1);
    assert!(svg.contains("url(#crossed)") && svg.contains(">on the way of a trap<"));
    // 60 of 405 games.
    assert!(svg.contains("Damiano &amp; &lt;co&gt;, 1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+: slip in about 14.8 % of these games, by the orders of moves shown."));
    assert!(
        svg.contains("Not in the picture: 1 trap whose line too few games follow that far."),
        "{svg}"
    );
    assert!(
        svg.contains(">2 more<") || blocks.iter().any(|block| block.contains("2 more")),
        "{blocks:?}"
    );
    // Nothing depends on colour.
    for part in svg.split("fill=\"").skip(1).chain(svg.split("stroke=\"").skip(1)) {
        let paint = part.split('"').next().expect("a paint");
        assert!(matches!(paint, "#fff" | "#000" | "none") || paint.starts_with("url(#"), "{paint}");
    }
}

/// As deep as the last slip if nothing is asked, and why a trap is not there.
#[test]
fn every_slip_that_games_come_to_is_drawn_and_of_the_others_it_is_said_why() {
    let folder = folder();
    let deep = "[Event \"Deep\"]\n\n1. e4 e5 2. Nf3 Nc6 3. Bc4 Bc5?? 4. Bxf7+ *\n\n";
    let elsewhere = "[Event \"Elsewhere\"]\n\n1. d4 d5 2. c4 e6?? 3. Nc3 *\n";
    folder.write("more.pgn", format!("{deep}{elsewhere}"));
    let left = |arguments: &str| {
        let svg = folder.run(arguments).answer();
        let text = svg.split("Not in the picture: ").nth(1);
        text.map(|text| text.split("</").next().expect("a text").to_owned())
    };
    assert_eq!(left("map --traps more.pgn"), None);
    assert_eq!(
        left("map --traps more.pgn --plies 5").as_deref(),
        Some("1 trap whose slip comes after the 5 half-moves shown (--plies).")
    );
    let behind = left("map e4 --traps more.pgn").expect("one is not there");
    assert_eq!(behind, "1 trap whose line does not pass through this position.");
    // Bold is a move of the file, whatever traps are marked.
    let bold = |svg: &str| svg.matches("font-weight=\"bold\"").count();
    let head = bold(&folder.run("map").answer());
    assert_eq!(bold(&folder.run("map --traps more.pgn").answer()), head);
    assert!(
        bold(&folder.run("map --traps more.pgn --repertoire mine.pgn --as white").answer()) > head
    );
}

#[test]
fn gaps_of_a_file_are_marked() {
    let folder = folder();
    let svg = folder.run("map --repertoire mine.pgn --as white --min-share 0").answer();
    let blocks = titles(&svg);
    let gaps: Vec<&String> =
        blocks.iter().filter(|block| block.ends_with("not answered by the file")).collect();
    assert!(gaps.len() == 1 && gaps[0].starts_with("1. e4 e5 2. Nf3 f6: "), "{gaps:?}");
    assert!(
        svg.contains("url(#hatched)")
            && blocks.iter().any(|block| block.ends_with("; a move of the file"))
    );
    let gap = folder.run("gaps mine.pgn --as white --format json").json();
    assert_eq!(gap["gaps"][0]["move"]["san"], "f6");
    let away = folder.run("map d4 d5 --repertoire mine.pgn --as white").answer();
    assert!(away.contains("does not come to this position"), "{away}");
}

#[test]
fn labels_stay_within_their_blocks() {
    let svg = folder().run("map --traps traps.pgn --min-share 0").answer();
    let number = |text: &str, name: &str| -> f64 {
        let rest = text
            .split_once(&format!(" {name}=\""))
            .unwrap_or_else(|| panic!("no {name}: {text}"))
            .1;
        rest.split('"').next().expect("closed").parse().expect("a number")
    };
    let mut labels = 0;
    for block in svg.split("<g><title>").skip(1) {
        let rect = block.split_once("<rect").expect("a frame").1;
        let (left, wide) = (number(rect, "x"), number(rect, "width"));
        for text in block.split("</g>").next().expect("a block").split("<text").skip(1) {
            let word = text.split_once('>').expect("a word").1.split('<').next().expect("a word");
            let (middle, size) = (number(text, "x"), number(text, "font-size"));
            // Six tenths of the size are more than most letters take.
            let half = if text.contains("rotate") {
                size / 2.0
            } else {
                0.3 * size * word.chars().count() as f64
            };
            assert!(
                middle - half >= left - 0.2 && middle + half <= left + wide + size * 0.4,
                "{word}: {rect}"
            );
            labels += 1;
        }
    }
    assert!(labels > 15, "{labels}");
}

#[test]
fn what_cannot_be_drawn_is_said() {
    let folder = folder();
    let nothing = folder.run("map h4 h5").answer();
    assert!(nothing.contains("There is nothing to show"), "{nothing}");
    folder.run("map --plies 0").refused(2);
    folder.run("map --plies 99").refused(2);
    folder.run("map --min-share 2").refused(2);
    folder.run("map --repertoire mine.pgn").refused(2);
    folder.run("map --as white").refused(2);
    folder.run("map e5").refused(3);
    folder.run("map --traps none.pgn").refused(3);
    folder.run("map --out none/map.svg").refused(4);
    folder.run("map --out map.svg").ok();
    assert_eq!(folder.read("map.svg"), folder.run("map").answer().as_bytes());
    folder.run("map --out map.svg").refused(4);
    folder.run("map e4 --out map.svg --overwrite").ok();
}

/// Not as in the file: a teacher has the lesson beside the map.
#[test]
fn traps_are_numbered_as_in_the_lesson_about_the_same_players() {
    let folder = folder();
    let rare = "[Event \"Rare\"]\n\n1. e4 e6 2. d4 d5 3. Nc3 Ba3?? 4. bxa3 *\n\n";
    let common = "[Event \"Common\"]\n\n1. e4 e5 2. Nf3 f6?? 3. Nxe5 *\n\n";
    for traps in [[rare, common], [common, rare]] {
        folder.write("traps.pgn", traps.concat());
        folder.run("lesson traps.pgn --below 1500 --min-sample 1 --out out --overwrite").ok();
        let lesson = crate::lesson::part(&folder, "lesson.html");
        let number = (1..3).find(|n| lesson.contains(&format!("{n}. <bdi>Common</bdi>")));
        let number = number.expect("a sheet");
        let svg = folder.run("map --traps traps.pgn --below 1500 --min-sample 1").answer();
        assert!(
            svg.contains(&format!("{number}. Common, 1. e4 e5 2. Nf3 f6??")),
            "{number}: {svg}"
        );
    }
}
