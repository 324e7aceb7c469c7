//! Counts by the plainest possible loop over games that are already cut: the judge of the program.
//!
//! Nothing here is taken from the program but the types that its counts are made of. The games are
//! read with pgn-reader and played with shakmaty; every number is worked out afresh from the
//! definitions. All games are taken to count.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;

use deadfall::counts::{InMemory, Opening, OpeningTag, Record};
use deadfall::terms::{CellId, Group, Key, Outcome, Pace, Rating};
use pgn_reader::{RawComment, RawTag, Reader, SanPlus, Visitor};
use shakmaty::{Chess, Color, Move, Position};
use xxhash_rust::xxh3::xxh3_64_with_seed;

/// One half-move as written.
struct Half {
    san: SanPlus,
    comments: String,
}

/// A game, played out.
pub struct Played {
    /// White's and Black's.
    pub ratings: [Rating; 2],
    /// The groups of their players.
    pub groups: [u64; 2],
    pub pace: Pace,
    /// Seconds added a move, where the time spent on one can be known.
    pub increment: Option<i64>,
    /// The result for White.
    pub white: Outcome,
    /// ECO code and opening name.
    pub name: (String, String),
    pub moves: Vec<HalfMove>,
}

/// One move with what its comments say: tenths of a second left, centipawns from White's view.
pub struct HalfMove {
    pub mv: Move,
    pub clock: Option<i64>,
    pub eval: Option<i16>,
}

/// A game as pgn-reader reads it.
#[derive(Default)]
struct Told {
    tags: BTreeMap<String, String>,
    halves: Vec<Half>,
}

#[derive(Default)]
struct Listener;

/// The counts, and the names that the games of each position bear.
pub struct ModelCounts {
    counts: InMemory,
    names: BTreeMap<Key, Vec<(String, String)>>,
}

impl ModelCounts {
    /// Counts the first `half_moves` of each game; drops positions with fewer than `keep_from`.
    pub fn of(games: &[String], half_moves: u16, keep_from: u64) -> InMemory {
        let mut model = ModelCounts::empty(half_moves, keep_from);
        for text in games {
            let told = Reader::new(text.as_bytes()).read_game(&mut Listener);
            model.add(&told.expect("the text can be read").expect("it holds a game"), text);
        }
        model.finished()
    }

    /// The same of games that are played out already.
    pub fn of_played(games: &[Played], half_moves: u16, keep_from: u64) -> InMemory {
        let mut model = ModelCounts::empty(half_moves, keep_from);
        games.iter().for_each(|game| model.count(game));
        model.finished()
    }

    /// A model without games yet.
    fn empty(half_moves: u16, keep_from: u64) -> ModelCounts {
        let mut counts = InMemory::counting(half_moves);
        (counts.limits.keep_from, counts.limits.absent_may_lack) = (keep_from, keep_from - 1);
        ModelCounts { counts, names: BTreeMap::new() }
    }

    fn half_moves(&self) -> usize {
        self.counts.limits.half_moves.into()
    }

    fn add(&mut self, game: &Told, text: &str) {
        let tag = |name: &str| game.tags.get(name).map_or("", String::as_str);
        let rating = |name| Rating::new(tag(name).parse().expect("a number")).expect("a rating");
        let (pace, increment) = pace(tag("TimeControl"));
        let mut position = Chess::default();
        let play = |half: &Half| {
            let mv = half.san.san.to_move(&position).expect("a legal move");
            position.play_unchecked(mv);
            HalfMove { mv, clock: clock(&half.comments), eval: eval(&half.comments) }
        };
        let known = |name| Some(tag(name)).filter(|&value| value != "?").unwrap_or("");
        self.count(&Played {
            ratings: [rating("WhiteElo"), rating("BlackElo")],
            groups: groups([tag("White"), tag("Black")].map(str::as_bytes), text.as_bytes()),
            pace,
            increment,
            white: match tag("Result") {
                "1-0" => Outcome::Win,
                "0-1" => Outcome::Loss,
                _ => Outcome::Draw,
            },
            name: (known("ECO").to_owned(), known("Opening").to_owned()),
            moves: game.halves.iter().take(self.half_moves()).map(play).collect(),
        });
    }

    /// Counts one game.
    fn count(&mut self, game: &Played) {
        self.counts.limits.games += 1;
        let ratings = game.ratings;
        let outcomes = [game.white, game.white.reversed()];
        let ids = ratings.map(|rating| CellId::new(rating.band(), game.pace));
        let expected = [expected(ratings[0], ratings[1]), expected(ratings[1], ratings[0])];
        for colour in Color::ALL {
            let side = usize::from(colour.is_black());
            let group = group(game.groups[side]);
            self.counts.totals.add_game(colour, ids[side], group, outcomes[side], expected[side]);
        }
        let (mut position, mut seen) = (Chess::default(), BTreeSet::new());
        let mut clocks: [Vec<Option<i64>>; 2] = [Vec::new(), Vec::new()];
        for (ply, half) in game.moves.iter().take(self.half_moves()).enumerate() {
            let (key, side) = (Key::of(&position), ply % 2);
            clocks[side].push(half.clock);
            if seen.insert(key) {
                let group = group(game.groups[side]);
                let cell = self.counts.add_game(&position, half.mv, ids[side], group);
                cell.add_game(outcomes[side], expected[side]);
                if let Some(spent) = spent(&clocks[side], game.increment) {
                    cell.add_clock(spent);
                }
                if let Some(white) = half.eval {
                    cell.add_eval(if side == 0 { white } else { -white });
                }
                if ply <= 20 && game.name != (String::new(), String::new()) {
                    self.names.entry(key).or_default().push(game.name.clone());
                }
            }
            position.play_unchecked(half.mv);
        }
    }

    /// Drops positions with too few games and names the others.
    fn finished(self) -> InMemory {
        let mut counts = self.counts;
        let keep_from = counts.limits.keep_from;
        counts.positions.retain(|_, position| position.games() >= keep_from);
        for (key, position) in &mut counts.positions {
            position.opening = self.names.get(key).and_then(|tags| opening(tags));
        }
        counts
    }
}

impl Visitor for Listener {
    type Tags = Told;
    type Movetext = Told;
    type Output = Told;

    fn begin_tags(&mut self) -> ControlFlow<Told, Told> {
        ControlFlow::Continue(Told::default())
    }

    fn tag(&mut self, told: &mut Told, name: &[u8], value: RawTag<'_>) -> ControlFlow<Told> {
        let name = String::from_utf8_lossy(name).into_owned();
        told.tags.insert(name, value.decode_utf8_lossy().into_owned());
        ControlFlow::Continue(())
    }

    fn begin_movetext(&mut self, told: Told) -> ControlFlow<Told, Told> {
        ControlFlow::Continue(told)
    }

    fn san(&mut self, told: &mut Told, san: SanPlus) -> ControlFlow<Told> {
        told.halves.push(Half { san, comments: String::new() });
        ControlFlow::Continue(())
    }

    fn comment(&mut self, told: &mut Told, comment: RawComment<'_>) -> ControlFlow<Told> {
        if let Some(half) = told.halves.last_mut() {
            half.comments += &String::from_utf8_lossy(comment.as_bytes());
        }
        ControlFlow::Continue(())
    }

    fn end_game(&mut self, told: Told) -> Told {
        told
    }
}

fn group(index: u64) -> Group {
    Group::from_index(index as usize).expect("one of 32")
}

/// The groups of White and Black by their names, or else by the text of their game.
pub fn groups(names: [&[u8]; 2], text: &[u8]) -> [u64; 2] {
    let white_space = |byte: &u8| matches!(byte, b' ' | b'\t'..=b'\r');
    let text: Vec<u8> = text.iter().copied().filter(|byte| !white_space(byte)).collect();
    let of = |name: &[u8], seed: u64| match name.trim_ascii() {
        b"" | b"?" | b"-" => xxh3_64_with_seed(&text, seed) >> 59,
        name => xxh3_64_with_seed(&name.to_ascii_lowercase(), 0) >> 59,
    };
    [of(names[0], 0), of(names[1], 1)]
}

/// The thousandths of a point that the ratings predict; the higher rated side's are rounded.
fn expected(ours: Rating, theirs: Rating) -> u16 {
    let difference = f64::from(theirs.points()) - f64::from(ours.points());
    let points = 1.0 / (1.0 + 10f64.powf(-difference.abs() / 400.0));
    let higher = (1000.0 * points).round() as u16;
    if difference > 0.0 { 1000 - higher } else { higher }
}

/// Class and increment of `-`, `?` or `base+increment`.
fn pace(tag: &str) -> (Pace, Option<i64>) {
    let Some((base, increment)) = tag.split_once('+') else {
        return (if tag == "-" { Pace::Correspondence } else { Pace::Unknown }, None);
    };
    let number = |text: &str| text.parse::<i64>().expect("a number");
    let (base, increment) = (number(base), number(increment));
    let seconds = base + 60 * increment;
    let pace = match () {
        () if seconds < 180 => Pace::Bullet,
        () if seconds <= 600 => Pace::Blitz,
        () if seconds < 3600 => Pace::Rapid,
        () => Pace::Classical,
    };
    (pace, Some(increment))
}

fn operand<'a>(comments: &'a str, command: &str) -> Option<&'a str> {
    comments.split_once(command)?.1.split_once(']').map(|(operand, _)| operand)
}

/// Tenths of a second left.
fn clock(comments: &str) -> Option<i64> {
    let parts: Vec<f64> = operand(comments, "[%clk ")?
        .split(':')
        .map(|part| part.parse().expect("a number"))
        .collect();
    Some(((parts[0] * 3600.0 + parts[1] * 60.0 + parts[2]) * 10.0).round() as i64)
}

/// Tenths of a second spent, from a side's readings up to now.
fn spent(readings: &[Option<i64>], increment: Option<i64>) -> Option<u32> {
    let [.., before, now] = readings else { return None };
    let spent = ((*before)? - (*now)? + increment? * 10).max(0);
    // A year is no time to think.
    u32::try_from(spent).ok().filter(|&tenths| tenths <= Record::MAX_TENTHS)
}

/// Centipawns from White's view.
fn eval(comments: &str) -> Option<i16> {
    let text = operand(comments, "[%eval ")?;
    let pawns = match text.strip_prefix('#') {
        Some(mate) => 1000.0 * mate.parse::<f64>().expect("a number").signum(),
        None => text.parse::<f64>().expect("a number"),
    };
    Some((pawns * 100.0).clamp(-1000.0, 1000.0).round() as i16)
}

/// The code that most carry, and how many; ties go to the smaller one.
fn most<'a>(codes: &[&'a str]) -> Option<(usize, &'a str)> {
    let count = |code: &str| codes.iter().filter(|other| **other == code).count();
    let codes = codes.iter().filter(|code| !code.is_empty());
    codes.map(|&code| (count(code), code)).max_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(a.1)))
}

/// The longest leading part that 60 % of the named games carry, with the code that most of these
/// carry; without any name, the code that 60 % carry.
fn opening(tags: &[(String, String)]) -> Option<Opening> {
    let named: Vec<_> = tags.iter().filter(|(_, name)| !name.is_empty()).collect();
    let starts = |name: &str, part: &str| {
        name == part || [": ", ", "].iter().any(|cut| name.starts_with(&format!("{part}{cut}")))
    };
    let agreed = |part: &str| named.iter().filter(|(_, name)| starts(name, part)).count();
    let enough = |count: usize, all: usize| count * 10 >= all * 6 && count > 0;
    let part = named
        .iter()
        .flat_map(|(_, name)| (1..=name.len()).filter_map(|length| name.get(..length)))
        .filter(|part| named.iter().any(|(_, name)| starts(name, part)))
        .filter(|part| enough(agreed(part), named.len()))
        .max_by_key(|part| part.len());
    let (eco, name, tally) = match part {
        Some(part) => {
            let behind = named.iter().filter(|(_, name)| starts(name, part));
            let eco = most(&behind.map(|(eco, _)| eco.as_str()).collect::<Vec<_>>());
            (eco.map_or("", |(_, eco)| eco), part, agreed(part))
        }
        None if named.is_empty() => {
            let coded = tags.iter().filter(|(eco, _)| !eco.is_empty()).count();
            let codes: Vec<&str> = tags.iter().map(|(eco, _)| eco.as_str()).collect();
            let (count, eco) = most(&codes)?;
            enough(count, coded).then_some((eco, "", count))?
        }
        None => return None,
    };
    let tag = OpeningTag { eco: eco.to_owned(), name: name.to_owned() };
    Some(Opening { tag, tally: tally as u64 })
}
