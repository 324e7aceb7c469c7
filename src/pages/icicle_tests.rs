//! Blocks, labels and parts that are drawn again.

use super::*;

fn block(label: &str, share: f64, children: Vec<Block>) -> Block {
    let (fill, [strong, heavy], ends) = (Fill::Plain, [false; 2], children.is_empty());
    let words = format!("{label}, {share}");
    let (label, detail) = (label.to_owned(), format!("{} %", 100.0 * share));
    Block { label, detail, words, share, fill, strong, heavy, ends, tag: String::new(), children }
}

fn picture(blocks: Vec<Block>) -> String {
    zoomed(blocks, Vec::new())
}

fn zoomed(blocks: Vec<Block>, zooms: Vec<Zoom>) -> String {
    let text = |words: &str| words.to_owned();
    Icicle {
        title: text("A <title>"),
        description: text("Words"),
        head: vec![text("Head")],
        key: vec![(Sign::Filled(Fill::Hatched), text("none"))],
        rows: ["1.", "2.", "3."].map(|name| [text(name), text("")]).to_vec(),
        blocks,
        zooms,
        foot: vec![text("Foot")],
        shape: Shape::SHEET,
    }
    .document()
}

#[test]
fn blocks_stand_below_what_they_are_a_part_of_and_labels_within_them() {
    let svg = picture(vec![
        block("wide", 0.5, vec![block("left", 0.25, vec![]), block("tall", 0.02, vec![])]),
        block("no room for this", 0.01, vec![]),
    ]);
    // 944 units are the whole: 472 from 46 on, and half of that below it.
    assert!(svg.contains("<rect x=\"46\" y=\"64\" width=\"472\" height=\"40\""), "{svg}");
    assert!(svg.contains("<rect x=\"46\" y=\"104\" width=\"236\" height=\"40\""), "{svg}");
    assert!(svg.contains("rotate(-90") && svg.contains("25 %"), "{svg}");
    assert!(!svg.contains("<text x=\"522.7\"") && svg.contains("no room for this, 0.01"), "{svg}");
    assert!(svg.contains("A &lt;title&gt;") && svg.contains("<desc id=\"description\">Words"));
    // The third row has no blocks, so it has no name.
    assert!(svg.contains(">2.<") && !svg.contains(">3.<"), "{svg}");
}

#[test]
fn a_narrow_part_is_drawn_again_over_the_whole_width_below_its_row() {
    let svg = picture(vec![block("first", 0.1, vec![])]);
    assert!(svg.contains(">1.<") && !svg.contains(">2.<"), "{svg}");
    let zoom = Zoom { from: 0.1, blocks: vec![block("again", 1.0, vec![])] };
    let svg = zoomed(vec![block("first", 0.1, vec![])], vec![zoom]);
    // Row 1 ends at 104, the gap at 113; the part ends at 46 + 94.4, the whole at 990.
    assert!(svg.contains("M46 104V113M140.4 104L990 113"), "{svg}");
    assert!(svg.contains("<rect x=\"46\" y=\"113\" width=\"944\" height=\"40\""), "{svg}");
    assert!(svg.contains(">2.<") && !svg.contains(">3.<"), "{svg}");
}

#[test]
fn a_heavy_frame_is_seen_however_narrow_and_lies_on_top() {
    let heavy = Block { heavy: true, ..block("narrow", 0.0001, vec![]) };
    let svg = picture(vec![heavy, block("wide", 0.5, vec![])]);
    let (wide, narrow) = (svg.find("width=\"472\""), svg.find("width=\"3\" height=\"40\""));
    assert!(wide.is_some() && wide < narrow, "{svg}");
}

#[test]
fn a_pattern_is_seen_below_its_label() {
    let svg = picture(vec![Block {
        fill: Fill::Hatched,
        detail: String::new(),
        ..block("g6", 0.05, vec![])
    }]);
    // The row of 40 begins at 64; what is left blank for the label ends 10 above its end.
    assert!(svg.contains("height=\"28\" fill=\"#fff\""), "{svg}");
}

#[test]
fn lines_keep_to_the_width() {
    let text = "word ".repeat(60);
    let lines = lines(&text, 980.0, TEXT);
    assert!(lines.len() > 1 && lines.iter().all(|line| width(line, TEXT) <= 980.0));
    assert_eq!(lines.join(" "), text.trim());
}

#[test]
fn a_picture_without_blocks_is_one() {
    let svg = picture(vec![]);
    assert!(svg.starts_with("<?xml") && svg.trim_end().ends_with("</svg>"), "{svg}");
}
