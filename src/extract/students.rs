//! Reads the games of some students out of one text.

use std::collections::{BTreeSet, HashSet};

use shakmaty::Color;

use super::ExtractError;
use crate::games::{AnyGame, GameResult, PlayerName};
use crate::lines::{MOST_OWN_GAMES, NotTaken, OwnGame, OwnPly, StudentGames};
use crate::plies::Replayer;
use crate::source::{Batches, Dump, Opening, Place};
use crate::terms::{Key, TimeControl};

/// A student to look for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// The name, and the other spellings of it.
    pub names: Vec<String>,
}

/// What was found of the students.
#[derive(Debug)]
pub struct StudentsRead {
    /// The games, one entry a student, with those of the other spellings that some game has.
    pub games: Vec<StudentGames>,
    /// Of each other spelling that no game has the error that it would be as a name.
    pub unseen: Vec<ExtractError>,
}

/// Bytes of a batch.
const BATCH: usize = 1 << 20;
/// Bytes of text within which the first game must begin.
const PATIENCE: u64 = 64 << 20;
/// Bytes of different names that are remembered, to offer the nearest of them.
const MOST_NAMES: usize = 4 << 20;
/// Nearest names that are offered.
const OFFERED: usize = 3;

/// The games of the students that `names` distinguishes, one entry each, out of the
/// text at `place`.
///
/// The first `half_moves` of each game are played. Games may be rated or not and lack ratings; line
/// ends, compression and where a game begins and ends are as in a build.
///
/// # Errors
///
/// A text that cannot be read or holds no game; a student without a game; one with more games than
/// [`MOST_OWN_GAMES`].
pub fn read_students(
    place: &Place,
    names: &[Wanted],
    half_moves: usize,
) -> Result<StudentsRead, ExtractError> {
    let mut reading = Reading::of(names);
    let dump = Dump::open_with(place, Opening::default())?;
    let mut batches = Batches::new(dump, BATCH).with_patience(PATIENCE);
    let (mut buffer, mut read) = (Vec::new(), 0);
    while let Some(part) = batches.next_part(buffer)? {
        buffer = Vec::new();
        for batch in part.unpack() {
            let mut games = batch.games();
            while let Some(game) = games.next_any() {
                read += 1;
                reading.look(&game, read, half_moves)?;
            }
            buffer = batch.into_buffer();
        }
    }
    if read == 0 {
        return Err(batches.no_game().into());
    }
    reading.finish(&place.display(), read)
}

/// One student while the text is read.
struct Student {
    names: Vec<PlayerName>,
    /// Whether some game has each of them.
    seen: Vec<bool>,
    games: StudentGames,
    found: bool,
    /// Of the games taken.
    hashes: HashSet<u128>,
}

struct Reading {
    students: Vec<Student>,
    replayer: Replayer,
    /// Names of the text in lower case, so many bytes of them, and as they are written there.
    known: BTreeSet<PlayerName>,
    bytes: usize,
    written: Vec<String>,
}

impl Reading {
    fn of(wanted: &[Wanted]) -> Reading {
        let student = |Wanted { names }: &Wanted| {
            let mut spellings = names.iter().cloned();
            let name = spellings.next().unwrap_or_default();
            Student {
                seen: vec![false; names.len()],
                names: names.iter().filter_map(|name| PlayerName::typed(name)).collect(),
                games: StudentGames { name, also: spellings.collect(), ..StudentGames::default() },
                found: false,
                hashes: HashSet::new(),
            }
        };
        Reading {
            students: wanted.iter().map(student).collect(),
            replayer: Replayer::new(),
            known: BTreeSet::new(),
            bytes: 0,
            written: Vec::new(),
        }
    }

    /// Looks at the game of this number, from 1.
    fn look(
        &mut self,
        game: &AnyGame<'_>,
        number: u64,
        half_moves: usize,
    ) -> Result<(), ExtractError> {
        let names = game.names();
        self.remember(game, &names);
        // Played once, however many students there are.
        let mut played = None;
        for student in &mut self.students {
            for (seen, known) in student.seen.iter_mut().zip(&student.names) {
                *seen |= names.iter().flatten().any(|name| name == known);
            }
            let is_own = |name: &Option<PlayerName>| {
                name.as_ref().is_some_and(|name| student.names.contains(name))
            };
            let colour = match names.each_ref().map(is_own) {
                [false, false] => {
                    student.games.left_out.other_players += 1;
                    continue;
                }
                [true, true] => {
                    student.found = true;
                    student.games.left_out.both_sides += 1;
                    continue;
                }
                [white, _] => {
                    if white {
                        Color::White
                    } else {
                        Color::Black
                    }
                }
            };
            student.spell(game, &names, colour);
            student.found = true;
            let played = played.get_or_insert_with(|| play(&mut self.replayer, game, half_moves));
            match played {
                Err(reason) => *reason(&mut student.games.left_out) += 1,
                Ok(played) => {
                    if student.games.taken.len() == MOST_OWN_GAMES {
                        return Err(ExtractError::TooManyGames {
                            name: student.games.name.clone(),
                        });
                    }
                    student.take(game, number, colour, played);
                }
            }
        }
        Ok(())
    }

    /// Keeps names as long as somebody, or another spelling of a name, is not found.
    fn remember(&mut self, game: &AnyGame<'_>, names: &[Option<PlayerName>; 2]) {
        if self.bytes >= MOST_NAMES
            || self.students.iter().all(|student| student.seen.iter().all(|seen| *seen))
        {
            return;
        }
        for (place, name) in names.iter().enumerate() {
            let Some(name) = name else { continue };
            if !self.known.contains(name) {
                self.bytes += name.as_str().len();
                self.known.insert(name.clone());
                self.written.push(game.written_names()[place].clone());
            }
        }
    }

    fn finish(self, source: &str, read: u64) -> Result<StudentsRead, ExtractError> {
        let no_such = |name: &String| ExtractError::NoSuchStudent {
            name: name.clone(),
            source_name: source.to_owned(),
            names: self.written.len(),
            nearest: nearest(name, &self.written),
        };
        if let Some(student) = self.students.iter().find(|student| !student.found) {
            return Err(no_such(&student.games.name));
        }
        let mut unseen = Vec::new();
        let games = self.students.into_iter().map(|student| {
            let mut seen = student.seen.into_iter().skip(1);
            let is_seen = |_: &String| seen.next().unwrap_or(true);
            let (also, others): (Vec<String>, Vec<String>) =
                student.games.also.into_iter().partition(is_seen);
            unseen.extend(others.iter().map(no_such));
            StudentGames { read, also, ..student.games }
        });
        let games = games.collect();
        Ok(StudentsRead { games, unseen })
    }
}

impl Student {
    /// Takes the spelling of the file for the one that was typed, which may differ in its case.
    fn spell(&mut self, game: &AnyGame<'_>, names: &[Option<PlayerName>; 2], colour: Color) {
        let place = usize::from(colour.is_black());
        if !self.found && names[place].as_ref() == self.names.first() {
            self.games.name.clone_from(&game.written_names()[place]);
        }
    }

    fn take(&mut self, game: &AnyGame<'_>, number: u64, colour: Color, played: &Played) {
        let white = played.result.for_white();
        let [of_white, of_black] = game.ratings();
        self.games.repeated += u64::from(!self.hashes.insert(game.hash()));
        self.games.taken.push(OwnGame {
            colour,
            outcome: colour.fold_wb(white, white.reversed()),
            rating: colour.fold_wb(of_white, of_black),
            number,
            site: game.site(),
            event: game.event(),
            date: game.date().map(|date| date.to_string()),
            plies: played.plies.clone(),
            end: played.end,
        });
    }
}

/// Which count a game that is not taken belongs to.
type Reason = fn(&mut NotTaken) -> &mut u64;

/// What was played in a game.
struct Played {
    result: GameResult,
    plies: Vec<OwnPly>,
    end: Key,
}

fn play(replayer: &mut Replayer, game: &AnyGame<'_>, half_moves: usize) -> Result<Played, Reason> {
    if game.is_variant() {
        return Err(|out| &mut out.variant);
    }
    let Some(mut movetext) = game.movetext() else { return Err(|out| &mut out.broken) };
    let plies = replayer.play(&mut movetext, half_moves, TimeControl::UNKNOWN).map(|plies| {
        let own = |ply: &crate::plies::Ply| OwnPly {
            key: ply.key,
            code: ply.code,
            first_visit: ply.first_visit,
        };
        plies.iter().map(own).collect::<Vec<_>>()
    });
    let ending = movetext.finish();
    let (tagged, marked) = (game.tagged_result(), ending.marker.and_then(GameResult::from_marker));
    let result = match (tagged, marked) {
        _ if !ending.closed => return Err(|out| &mut out.broken),
        (Some(tag), Some(mark)) if tag != mark => return Err(|out| &mut out.broken),
        (tag, mark) => tag.or(mark),
    };
    let Some(result) = result else { return Err(|out| &mut out.no_result) };
    match plies {
        Err(_) => Err(|out| &mut out.illegal_move),
        Ok(plies) if plies.is_empty() => Err(|out| &mut out.no_moves),
        Ok(plies) => Ok(Played { result, plies, end: replayer.end() }),
    }
}

/// The names near one, most alike first: a few letters are others, or the same words are in
/// another order.
fn nearest(name: &str, names: &[String]) -> Vec<String> {
    let folded = |name: &str| {
        let lower = name.to_lowercase().replace([',', '.', '_', '-'], " ");
        let mut words: Vec<&str> = lower.split_whitespace().collect();
        words.sort_unstable();
        (words.join(" "), lower.trim().to_owned())
    };
    let (sorted, plain) = folded(name);
    let near = 1 + plain.chars().count() / 4;
    let distance = |other: &String| {
        let (theirs, theirs_plain) = folded(other);
        let is_part = |part: &str, whole: &str| {
            part.split(' ')
                .all(|word| word.len() > 1 && whole.split(' ').any(|other| other == word))
        };
        if is_part(&sorted, &theirs) || is_part(&theirs, &sorted) {
            return 0;
        }
        // The beginning of a longer name, or some of what is written in one word.
        if plain.chars().count() > 2 && theirs_plain.contains(&plain) {
            return 1;
        }
        let plain = strsim::damerau_levenshtein(&plain, &theirs_plain);
        plain.min(strsim::damerau_levenshtein(&sorted, &theirs))
    };
    let ranked = names.iter().map(|other| (distance(other), other));
    let mut ranked: Vec<(usize, &String)> = ranked.filter(|(far, _)| *far <= near).collect();
    ranked.sort();
    ranked.into_iter().take(OFFERED).map(|(_, name)| name.clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_names_come_first_in_whatever_order_their_words_stand() {
        let names = ["Keel, Fern", "FernKettle", "OtterMill", "MastOwl"].map(str::to_owned);
        assert_eq!(nearest("Fern Keel", &names)[0], "Keel, Fern");
        assert_eq!(nearest("ottermil", &names)[0], "OtterMill");
        assert_eq!(nearest("Keel", &names), ["Keel, Fern"]);
        assert_eq!(nearest("MasstOwl", &names), ["MastOwl"]);
        assert_eq!(
            [nearest("mast", &names), nearest("Kettle", &names)],
            [["MastOwl"], ["FernKettle"]]
        );
        assert!(nearest("x", &names).is_empty() && nearest("Owl Keeler", &names).is_empty());
    }
}
