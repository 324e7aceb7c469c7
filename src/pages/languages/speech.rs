//! Numbers, dates, moves and lists in the words of a language.

use maud::Markup;
use shakmaty::{Color, Role};

use super::phrases::{Language, San};
use super::slots::text_of;
use crate::answers::trap::{AdviceCode, Code, NextSlips, SoundnessCode};
use crate::pages::numbers;
use crate::terms::{BandRange, MoverFilter, Pace, PaceSet};

impl Language {
    /// An integer, its digits in threes.
    pub(in crate::pages) fn count(&self, n: u64) -> String {
        self.written(&numbers::count(n))
    }

    /// A number with a fixed number of decimals and no sign but a minus.
    pub(in crate::pages) fn fixed(&self, x: f64, decimals: usize) -> String {
        self.written(&numbers::fixed(x, decimals))
    }

    /// The same with a plus where positive.
    pub(in crate::pages) fn signed(&self, x: f64, decimals: usize) -> String {
        self.written(&numbers::signed(x, decimals))
    }

    fn written(&self, english: &str) -> String {
        let whole = english.split('.').next().unwrap_or_default();
        let digits = whole.bytes().filter(u8::is_ascii_digit).count();
        let thousands = if digits < self.parted_from { "" } else { self.thousands };
        let letter = |c: char| match c {
            ',' => thousands.to_owned(),
            '.' => self.decimal.to_owned(),
            '-' => self.minus.to_owned(),
            c => c.to_string(),
        };
        english.chars().map(letter).collect()
    }

    /// Moves as the language writes them, from English ones; numbers stand close to their moves:
    /// `1.e4 e5 2.Nf3`.
    pub(in crate::pages) fn san(&self, moves: &str) -> San {
        San(self.letters(&moves.replace(". ", ".")))
    }

    /// The same, with blanks as they are.
    pub(in crate::pages) fn letters(&self, moves: &str) -> String {
        let letter = |c: char| "KQRBN".find(c).map_or(c, |place| self.pieces[place]);
        moves.chars().map(letter).collect()
    }

    /// `5.Nxf7 or 5.Nd3`, from English ones.
    pub(in crate::pages) fn either_san<S: AsRef<str>>(&self, moves: &[S]) -> San {
        let moves: Vec<String> = moves.iter().map(|san| self.san(san.as_ref()).0).collect();
        San(joined(&moves, self.or))
    }

    /// White or Black, within a sentence.
    pub(in crate::pages) fn side(&self, color: Color) -> &'static str {
        color.fold_wb(self.white, self.black)
    }

    /// The same on its own.
    pub(in crate::pages) fn side_alone(&self, color: Color) -> String {
        capital(self.side(color))
    }

    /// The name of a piece, in the plural for several.
    pub(in crate::pages) fn role(&self, role: Role, count: usize) -> &'static str {
        let place = match role {
            Role::King => 0,
            Role::Queen => 1,
            Role::Rook => 2,
            Role::Bishop => 3,
            Role::Knight => 4,
            Role::Pawn => 5,
        };
        self.roles[place][usize::from(count > 1)]
    }

    /// The name of a pace.
    pub(in crate::pages) fn pace(&self, pace: Pace) -> &'static str {
        self.paces[pace.index()]
    }

    /// One or two classes of a verdict.
    pub(in crate::pages) fn verdict_of(&self, codes: &[Code]) -> String {
        let name = |code: &Code| match code {
            Code::Common => self.codes[0],
            Code::Occasional => self.codes[1],
            Code::Rare => self.codes[2],
            Code::TooFewGames => self.codes[3],
            Code::NotCounted => self.codes[4],
        };
        codes.iter().map(name).collect::<Vec<_>>().join(self.or)
    }

    /// One or two pieces of advice.
    pub(in crate::pages) fn advice_of(&self, codes: &[AdviceCode]) -> String {
        let name = |code: &AdviceCode| match code {
            AdviceCode::Teach => self.advice_codes[0],
            AdviceCode::Warn => self.advice_codes[1],
            AdviceCode::Undecided => self.advice_codes[2],
            AdviceCode::Skip => self.advice_codes[3],
        };
        self.list(&codes.iter().map(name).collect::<Vec<_>>())
    }

    /// How many slips most students will see.
    pub(in crate::pages) fn slips_to_expect(&self, NextSlips { low, high }: NextSlips) -> Markup {
        self.next_slips(low, high)
    }

    /// A verdict on soundness.
    pub(in crate::pages) fn soundness_of(&self, code: SoundnessCode) -> &'static str {
        match code {
            SoundnessCode::Sound => self.soundness[0],
            SoundnessCode::Gamble => self.soundness[1],
            SoundnessCode::NoSlip => self.soundness[2],
            SoundnessCode::Unknown => self.soundness[3],
        }
    }

    /// `below 2000`, `from 1200 to 1599 in blitz`: behind the noun that it is about.
    pub(in crate::pages) fn level(&self, filter: MoverFilter) -> String {
        let said = [Self::level_below, Self::level_from];
        let ratings = self.ratings(filter.bands, said, Self::level_between);
        if filter.paces.is_all() {
            return ratings;
        }
        let paces: Vec<&str> = filter.paces.paces().map(|pace| self.pace(pace)).collect();
        text_of(&self.in_paces(&ratings, &self.list(&paces)))
    }

    /// `rated 1200 to 1999`: behind the noun that it is about.
    pub(in crate::pages) fn rated(&self, bands: BandRange) -> String {
        self.ratings(bands, [Self::rated_below, Self::rated_from], Self::rated_between)
    }

    /// Ratings, as said of those below one, from one on, and between two.
    fn ratings(
        &self,
        BandRange { from, below }: BandRange,
        [is_below, is_from]: [fn(&Self, &str) -> Markup; 2],
        is_between: fn(&Self, &str, &str) -> Markup,
    ) -> String {
        let [first, end, last] = [from, below, below - 1].map(|rating| rating.to_string());
        match (from == 0, below == BandRange::ALL.below) {
            (true, true) => self.level_all.to_owned(),
            (true, false) => text_of(&is_below(self, &end)),
            (false, true) => text_of(&is_from(self, &first)),
            (false, false) => text_of(&is_between(self, &first, &last)),
        }
    }

    /// `blitz, rapid`.
    pub(in crate::pages) fn paces_of(&self, paces: PaceSet) -> String {
        match paces.is_all() {
            true => self.all_paces.to_owned(),
            false => paces.paces().map(|pace| self.pace(pace)).collect::<Vec<_>>().join(", "),
        }
    }

    /// A day such as `2031-05-17`; anything else as it is.
    pub(in crate::pages) fn day(&self, date: &str) -> String {
        match date.split('-').collect::<Vec<_>>()[..] {
            [year, month, day] => text_of(&self.date(year, month, day)),
            _ => date.to_owned(),
        }
    }

    /// `a, b and c`.
    pub(in crate::pages) fn list<S: AsRef<str>>(&self, items: &[S]) -> String {
        joined(items, self.and)
    }

    /// The months of two dates such as `2031-05-17`: `May 2031 to July 2031`; the word for no date
    /// without them.
    pub(in crate::pages) fn months_of(&self, first: Option<&str>, last: Option<&str>) -> String {
        let month = |date: &str| {
            let (year, rest) = date.split_once('-')?;
            let number: usize = rest.get(..2)?.parse().ok()?;
            Some(text_of(&self.month(self.months.get(number.checked_sub(1)?)?, year)))
        };
        match first.and_then(month).zip(last.and_then(month)) {
            None => self.undated.to_owned(),
            Some((first, last)) if first == last => first,
            Some((first, last)) => text_of(&self.months_from_to(&first, &last)),
        }
    }
}

fn joined<S: AsRef<str>>(items: &[S], last_by: &str) -> String {
    let items: Vec<&str> = items.iter().map(AsRef::as_ref).collect();
    match items.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{}{last_by}{last}", rest.join(", ")),
        None => String::new(),
    }
}

/// With its first letter large.
pub(in crate::pages) fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
