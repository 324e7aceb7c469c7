//! One game sent through the file, half-move by half-move.

use std::collections::{BTreeSet, HashMap};

use shakmaty::Move;

use super::choices::{Choices, To, Turn};

/// A file that repeats positions can be followed for ever; no counted game is longer than this.
const LONGEST: u16 = 1000;
/// A share of games that is too small to be told from rounding.
const NOTHING: f64 = 1e-12;

/// A position of the file at one half-move.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stop {
    pub place: usize,
    pub ply: u16,
    /// The share of games that is here, all ways together.
    pub mass: f64,
    /// What becomes of it.
    pub fate: Fate,
    /// The likeliest way here: its chance, and the stop and the move before.
    likeliest: (f64, Option<(u32, Move)>),
}

/// What becomes of the games at a stop.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Fate {
    /// A line ends: answered.
    Ended,
    /// The counts know nothing here.
    Unknown,
    /// They go on: one entry a choice of the place, the next stop or nothing where it leads out.
    Goes(Vec<Option<u32>>),
}

/// A gap with the share of the games that meet it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct FoundGap {
    pub place: usize,
    /// Place of the move among the choices there.
    pub choice: usize,
    pub met: f64,
}

/// Stops in the order of their half-moves; the first is the initial position.
pub(super) struct Flow {
    pub stops: Vec<Stop>,
    /// From which stops games come to each.
    back: Vec<Vec<u32>>,
}

impl Flow {
    /// Follows the games for `half_moves`, after which every line is taken to have ended.
    pub fn of(choices: &Choices, half_moves: Option<u16>) -> Flow {
        let last = half_moves.unwrap_or(LONGEST).min(LONGEST);
        let start = Stop { place: 0, ply: 0, mass: 1.0, fate: Fate::Ended, likeliest: (1.0, None) };
        let mut stops = vec![start];
        let (mut first, mut ply) = (0, 0);
        while first < stops.len() {
            let layer = first..stops.len();
            first = layer.end;
            let alive: f64 = stops[layer.clone()].iter().map(|stop| stop.mass).sum();
            let mut next: HashMap<usize, u32> = HashMap::new();
            for at in layer {
                stops[at].fate = match &choices.turns[stops[at].place] {
                    Turn::End => Fate::Ended,
                    _ if ply == last || alive < NOTHING => Fate::Ended,
                    Turn::Unknown => Fate::Unknown,
                    Turn::Choice { choices, .. } => {
                        let (mass, likeliest) = (stops[at].mass, stops[at].likeliest.0);
                        let mut goes = Vec::with_capacity(choices.len());
                        for choice in choices {
                            let To::Place(place) = choice.to else {
                                goes.push(None);
                                continue;
                            };
                            let index = *next.entry(place).or_insert_with(|| {
                                stops.push(Stop {
                                    place,
                                    ply: ply + 1,
                                    mass: 0.0,
                                    fate: Fate::Ended,
                                    likeliest: (0.0, None),
                                });
                                stops.len() as u32 - 1
                            });
                            let behind = &mut stops[index as usize];
                            behind.mass += mass * choice.chance;
                            if behind.likeliest.0 < likeliest * choice.chance {
                                let way = Some((at as u32, choice.mv));
                                behind.likeliest = (likeliest * choice.chance, way);
                            }
                            goes.push(Some(index));
                        }
                        Fate::Goes(goes)
                    }
                };
            }
            ply += 1;
        }
        let mut back = vec![Vec::new(); stops.len()];
        for (index, stop) in stops.iter().enumerate() {
            if let Fate::Goes(goes) = &stop.fate {
                goes.iter().flatten().for_each(|&next| back[next as usize].push(index as u32));
            }
        }
        Flow { stops, back }
    }

    /// The first place where nothing is known, if games come to such places before any opponent has
    /// chosen: then nothing is known at all.
    pub fn nothing(&self, choices: &Choices) -> Option<usize> {
        let chosen = |stop: &Stop| {
            let theirs = matches!(choices.turns[stop.place], Turn::Choice { own: false, .. });
            theirs && matches!(stop.fate, Fate::Goes(_))
        };
        let unknown = self.unknown().next()?;
        (!self.stops.iter().any(chosen)).then_some(unknown)
    }

    /// The places to which games come and of which nothing is known.
    pub fn unknown(&self) -> impl Iterator<Item = usize> {
        self.stops.iter().filter(|stop| stop.fate == Fate::Unknown).map(|stop| stop.place)
    }

    /// Every gap, the one that is met most often first.
    pub fn gaps(&self, choices: &Choices) -> Vec<FoundGap> {
        let mut met: HashMap<(usize, usize), f64> = HashMap::new();
        for stop in &self.stops {
            let (Turn::Choice { choices, .. }, Fate::Goes(goes)) =
                (&choices.turns[stop.place], &stop.fate)
            else {
                continue;
            };
            for (index, (choice, next)) in choices.iter().zip(goes).enumerate() {
                if next.is_none() {
                    *met.entry((stop.place, index)).or_default() += stop.mass * choice.chance;
                }
            }
        }
        let mut gaps: Vec<FoundGap> =
            met.into_iter().map(|((place, choice), met)| FoundGap { place, choice, met }).collect();
        gaps.sort_by(|a, b| {
            b.met.total_cmp(&a.met).then((a.place, a.choice).cmp(&(b.place, b.choice)))
        });
        gaps
    }

    /// For each half-move the shares of games that have met a gap by then, and that have come to
    /// where nothing is known.
    pub fn by_ply(&self, choices: &Choices) -> Vec<(f64, f64)> {
        let last = |stop: &Stop| usize::from(stop.ply) + usize::from(stop.fate != Fate::Ended);
        let plies = self.stops.iter().map(last).max().unwrap_or(0);
        let mut rows = vec![(0.0, 0.0); plies];
        for stop in &self.stops {
            match (&choices.turns[stop.place], &stop.fate) {
                (Turn::Choice { choices, .. }, Fate::Goes(goes)) => {
                    let out = choices.iter().zip(goes).filter(|(_, next)| next.is_none());
                    let out: f64 = out.map(|(choice, _)| choice.chance).sum();
                    rows[usize::from(stop.ply)].0 += stop.mass * out;
                }
                (_, Fate::Unknown) => rows[usize::from(stop.ply)].1 += stop.mass,
                _ => {}
            }
        }
        for index in 1..rows.len() {
            let before = rows[index - 1];
            rows[index].0 += before.0;
            rows[index].1 += before.1;
        }
        // Behind the last half-move in which a game can leave the file nothing changes any more.
        while let [.., before, last] = rows[..]
            && last.0 + last.1 - before.0 - before.1 < NOTHING
        {
            rows.pop();
        }
        rows
    }

    /// The share of games at each place, all visits together.
    pub fn visits(&self, places: usize) -> Vec<f64> {
        let mut visits = vec![0.0; places];
        self.stops.iter().for_each(|stop| visits[stop.place] += stop.mass);
        visits
    }

    /// The stops from which games come to a place, those at it included, in their order.
    pub fn on_the_way_to(&self, place: usize) -> Vec<usize> {
        let at = self.stops.iter().enumerate().filter(|(_, stop)| stop.place == place);
        let mut open: Vec<u32> = at.map(|(index, _)| index as u32).collect();
        let mut found: BTreeSet<usize> = BTreeSet::new();
        while let Some(index) = open.pop() {
            if found.insert(index as usize) {
                open.extend(&self.back[index as usize]);
            }
        }
        found.into_iter().collect()
    }

    /// The moves of the likeliest way to a place; none if no game comes there.
    pub fn likeliest(&self, place: usize) -> Option<Vec<Move>> {
        let stops = self.stops.iter().filter(|stop| stop.place == place && stop.mass > 0.0);
        let mut at = stops.reduce(|a, b| if b.likeliest.0 > a.likeliest.0 { b } else { a })?;
        let mut moves = Vec::new();
        while let Some((before, mv)) = at.likeliest.1 {
            moves.push(mv);
            at = &self.stops[before as usize];
        }
        moves.reverse();
        Some(moves)
    }
}
