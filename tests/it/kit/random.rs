//! Games of random legal moves.

use rand::seq::IndexedRandom;
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use shakmaty::san::SanPlus;
use shakmaty::{Chess, Move, Position};

use super::Game;

/// The texts of `count` random games; the same for the same seed.
pub fn random_games(seed: u64, count: usize, plies: usize) -> Vec<String> {
    let mut chance = ChaCha8Rng::seed_from_u64(seed);
    (0..count).map(|_| random_game(&mut chance, plies).to_string()).collect()
}

/// A game of up to `plies` random moves by players of random ratings. Moves that the code of a
/// counter gets wrong most easily (castling, en passant, promotions, checks) are taken more often
/// than chance would, and so is the way back, which makes positions repeat.
fn random_game(chance: &mut impl Rng, plies: usize) -> Game {
    let (mut position, mut words) = (Chess::default(), Vec::new());
    let mut own_last: [Option<Move>; 2] = [None, None];
    for ply in 0..plies {
        let legal = position.legal_moves();
        let back = own_last[ply % 2].and_then(|mv| {
            let way_back =
                |other: &Move| Some(other.to()) == mv.from() && other.from() == Some(mv.to());
            legal.iter().copied().find(|other| way_back(other) && !other.is_capture())
        });
        let rare: Vec<Move> = legal.iter().copied().filter(|mv| is_rare(*mv)).collect();
        let mv = match (rare.choose(chance), back) {
            (Some(&mv), _) if chance.random_bool(0.4) => mv,
            (_, Some(mv)) if chance.random_bool(0.25) => mv,
            _ => match legal.choose(chance) {
                Some(&mv) => mv,
                None => break,
            },
        };
        own_last[ply % 2] = Some(mv);
        words.push(SanPlus::from_move_and_play_unchecked(&mut position, mv).to_string());
    }
    dressed(chance, &words)
}

fn is_rare(mv: Move) -> bool {
    mv.is_castle() || mv.is_en_passant() || mv.is_promotion()
}

/// Random tags, clocks and evaluations around the moves.
fn dressed(chance: &mut impl Rng, words: &[String]) -> Game {
    let mut one_of = |values: &[&'static str]| *values.choose(chance).expect("not empty");
    let game = Game::of(&words.join(" "))
        .result(one_of(&["1-0", "0-1", "1/2-1/2"]))
        .tag("TimeControl", one_of(&["60+0", "180+2", "600+5", "1800+30", "-", "?", "300+3"]));
    let game = match one_of(&["", "A", "A", "A: B", "A: B, C", "D", "?"]) {
        "" => game,
        name => game.opening(one_of(&["A00", "A01", "?"]), name),
    };
    let (white, black) = (chance.random_range(1..=3999), chance.random_range(1000..=1400));
    let mut game = game.ratings(white, black);
    if chance.random_bool(0.6) {
        let mut left = 6000;
        let clocks: Vec<String> = words
            .iter()
            .map(|_| {
                left -= chance.random_range(-20..60);
                if chance.random_bool(0.1) { "_".into() } else { clock(left) }
            })
            .collect();
        game = game.clocks(&clocks.join(" "));
    }
    if chance.random_bool(0.3) {
        let mut eval = || match chance.random_range(0..10) {
            0 => "#-3".to_owned(),
            1 => "_".to_owned(),
            _ => format!("{:.2}", f64::from(chance.random_range(-1500..=1500)) / 100.0),
        };
        let evals: Vec<String> = words.iter().map(|_| eval()).collect();
        game = game.evals(&evals.join(" "));
    }
    // Few players, so that they come again, now and then in capitals; some without a name.
    for colour in ["White", "Black"] {
        game = match chance.random_range(0..40) {
            0 => game,
            1 => game.tag(colour, "?"),
            2 => game.tag(colour, "The \\\"Mate\\\" \\\\ Co"),
            n @ 3..10 => game.tag(colour, &format!(" PILOT {n}")),
            n => game.tag(colour, &format!("Pilot {}", n / 2)),
        };
    }
    game
}

fn clock(tenths: i32) -> String {
    let seconds = tenths.max(0) / 10;
    format!(
        "{}:{:02}:{:02}.{}",
        seconds / 3600,
        seconds / 60 % 60,
        seconds % 60,
        tenths.max(0) % 10
    )
}
