//! Phrases that several pages use.

use shakmaty::Color;

use super::languages::ENGLISH;
use super::numbers::{count, counted, fixed};
use super::safe::steers;
use crate::answers::moves::PaceGames;
use crate::counts::{Beyond, Lacking, Limits};
use crate::games::LeftOut;
use crate::ledger::GameTally;
use crate::terms::MoverFilter;

/// Text of others on one line: what could steer a terminal becomes a space.
pub(super) fn clean(text: &str) -> String {
    let plain = |c: char| if steers(c) { ' ' } else { c };
    text.chars().map(plain).collect::<String>().trim().to_owned()
}

/// `White` or `Black`.
pub(super) fn side(colour: Color) -> &'static str {
    colour.fold_wb("White", "Black")
}

/// `4...Bc5`: a move as sentences have it, with its number, since nothing else says where in
/// the game it is.
pub(super) fn numbered(number: usize, side: Color, san: &str) -> String {
    format!("{number}{}{}", side.fold_wb(".", "..."), clean(san))
}

/// The same of a move that is played `plies` half-moves after the position of a FEN; -1 is the move
/// that led to it.
pub(super) fn numbered_from(fen: &str, plies: isize, san: &str) -> String {
    let mut fields = fen.split(' ');
    let black = isize::from(fields.nth(1) == Some("b"));
    let number = fields.next_back().and_then(|number| number.parse().ok()).unwrap_or(1_isize);
    let at = 2 * number + black + plies;
    let side = if at % 2 == 0 { Color::White } else { Color::Black };
    numbered(at.div_euclid(2).unsigned_abs(), side, san)
}

/// `players rated 1200 to 1999, all paces`.
pub(super) fn filter(filter: MoverFilter) -> String {
    format!("players {}, {}", ENGLISH.rated(filter.bands), filter.paces)
}

/// `7,421 blitz, 4,924 rapid`.
pub(super) fn mix(paces: &[PaceGames]) -> String {
    let parts: Vec<String> =
        paces.iter().map(|part| format!("{} {}", count(part.games), part.pace)).collect();
    parts.join(", ")
}

/// What the ratings predict for `who`, and which rating difference that is; empty without games.
pub(super) fn ratings(who: &str, expected: Option<f64>, difference: Option<f64>) -> Option<String> {
    let expected = format!("{} %", fixed(expected? * 100.0, 1));
    let like = match difference.map(|points| points.round() as i64) {
        None => String::new(),
        Some(0) => ", as between equals".into(),
        Some(points) => {
            let more = if points > 0 { "more" } else { "less" };
            let points = counted(points.unsigned_abs(), "rating point");
            format!(", as with {points} {more} than the opponent")
        }
    };
    Some(format!("By the ratings {who} would score {expected}{like}."))
}

/// What answers must say about the counts they rest on, one sentence each.
pub(super) fn limits(limits: &Limits) -> Vec<String> {
    let mut sentences = vec![format!("The store {}.", reach(limits))];
    if !limits.incomplete.is_empty() {
        let names: Vec<String> = limits.incomplete.iter().map(|name| clean(name)).collect();
        sentences.push(format!(
            "Cut short, and counted as far as they could be read: {}.",
            names.join(", ")
        ));
    }
    if limits.many_nameless() {
        let sides = 2 * limits.games;
        sentences.push(format!(
            "{} % of the {} sides of its games have no player's name, and each is taken for a different player: \
             where such players came again, the true margins are wider.",
            fixed(100.0 * limits.nameless_sides as f64 / sides.max(1) as f64, 0),
            count(sides)
        ));
    }
    sentences
}

/// `counts the first 30 half-moves of each game and keeps positions with 5 games or more`.
pub(super) fn reach(limits: &Limits) -> String {
    let keep = match (limits.keep_from, limits.absent_may_lack) {
        (0..=1, 0) => "keeps every position".to_owned(),
        (keep, lack) => {
            let lack = counted(lack, "game");
            let keep = counted(keep.max(1), "game");
            format!("keeps positions with {keep} or more (an absent one may have had up to {lack})")
        }
    };
    format!(
        "counts the first {} of each game and {keep}",
        counted(limits.half_moves.into(), "half-move")
    )
}

/// That games may be missing from what an answer looked at; none if the counts are exact.
pub(super) fn may_lack(lacking: Lacking, place: &str) -> Option<String> {
    match lacking {
        Lacking::NOTHING => None,
        Lacking::UpTo(games) => {
            let games = counted(games, "game");
            Some(format!("Up to {games} may be missing {place}: rare positions were dropped."))
        }
        Lacking::NotCounted(beyond) => {
            Some(format!("Games are missing {place}: {}.", not_counted(beyond)))
        }
    }
}

/// `the store counts the first 4 half-moves only; build it with --half-moves 6 or more`.
pub fn not_counted(Beyond { needed, counted: so_far }: Beyond) -> String {
    let so_far = counted(so_far.into(), "half-move");
    format!("the store counts the first {so_far} only; build it with --half-moves {needed} or more")
}

/// That a file of lines has several moves for a side in some positions, and which of them counts;
/// `None` if in no position.
pub(super) fn several_moves(colour: Color, positions: usize, which: &str) -> Option<String> {
    (positions > 0).then(|| {
        let positions = counted(positions as u64, "position");
        let (colour, other) = (side(colour), side(colour.other()));
        format!(
            "In {positions} the file has several moves for {colour}: {which}. Games for {other} are passed over if they have the tag \
             [Student \"{other}\"]."
        )
    })
}

/// Why a count is followed by another.
pub(super) fn as_good_as() -> String {
    "As good as: players come back and repeat their moves, so their games tell as much as so many games by different players. \
     Margins go by that number; a share below the minimum sample shows its count and its margin, but no value."
        .into()
}

/// Where the ratings of a product of shares were pooled.
pub(super) const MIXED: &str = "Ratings with too few games at a move were put together there.";

/// What a difference in score is not.
pub(super) const ASSOCIATION: &str = "A better score goes with a move; it need not come from it: whoever knows a refutation may be \
    stronger than the rating says.";

/// Why a share is shown without a value.
pub(super) fn thin(min_sample: u64) -> String {
    let games = counted(min_sample, "game");
    format!(
        "A share without a value rests on what is as good as fewer than {games}, the minimum sample: the interval is what is \
         known."
    )
}

/// `2031-05-01 to 2031-05-03; 15,467 games without a date`, empty where no game was counted.
pub(super) fn dates(games: &GameTally) -> String {
    let dates = games.first.zip(games.last).map(|(first, last)| match first == last {
        true => first.to_string(),
        false => format!("{first} to {last}"),
    });
    let undated = (games.undated > 0).then(|| counted(games.undated, "game") + " without a date");
    dates.into_iter().chain(undated).collect::<Vec<_>>().join("; ")
}

/// Why games are left out, in words.
pub fn left_out(reason: LeftOut) -> &'static str {
    match reason {
        LeftOut::Variant => "not standard chess, or not from the start position",
        LeftOut::NoResult => "no result",
        LeftOut::NoRating => "a rating is missing or not from 1 to 3999",
        LeftOut::Computer => "a player has the title BOT",
        LeftOut::NotPlayedOut => "abandoned, unterminated, or a breach of the rules",
        LeftOut::Unrated => "casual or unrated",
        LeftOut::OutsideDates => "outside the dates asked for, or no whole date",
        LeftOut::OtherPace => "another pace than asked for",
        LeftOut::RatingGap => "ratings further apart than asked for",
        LeftOut::Broken => "cut off, a comment without end, or a wrong end marker",
        LeftOut::NoMoves => "no moves",
        LeftOut::IllegalMove => "a move that is illegal, ambiguous or unreadable",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::{BandRange, Pace, PaceSet};

    #[test]
    fn filters_are_put_in_words() {
        let some = |from, below| MoverFilter {
            bands: BandRange { from, below },
            paces: [Pace::Blitz, Pace::Rapid].into_iter().collect::<PaceSet>(),
        };
        assert_eq!(filter(MoverFilter::ALL), "players of all ratings, all paces");
        assert_eq!(filter(some(1200, 2000)), "players rated 1200 to 1999, blitz, rapid");
        assert_eq!(filter(some(0, 2000)), "players rated below 2000, blitz, rapid");
        assert_eq!(filter(some(2000, 4000)), "players rated 2000 and above, blitz, rapid");
    }

    #[test]
    fn games_without_a_date_are_told_with_the_dates() {
        let date = |text: &str| crate::games::Date::from_tag(text.as_bytes());
        let of = |first, last, undated| {
            dates(&GameTally {
                first: date(first),
                last: date(last),
                undated,
                ..GameTally::default()
            })
        };
        assert_eq!(
            of("2031.05.01", "2031.05.03", 15_467),
            "2031-05-01 to 2031-05-03; 15,467 games without a date"
        );
        assert_eq!(of("2031.05.01", "2031.05.01", 0), "2031-05-01");
        assert_eq!(
            (of("?", "?", 1), of("?", "?", 0)),
            ("1 game without a date".into(), String::new())
        );
    }

    #[test]
    fn moves_in_sentences_have_their_numbers() {
        let fen = "rnbqkbnr/pppp2pp/5p2/4N3/4P3/8/PPPP1PPP/RNBQKB1R b KQkq - 0 3";
        let moves = [(-1, "Nxe5"), (0, "fxe5"), (1, "Qh5+"), (2, "g6")];
        let said = moves.map(|(plies, san)| numbered_from(fen, plies, san));
        assert_eq!(said, ["3.Nxe5", "3...fxe5", "4.Qh5+", "4...g6"]);
    }

    #[test]
    fn text_of_others_cannot_steer_the_terminal() {
        assert_eq!(clean("a\x1b[31mb\nc\u{9b}d"), "a [31mb c d");
    }

    #[test]
    fn rating_differences_name_their_direction() {
        let text = |difference| ratings("the mover", Some(0.5), difference).expect("games");
        assert!(text(Some(-0.2)).ends_with("as between equals."));
        assert!(text(Some(-30.4)).ends_with("as with 30 rating points less than the opponent."));
        assert_eq!(ratings("the mover", None, None), None);
    }
}
