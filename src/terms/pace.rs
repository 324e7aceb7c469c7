//! How fast a game was played, from its TimeControl tag.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// The pace of a game.
///
/// With t = base + 60 x increment seconds of the first period: under 180 bullet (common practice),
/// 180 to 600 blitz, over 600 and under 3600 rapid, from 3600 classical (FIDE Laws of Chess,
/// appendices A and B), no time control or a period of a day and more correspondence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Pace {
    /// Under 180 s.
    Bullet,
    /// 180 to 600 s.
    Blitz,
    /// Over 600 and under 3600 s.
    Rapid,
    /// From 3600 s.
    Classical,
    /// No clock, or a day and more a period.
    Correspondence,
    /// The tag is missing or says nothing usable.
    Unknown,
}

const DAY: u32 = 86_400;

impl Pace {
    /// All paces in the order in which tables list them.
    pub const ALL: [Pace; 6] = [
        Pace::Bullet,
        Pace::Blitz,
        Pace::Rapid,
        Pace::Classical,
        Pace::Correspondence,
        Pace::Unknown,
    ];

    /// Place in [`Pace::ALL`].
    pub fn index(self) -> usize {
        self as usize
    }

    /// The name, lower case.
    pub fn name(self) -> &'static str {
        match self {
            Pace::Bullet => "bullet",
            Pace::Blitz => "blitz",
            Pace::Rapid => "rapid",
            Pace::Classical => "classical",
            Pace::Correspondence => "correspondence",
            Pace::Unknown => "unknown",
        }
    }

    fn from_seconds(seconds: u32) -> Pace {
        match seconds {
            0..180 => Pace::Bullet,
            180..=600 => Pace::Blitz,
            601..3600 => Pace::Rapid,
            3600..DAY => Pace::Classical,
            DAY.. => Pace::Correspondence,
        }
    }
}

impl fmt::Display for Pace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl FromStr for Pace {
    type Err = String;

    fn from_str(text: &str) -> Result<Pace, String> {
        Pace::ALL
            .into_iter()
            .find(|pace| pace.name().eq_ignore_ascii_case(text.trim()))
            .ok_or_else(|| format!("no pace is called '{text}'; there are bullet, blitz, rapid, classical, correspondence, unknown"))
    }
}

/// What the TimeControl tag of the PGN standard (section 9.6.1) says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TimeControl {
    /// The pace class of the first period.
    pub pace: Pace,
    /// Seconds added a move, when the whole game is one period of base time and increment;
    /// only then can the time spent on a move be told from two clock readings.
    pub increment: Option<u32>,
}

impl TimeControl {
    /// A tag that is missing or cannot be read.
    pub const UNKNOWN: TimeControl = TimeControl { pace: Pace::Unknown, increment: None };

    /// Reads the value of the tag: `-`, `300`, `300+3`, `40/7200`, several of them joined by `:`.
    pub fn from_tag(value: &[u8]) -> TimeControl {
        let value = value.trim_ascii();
        if value == b"-" {
            return TimeControl { pace: Pace::Correspondence, increment: None };
        }
        let mut periods = value.split(|&byte| byte == b':');
        let first = periods.next().unwrap_or_default();
        let several = periods.next().is_some();
        if let Some(slash) = memchr::memchr(b'/', first) {
            return match (integer(&first[..slash]), integer(&first[slash + 1..])) {
                (Some(_), Some(seconds)) => {
                    TimeControl { pace: Pace::from_seconds(seconds), increment: None }
                }
                _ => TimeControl::UNKNOWN,
            };
        }
        let (base, increment) = match memchr::memchr(b'+', first) {
            Some(plus) => (integer(&first[..plus]), integer(&first[plus + 1..])),
            None => (integer(first), Some(0)),
        };
        match (base, increment) {
            (Some(base), Some(increment)) => TimeControl {
                pace: Pace::from_seconds(base.saturating_add(increment.saturating_mul(60))),
                increment: (!several).then_some(increment),
            },
            _ => TimeControl::UNKNOWN,
        }
    }
}

/// Decimal digits alone; values past `u32` saturate, since every one of them is days.
fn integer(digits: &[u8]) -> Option<u32> {
    if digits.is_empty() || !digits.iter().all(u8::is_ascii_digit) {
        return None;
    }
    Some(
        digits.iter().fold(0u32, |sum, digit| {
            sum.saturating_mul(10).saturating_add(u32::from(digit - b'0'))
        }),
    )
}

/// A set of paces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct PaceSet(u8);

impl PaceSet {
    /// Every pace.
    pub const ALL: PaceSet = PaceSet((1 << Pace::ALL.len()) - 1);

    /// Whether the pace is in the set.
    pub fn contains(self, pace: Pace) -> bool {
        self.0 & (1 << pace.index()) != 0
    }

    /// The paces of the set in the order of [`Pace::ALL`].
    pub fn paces(self) -> impl Iterator<Item = Pace> {
        Pace::ALL.into_iter().filter(move |&pace| self.contains(pace))
    }

    /// Whether every pace is in the set.
    pub fn is_all(self) -> bool {
        self == Self::ALL
    }
}

impl FromIterator<Pace> for PaceSet {
    fn from_iter<I: IntoIterator<Item = Pace>>(paces: I) -> PaceSet {
        PaceSet(paces.into_iter().fold(0, |set, pace| set | 1 << pace.index()))
    }
}

impl Serialize for PaceSet {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.paces())
    }
}

impl<'de> Deserialize<'de> for PaceSet {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<PaceSet, D::Error> {
        Ok(Vec::<Pace>::deserialize(deserializer)?.into_iter().collect())
    }
}

impl fmt::Display for PaceSet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_all() {
            return f.write_str("all paces");
        }
        let names: Vec<&str> = self.paces().map(Pace::name).collect();
        f.write_str(&names.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pace(tag: &str) -> Pace {
        TimeControl::from_tag(tag.as_bytes()).pace
    }

    /// FIDE Laws of Chess, appendices A.1 and B.1, with t = base + 60 x increment: blitz up to
    /// 600 s, rapid between 600 and 3600 s, standard from 3600 s. The split of bullet from blitz at
    /// 180 s is common practice.
    #[test]
    fn thresholds_follow_the_laws_of_chess() {
        let rows = [
            ("15", Pace::Bullet),
            ("60", Pace::Bullet),
            ("120+1", Pace::Blitz),
            ("180", Pace::Blitz),
            ("180+2", Pace::Blitz),
            ("300", Pace::Blitz),
            ("600", Pace::Blitz),
            ("600+1", Pace::Rapid),
            ("601", Pace::Rapid),
            ("900+10", Pace::Rapid),
            ("3599", Pace::Rapid),
            ("3600", Pace::Classical),
            ("1800+30", Pace::Classical),
            ("5400+30", Pace::Classical),
            ("40/7200:3600", Pace::Classical),
            ("-", Pace::Correspondence),
            ("1/86400", Pace::Correspondence),
            ("?", Pace::Unknown),
            ("*180", Pace::Unknown),
            ("", Pace::Unknown),
            ("fast", Pace::Unknown),
        ];
        for (tag, expected) in rows {
            assert_eq!(pace(tag), expected, "{tag}");
        }
    }

    #[test]
    fn only_one_period_of_base_and_increment_gives_an_increment() {
        let increment = |tag: &str| TimeControl::from_tag(tag.as_bytes()).increment;
        assert_eq!((increment("300"), increment("180+2")), (Some(0), Some(2)));
        for tag in ["40/9000", "300+3:60", "-", "?", "*180"] {
            assert_eq!(increment(tag), None, "{tag}");
        }
    }

    #[test]
    fn a_set_lists_its_paces_in_table_order() {
        let set: PaceSet = [Pace::Rapid, Pace::Bullet].into_iter().collect();
        assert_eq!(set.to_string(), "bullet, rapid");
    }
}
